"""What a protocol file can say, as immutable classes.

Each class mirrors one table of the file and each field one key of that table; the docstrings
here are the reference for both. An attribute whose name is a Python keyword ends in an
underscore (``is_``); its key in the file does not.
"""

from collections.abc import Mapping
from enum import Enum
from functools import cached_property
from typing import Any

from attrs import Factory, field, frozen

from examwalk.drawing.figure import Figure, Outline
from examwalk.protocol.change_model import ImportantChange
from examwalk.protocol.chart_model import Chart
from examwalk.protocol.mark_model import Mark
from examwalk.protocol.norm_model import Norm
from examwalk.protocol.patient_model import PatientSection, WearingIn
from examwalk.protocol.reliability_model import Reliability
from examwalk.protocol.shell_model import Shell

Scalar = str | int | float | bool
Number = int | float


class _OneOfEach(Enum):
    """Each member is one object: its identity is a hash, and a quicker one than its name's."""

    __hash__ = object.__hash__


class Kind(Enum):
    """The kind of answer a test takes."""

    GRADE = "grade"
    MEASURE = "measure"
    CHOICE = "choice"
    TEXT = "text"


class Sides(Enum):
    """Whether something is judged on each side or once for the whole person."""

    EACH = "each"
    ONCE = "once"


class SideScope(_OneOfEach):
    """Which side a condition looks at, seen from the side that is being judged."""

    SAME = "same"
    OTHER = "other"
    EITHER = "either"
    BOTH = "both"
    DIFFERENCE = "difference"
    """The amount by which left and right differ, never negative."""
    EXCESS = "excess"
    """This side minus the other side."""


class DeviceEffect(_OneOfEach):
    """What a caution does to a device: stop it, change it, or leave it."""

    STOP = "stop"
    MODIFY = "modify"
    ALLOW = "allow"


class CheckSeverity(Enum):
    """How badly findings disagree, worst first."""

    IMPOSSIBLE = "impossible"
    UNLIKELY = "unlikely"
    LOOK_AGAIN = "look again"


class CheckStage(Enum):
    """When a cross-check speaks."""

    LIVE = "live"
    """As soon as its findings are in."""
    REVIEW = "review"
    """Once the exam is reviewed: it asks about what is still unanswered, or counts findings."""
    SUMMARY = "summary"
    """Once the features are settled, which it may ask about."""


class RuleClass(_OneOfEach):
    """What a rule protects, strongest first; a stronger class wins a collision."""

    SAFETY = "safety"
    TOLERANCE = "tolerance"
    FUNCTION = "function"
    PREFERENCE = "preference"

    @property
    def rank(self) -> int:
        """0 for the strongest class, 3 for the weakest."""
        return _RANKS[self]


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


class SourceMark(_OneOfEach):
    """How well a source is known: looked up, or recalled."""

    PUBLISHED = "published"
    FROM_MEMORY = "from memory"
    COMMON_PRACTICE = "common practice"
    CONVENTION = "convention of this protocol"

    @property
    def rank(self) -> int:
        """0 for the best known, 3 for the least."""
        return _RANKS[self]


_RANKS = {member: rank for kind in (RuleClass, SourceMark) for rank, member in enumerate(kind)}


def key_field(key: str, **options: Any) -> Any:
    """Make an attrs field whose key in the file differs from its name."""
    return field(metadata={"key": key}, **options)


