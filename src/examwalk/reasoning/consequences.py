"""What comes out otherwise in one case than in another, and how much that weighs."""

from collections.abc import Iterable

from attrs import frozen

from examwalk.protocol.condition_model import DeviceEffect
from examwalk.protocol.model import Protocol
from examwalk.reasoning.results import FeatureResult, FeatureStatus, Truth
from examwalk.reasoning.settling import Value
from examwalk.reasoning.values import Values
from examwalk.session.model import Side

LEAST_WEIGHT = 0.25
"""What the smallest change of an amount weighs; a change over the whole range weighs 1."""


@frozen
class FeatureShift:
    """One feature that comes to another value."""

    id: str
    title: str
    side: Side
    before: str
    """The value in words."""
    after: str
    value_before: Value | None
    """Nothing where it has no value."""
    value_after: Value | None
    weight: float
    """1 for another option, or for a value that comes or goes; else the share of the range."""


@frozen
class CautionShift:
    """One caution that is raised, taken away, excluded, or no longer excluded."""

    id: str
    title: str
    side: Side
    device: DeviceEffect
    refers: bool
    """Whether it sends the patient to someone."""
    urgency_words: str
    before: Truth
    after: Truth

    @property
    def is_raised(self) -> bool:
        """Whether it holds now and did not before."""
        return self.after is Truth.TRUE

    @property
    def is_taken_away(self) -> bool:
        """Whether it held before and does not now."""
        return self.before is Truth.TRUE

    @property
    def is_excluded(self) -> bool:
        """Whether it was open before and is excluded now."""
        return self.before is Truth.UNKNOWN and self.after is Truth.FALSE


@frozen
class Consequences:
    """All that comes out otherwise."""

    features: tuple[FeatureShift, ...] = ()
    """In file order."""
    cautions: tuple[CautionShift, ...] = ()
    """In file order."""

    @property
    def is_nothing(self) -> bool:
        """Whether all comes out the same."""
        return not self.features and not self.cautions


@frozen(order=True)
class Rank:
    """How grave consequences are: compared field by field, the gravest first.

    Cautions that stop a device come before those that refer, these before other cautions, and
    all of them before any change of a feature: a missed referral harms more than a millimetre.
    That order, and what a feature weighs, are conventions of this program.
    """

    stops: int
    """These and the next are counted below 0, so that more come first."""
    referrals: int
    cautions: int
    weight: int
    """Of all features together, rounded to whole ones: smaller differences do not count."""


def consequences(protocol: Protocol, before: Values, after: Values) -> Consequences:
    """Return what comes out otherwise after than before."""
    return Consequences(
        tuple(
            _feature_change(protocol, was, after.features[at])
            for at, was in before.features.items()
            if was is not after.features[at] and _differs(was, after.features[at])
        ),
        tuple(
            _caution_change(protocol, at, was, after.cautions[at])
            for at, was in before.cautions.items()
            if was is not after.cautions[at]
        ),
    )


def rank_of(found: Iterable[Consequences]) -> Rank:
    """Rank what may come out otherwise, each feature and each caution once, by its gravest."""
    cautions: dict[tuple[str, Side], CautionShift] = {}
    weights: dict[tuple[str, Side], float] = {}
    for one in found:
        for caution in one.cautions:
            cautions.setdefault((caution.id, caution.side), caution)
        for feature in one.features:
            at = (feature.id, feature.side)
            weights[at] = max(feature.weight, weights.get(at, 0))
    stops = sum(one.device is DeviceEffect.STOP for one in cautions.values())
    referrals = sum(one.refers for one in cautions.values() if one.device is not DeviceEffect.STOP)
    others = len(cautions) - stops - referrals
    return Rank(-stops, -referrals, -others, -round(sum(weights.values())))


def _differs(was: FeatureResult, now: FeatureResult) -> bool:
    """Say whether value or status differ; what was cut off is no consequence by itself."""
    return (was.status, was.value) != (now.status, now.value)


def _feature_change(protocol: Protocol, was: FeatureResult, now: FeatureResult) -> FeatureShift:
    return FeatureShift(
        id=was.id,
        title=was.title,
        side=was.side,
        before=was.words,
        after=now.words,
        value_before=was.value,
        value_after=now.value,
        weight=_weight(protocol, was, now),
    )


def _weight(protocol: Protocol, was: FeatureResult, now: FeatureResult) -> float:
    both = (was.status, now.status) == (FeatureStatus.RECOMMENDED, FeatureStatus.RECOMMENDED)
    reach = protocol.features_by_id[was.id].range
    if not both or reach is None or isinstance(was.value, str) or isinstance(now.value, str):
        return 1
    low, high = reach
    return max(LEAST_WEIGHT, abs((now.value or 0) - (was.value or 0)) / (high - low))


def _caution_change(
    protocol: Protocol, at: tuple[str, Side], was: Truth, now: Truth
) -> CautionShift:
    caution = protocol.cautions_by_id[at[0]]
    return CautionShift(
        id=caution.id,
        title=caution.title,
        side=at[1],
        device=caution.device,
        refers=bool(caution.refer_to),
        urgency_words=protocol.urgencies[caution.urgency],
        before=was,
        after=now,
    )
