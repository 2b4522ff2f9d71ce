"""How the effects of rules settle one feature: pure functions from effects to a value.

The effects are put in the order in which they act. The value is worked out anew after each of
them, so that the trace can say what each one changed.
"""

import math
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from functools import lru_cache
from itertools import groupby

from attrs import frozen

from examwalk.language import later, say
from examwalk.protocol.feature_model import Effect, Feature, FeatureKind, Rule, RuleClass
from examwalk.protocol.key_types import Number
from examwalk.protocol.wording import MINUS, number_words, unit_words
from examwalk.reasoning.logic import Verdict

Value = str | float
EffectKey = tuple[str, str, str | float | tuple[str, ...]]
"""The rule, the verb and the value of an effect."""


@frozen
class Acting:
    """One effect of a rule on a feature, with its number looked up."""

    rule: Rule
    effect: Effect
    verdict: Verdict
    verb: str
    value: str | float | tuple[str, ...]

    @property
    def key(self) -> "EffectKey":
        """Names the effect among those on one feature."""
        return self.rule.id, self.verb, self.value

    @property
    def number(self) -> float:
        """The number of an effect on an amount."""
        assert isinstance(self.value, int | float)
        return self.value

    @property
    def options(self) -> tuple[str, ...]:
        """The options that an effect on options names."""
        return self.value if isinstance(self.value, tuple) else (str(self.value),)


@frozen
class Clash:
    """Effects of one class that cannot all be followed."""

    acting: tuple[Acting, ...]


_AMOUNT_ORDER = ("start", "add", "at_least", "at_most")
_OPTION_ORDER = ("rule_out", "require", "prefer")


def in_order(feature: Feature, acting: Iterable[Acting]) -> tuple[Acting, ...]:
    """Put effects in the order in which they act; the last to act has the last word.

    Amounts: starts, then additions, then bounds, each from the weakest class to the strongest.
    Options: from the strongest class to the weakest, since what a stronger one has decided a
    weaker one cannot change; preferences come last.
    """
    rank = _amount_rank if feature.kind is FeatureKind.AMOUNT else _option_rank
    return tuple(sorted(acting, key=rank))


def _amount_rank(one: Acting) -> tuple[int, int, int]:
    stage = {"start": 0, "add": 1}.get(one.verb, 2)
    return stage, -one.rule.class_.rank, _AMOUNT_ORDER.index(one.verb)


def _option_rank(one: Acting) -> tuple[int, int, int]:
    return one.verb == "prefer", one.rule.class_.rank, _OPTION_ORDER.index(one.verb)


def settle(feature: Feature, acting: Sequence[Acting]) -> Value:
    """Return the value that these effects, in their order, give a feature."""
    if feature.kind is FeatureKind.AMOUNT:
        return _settle_amount(feature, acting)
    return _settle_option(feature, acting)


def clashes(feature: Feature, acting: Sequence[Acting]) -> tuple[Clash, ...]:
    """Return the effects that collide within one class of rules.

    A collision that a stronger class has decided, or that would end in the same value either
    way, is none; where everything is ruled out there always is one.
    """
    if not acting:
        return ()
    is_amount = feature.kind is FeatureKind.AMOUNT
    found = _amount_clashes(acting) if is_amount else _option_clashes(feature, acting)
    return tuple(clash for clash in found if _matters(feature, acting, clash))


def _matters(feature: Feature, acting: Sequence[Acting], clash: Clash) -> bool:
    """Say whether the value would be another one if one of the wishes were dropped."""
    if all(one.verb == "rule_out" for one in clash.acting):
        return True
    value = settle(feature, acting)
    return any(
        settle(feature, [one for one in acting if one not in clash.acting or one.value != wish])
        != value
        for wish in dict.fromkeys(one.value for one in clash.acting)
    )


def upper_bounds_lifted(acting: Sequence[Acting]) -> tuple[Acting, ...]:
    """Return the effects without the upper bounds, to see what those took off."""
    return tuple(one for one in acting if one.verb != "at_most")