@frozen(cache_hash=True)
class Condition:
    """A question about findings, answered true, false or unknown.

    Exactly one subject is given: ``test``, ``derived``, ``feature``, ``caution``,
    ``any_caution``, ``all``, ``any``, ``not`` or ``count``. The comparisons that stand beside it
    must all hold.
    """

    test: str | None = None
    derived: str | None = None
    feature: str | None = None
    caution: str | None = None
    any_caution: DeviceEffect | None = None
    """True when any caution with this effect on a device is raised."""
    all: tuple["Condition", ...] | None = None
    any: tuple["Condition", ...] | None = None
    not_: "Condition | None" = key_field("not", default=None)
    count: tuple["Condition", ...] | None = None
    """True when at least ``at_least`` of these conditions hold."""

    side: SideScope = SideScope.SAME
    is_: Scalar | None = key_field("is", default=None)
    is_not: Scalar | None = None
    one_of: tuple[Scalar, ...] | None = None
    at_least: Scalar | None = None
    at_most: Scalar | None = None
    above: Scalar | None = None
    below: Scalar | None = None
    includes: str | None = None
    """For a choice of several: this option is among those chosen."""
    includes_any: tuple[str, ...] | None = None
    is_this_side: bool | None = None
    """For a choice of ``left``, ``right`` and ``both``: it names the side being judged."""
    answered: bool | None = None
    """Whether the test has an answer; the only comparison that is never unknown."""
    cut_at_least: Number | None = None
    """For a feature: upper bounds took at least this much off its value."""


SUBJECTS = ("test", "derived", "feature", "caution", "any_caution", "all", "any", "not_", "count")
COMPARISONS = (
    "is_",
    "is_not",
    "one_of",
    "at_least",
    "at_most",
    "above",
    "below",
    "includes",
    "includes_any",
    "is_this_side",
    "answered",
    "cut_at_least",
)


@frozen
class Identity:
    """The ``[protocol]`` table: which protocol this is."""

    id: str
    title: str
    version: str
    language: str = "en"
    about: str = ""
    minutes: int | None = None
    """How long the exam takes in practised hands, in minutes."""
    disclaimer: str = ""
    """The sentence that every advising screen and page shows."""
    complaint: str | None = None
    """The id of the test that asks where it hurts: its answers stand at the top of the exam."""
    age: str | None = None
    """The id of the test that asks for the age in years; reference values are chosen by it."""
    sex: str | None = None
    """The id of the test that asks for the sex; reference values are chosen by it."""
    extends: str | None = None
    """The protocol whose tables are inherited: the name of a shipped one, or a path beside."""


@frozen
class Position:
    """How the patient is placed; tests are grouped by it, in the order of the file."""

    id: str
    title: str
    instruction: str = ""


@frozen
class Scale:
    """An ordered row of grades, lowest first; the first one has the score ``first_score``."""

    grades: tuple[str, ...]
    labels: Mapping[str, str] = Factory(dict)
    first_score: int = 1

    def label(self, grade: str) -> str:
        """The words for a grade: its own label, or its id with spaces for hyphens."""
        return self.labels.get(grade, grade.replace("-", " "))

    @property
    def all_labels(self) -> Mapping[str, str]:
        """The words for every grade."""
        return {grade: self.label(grade) for grade in self.grades}

    def score(self, grade: str) -> int:
        """The number of a grade on this scale."""
        return self.first_score + self.grades.index(grade)


@frozen
class Appearance:
    """What one grade looks or feels like."""

    looks: str
    figure: str | None = None
    """A drawing of it; without one, the figure named after the test and the grade."""
    for_patient: str = ""
    """What was found, in words for the patient; left out, the patient's page is silent on it."""


@frozen
class Option:
    """One of the answers of a choice."""

    label: str
    looks: str = ""
    figure: str | None = None
    """A drawing of it; without one, the figure named after the test and the option."""
    for_patient: str = ""
    """What was found, in words for the patient; left out, the patient's page is silent on it."""


@frozen
class Band:
    """A named stretch of numbers; the bounds that are left out are open."""

    label: str
    at_least: Number | None = None
    above: Number | None = None
    at_most: Number | None = None
    below: Number | None = None
    for_patient: str = ""
    """What was found, in words for the patient; left out, the patient's page is silent on it."""

    def holds(self, value: float) -> bool:
        """Say whether a number lies in this band."""
        return (
            (self.at_least is None or value >= self.at_least)
            and (self.above is None or value > self.above)
            and (self.at_most is None or value <= self.at_most)
            and (self.below is None or value < self.below)
        )


