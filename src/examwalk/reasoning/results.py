"""What reasoning returns: immutable values that screens and reports only render."""

from enum import Enum

from attrs import frozen

from examwalk.language import later
from examwalk.protocol.caution_model import CheckSeverity
from examwalk.protocol.condition_model import DeviceEffect
from examwalk.protocol.feature_model import RuleClass
from examwalk.protocol.model import SourceMark
from examwalk.session.model import Place, Side

DerivedAt = tuple[str, Side]
"""The id of a derived value, and the side it was worked out for."""


class Truth(Enum):
    """Three-valued truth after Kleene: what is unknown is not false."""

    FALSE = "false"
    TRUE = "true"
    UNKNOWN = "unknown"

    # Each is one object: its identity is a hash, and a quicker one than that of its name.
    __hash__ = object.__hash__


@frozen
class DerivedResult:
    """A derived value on one side; while inputs are missing it is known only within bounds."""

    id: str
    title: str
    side: Side
    low: float | None
    """Nothing, as ``high``, while it is not known whether the value is indicated at all."""
    high: float | None
    unit: str
    decimals: int
    band: str
    """The label of the band the value lies in, or an empty text."""
    because: str
    """For points and lookups: the reasons given by the rows that counted."""
    inputs: tuple[Place, ...]
    """The findings it was computed from."""
    missing: tuple[Place, ...]
    basis: tuple[str, ...]
    internal: bool
    unit_one: str = ""
    """The unit beside the number 1, where it is another word."""

    @property
    def value(self) -> float | None:
        """The value, or nothing while it is not settled."""
        return self.low if self.low is not None and self.low == self.high else None


@frozen
class CrosscheckFired:
    """Findings that do not fit together."""

    id: str
    severity: CheckSeverity
    side: Side
    says: str
    why: str
    recheck: tuple[Place, ...]
    findings: tuple[Place, ...]
    """The findings that it questions."""
    basis: tuple[str, ...]
    review_only: bool


@frozen
class CautionRaised:
    """A caution that holds, or that cannot be excluded yet."""

    id: str
    title: str
    side: Side
    urgency: str
    """The urgency's id."""
    urgency_words: str
    device: DeviceEffect
    says: str
    refer_to: str
    findings: tuple[Place, ...]
    missing: tuple[Place, ...]
    """Empty where the caution is raised; else what must be answered to exclude it."""
    basis: tuple[str, ...]


@frozen
class TraceStep:
    """One rule at work on a feature, in the order in which it was applied."""

    rule: str
    class_: RuleClass | None
    did: str
    """In words: ``starts at 4 mm``, ``at most 2 mm``."""
    before: str
    after: str
    changed: bool
    because: str
    findings: tuple[Place, ...]
    basis: tuple[str, ...]
    through: tuple[DerivedAt, ...] = ()
    """The derived values that led from the findings to the rule."""


class FeatureStatus(Enum):
    """Whether a feature has a value."""

    RECOMMENDED = "recommended"
    WAITING = "waiting"
    """Safety questions, or what decides whether it applies, are not answered yet."""
    NOT_APPLICABLE = "not applicable"


STATUS_WORDS = {
    FeatureStatus.RECOMMENDED: later("recommended"),
    FeatureStatus.WAITING: later("waiting"),
    FeatureStatus.NOT_APPLICABLE: later("not applicable"),
}


@frozen
class FeatureResult:
    """One feature of one foot, or of the pair (side ``whole``), with all its reasons."""

    id: str
    title: str
    group: str
    side: Side
    status: FeatureStatus
    value: str | float | None
    """An amount in the feature's unit, or the id of an option."""
    unit: str
    words: str
    """The value as a person reads it, unit and direction included."""
    standing: SourceMark | None
    """The weakest basis among the rules that decided the value; none if it is the start value."""
    cut: float
    """How much upper bounds took off the value, in its unit."""
    trace: tuple[TraceStep, ...]
    findings: tuple[Place, ...]
    missing: tuple[Place, ...]
    """Unanswered tests of which some answer changes the value by itself; where none does, all that
    could change it together; while it waits, all that it waits for."""
    through: tuple[DerivedAt, ...] = ()
    """The derived values that led from the findings to the value."""


@frozen
class Collision:
    """Rules that cannot all be followed; where the class is the same the clinician decides."""

    feature: str
    title: str
    side: Side
    says: str
    """Both wishes with their reasons, as sentences."""
    stands: str
    """The value that stands for now, in words."""
    rules: tuple[str, ...]
    needs_decision: bool


@frozen
class MissingFinding:
    """An unanswered test and what its answer could still change."""

    place: Place
    reason: str
    """Why it was not done, or an empty text where it was not reached."""
    could_raise: tuple[str, ...]
    """Titles of cautions that are not excluded without it."""
    could_change: tuple[str, ...]
    """Titles of features whose value could change."""


@frozen
class AdviceGiven:
    """What to do beside the device."""

    id: str
    kind: str
    side: Side
    says: str
    findings: tuple[Place, ...]
    basis: tuple[str, ...]


@frozen
class Summary:
    """All that follows from the findings, under one protocol."""

    derived: tuple[DerivedResult, ...]
    crosschecks: tuple[CrosscheckFired, ...]
    """Worst first."""
    cautions: tuple[CautionRaised, ...]
    """Those that hold, most urgent first."""
    open_cautions: tuple[CautionRaised, ...]
    """Those that missing answers keep from being excluded, most urgent first."""
    features: tuple[FeatureResult, ...]
    """In file order; left before right."""
    collisions: tuple[Collision, ...]
    missing: tuple[MissingFinding, ...]
    """Most consequential first."""
    not_done: tuple[MissingFinding, ...]
    """Tests that were not done for a reason, with that reason."""
    advice: tuple[AdviceGiven, ...]

    def feature(self, feature_id: str, side: Side) -> FeatureResult:
        """Return the result for a feature on a side; a feature of the pair serves both."""
        return next(
            result
            for result in self.features
            if result.id == feature_id and result.side in (side, Side.WHOLE)
        )

    def derived_value(self, derived_id: str, side: Side) -> DerivedResult:
        """Return a derived value on a side; a whole-person value serves both."""
        return next(
            result
            for result in self.derived
            if result.id == derived_id and result.side in (side, Side.WHOLE)
        )