def _cautious(feature: Feature, numbers: Iterable[float]) -> float:
    return min(numbers) if feature.cautious == "low" else max(numbers)


def _settle_amount(feature: Feature, acting: Sequence[Acting]) -> float:
    assert isinstance(feature.start, int | float)
    starts = [one for one in acting if one.verb == "start"]
    value = float(feature.start)
    if starts:
        strongest = min(one.rule.class_.rank for one in starts)
        value = _cautious(
            feature, (one.number for one in starts if one.rule.class_.rank == strongest)
        )
    value += sum([one.number for one in acting if one.verb == "add"])
    limits = _limits(feature, acting)
    bounded = _within(limits, value)
    return snapped(feature, bounded, lambda step: _within(limits, step) == step)


Limits = Sequence[tuple[float, float]]
"""The least and the greatest amount that each class allows, the strongest class last."""


def _limits(feature: Feature, acting: Sequence[Acting]) -> Limits:
    bounds = [one for one in acting if one.verb in ("at_least", "at_most")]
    classes = groupby(bounds, key=lambda one: one.rule.class_)
    return [_limits_of_class(feature, list(together)) for _, together in classes]


def _limits_of_class(feature: Feature, acting: Sequence[Acting]) -> tuple[float, float]:
    """Return the bounds of one class; where they exclude each other the cautious one is both."""
    low = max((one.number for one in acting if one.verb == "at_least"), default=-math.inf)
    high = min((one.number for one in acting if one.verb == "at_most"), default=math.inf)
    if low > high:
        low = high = _cautious(feature, (low, high))
    return low, high


def _within(limits: Limits, value: float) -> float:
    """Apply the bounds from the weakest class to the strongest, which has the last word."""
    for low, high in limits:
        value = min(max(value, low), high)
    return value


def snapped(feature: Feature, value: float, is_allowed: Callable[[float], bool]) -> float:
    """Bring an amount onto the feature's steps and into its range.

    That is the nearest step, halves going the careful way; where that one is not allowed, since
    it would break a bound, it is the next allowed one below or above.
    """
    assert feature.range is not None
    candidates = _steps_beside(value, feature.range, feature.step, feature.cautious == "low")
    return next((candidate for candidate in candidates if is_allowed(candidate)), candidates[0])


@lru_cache(maxsize=10_000)
def _steps_beside(
    value: float, bounds: tuple[Number, Number], step_size: Number, halves_go_down: bool
) -> tuple[float, float, float]:
    """Return the nearest step to a value, the next one below and the next one above."""
    low, high = (Decimal(str(bound)) for bound in bounds)
    step = Decimal(str(step_size))
    exact = Decimal(str(value)) / step
    half = Decimal("0.5")
    nearest = (
        (exact - half).quantize(Decimal(1), rounding=ROUND_CEILING)
        if halves_go_down
        else (exact + half).quantize(Decimal(1), rounding=ROUND_FLOOR)
    )
    below, above = (
        exact.quantize(Decimal(1), rounding=way) for way in (ROUND_FLOOR, ROUND_CEILING)
    )
    # Adding 0 makes an amount of "less than 0, rounded up" a plain 0.
    first, second, third = (
        float(min(max(one * step, low), high)) + 0 for one in (nearest, below, above)
    )
    return first, second, third


def _of_each_class(acting: Iterable[Acting]) -> list[list[Acting]]:
    """Return the effects class by class, the strongest class first."""
    found: dict[RuleClass, list[Acting]] = {}
    for one in acting:
        found.setdefault(one.rule.class_, []).append(one)
    return [found[class_] for class_ in sorted(found, key=lambda class_: class_.rank)]


def _amount_clashes(acting: Sequence[Acting]) -> Iterator[Clash]:
    for together in _of_each_class(acting):
        starts = [one for one in together if one.verb == "start"]
        if len({one.number for one in starts}) > 1:
            yield Clash(tuple(starts))
        lows = [one for one in together if one.verb == "at_least"]
        highs = [one for one in together if one.verb == "at_most"]
        if lows and highs:
            low = max(lows, key=lambda one: one.number)
            high = min(highs, key=lambda one: one.number)
            if low.number > high.number:
                yield Clash((low, high))


