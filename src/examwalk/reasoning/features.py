"""Settling the features in the order of the file, each with its trace, side by side."""

from collections.abc import Mapping, Sequence

from attrs import evolve, frozen

from examwalk.language import say
from examwalk.protocol.feature_model import Exclusion, Feature, FeatureKind
from examwalk.protocol.model import Protocol
from examwalk.reasoning.case import Case
from examwalk.reasoning.changing import could_change
from examwalk.reasoning.conditions_met import SettledFeatures
from examwalk.reasoning.effects import effects_on
from examwalk.reasoning.logic import ALWAYS, NEVER, Verdict, conjunction, merged
from examwalk.reasoning.pairing import matched
from examwalk.reasoning.places import sides_of
from examwalk.reasoning.results import (
    STATUS_WORDS,
    Collision,
    FeatureResult,
    FeatureStatus,
    TraceStep,
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
    upper_bounds_lifted,
    value_words,
)
from examwalk.reasoning.tracing import standing_of, trace_of
from examwalk.session.model import BOTH_FEET, Place, Side

Ordered = Mapping[tuple[str, Side], Value]
"""What the clinician has ordered, by feature and side."""
NOTHING_ORDERED: Ordered = {}
Turned = Mapping[tuple[str, Side], frozenset[EffectKey]]
"""Effects on a feature and side that are supposed the other way round than they are."""
_NOTHING_TURNED: Turned = {}
Outcome = tuple[FeatureResult, tuple[Collision, ...]]


@frozen
class Settled:
    """All features with their traces, and the collisions met on the way."""

    results: tuple[FeatureResult, ...]
    """What is recommended."""
    as_ordered: SettledFeatures
    """The same, with the values that the clinician ordered in their places."""
    collisions: tuple[Collision, ...]


