"""Settling the features in the order of the file, each with its trace, side by side."""

from collections.abc import Mapping, Sequence

from attrs import evolve, frozen

from examwalk.language import later, say
from examwalk.protocol.model import (
    AcrossPair,
    Exclusion,
    Feature,
    FeatureKind,
    Protocol,
    SourceMark,
)
from examwalk.reasoning.case import Case, SettledFeatures, places_of, sides_of
from examwalk.reasoning.changing import could_change
from examwalk.reasoning.effects import effects_on
from examwalk.reasoning.logic import ALWAYS, NEVER, Verdict, conjunction, merged
from examwalk.reasoning.results import (
    STATUS_WORDS,
    Collision,
    FeatureResult,
    FeatureStatus,
    TraceStep,
    Truth,
)
from examwalk.reasoning.settling import (
    Acting,
    Clash,
    EffectKey,
    Value,
    clashes,
    effect_words,
    in_order,
    settle,
    snapped,
    upper_bounds_lifted,
    value_words,
)
from examwalk.session.model import BOTH_FEET, Side

Ordered = Mapping[tuple[str, Side], Value]
"""What the clinician has ordered, by feature and side."""
_NOTHING_ORDERED: Ordered = {}
Turned = Mapping[tuple[str, Side], frozenset[EffectKey]]
"""Effects on a feature and side that are supposed the other way round than they are."""
_NOTHING_TURNED: Turned = {}
_MATCHED = {
    Side.LEFT: later("matched to the left foot ({value})"),
    Side.RIGHT: later("matched to the right foot ({value})"),
}


@frozen
class Settled:
    """All features with their traces, and the collisions met on the way."""

    results: tuple[FeatureResult, ...]
    """What is recommended."""
    as_ordered: SettledFeatures
    """The same, with the values that the clinician ordered in their places."""
    collisions: tuple[Collision, ...]


def settle_features(
    case: Case, ordered: Ordered = _NOTHING_ORDERED, turned: Turned = _NOTHING_TURNED
) -> Settled:
    """Settle every feature of the protocol, in file order, left before right.

    A rule that looks at an earlier feature sees what was ordered for it, so that the rest of a
    device follows the clinician's decision; the recommendation itself stays as it was.

    Args:
        case: the findings under their protocol.
        ordered: what the clinician has ordered so far.
        turned: effects to suppose acting where they do not, and idle where they act.
    """
    settled: dict[tuple[str, Side], FeatureResult] = {}
    seen: dict[tuple[str, Side], FeatureResult] = {}
    collisions: list[Collision] = []
    for feature in case.protocol.features:
        sides = sides_of(feature.sides)
        for side in sides:
            result, found = _settled(case, feature, side, seen, turned.get((feature.id, side)))
            result, excluded = _without_excluded(case, feature, result, seen)
            settled[feature.id, side] = result
            collisions.extend((*found, *excluded))
        if feature.across_pair or feature.across_pair_within is not None:
            _match_across_pair(case.protocol, feature, settled)
        for key in ((feature.id, side) for side in sides):
            seen[key] = _as_ordered(feature, settled[key], ordered.get(key))
    return Settled(tuple(settled.values()), seen, tuple(collisions))


def _as_ordered(feature: Feature, result: FeatureResult, value: Value | None) -> FeatureResult:
    if value is None or value == result.value:
        return result
    return evolve(
        result,
        status=FeatureStatus.RECOMMENDED,
        value=value,
        words=value_words(feature, value),
        cut=0,
        missing=(),
    )