def _settle_option(feature: Feature, acting: Sequence[Acting]) -> str:
    """Narrow the options, listed from the most cautious, then follow the preferences."""
    allowed = list(feature.options)
    for together in _of_each_class(acting):
        allowed = _narrowed(allowed, together)
    votes = _votes(allowed, acting)
    if votes:
        counts = _counted(votes)
        most = max(counts.values())
        return next(option for option in allowed if counts[option] == most)
    assert isinstance(feature.start, str)
    return feature.start if feature.start in allowed else allowed[0]


def _narrowed(allowed: list[str], together: Sequence[Acting]) -> list[str]:
    """Apply one class's bans and demands; never leave nothing."""
    allowed = _left_by_bans(allowed, together) or allowed[:1]
    wanted = [
        option
        for option in allowed
        if any(one.verb == "require" and one.value == option for one in together)
    ]
    return wanted[:1] or allowed


def _left_by_bans(allowed: Sequence[str], together: Sequence[Acting]) -> list[str]:
    banned = {option for one in together if one.verb == "rule_out" for option in one.options}
    return [option for option in allowed if option not in banned]


def _votes(allowed: Sequence[str], acting: Sequence[Acting]) -> list[Acting]:
    """Return the preferences that count: for what is allowed, from the strongest class."""
    votes = [one for one in acting if one.verb == "prefer" and one.value in allowed]
    strongest = min((one.rule.class_.rank for one in votes), default=0)
    return [one for one in votes if one.rule.class_.rank == strongest]


def _counted(votes: Iterable[Acting]) -> Counter[str]:
    return Counter(str(one.value) for one in votes)


def _option_clashes(feature: Feature, acting: Sequence[Acting]) -> Iterator[Clash]:
    allowed = list(feature.options)
    for together in _of_each_class(acting):
        required = [one for one in together if one.verb == "require"]
        banned = [one for one in together if one.verb == "rule_out"]
        against = [one for one in banned for wish in required if wish.value in one.options]
        if against or len({one.value for one in required}) > 1:
            yield Clash(tuple(dict.fromkeys((*required, *against))))
        elif len(allowed) > 1 and not _left_by_bans(allowed, together):
            yield Clash(tuple(banned))
        allowed = _narrowed(allowed, together)
    votes = _votes(allowed, acting)
    best = sorted(_counted(votes).values())[-2:]
    if len(best) == 2 and best[0] == best[1]:
        yield Clash(tuple(votes))


def value_words(feature: Feature, value: Value) -> str:
    """Write a value with its unit and direction, or an option's label."""
    if isinstance(value, str):
        return feature.options[value].label
    if value == 0:
        return feature.zero
    direction = feature.positive if value > 0 else feature.negative
    size = abs(value) if direction else value
    number = number_words(size, 1 if size == int(size) else feature.step)
    unit = unit_words(feature, value)
    unit = unit if unit in ("°", "%") else f" {unit}".rstrip()
    return f"{number}{unit} {direction}".strip()


def effect_words(feature: Feature, one: Acting) -> str:
    """Say what an effect does: ``starts at 4 mm``, ``rules out groove``."""
    return say(_EFFECTS[one.verb], value=_effect_value(feature, one))


def _effect_value(feature: Feature, one: Acting) -> str:
    if feature.kind is FeatureKind.OPTION:
        return ", ".join(feature.options[option].label for option in one.options)
    if one.verb == "add":
        sign = MINUS if one.number < 0 else "+"
        size = value_words(feature, abs(one.number)) if one.number else f"0 {feature.unit}"
        return f"{sign}{size}"
    return value_words(feature, one.number)


_EFFECTS = {
    "start": later("starts at {value}"),
    "add": later("adds {value}"),
    "at_least": later("at least {value}"),
    "at_most": later("at most {value}"),
    "require": later("requires {value}"),
    "rule_out": later("rules out {value}"),
    "prefer": later("prefers {value}"),
}