def settle_features(
    case: Case, ordered: Ordered = NOTHING_ORDERED, turned: Turned = _NOTHING_TURNED
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
            supposed = turned.get((feature.id, side), frozenset())
            result, found = _settled(case, feature, side, seen, supposed)
            settled[feature.id, side] = result
            collisions.extend(found)
        if feature.across_pair or feature.across_pair_within is not None:
            _match_across_pair(case, feature, settled)
        for key in ((feature.id, side) for side in sides):
            seen[key] = _as_ordered(case, feature, settled[key], ordered.get(key))
    return Settled(tuple(settled.values()), seen, tuple(collisions))


def _as_ordered(
    case: Case, feature: Feature, result: FeatureResult, value: Value | None
) -> FeatureResult:
    if value is None or value == result.value:
        return result

    def work(result: FeatureResult) -> FeatureResult:
        return evolve(
            result,
            status=FeatureStatus.RECOMMENDED,
            value=value,
            words=value_words(feature, value),
            cut=0,
            missing=(),
        )

    return case.memory.kept(("ordered", id(result), value), (result,), work)


def _settled(
    case: Case,
    feature: Feature,
    side: Side,
    settled: SettledFeatures,
    turned: frozenset[EffectKey],
) -> Outcome:
    """Settle a feature, unless the same effects acted on it before."""
    applies = applies_on(case, feature, side, settled)
    if not applies.holds:
        inputs = (feature, side, applies)
        at = ("without-value", feature.id, side, id(applies))
        return case.memory.kept(at, inputs, _without_value), ()
    acting = effects_on(case, feature, side, settled, idle=bool(turned))
    if turned:
        acting = tuple(_turned(one) if one.key in turned else one for one in acting)
    others = excluding(case.protocol, feature, side, settled)
    grounds = (*acting, *[other for other, _ in others])
    key = ("settled", feature.id, side, applies.missing, *map(id, grounds))

    def work(*_: object) -> Outcome:
        result, found = _from_effects(case, feature, side, applies.missing, acting)
        result, excluded = _without_excluded(case.protocol, feature, result, others)
        return result, (*found, *excluded)

    return case.memory.kept(key, grounds, work)


def _from_effects(
    case: Case, feature: Feature, side: Side, missing: tuple[Place, ...], acting: Sequence[Acting]
) -> Outcome:
    sure = in_order(feature, (one for one in acting if one.verdict.holds))
    values = [settle(feature, sure[:number]) for number in range(len(sure) + 1)]
    value = values[-1]
    trace = trace_of(feature, sure, values)
    found = tuple(_collision(feature, side, value, clash) for clash in clashes(feature, sure))
    result = evolve(
        result_without_reasons(feature, side, value, cut_of(feature, sure, value)),
        standing=standing_of(case.protocol, feature, trace),
        trace=trace,
        findings=merged(step.findings for step in trace),
        missing=merged((missing, could_change(feature, acting))),
        through=merged(step.through for step in trace),
    )
    return result, found


def _turned(one: Acting) -> Acting:
    return evolve(one, verdict=NEVER if one.verdict.holds else ALWAYS)


def applies_on(case: Case, feature: Feature, side: Side, settled: SettledFeatures) -> Verdict:
    """Say whether a feature has a value at all on a side: it applies, and what it needs is in.

    Where it surely applies the findings that say so are not named.
    """
    needed = case.needs_answered(feature.needs)
    applies_when = feature.applies_when
    if applies_when is None or case.certainty(applies_when, side, settled):
        return needed
    both = (case.verdict(applies_when, side, settled), needed)
    return case.memory.shared(("both", *map(id, both)), both, lambda *both: conjunction(both))


def _without_value(feature: Feature, side: Side, applies: Verdict) -> FeatureResult:
    waits = applies.is_unknown
    status = FeatureStatus.WAITING if waits else FeatureStatus.NOT_APPLICABLE
    result = result_without_reasons(feature, side, None, 0, status)
    return evolve(result, findings=applies.findings, missing=applies.missing)


def result_without_reasons(
    feature: Feature,
    side: Side,
    value: Value | None,
    cut: float,
    status: FeatureStatus = FeatureStatus.RECOMMENDED,
) -> FeatureResult:
    """Make the result of a feature before anything is said of how it came about."""
    return FeatureResult(
        id=feature.id,
        title=feature.title,
        group=feature.group,
        side=side,
        status=status,
        value=value,
        unit=feature.unit,
        words=say(STATUS_WORDS[status]) if value is None else value_words(feature, value),
        standing=None,
        cut=cut,
        trace=(),
        findings=(),
        missing=(),
    )


def cut_of(feature: Feature, acting: Sequence[Acting], value: Value) -> float:
    """Return how much upper bounds took off a value."""
    unbounded = upper_bounds_lifted(acting)
    if feature.kind is not FeatureKind.AMOUNT or len(unbounded) == len(acting):
        return 0
    wanted = settle(feature, unbounded)
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


def excluding(
    protocol: Protocol, feature: Feature, side: Side, settled: SettledFeatures
) -> tuple[tuple[FeatureResult, Exclusion], ...]:
    """Return the earlier features that may exclude this one on this foot."""
    found = []
    for exclusion in protocol.exclusions:
        first, second = exclusion.features
        other = settled.get((first, side)) or settled.get((first, Side.WHOLE))
        if second == feature.id and other is not None:
            found.append((other, exclusion))
    return tuple(found)


def _without_excluded(
    protocol: Protocol,
    feature: Feature,
    result: FeatureResult,
    others: Sequence[tuple[FeatureResult, Exclusion]],
) -> Outcome:
    """Set a feature back to its start where an earlier one excludes it on this foot."""
    for other, exclusion in others:
        is_used = result.value not in (None, feature.start)
        if is_used or result.missing:
            result = evolve(result, missing=merged((result.missing, other.missing)))
        if is_used and other.value not in (None, protocol.features_by_id[other.id].start):
            return _set_back(protocol, feature, result, other, exclusion)
    return result, ()


def _set_back(
    protocol: Protocol,
    feature: Feature,
    result: FeatureResult,
    other: FeatureResult,
    exclusion: Exclusion,
) -> Outcome:
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
    trace = (*result.trace, step)
    changed = evolve(
        result,
        value=start,
        words=step.after,
        standing=standing_of(protocol, feature, trace),
        trace=trace,
        findings=merged((result.findings, other.findings)),
        through=merged((result.through, other.through)),
    )
    return changed, (_collision_with(other, result, exclusion, stands=step.after),)


def _collision_with(
    other: FeatureResult, result: FeatureResult, exclusion: Exclusion, stands: str
) -> Collision:
    return Collision(
        feature=result.id,
        title=result.title,
        side=result.side,
        says=say(
            "{wanted} is wanted, but {feature} ({value}) excludes it: {because}",
            wanted=result.words,
            feature=other.title,
            value=other.words,
            because=exclusion.because,
        ),
        stands=stands,
        rules=tuple(past.rule for past in (*other.trace, *result.trace) if past.changed),
        needs_decision=True,
    )


def _match_across_pair(
    case: Case, feature: Feature, settled: dict[tuple[str, Side], FeatureResult]
) -> None:
    """Move one foot's value where the pair must match; the stated direction decides which."""
    pair = tuple(settled[feature.id, side] for side in BOTH_FEET)
    key = ("pair", feature.id, *map(id, pair))
    for one in case.memory.kept(key, pair, lambda *pair: matched(case.protocol, feature, pair)):
        settled[feature.id, one.side] = one