def _settled(
    case: Case,
    feature: Feature,
    side: Side,
    settled: SettledFeatures,
    turned: frozenset[EffectKey] | None,
) -> tuple[FeatureResult, tuple[Collision, ...]]:
    applies = _applies(case, feature, side, settled)
    if not applies.holds:
        waits = applies.is_unknown
        status = FeatureStatus.WAITING if waits else FeatureStatus.NOT_APPLICABLE
        return _without_value(feature, side, status, applies), ()
    acting = effects_on(case, feature, side, settled, idle=bool(turned))
    if turned:
        acting = tuple(_turned(one) if one.key in turned else one for one in acting)
    sure = in_order(feature, (one for one in acting if one.verdict.holds))
    value = settle(feature, sure)
    trace = _trace(feature, sure)
    found = tuple(_collision(feature, side, value, clash) for clash in clashes(feature, sure))
    result = FeatureResult(
        id=feature.id,
        title=feature.title,
        group=feature.group,
        side=side,
        status=FeatureStatus.RECOMMENDED,
        value=value,
        unit=feature.unit,
        words=value_words(feature, value),
        standing=_standing(case.protocol, feature, trace),
        cut=_cut(feature, sure, value),
        trace=trace,
        findings=merged(step.findings for step in trace),
        missing=merged((applies.missing, could_change(feature, acting))),
        through=merged(step.through for step in trace),
    )
    return result, found


def _turned(one: Acting) -> Acting:
    return evolve(one, verdict=NEVER if one.verdict.holds else ALWAYS)


def _applies(case: Case, feature: Feature, side: Side, settled: SettledFeatures) -> Verdict:
    needed = conjunction(
        Verdict(Truth.TRUE) if place in case.answers else Verdict(Truth.UNKNOWN, (), (place,))
        for name in feature.needs
        for place in places_of(case.protocol.tests_by_id[name])
        if place in case.places
    )
    wanted = (
        ALWAYS
        if feature.applies_when is None
        else case.verdict(feature.applies_when, side, settled)
    )
    return conjunction((wanted, needed))


def _without_value(
    feature: Feature,
    side: Side,
    status: FeatureStatus,
    applies: Verdict,
) -> FeatureResult:
    return FeatureResult(
        id=feature.id,
        title=feature.title,
        group=feature.group,
        side=side,
        status=status,
        value=None,
        unit=feature.unit,
        words=say(STATUS_WORDS[status]),
        standing=None,
        cut=0,
        trace=(),
        findings=applies.findings,
        missing=applies.missing,
    )


def _trace(feature: Feature, acting: Sequence[Acting]) -> tuple[TraceStep, ...]:
    steps = []
    before = settle(feature, ())
    for number, one in enumerate(acting, 1):
        after = settle(feature, acting[:number])
        steps.append(
            TraceStep(
                rule=one.rule.id,
                class_=one.rule.class_,
                did=effect_words(feature, one),
                before=value_words(feature, before),
                after=value_words(feature, after),
                changed=before != after,
                because=one.rule.because,
                findings=one.verdict.findings,
                basis=one.rule.basis,
                through=one.verdict.through,
            )
        )
        before = after
    return tuple(steps)


def _standing(protocol: Protocol, feature: Feature, trace: Sequence[TraceStep]) -> SourceMark:
    """Return the weakest basis among the rules that decided, else that of the start value."""
    deciding = [step.basis for step in trace if step.changed] or [feature.basis]
    marks = [protocol.sources[source].mark for basis in deciding for source in basis]
    return max(marks, key=lambda mark: mark.rank)


def _cut(feature: Feature, acting: Sequence[Acting], value: Value) -> float:
    if feature.kind is not FeatureKind.AMOUNT:
        return 0
    wanted = settle(feature, upper_bounds_lifted(acting))
    assert isinstance(wanted, float)
    assert isinstance(value, float)
    return max(0.0, wanted - value)


def _collision(feature: Feature, side: Side, value: Value, clash: Clash) -> Collision:
    wishes = "; ".join(
        f"{effect_words(feature, one)}: {one.rule.because.removesuffix('.')}"
        for one in clash.acting
    )
    return Collision(
        feature=feature.id,
        title=feature.title,
        side=side,
        says=f"{wishes}.",
        stands=value_words(feature, value),
        rules=tuple(one.rule.id for one in clash.acting),
        needs_decision=True,
    )


def _without_excluded(
    case: Case, feature: Feature, result: FeatureResult, settled: SettledFeatures
) -> tuple[FeatureResult, tuple[Collision, ...]]:
    """Set a feature back to its start where an earlier one excludes it on this foot."""
    for exclusion in case.protocol.exclusions:
        first, second = exclusion.features
        other = settled.get((first, result.side)) or settled.get((first, Side.WHOLE))
        if second != feature.id or other is None:
            continue
        is_used = result.value not in (None, feature.start)
        if is_used or result.missing:
            result = evolve(result, missing=merged((result.missing, other.missing)))
        if is_used and other.value not in (None, case.protocol.features_by_id[first].start):
            return _set_back(case.protocol, feature, result, other, exclusion)
    return result, ()


