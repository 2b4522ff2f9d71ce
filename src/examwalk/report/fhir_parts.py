"""What all FHIR resources share: identities, codes, quantities, times and what is left out."""

import tomllib
from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from functools import cache
from importlib.resources import files
from typing import Any, Final
from uuid import NAMESPACE_URL, uuid5

from attrs import frozen

from examwalk.protocol.model import Protocol
from examwalk.reasoning.results import Summary
from examwalk.report.sides import side_word
from examwalk.session.model import Place, Session, Side

Resource = dict[str, Any]

OURS: Final = "urn:examwalk"
"""Everything that is coded in words of our own or of a protocol begins with this."""
LOINC: Final = "http://loinc.org"
SNOMED: Final = "http://snomed.info/sct"
UCUM: Final = "http://unitsofmeasure.org"
TERMINOLOGY: Final = "http://terminology.hl7.org/CodeSystem"
_NAMESPACE: Final = uuid5(NAMESPACE_URL, OURS)


@frozen
class Visit:
    """A visit to be written, and how."""

    protocol: Protocol
    session: Session
    summary: Summary
    seed: str
    """What identities are made from: the same gives the same."""
    anonymous: bool = False
    """Leave out the patient's code, the examiner, whatever was written freely, and days."""
    snomed: bool = True
    """Give codes of SNOMED CT, which some countries license, beside our own."""

    @property
    def own(self) -> str:
        """The beginning of the protocol's own code systems."""
        return f"{OURS}:{self.protocol.identity.id}"

    @property
    def subject(self) -> Resource:
        """The reference to the patient."""
        return self.reference("patient")

    def uuid(self, key: str) -> str:
        """Return the identity of a part of the visit, the same in every export."""
        return str(uuid5(_NAMESPACE, f"{self.seed}/{key}"))

    def reference(self, key: str) -> Resource:
        """Refer to a resource of the bundle."""
        return {"reference": f"urn:uuid:{self.uuid(key)}"}

    def time(self, at: datetime) -> str:
        """Write a time with its offset; of an anonymous visit the year alone."""
        return f"{at.year:04}" if self.anonymous else at.isoformat()

    def coding(self, kind: str, code: str, display: str) -> Resource:
        """Return a code of the protocol, such as that of a test or of an answer."""
        version = self.protocol.identity.version
        return {
            "system": f"{self.own}:{kind}",
            "version": version,
            "code": code,
            "display": " ".join(display.split()),
        }

    def concept(self, kind: str, code: str, title: str, text: str = "") -> Resource:
        """Return a concept with a code of the protocol, its title, and words that say more."""
        return {"coding": [self.coding(kind, code, title)], "text": text or title}

    def side(self, side: Side) -> Resource:
        """Return a side of the body: in words, with our own code, and with that of SNOMED CT."""
        coding = [{"system": f"{OURS}:side", "code": side.value}]
        if self.snomed:
            known = _codes()["snomed"][side.value]
            coding.append({"system": SNOMED, "code": known["code"], "display": known["display"]})
        return {"coding": coding, "text": side_word(side)}


def observation_key(place: Place) -> str:
    """Return the key of the observation at a place."""
    return f"finding/{place.test}/{place.side.value}"


def derived_key(derived_id: str, side: Side) -> str:
    """Return the key of the observation of a derived value."""
    return f"derived/{derived_id}/{side.value}"


def quantity(value: float, unit: str) -> Resource:
    """Return a number with its unit, which is coded only where UCUM certainly has it."""
    coded = _codes()["ucum"].get(unit)
    found: Resource = {"value": value}
    if unit:
        found["unit"] = unit
    if coded:
        found |= {"system": UCUM, "code": coded}
    return found


def rounded(value: float, decimals: int) -> float:
    """Return a number without the noise that calculating left behind the last decimal."""
    exact = round(Decimal(repr(value)), decimals)
    return int(exact) if decimals <= 0 else float(exact)


def loinc(id_: str, unit: str) -> Resource | None:
    """Return the code of LOINC for a test or derived value, if there is one in this unit."""
    known = _codes()["loinc"].get(id_)
    if known is None or known["unit"] != unit:
        return None
    return {"system": LOINC, "code": known["code"], "display": known["display"]}


def vital_signs() -> list[Resource]:
    """Return the category of what LOINC codes are given for."""
    return [{"coding": [{"system": f"{TERMINOLOGY}/observation-category", "code": "vital-signs"}]}]


@cache
def _codes() -> Mapping[str, Any]:
    text = (files("examwalk.report") / "fhir_codes.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)
