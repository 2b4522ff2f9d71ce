"""What a protocol file recommends: features of the device, the rules that settle them, advice.

The classes are like those of ``model``.
"""

from collections.abc import Mapping
from enum import Enum

from attrs import Factory, frozen

from examwalk.protocol.condition_model import Condition
from examwalk.protocol.key_types import Number, Ranked, Scalar, Sides, key_field
from examwalk.protocol.mark_model import Mark
from examwalk.protocol.patient_model import PatientSection, WearingIn


class FeatureKind(Enum):
    """A feature is an amount (millimetres, degrees, weeks) or one of several options."""

    AMOUNT = "amount"
    OPTION = "option"


class AcrossPair(Enum):
    """How left and right of one feature are made to match."""

    HIGHER = "higher"
    LOWER = "lower"
    FIRST = "first"
    """The option that is listed first."""
    LAST = "last"
    """The option that is listed last."""


@frozen
class FeatureOption:
    """One of the options of a feature."""

    label: str
    note: str = ""
    for_patient: str | None = None
    """What it does, in words for the patient; left out, what the feature says or else the label.
    An empty text keeps it off the patient's page."""
    wearing_in: WearingIn | None = None
    """How long the device is worn on each of the first days."""


@frozen
class Feature:
    """One element of the orthosis or of what goes with it.

    Options are listed from the most cautious to the least; ``cautious`` says which direction
    of an amount is the careful one.
    """

    id: str
    title: str
    kind: FeatureKind
    basis: tuple[str, ...]
    """Where the start value, the range and the options come from."""
    sides: Sides = Sides.EACH
    """``each`` foot, or ``once`` for the pair."""
    group: str = ""
    about: str = ""
    unit: str = ""
    unit_one: str = ""
    """The unit beside the number 1, where it is another word: ``week`` of ``weeks``."""
    range: tuple[Number, Number] | None = None
    step: Number = 1
    start: Scalar = 0
    cautious: str = "low"
    """``low`` or ``high``."""
    zero: str = "none"
    """The words for the amount 0."""
    positive: str = ""
    """The word added to amounts above 0, for example ``varus (medial)``."""
    negative: str = ""
    options: Mapping[str, FeatureOption] = Factory(dict)
    across_pair: AcrossPair | None = None
    across_pair_within: Number | None = None
    """Left and right may differ by this much; where they differ more the other is moved."""
    marks: tuple[Mark, ...] = ()
    """Where it goes on the foot, as the order draws it."""
    applies_when: Condition | None = None
    needs: tuple[str, ...] = ()
    """Tests that must be answered before a value is given at all."""
    for_patient: str | None = None
    """What it does, in words for the patient, said of any amount but 0; left out, the title and
    the value. An empty text keeps it off the patient's page."""


class RuleClass(Ranked):
    """What a rule protects, strongest first; a stronger class wins a collision."""

    SAFETY = "safety"
    TOLERANCE = "tolerance"
    FUNCTION = "function"
    PREFERENCE = "preference"


@frozen
class LookedUp:
    """A number of an effect that is taken from a derived value or from an earlier feature."""

    derived: str | None = None
    feature: str | None = None


Amount = Scalar | LookedUp


@frozen
class Effect:
    """What a rule does to one feature; amounts and options have verbs of their own."""

    feature: str
    start: Amount | None = None
    add: Amount | None = None
    at_least: Amount | None = None
    at_most: Amount | None = None
    prefer: str | None = None
    require: str | None = None
    rule_out: tuple[str, ...] | None = None


AMOUNT_VERBS = ("start", "add", "at_least", "at_most")
OPTION_VERBS = ("prefer", "require", "rule_out")


@frozen
class Rule:
    """Findings and what follows from them for one or more features.

    A rule on a feature of each foot is judged for each foot; a rule on a feature of the pair
    holds when it holds for either foot.
    """

    id: str
    effects: tuple[Effect, ...]
    because: str
    basis: tuple[str, ...]
    class_: RuleClass = key_field("class", default=RuleClass.FUNCTION)
    when: Condition | None = None


@frozen
class Exclusion:
    """Two features that must not both be used on one foot; the later one gives way."""

    features: tuple[str, str]
    because: str
    basis: tuple[str, ...]


@frozen
class Advice:
    """What to do beside the device."""

    id: str
    kind: str
    says: str
    basis: tuple[str, ...]
    when: Condition | None = None
    sides: Sides = Sides.ONCE
    on_order: bool = False
    """The workshop must know it, such as the shoe that a device needs."""
    for_patient: str | None = None
    """The advice in words for the patient; left out, its kind is named to ask the clinician about.
    An empty text keeps it off the patient's page."""
    patient_section: PatientSection = PatientSection.MORE