def _set_back(
    protocol: Protocol,
    feature: Feature,
    result: FeatureResult,
    other: FeatureResult,
    exclusion: Exclusion,
) -> tuple[FeatureResult, tuple[Collision, ...]]:
    start = feature.start if isinstance(feature.start, str) else float(feature.start)
    step = TraceStep(
        rule="",
        class_=None,
        did=say("gives way to {feature}: {value}", feature=other.title, value=other.words),
        before=result.words,
        after=value_words(feature, start),
        changed=True,
        because=exclusion.because,
        findings=other.findings,
        basis=exclusion.basis,
        through=other.through,
    )
    collision = Collision(
        feature=feature.id,
        title=feature.title,
        side=result.side,
        says=say(
            "{wanted} is wanted, but {feature} ({value}) excludes it: {because}",
            wanted=result.words,
            feature=other.title,
            value=other.words,
            because=exclusion.because,
        ),
        stands=step.after,
        rules=tuple(past.rule for past in (*other.trace, *result.trace) if past.changed),
        needs_decision=True,
    )
    trace = (*result.trace, step)
    changed = evolve(
        result,
        value=start,
        words=step.after,
        standing=_standing(protocol, feature, trace),
        trace=trace,
        findings=merged((result.findings, other.findings)),
        through=merged((result.through, other.through)),
    )
    return changed, (collision,)


def _match_across_pair(
    protocol: Protocol, feature: Feature, settled: dict[tuple[str, Side], FeatureResult]
) -> None:
    """Move one foot's value where the pair must match; the stated direction decides which."""
    pair = [settled[feature.id, side] for side in BOTH_FEET]
    missing = merged(result.missing for result in pair)
    values = [result.value for result in pair if result.value is not None]
    target = _pair_target(feature, values) if len(values) == len(pair) else None
    for result, other in (pair, pair[::-1]):
        matched = evolve(result, missing=missing)
        if target is not None and result.value is not None:
            wanted = _pulled(feature, result.value, target)
            if wanted != result.value:
                matched = _moved(protocol, feature, matched, other, wanted)
        settled[feature.id, result.side] = matched


def _moved(
    protocol: Protocol, feature: Feature, result: FeatureResult, other: FeatureResult, wanted: Value
) -> FeatureResult:
    words = value_words(feature, wanted)
    step = TraceStep(
        rule="",
        class_=None,
        did=say(_MATCHED[other.side], value=other.words),
        before=result.words,
        after=words,
        changed=True,
        because=say("Both feet of a pair must match in this feature."),
        findings=other.findings,
        basis=feature.basis,
        through=other.through,
    )
    trace = (*result.trace, step)
    marks = [_standing(protocol, feature, trace), other.standing or SourceMark.PUBLISHED]
    return evolve(
        result,
        value=wanted,
        words=words,
        standing=max(marks, key=lambda mark: mark.rank),
        trace=trace,
        findings=merged((result.findings, other.findings)),
        through=merged((result.through, other.through)),
    )


def _pair_target(feature: Feature, values: Sequence[Value]) -> Value:
    numbers = [value for value in values if isinstance(value, float)]
    if numbers:
        return min(numbers) if feature.across_pair is AcrossPair.LOWER else max(numbers)
    order = list(feature.options)
    ranked = sorted((str(value) for value in values), key=order.index)
    return ranked[0] if feature.across_pair is AcrossPair.FIRST else ranked[-1]


def _pulled(feature: Feature, value: Value, target: Value) -> Value:
    """Bring a value to the target, or to within the difference that the pair may have."""
    within = feature.across_pair_within
    if within is None or not isinstance(value, float) or not isinstance(target, float):
        return target
    if abs(target - value) <= within:
        return value
    nearest = target - within if target > value else target + within
    return snapped(feature, nearest, lambda step: abs(target - step) <= within)
