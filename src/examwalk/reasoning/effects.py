"""The effects of rules on one feature: those that act, and those that might."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from attrs import frozen

from examwalk.protocol.feature_model import (
    AMOUNT_VERBS,
    OPTION_VERBS,
    Effect,
    Feature,
    LookedUp,
    Rule,
)
from examwalk.protocol.model import Protocol
from examwalk.reasoning.case import Case
from examwalk.reasoning.conditions_met import SettledFeatures
from examwalk.reasoning.logic import Verdict, conjunction
from examwalk.reasoning.questions import Question
from examwalk.reasoning.results import FeatureStatus, Truth
from examwalk.reasoning.settling import Acting
from examwalk.session.model import Side

_VERBS = (*AMOUNT_VERBS, *OPTION_VERBS)

Found = tuple[Verdict, float]
"""A number that was looked up, or that it could still be, and whether it is that now."""


@frozen(eq=False)
class _Written:
    """An effect as it stands in its rule, with the one verb that it has."""

    number: int
    """Begins the keys under which it is remembered."""
    rule: Rule
    effect: Effect
    verb: str
    value: Any
    holds: Question
    """Whether the rule holds on the side of the feature."""

    def acting(self, verdict: Verdict, number: float | None = None) -> Acting:
        """Return it as it acts, or might, with this verdict; with its number if looked up."""
        value = self.value if number is None else number
        return Acting(self.rule, self.effect, verdict, self.verb, value)


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
    key = ("effects", feature.id, side)
    written = case.memory.kept(key, (case, feature, side), _written)
    return tuple(
        [
            acting
            for one in written
            if idle or one.holds.certainty(case, settled) is not False
            for acting in _acting(case, side, settled, one, idle)
        ]
    )


def _written(case: Case, feature: Feature, side: Side) -> Sequence[_Written]:
    """Return every effect on a feature, in the order of the rules."""
    new_number, of_foot = case.memory.new_number, case.memory.questions.of_foot
    return [
        _Written(new_number(), rule, effect, verb, getattr(effect, verb), of_foot(rule.when, side))
        for rule, effect in _effects_by_feature(case.protocol).get(feature.id, ())
        for verb in _VERBS
        if getattr(effect, verb) is not None
    ]


def _effects_by_feature(protocol: Protocol) -> Mapping[str, Sequence[tuple[Rule, Effect]]]:
    known = protocol.noted.get("effects-by-feature")
    if isinstance(known, dict):
        return known
    found: dict[str, list[tuple[Rule, Effect]]] = {}
    for rule in protocol.rules:
        for effect in rule.effects:
            found.setdefault(effect.feature, []).append((rule, effect))
    protocol.noted["effects-by-feature"] = found
    return found


def _acting(
    case: Case, side: Side, settled: SettledFeatures, written: _Written, idle: bool
) -> Iterable[Acting]:
    verdict = written.holds.verdict(case, settled)
    if not idle and verdict.truth is Truth.FALSE and not verdict.missing:
        return ()
    if isinstance(written.value, LookedUp):
        return _with_number(case, side, settled, written, verdict)
    return (case.memory.kept((written.number, id(verdict)), (verdict,), written.acting),)


def _with_number(
    case: Case, side: Side, settled: SettledFeatures, written: _Written, verdict: Verdict
) -> Iterator[Acting]:
    for found, number in _looked_up(case, written.value, side, settled):
        both = case.memory.one_of(conjunction((verdict, found)))
        yield case.memory.kept((written.number, id(both), number), (both, number), written.acting)


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
