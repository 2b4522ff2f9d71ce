"""Why a feature has its value, and what stands between it and another one.

Why: the trace of the value, and the derived values that lead from the findings to its rules.
Why not: every statement is made by supposing. An effect is turned (held back where it acts, let
act where it does not), a finding is replaced, everything is reasoned anew, and only what then
really ends in the value asked about is told.
"""

from collections.abc import Iterator, Mapping, Sequence
from functools import partial
from itertools import combinations, islice, product

from attrs import evolve, frozen

from examwalk.protocol.feature_model import Feature, Rule
from examwalk.protocol.model import Protocol
from examwalk.reasoning.case import Case
from examwalk.reasoning.conditions_met import SettledFeatures
from examwalk.reasoning.effects import effects_on
from examwalk.reasoning.features import Ordered, Settled, settle_features
from examwalk.reasoning.lacking import Lacking, Unmet, enough, lacking
from examwalk.reasoning.replacing import Replaced, Wanted, few_replaced, one_replaced
from examwalk.reasoning.results import (
    DerivedResult,
    FeatureResult,
    FeatureStatus,
    Summary,
    TraceStep,
    Truth,
)
from examwalk.reasoning.settling import (
    Acting,
    EffectKey,
    Value,
    effect_words,
    in_order,
    settle,
)
from examwalk.reasoning.values import values_after, values_of
from examwalk.session.model import BOTH_FEET, Answer, Place, Side

MOST_TURNED = 3
"""At most so many effects are turned at once; if no so few lead to a value, no way is told."""
MOST_WAYS = 6
MOST_INSTEAD = 5
MOST_SETS_OF_CONDITIONS = 12


@frozen
class Turned:
    """An effect as it would have to be: held back where it acts, acting where it does not."""

    acting: Acting
    words: str
    """What it does: ``at most 2 mm``."""
    lacks: Lacking | None
    """For one that does not act: what its rule still lacks; nothing where it acts."""


@frozen
class Way:
    """A smallest set of effects that, turned together, end in the value asked about."""

    turned: tuple[Turned, ...]


@frozen
class Instead:
    """Findings with which everything, reasoned anew, ends in the value asked about."""

    answers: Mapping[Place, Answer]


@frozen
class WhyNot:
    """What stands between a feature as it is settled and another value."""

    feature: Feature
    result: FeatureResult
    value: Value
    is_it: bool = False
    """The value asked about is the one that is recommended."""
    lacks: Lacking | None = None
    """What the feature lacks to apply at all."""
    ways: tuple[Way, ...] = ()
    more_ways: int = 0
    """How many further ways, just as short, are not listed."""
    gave_way: tuple[TraceStep, ...] = ()
    """What took the value away after the rules of this foot had given it: an earlier feature
    that excludes this one, or the other foot of the pair."""
    instead: tuple[Instead, ...] = ()


def derived_behind(
    protocol: Protocol, summary: Summary, result: FeatureResult
) -> tuple[DerivedResult, ...]:
    """Return the derived values that lead to a feature, each after those it was worked out from."""
    wanted = set(result.through)
    order = list(protocol.derived_by_id)
    found = [one for one in summary.derived if (one.id, one.side) in wanted]
    return tuple(sorted(found, key=lambda one: order.index(one.id)))


def why_not(case: Case, ordered: Ordered, name: str, side: Side, value: Value) -> WhyNot:
    """Say what stands between a feature and a value, which must be one that it can have.

    Args:
        case: the findings under their protocol.
        ordered: what the clinician has ordered so far.
        name: the id of the feature.
        side: the foot, or the whole person for a feature of the pair.
        value: an amount on the feature's steps, or the id of an option.
    """
    value = value if isinstance(value, str) else float(value)
    question = _Question(case, ordered, name, side, value)
    result = question.result
    answer = WhyNot(question.feature, result, value)
    if result.status is FeatureStatus.NOT_APPLICABLE and question.feature.applies_when:
        lacks = lacking(question.case, question.feature.applies_when, side, question.seen)
        return evolve(answer, lacks=lacks)
    if result.status is not FeatureStatus.RECOMMENDED:
        return answer
    if result.value == value:
        return evolve(answer, is_it=True)
    ways = question.ways()
    return evolve(
        answer,
        gave_way=question.gave_way(),
        ways=ways[:MOST_WAYS],
        more_ways=max(0, len(ways) - MOST_WAYS),
        instead=question.instead(ways),
    )


