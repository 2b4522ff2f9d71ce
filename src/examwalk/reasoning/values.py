"""What comes out for a case, without the reasons: quick enough to ask of thousands of cases.

The values are those of ``settle_features`` and the cautions those of the case. After a change
only what looks at the changed findings is worked out anew.
"""

from collections.abc import Iterable, Mapping

from attrs import frozen

from examwalk.protocol.feature_model import Feature
from examwalk.protocol.model import Protocol
from examwalk.reasoning.case import Case
from examwalk.reasoning.conditions_met import SettledFeatures
from examwalk.reasoning.effects import effects_on
from examwalk.reasoning.features import (
    NOTHING_ORDERED,
    Ordered,
    applies_on,
    cut_of,
    excluding,
    result_without_reasons,
)
from examwalk.reasoning.memory import Memory, memory_of
from examwalk.reasoning.pairing import pulled, target_of_pair
from examwalk.reasoning.places import FeatureAt, sides_of
from examwalk.reasoning.results import FeatureResult, FeatureStatus, Truth
from examwalk.reasoning.settling import Acting, Value, in_order, settle
from examwalk.session.model import BOTH_FEET, Place, Side

CautionAt = tuple[str, Side]
"""The id of a caution, and the side it is judged on."""


@frozen(eq=False)
class Values:
    """What comes out for a case."""

    features: Mapping[FeatureAt, FeatureResult]
    """What is recommended, in file order; without trace, findings, standing and missing."""
    as_ordered: SettledFeatures
    """The same, with the values that the clinician ordered in their places."""
    cautions: Mapping[CautionAt, Truth]
    """Whether each caution holds, in file order."""


@frozen(eq=False)
class Touched:
    """What looks at some places: everything else stays as it is when they change."""

    features: frozenset[str]
    """The ids of features; what looks at them in turn is not among these."""
    cautions: frozenset[CautionAt]

    @property
    def is_nothing(self) -> bool:
        """Whether no feature and no caution looks at any of the places."""
        return not self.features and not self.cautions


def values_of(case: Case, ordered: Ordered = NOTHING_ORDERED) -> Values:
    """Work out all that comes out for a case.

    Args:
        case: the findings under their protocol.
        ordered: what the clinician has ordered; later features follow it.
    """
    cautions = {
        (caution.id, side): Truth.UNKNOWN
        for caution in case.protocol.cautions
        for side in sides_of(caution.sides)
    }
    every_feature = frozenset(feature.id for feature in case.protocol.features)
    everything = Touched(every_feature, frozenset(cautions))
    return _worked_out(case, ordered, Values({}, {}, cautions), everything)


def values_after(
    before: Values, case: Case, places: Iterable[Place], ordered: Ordered = NOTHING_ORDERED
) -> Values:
    """Work out what comes out once some findings have changed; the same as ``values_of``.

    Args:
        before: what came out before, under the same protocol and with the same orders.
        case: the findings as they are now.
        places: every place whose answer is another one now.
        ordered: what the clinician has ordered.
    """
    touched = [touched_by(case.protocol, place) for place in places]
    together = Touched(
        frozenset().union(*(one.features for one in touched)),
        frozenset().union(*(one.cautions for one in touched)),
    )
    return _worked_out(case, ordered, before, together)


def touched_by(protocol: Protocol, place: Place) -> Touched:
    """Return what looks at a place."""
    known = protocol.noted.get("touched")
    if not isinstance(known, dict):
        known = protocol.noted["touched"] = _touched(protocol)
    found: Touched = known.get(place, _NOTHING)
    return found


def reached_from(protocol: Protocol, place: Place) -> frozenset[str | CautionAt]:
    """Return the features and cautions that a place can change, through other features too."""
    touched = touched_by(protocol, place)
    reached: set[str | CautionAt] = {*touched.features, *touched.cautions}
    dependence = memory_of(protocol).dependence
    for feature in protocol.features:  # in file order: a rule only looks back
        reads = dependence.of_whole_feature(feature).features
        if any(name in reached for name, _ in reads):
            reached.add(feature.id)
    return frozenset(reached)


