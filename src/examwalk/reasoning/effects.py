"""The effects of rules on one feature: those that act, and those that might."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from attrs import frozen

from examwalk.protocol.model import (
    AMOUNT_VERBS,
    OPTION_VERBS,
    Effect,
    Feature,
    LookedUp,
    Protocol,
    Rule,
)
from examwalk.reasoning.case import Case
from examwalk.reasoning.conditions_met import SettledFeatures
from examwalk.reasoning.logic import ALWAYS, Verdict, conjunction, disjunction
from examwalk.reasoning.results import FeatureStatus, Truth
from examwalk.reasoning.settling import Acting
from examwalk.session.model import BOTH_FEET, Side

_VERBS = (*AMOUNT_VERBS, *OPTION_VERBS)

Found = tuple[Verdict, float]
"""A number that was looked up, or that it could still be, and whether it is that now."""


@frozen(eq=False)
class _Written:
    """An effect as it stands in its rule, with the one verb that it has."""

    rule: Rule
    effect: Effect
    verb: str
    value: Any


def effects_on(
    case: Case, feature: Feature, side: Side, settled: SettledFeatures, *, idle: bool = False
) -> tuple[Acting, ...]:
    """Return every effect that acts on a feature, or could once more is answered.

    An effect whose number is not known yet appears with its least and its greatest number.

    Args:
        case: the findings under their protocol.
        feature: what the effects act on.
        side: the foot, or the pair.
        settled: the features before this one.
        idle: also return those that cannot act with the answers that are in.
    """
    return tuple(
        acting
        for written in _effects_by_feature(case.protocol).get(feature.id, ())
        for acting in _acting(case, side, settled, written, idle)
    )


def _effects_by_feature(protocol: Protocol) -> Mapping[str, Sequence[_Written]]:
    """Return every effect on each feature, in the order of the rules."""
    known = protocol.noted.get("effects-by-feature")
    if isinstance(known, dict):
        return known
    found: dict[str, list[_Written]] = {}
    for rule in protocol.rules:
        for effect in rule.effects:
            verb = next(verb for verb in _VERBS if getattr(effect, verb) is not None)
            written = _Written(rule, effect, verb, getattr(effect, verb))
            found.setdefault(effect.feature, []).append(written)
    protocol.noted["effects-by-feature"] = found
    return found


def _acting(
    case: Case, side: Side, settled: SettledFeatures, written: _Written, idle: bool
) -> Iterator[Acting]:
    rule, effect, verb, value = written.rule, written.effect, written.verb, written.value
    verdict = _holds(case, rule, side, settled)
    if not idle and verdict.truth is Truth.FALSE and verdict.is_final:
        return
    if not isinstance(value, LookedUp):
        yield Acting(rule, effect, verdict, verb, value)
        return
    for found, number in _looked_up(case, value, side, settled):
        both = case.memory.one_of(conjunction((verdict, found)))
        yield Acting(rule, effect, both, verb, number)


def _holds(case: Case, rule: Rule, side: Side, settled: SettledFeatures) -> Verdict:
    if rule.when is None:
        return ALWAYS
    if side is Side.WHOLE:
        feet = (case.judged(rule.when, foot, settled) for foot in BOTH_FEET)
        return case.memory.one_of(disjunction(feet))
    return case.judged(rule.when, side, settled)


def _looked_up(
    case: Case, wanted: LookedUp, side: Side, settled: SettledFeatures
) -> Sequence[Found]:
    if wanted.feature is not None:
        return _from_feature(case.protocol.features_by_id[wanted.feature], side, settled)
    assert wanted.derived is not None
    value = case.number(wanted.derived, side)
    if value.interval is None:
        return ()
    if value.is_settled:
        return ((Verdict(Truth.TRUE, value.findings, (), value.through), value.interval.low),)
    verdict = Verdict(Truth.UNKNOWN, value.findings, value.missing, value.through)
    return tuple((verdict, bound) for bound in (value.interval.low, value.interval.high))


def _from_feature(feature: Feature, side: Side, settled: SettledFeatures) -> Sequence[Found]:
    result = settled.get((feature.id, side)) or settled[feature.id, Side.WHOLE]
    found = []
    if isinstance(result.value, int | float):
        verdict = Verdict(Truth.TRUE, result.findings, result.missing, result.through)
        found.append((verdict, result.value))
    if result.missing and feature.range is not None:
        truth = Truth.UNKNOWN if result.status is FeatureStatus.WAITING else Truth.FALSE
        other = Verdict(truth, result.findings, result.missing, result.through)
        found += [(other, bound) for bound in feature.range]
    return found