class _Question:
    """Why is a feature not this value, with what is asked of every supposition."""

    def __init__(self, case: Case, ordered: Ordered, name: str, side: Side, value: Value) -> None:
        self.case = case
        self.ordered = ordered
        self.feature = case.protocol.features_by_id[name]
        self.side = side
        self.value = value
        settled = settle_features(case, ordered)
        self.values = values_of(case, ordered)
        self.result = self._of(settled)
        self.seen: SettledFeatures = settled.as_ordered
        self.effects = effects_on(case, self.feature, side, self.seen, idle=True)

    def _of(self, settled: Settled) -> FeatureResult:
        return next(
            one for one in settled.results if (one.id, one.side) == (self.feature.id, self.side)
        )

    def ways(self) -> tuple[Way, ...]:
        """Return the smallest sets of effects that, turned, end in the value."""
        free = [one for one in self.effects if one.verdict.holds or _has_its_number(one)]
        for count in range(1, MOST_TURNED + 1):
            found = [
                Way(tuple(self._turned(one) for one in turned))
                for turned in combinations(free, count)
                if self._may_lead_there(turned) and self._leads_there(turned)
            ]
            if found:
                return tuple(sorted(found, key=_effort))
        return ()

    def gave_way(self) -> tuple[TraceStep, ...]:
        """Return what took the value away from this foot, where its own rules give it."""
        if not self._may_lead_there(()):
            return ()
        return tuple(step for step in self.result.trace if step.changed and not step.rule)

    def _may_lead_there(self, turned: Sequence[Acting]) -> bool:
        """Look at this foot alone, which is quick; the pair and exclusions come after it."""
        keys = {one.key for one in turned}
        acting = [one for one in self.effects if one.verdict.holds is not (one.key in keys)]
        return settle(self.feature, in_order(self.feature, acting)) == self.value

    def _leads_there(self, turned: Sequence[Acting]) -> bool:
        keys: frozenset[EffectKey] = frozenset(one.key for one in turned)
        where = {(self.feature.id, self.side): keys}
        return self._of(settle_features(self.case, self.ordered, where)).value == self.value

    def _turned(self, one: Acting) -> Turned:
        lacks = None if one.verdict.holds else self._what_lacks(one.rule)
        return Turned(one, effect_words(self.feature, one), lacks)

    def _what_lacks(self, rule: Rule) -> Lacking | None:
        if rule.when is None:
            return None
        if self.side is not Side.WHOLE:
            return lacking(self.case, rule.when, self.side, self.seen)
        feet = (lacking(self.case, rule.when, foot, self.seen) for foot in BOTH_FEET)
        return Lacking.any_of(tuple(one for one in feet if one is not None))

    def instead(self, ways: Sequence[Way]) -> tuple[Instead, ...]:
        """Return findings, one or a few replaced, with which the feature has the value."""
        turned = [one.acting.rule for way in ways for one in way.turned]
        rules = turned or ([one.rule for one in self.effects] if self.gave_way() else [])
        conditions = [rule.when for rule in dict.fromkeys(rules) if rule.when is not None]
        one = one_replaced(self.case, conditions, self.side, self._holds_with)
        found = list(islice(one, MOST_INSTEAD)) or self._together(ways)
        return tuple(Instead(answers) for answers in found)

    def _together(self, ways: Sequence[Way]) -> list[Replaced]:
        found: list[Replaced] = []
        for wanted in islice(self._turned_by(ways), MOST_SETS_OF_CONDITIONS):
            new = few_replaced(self.case, wanted, self.side, self._holds_with)
            found += [one for one in islice(new, MOST_INSTEAD) if one not in found]
            if len(found) >= MOST_INSTEAD:
                break
        fewest = min(map(len, found), default=0)
        return [one for one in found if len(one) == fewest][:MOST_INSTEAD]

    def _turned_by(self, ways: Sequence[Way]) -> Iterator[list[Wanted]]:
        """Yield, for each way, the conditions that have to turn for it, in every combination."""
        for way in ways:
            each = [
                [self._wanted(one) for one in enough(turned.lacks)]
                if turned.lacks is not None
                else [[Wanted(turned.acting.rule.when, partial(self._stops, turned.acting))]]
                for turned in way.turned
                if turned.acting.rule.when is not None
            ]
            for together in product(*each):
                yield [one for part in together for one in part]

    def _wanted(self, unmets: Sequence[Unmet]) -> list[Wanted]:
        return [Wanted(one.condition, partial(self._turns, one)) for one in unmets]

    def _turns(self, unmet: Unmet, replaced: Replaced) -> bool:
        """Say whether an answer would be otherwise, the features before this one as they are."""
        case = self.case.with_changes(replaced)
        truth = case.verdict(unmet.condition, unmet.side, self.seen).truth
        return truth is (Truth.TRUE if unmet.wanted else Truth.FALSE)

    def _stops(self, acting: Acting, replaced: Replaced) -> bool:
        """Say whether a rule would no longer act, the features before this one as they are."""
        condition = acting.rule.when
        assert condition is not None
        case = self.case.with_changes(replaced)
        feet = BOTH_FEET if self.side is Side.WHOLE else (self.side,)
        return not any(case.verdict(condition, foot, self.seen).holds for foot in feet)

    def _holds_with(self, replaced: Replaced) -> bool:
        case = self.case.with_changes(replaced)
        after = values_after(self.values, case, replaced, self.ordered)
        result = after.features[self.feature.id, self.side]
        return result.status is FeatureStatus.RECOMMENDED and result.value == self.value


def _has_its_number(one: Acting) -> bool:
    """Say whether an idle effect is known but for its condition; else it is no single effect."""
    looked_up = not isinstance(getattr(one.effect, one.verb), str | int | float | tuple)
    return not (looked_up and one.verdict.truth is Truth.UNKNOWN)


def _effort(way: Way) -> int:
    """Rank ways: the fewest conditions that are not met first."""
    return sum(one.lacks.size for one in way.turned if one.lacks is not None)