_NOTHING = Touched(frozenset(), frozenset())


def _touched(protocol: Protocol) -> dict[Place, Touched]:
    dependence = memory_of(protocol).dependence
    features: dict[Place, set[str]] = {}
    cautions: dict[Place, set[CautionAt]] = {}
    for feature in protocol.features:
        for place in dependence.of_whole_feature(feature).places:
            features.setdefault(place, set()).add(feature.id)
    for caution in protocol.cautions:
        for side in sides_of(caution.sides):
            for place in dependence.of_caution(caution, side).places:
                cautions.setdefault(place, set()).add((caution.id, side))
    return {
        place: Touched(frozenset(features.get(place, ())), frozenset(cautions.get(place, ())))
        for place in features.keys() | cautions.keys()
    }


def _worked_out(case: Case, ordered: Ordered, before: Values, touched: Touched) -> Values:
    features = dict(before.features)
    seen = dict(before.as_ordered)
    changed: set[FeatureAt] = set()
    for feature in case.protocol.features:
        hangs_on = case.memory.dependence.of_whole_feature(feature).features
        if feature.id not in touched.features and hangs_on.isdisjoint(changed):
            continue
        for result in _settled(case, feature, seen):
            at = (result.id, result.side)
            features[at] = result
            now = _as_ordered(case.memory, feature, result, ordered.get(at))
            if seen.get(at) is not now:
                seen[at] = now
                changed.add(at)
    cautions = dict(before.cautions)
    for name, side in touched.cautions:
        caution = case.protocol.cautions_by_id[name]
        cautions[name, side] = case.caution(caution, side).truth
    return Values(features, seen, cautions)


def _settled(case: Case, feature: Feature, seen: SettledFeatures) -> tuple[FeatureResult, ...]:
    results = tuple(_on_side(case, feature, side, seen) for side in sides_of(feature.sides))
    if not feature.across_pair and feature.across_pair_within is None:
        return results
    values = [result.value for result in results if result.value is not None]
    if len(values) < len(BOTH_FEET):
        return results
    target = target_of_pair(feature, values)
    return tuple(
        _bare(case.memory, feature, one.side, pulled(feature, value, target), one.cut)
        for one, value in zip(results, values, strict=True)
    )


def _on_side(case: Case, feature: Feature, side: Side, seen: SettledFeatures) -> FeatureResult:
    applies = applies_on(case, feature, side, seen)
    if not applies.holds:
        waits = applies.is_unknown
        status = FeatureStatus.WAITING if waits else FeatureStatus.NOT_APPLICABLE
        return _bare(case.memory, feature, side, None, 0, status)
    sure = tuple([one for one in effects_on(case, feature, side, seen) if one.verdict.holds])
    key = ("value", feature.id, *map(id, sure))

    def work(*sure: Acting) -> tuple[Value, float]:
        acting = in_order(feature, sure)
        value = settle(feature, acting)
        return value, cut_of(feature, acting, value)

    value, cut = case.memory.kept(key, sure, work)
    if value != feature.start:
        for other, _ in excluding(case.protocol, feature, side, seen):
            if other.value not in (None, case.protocol.features_by_id[other.id].start):
                start = feature.start
                value = start if isinstance(start, str) else float(start)
                break
    return _bare(case.memory, feature, side, value, cut)


def _bare(
    memory: Memory,
    feature: Feature,
    side: Side,
    value: Value | None,
    cut: float,
    status: FeatureStatus = FeatureStatus.RECOMMENDED,
) -> FeatureResult:
    """Make a result without its reasons, the same object for the same value."""
    key = ("bare", feature.id, side, value, cut, status)
    return memory.kept(key, (), lambda: result_without_reasons(feature, side, value, cut, status))


def _as_ordered(
    memory: Memory, feature: Feature, result: FeatureResult, value: Value | None
) -> FeatureResult:
    if value is None or value == result.value:
        return result
    return _bare(memory, feature, result.side, value, 0)