@frozen
class Test:
    """One thing to examine or ask."""

    __test__ = False

    id: str
    title: str
    position: str
    kind: Kind
    basis: tuple[str, ...]
    """Where the test and its grades come from: ids of sources."""
    sides: Sides = Sides.EACH
    short_title: str = ""
    why: str = ""
    how: tuple[str, ...] = ()
    mistakes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    reading: str = ""
    """How the answer is read, in a sentence or two."""
    figure: str | None = None
    """A drawing of how it is done; without one, the figure that has the test's id."""
    figure_side: str | None = None
    """For a test of the whole person: an earlier choice between ``left`` and ``right`` that says
    of which side it is drawn. While neither is chosen there, nothing is drawn."""
    safety: bool = False
    """A safety question: no device is advised before it is answered."""
    on_order: bool = False
    """The workshop must know the answer, such as how much room the shoe has."""
    ask_when: Condition | None = None

    scale: str | None = None
    grades: Mapping[str, Appearance] = Factory(dict)

    unit: str = ""
    unit_one: str = ""
    """The unit beside the number 1, where it is another word: ``week`` of ``weeks``."""
    step: Number = 1
    hard: tuple[Number, Number] | None = None
    """The smallest and the largest number that is accepted at all."""
    usual: tuple[Number, Number] | None = None
    """Numbers outside are asked about once."""
    bands: tuple[Band, ...] = ()

    option_set: str | None = None
    options: Mapping[str, Option] = Factory(dict)
    several: bool = False
    alone: tuple[str, ...] = ()
    """Options of a choice of several that exclude all others, such as ``none``."""

    reliability: tuple[Reliability, ...] = ()
    norms: tuple[Norm, ...] = ()
    """Reference values, each with its population; those of one person stand side by side."""
    important_change: ImportantChange | None = None
    """For a measure that says how the patient fares, such as pain."""

    @property
    def name(self) -> str:
        """The short title where there is one, else the title."""
        return self.short_title or self.title


@frozen
class Points:
    """Points that a derived value gains where a condition holds."""

    points: Number
    when: Condition
    because: str = ""


@frozen
class Row:
    """One row of a lookup: the first row whose condition holds gives the value."""

    value: Number
    when: Condition | None = None
    because: str = ""


@frozen
class Derived:
    """A number computed from findings by a named calculation."""

    id: str
    title: str
    calculation: str
    basis: tuple[str, ...]
    sides: Sides = Sides.EACH
    when: Condition | None = None
    """Worked out only where this holds."""
    inputs: tuple[str, ...] = ()
    """Ids of tests or of derived values that stand before this one."""
    conditions: Mapping[str, Condition] = Factory(dict)
    """Yes-or-no inputs by the name that the calculation gives them."""
    parameters: Mapping[str, Number] = Factory(dict)
    points: tuple[Points, ...] = ()
    rows: tuple[Row, ...] = ()
    unit: str = ""
    unit_one: str = ""
    """The unit beside the number 1, where it is another word: ``week`` of ``weeks``."""
    decimals: int = 0
    bands: tuple[Band, ...] = ()
    reliability: tuple[Reliability, ...] = ()
    norms: tuple[Norm, ...] = ()
    """Reference values, each with its population; those of one person stand side by side."""
    internal: bool = False
    """A step of the reasoning that is shown in explanations only, not among the results."""


@frozen
class Crosscheck:
    """Findings that do not fit together."""

    id: str
    severity: CheckSeverity
    when: Condition
    says: str
    recheck: tuple[str, ...]
    """Tests to look at again, the first one first."""
    basis: tuple[str, ...]
    sides: Sides = Sides.EACH
    stage: CheckStage = CheckStage.LIVE
    why: str = ""


@frozen
class Caution:
    """A finding that stops, changes or refers."""

    id: str
    title: str
    when: Condition
    urgency: str
    device: DeviceEffect
    says: str
    basis: tuple[str, ...]
    refer_to: str = ""
    sides: Sides = Sides.EACH
    for_patient: str = ""
    """What the patient must know, in words for the patient; left out, the title stands there."""


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


