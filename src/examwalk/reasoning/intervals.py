"""Numbers that are known only within bounds, and what can be said of them."""

import math
from collections.abc import Callable, Iterable
from itertools import product

from attrs import frozen

from examwalk.protocol.condition_model import Condition
from examwalk.protocol.key_types import Scalar
from examwalk.reasoning.results import Truth


@frozen
class Interval:
    """A number between two bounds, both included; a settled number has equal bounds."""

    low: float
    high: float

    @property
    def is_settled(self) -> bool:
        """Whether the number is known."""
        return self.low == self.high


UNBOUNDED = Interval(-math.inf, math.inf)


def exactly(value: float) -> Interval:
    """Return the interval of one known number."""
    return Interval(value, value)


def hull(intervals: Iterable[Interval]) -> Interval:
    """Return the smallest interval around all of these (one at least)."""
    intervals = tuple(intervals)
    return Interval(
        min(interval.low for interval in intervals), max(interval.high for interval in intervals)
    )


def monotone(function: Callable[..., float], *arguments: Interval) -> Interval:
    """Apply a function that is monotone in each argument, over all corners of the arguments."""
    values = [
        function(*corner)
        for corner in product(*((argument.low, argument.high) for argument in arguments))
    ]
    return Interval(min(values), max(values))


def distance(first: Interval, second: Interval) -> Interval:
    """Return how far apart two numbers are; 0 is possible where their bounds overlap."""
    gaps = (second.low - first.high, first.low - second.high, 0)
    reach = max(abs(first.high - second.low), abs(second.high - first.low))
    return Interval(max(gaps), reach)


def compare(interval: Interval, condition: Condition) -> Truth:
    """Say whether a number known within bounds meets every comparison of a condition."""
    outcome = Truth.TRUE
    for truth in _comparisons(interval, condition):
        if truth is Truth.FALSE:
            return Truth.FALSE
        if truth is Truth.UNKNOWN:
            outcome = Truth.UNKNOWN
    return outcome


def _comparisons(interval: Interval, condition: Condition) -> Iterable[Truth]:
    low, high = interval.low, interval.high
    if condition.at_least is not None:
        limit = _number(condition.at_least)
        yield _graded(low >= limit, high < limit)
    if condition.above is not None:
        limit = _number(condition.above)
        yield _graded(low > limit, high <= limit)
    if condition.at_most is not None:
        limit = _number(condition.at_most)
        yield _graded(high <= limit, low > limit)
    if condition.below is not None:
        limit = _number(condition.below)
        yield _graded(high < limit, low >= limit)
    if condition.is_ is not None:
        wanted = _number(condition.is_)
        yield _graded(low == high == wanted, not low <= wanted <= high)
    if condition.is_not is not None:
        unwanted = _number(condition.is_not)
        yield _graded(not low <= unwanted <= high, low == high == unwanted)


def _number(value: Scalar) -> float:
    return float(value)


def _graded(surely: bool, surely_not: bool) -> Truth:
    if surely:
        return Truth.TRUE
    return Truth.FALSE if surely_not else Truth.UNKNOWN
