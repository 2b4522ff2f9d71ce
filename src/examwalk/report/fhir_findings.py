"""Findings and derived values as FHIR Observations."""

from collections.abc import Iterable

from examwalk.language import say
from examwalk.protocol.exam_model import Band, Kind, Test
from examwalk.protocol.wording import MINUS, answer_words, choices_of, reason_words
from examwalk.reasoning.results import DerivedResult
from examwalk.report.fhir_forms import answer_system
from examwalk.report.fhir_parts import (
    TERMINOLOGY,
    Resource,
    Visit,
    derived_key,
    loinc,
    observation_key,
    quantity,
    rounded,
    vital_signs,
)
from examwalk.report.sides import with_side
from examwalk.report.words import place_words
from examwalk.session.model import Answer, Finding, Place, Side, State

_SIGNS = (("at_least", "≥"), ("above", ">"), ("at_most", "≤"), ("below", "<"))


def observed_places(visit: Visit) -> tuple[Place, ...]:
    """Return the places with an observation: what was recorded, and what still lacks an answer."""
    places = dict.fromkeys(finding.place for finding in visit.session.findings)
    places |= dict.fromkeys(one.place for one in visit.summary.missing)
    known = visit.protocol.tests_by_id
    return tuple(place for place in places if place.test in known)


def observation(visit: Visit, place: Place) -> Resource:
    """Return what was found at a place, or why nothing was."""
    test = visit.protocol.tests_by_id[place.test]
    finding = visit.session.finding(place)
    found = _begun(visit, observation_key(place), place.side)
    found["status"] = _status(visit, place)
    code = visit.concept("test", test.id, test.title, with_side(test.title, place.side))
    found["code"] = _also_loinc(found, code, test.id, test.unit)
    if finding is not None:
        found["effectiveDateTime"] = visit.time(finding.at)
        if not visit.anonymous and visit.session.examiner:
            found["performer"] = [{"display": visit.session.examiner}]
        if finding.note and not visit.anonymous:
            found["note"] = [{"text": finding.note}]
    if finding is None or finding.answer is None:
        return found | {"dataAbsentReason": _absent(visit, finding)}
    return found | _value(visit, test, finding.answer)


def derived_observation(visit: Visit, result: DerivedResult) -> Resource:
    """Return a value worked out from findings, which it refers to."""
    derived = visit.protocol.derived_by_id[result.id]
    found = _begun(visit, derived_key(result.id, result.side), result.side)
    found["status"] = "final" if visit.session.state is State.FINISHED else "preliminary"
    code = visit.concept("derived", result.id, result.title, with_side(result.title, result.side))
    found["code"] = _also_loinc(found, code, result.id, result.unit)
    found["effectiveDateTime"] = visit.time(visit.session.finished or visit.session.started)
    found["method"] = visit.concept("calculation", derived.calculation, derived.calculation)
    observed = set(observed_places(visit))
    if sources := [place for place in result.inputs if place in observed]:
        found["derivedFrom"] = [visit.reference(observation_key(place)) for place in sources]
    if result.value is not None:
        value = rounded(result.value, result.decimals)
        found["valueQuantity"] = quantity(value, result.unit)
        return found | _bands(derived.bands, result.band, result.unit)
    found["dataAbsentReason"] = _reason("unknown", say("not settled"))
    if result.missing:
        places = ", ".join(place_words(visit.protocol, place) for place in result.missing)
        found["note"] = [{"text": say("waits for: {places}", places=places)}]
    return found


def _begun(visit: Visit, key: str, side: Side) -> Resource:
    found: Resource = {
        "resourceType": "Observation",
        "id": visit.uuid(key),
        "subject": visit.subject,
    }
    if side is not Side.WHOLE:
        found["bodySite"] = visit.side(side)
    return found


def _status(visit: Visit, place: Place) -> str:
    if any(amendment.path == place for amendment in visit.session.amendments):
        return "amended"
    return "final" if visit.session.state is State.FINISHED else "preliminary"


def _also_loinc(found: Resource, code: Resource, id_: str, unit: str) -> Resource:
    known = loinc(id_, unit)
    if known is None:
        return code
    found["category"] = vital_signs()
    return {**code, "coding": [known, *code["coding"]]}


def _absent(visit: Visit, finding: Finding | None) -> Resource:
    if finding is None or finding.not_done is None:
        return _reason("not-asked", say("not answered"))
    is_free = finding.not_done not in visit.protocol.not_done_reasons
    if visit.anonymous and is_free:
        return _reason("not-performed", "")
    return _reason("not-performed", reason_words(visit.protocol, finding.not_done))


def _reason(code: str, text: str) -> Resource:
    reason: Resource = {"coding": [{"system": f"{TERMINOLOGY}/data-absent-reason", "code": code}]}
    return {**reason, "text": text} if text else reason


def _value(visit: Visit, test: Test, answer: Answer) -> Resource:
    if test.kind is Kind.TEXT:
        if visit.anonymous:
            return {"dataAbsentReason": _reason("masked", "")}
        return {"valueString": answer}
    if isinstance(answer, int | float):
        label = next((band.label for band in test.bands if band.holds(answer)), "")
        return {
            "valueQuantity": quantity(answer, test.unit),
            **_bands(test.bands, label, test.unit),
        }
    if isinstance(answer, tuple):
        return {"component": [_component(visit, test, one) for one in answer]}
    return {"valueCodeableConcept": _chosen(visit, test, answer)}


def _component(visit: Visit, test: Test, option: str) -> Resource:
    """Return one of several options: codes side by side would be taken for the same."""
    return {
        "code": visit.concept("test", test.id, test.title),
        "valueCodeableConcept": _chosen(visit, test, option),
    }


def _chosen(visit: Visit, test: Test, answer: str) -> Resource:
    words = answer_words(visit.protocol, test, answer)
    concept = visit.concept(answer_system(visit.protocol, test), answer, words)
    score = next((one.score for one in choices_of(visit.protocol, test) if one.id == answer), None)
    if score is not None:
        url = "http://hl7.org/fhir/StructureDefinition/ordinalValue"
        concept["coding"][0]["extension"] = [{"url": url, "valueDecimal": score}]
    return concept


def _bands(bands: Iterable[Band], label: str, unit: str) -> Resource:
    """Return all bands of a number as ranges in words and numbers, and the one it lies in."""
    ranges = [_range(band, unit) for band in bands]
    found: Resource = {"referenceRange": ranges} if ranges else {}
    if label:
        found["interpretation"] = [{"text": label}]
    return found


def _range(band: Band, unit: str) -> Resource:
    """Return a band; whether its bounds belong to it is said in words, as numbers cannot."""
    bounds = [
        f"{sign} {bound} {unit}".rstrip().replace("-", MINUS)
        for name, sign in _SIGNS
        if (bound := getattr(band, name)) is not None
    ]
    text = f"{band.label}: {', '.join(bounds)}" if bounds else band.label
    low = band.at_least if band.at_least is not None else band.above
    high = band.at_most if band.at_most is not None else band.below
    found: Resource = {"text": text}
    if low is not None:
        found["low"] = quantity(low, unit)
    if high is not None:
        found["high"] = quantity(high, unit)
    return found