@frozen
class AssumedAgreement:
    """How well a repeated examination is taken to agree where nothing was published.

    The first table that fits a test's kind and position counts.
    """

    kind: Kind
    basis: tuple[str, ...]
    except_in: tuple[str, ...] = ()
    """Positions in which answers are taken to come out the same, such as the interview."""
    weighted_kappa: Number | None = None
    """For grades and choices, with linear weights."""
    error_in_steps: Number | None = None
    """For measures: the standard error of measurement, in steps of the test."""


@frozen
class Source:
    """Where statements come from."""

    cite: str
    mark: SourceMark = SourceMark.PUBLISHED
    identifier: str = ""
    """A DOI, PMID, PMC number or guideline number, where known."""
    note: str = ""


@frozen
class Protocol:
    """A whole protocol, read from one file or from a folder of files."""

    identity: Identity = key_field("protocol")
    positions: tuple[Position, ...] = key_field("position")
    tests: tuple[Test, ...] = key_field("test")
    scales: Mapping[str, Scale] = Factory(dict)
    option_sets: Mapping[str, Mapping[str, Option]] = Factory(dict)
    not_done_reasons: Mapping[str, str] = Factory(dict)
    urgencies: Mapping[str, str] = Factory(dict)
    """Words for each urgency, the most urgent first."""
    derived: tuple[Derived, ...] = ()
    crosschecks: tuple[Crosscheck, ...] = key_field("crosscheck", default=())
    cautions: tuple[Caution, ...] = key_field("caution", default=())
    features: tuple[Feature, ...] = key_field("feature", default=())
    rules: tuple[Rule, ...] = key_field("rule", default=())
    exclusions: tuple[Exclusion, ...] = key_field("exclusion", default=())
    advice: tuple[Advice, ...] = ()
    assumed_agreement: Mapping[str, AssumedAgreement] = Factory(dict)
    """Agreement that is assumed where nothing was published, by ids of your own."""
    shells: tuple[Shell, ...] = key_field("shell", default=())
    charts: tuple[Chart, ...] = key_field("chart", default=())
    sources: Mapping[str, Source] = Factory(dict)
    outlines: Mapping[str, Outline] = Factory(dict)
    """What figures share: a foot, a leg, a hand."""
    figures: Mapping[str, Figure] = Factory(dict)

    @cached_property
    def noted(self) -> dict[str, object]:
        """What is worked out about this protocol once and kept as long as the protocol is."""
        return {}

    @cached_property
    def tests_by_id(self) -> Mapping[str, Test]:
        """The tests by their ids."""
        return {test.id: test for test in self.tests}

    @cached_property
    def derived_by_id(self) -> Mapping[str, Derived]:
        """The derived values by their ids."""
        return {derived.id: derived for derived in self.derived}

    @cached_property
    def features_by_id(self) -> Mapping[str, Feature]:
        """The features by their ids."""
        return {feature.id: feature for feature in self.features}

    @cached_property
    def cautions_by_id(self) -> Mapping[str, Caution]:
        """The cautions by their ids."""
        return {caution.id: caution for caution in self.cautions}

    @cached_property
    def tests_in_order(self) -> tuple[Test, ...]:
        """The tests in the order of the exam: by position, then as the file lists them."""
        rank = {position.id: number for number, position in enumerate(self.positions)}
        return tuple(sorted(self.tests, key=lambda test: rank[test.position]))

    def position(self, position_id: str) -> Position:
        """Return the position with this id."""
        return next(position for position in self.positions if position.id == position_id)

    def scale_of(self, test: Test) -> Scale:
        """Return the scale of a graded test."""
        assert test.scale is not None, f"{test.id} is not graded"
        return self.scales[test.scale]

    def options_of(self, test: Test) -> Mapping[str, Option]:
        """Return the options of a choice: its own, or those of the set it names."""
        return self.option_sets[test.option_set] if test.option_set else test.options
