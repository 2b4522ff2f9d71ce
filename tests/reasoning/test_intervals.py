"""Numbers known within bounds, against every whole number between the bounds."""

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from examwalk.protocol.condition_model import Condition
from examwalk.reasoning.intervals import (
    Interval,
    compare,
    distance,
    exactly,
    hull,
    monotone,
)
from examwalk.reasoning.results import Truth

bounds = st.tuples(st.integers(-9, 9), st.integers(-9, 9)).map(sorted)
intervals = bounds.map(lambda pair: Interval(*pair))


def inside(interval: Interval) -> range:
    return range(int(interval.low), int(interval.high) + 1)


COMPARISONS = {
    "at_least": lambda value, limit: value >= limit,
    "at_most": lambda value, limit: value <= limit,
    "above": lambda value, limit: value > limit,
    "below": lambda value, limit: value < limit,
    "is_": lambda value, limit: value == limit,
    "is_not": lambda value, limit: value != limit,
}


@given(intervals, st.sampled_from(sorted(COMPARISONS)), st.integers(-10, 10))
def test_a_comparison_is_settled_exactly_where_all_numbers_within_the_bounds_agree(
    interval, name, limit
):
    answers = {COMPARISONS[name](value, limit) for value in inside(interval)}
    expected = (
        Truth.UNKNOWN if len(answers) == 2 else (Truth.TRUE if answers.pop() else Truth.FALSE)
    )
    assert compare(interval, Condition(test="x", **{name: limit})) is expected


@pytest.mark.parametrize(
    ("value", "expected"), [(3, Truth.FALSE), (4, Truth.TRUE), (6, Truth.TRUE), (7, Truth.FALSE)]
)
def test_comparisons_that_stand_side_by_side_must_all_hold(value, expected):
    assert compare(exactly(value), Condition(test="x", at_least=4, below=7)) is expected


def test_one_comparison_that_fails_settles_it_though_another_is_open():
    assert compare(Interval(0, 5), Condition(test="x", above=6, at_least=2)) is Truth.FALSE


@given(intervals, intervals)
def test_a_distance_has_the_least_and_the_greatest_of_all_distances(first, second):
    gaps = [abs(one - other) for one, other in product(inside(first), inside(second))]
    assert distance(first, second) == Interval(min(gaps), max(gaps))


@given(intervals, intervals)
def test_a_monotone_function_has_its_extremes_at_the_corners(first, second):
    values = [one - 2 * other for one, other in product(inside(first), inside(second))]
    result = monotone(lambda one, other: one - 2 * other, first, second)
    assert result == Interval(min(values), max(values))


def test_the_hull_reaches_from_the_least_to_the_greatest_bound():
    assert hull([Interval(3, 4), exactly(-1), Interval(0, 2)]) == Interval(-1, 4)


def test_a_number_is_settled_when_its_bounds_meet():
    assert exactly(2.5).is_settled
    assert not Interval(2, 3).is_settled
