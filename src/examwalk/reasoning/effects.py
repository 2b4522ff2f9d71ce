"""The effects of rules on one feature: those that act, and those that might."""

from collections.abc import Iterator, Sequence

from examwalk.protocol.model import (
    AMOUNT_VERBS,
    OPTION_VERBS,
    Effect,
    Feature,
    FeatureKind,
    LookedUp,
    Rule,
)
from examwalk.reasoning.case import Case, SettledFeatures
from examwalk.reasoning.logic import ALWAYS, Verdict, conjunction, disjunction
from examwalk.reasoning.results import FeatureStatus, Truth
from examwalk.reasoning.settling import Acting
from examwalk.session.model import BOTH_FEET, Side

Found = tuple[Verdict, float]
"""A number that was looked up, or that it could still be, and whether it is that now."""


def effects_on(
    case: Case, feature: Feature, side: Side, settled: SettledFeatures
) -> tuple[Acting, ...]:
    """Return every effect that acts on a feature, or could once more is answered.

    An effect whose number is not known yet appears with its least and its greatest number.
    """
    return tuple(
        acting
        for rule in case.protocol.rules
        for effect in rule.effects
        if effect.feature == feature.id
        for acting in _acting(case, feature, side, settled, rule, effect)
    )


def _acting(
    case: Case, feature: Feature, side: Side, settled: SettledFeatures, rule: Rule, effect: Effect
) -> Iterator[Acting]:
    verdict = _holds(case, rule, side, settled)
    if verdict.truth is Truth.FALSE and verdict.is_final:
        return
    verbs = AMOUNT_VERBS if feature.kind is FeatureKind.AMOUNT else OPTION_VERBS
    verb = next(verb for verb in verbs if getattr(effect, verb) is not None)
    value = getattr(effect, verb)
    if not isinstance(value, LookedUp):
        yield Acting(rule, effect, verdict, verb, value)
        return
    for found, number in _looked_up(case, value, side, settled):
        yield Acting(rule, effect, conjunction((verdict, found)), verb, number)


def _holds(case: Case, rule: Rule, side: Side, settled: SettledFeatures) -> Verdict:
    if rule.when is None:
        return ALWAYS
    if side is Side.WHOLE:
        return disjunction(case.verdict(rule.when, foot, settled) for foot in BOTH_FEET)
    return case.verdict(rule.when, side, settled)


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
