"""Derived values: what they come to, and within what bounds while answers are missing."""

from collections.abc import Iterator, Mapping
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from examwalk.protocol.condition_model import Condition
from examwalk.protocol.derived_model import Derived, Points, Row
from examwalk.protocol.exam_model import Band, Kind, Test
from examwalk.protocol.model import Protocol
from examwalk.reasoning.case import Case
from examwalk.reasoning.intervals import Interval, exactly
from examwalk.reasoning.places import places_of
from examwalk.reasoning.results import Truth
from examwalk.session.model import Answer, Place, Side
from made_protocols import at, case_of, is_yes, made, measured, placed, summary_of


def derived(calculation: str, *inputs: str, **options) -> Derived:
    return Derived("it", "It", calculation, ("practice",), inputs=inputs, **options)


def bounds(value: Derived, findings: Mapping[str, Answer], side: Side = Side.LEFT):
    protocol = made(derived=(value,))
    return case_of(protocol, findings).derived_value(value, side)


POINTS = derived(
    "points",
    points=(
        Points(1, is_yes("a"), because="a"),
        Points(2, is_yes("b"), because="b"),
        Points(-2, is_yes("c"), because="c"),
    ),
)
LOOKUP = derived(
    "lookup",
    rows=(
        Row(7, is_yes("a"), because="a is so"),
        Row(3, is_yes("b"), because="b is so"),
        Row(0, because="neither"),
    ),
)


class TestValues:
    @pytest.mark.parametrize(
        ("value", "findings", "expected"),
        [
            (derived("sum", "reach", "arch"), {"reach": 4, "arch": "high"}, 4 + 3),
            (derived("mean", "reach", "arch"), {"reach": 4, "arch": "high"}, 3.5),
            (derived("difference", "arch", "reach"), {"reach": 4, "arch": "high"}, 3 - 4),
            (derived("absolute-difference", "arch", "reach"), {"reach": 4, "arch": "high"}, 1),
            (derived("side-difference", "reach"), {"reach left": 9, "reach right": 2.5}, 6.5),
            (POINTS, {"a": "yes", "b": "yes", "c": "yes"}, 1 + 2 - 2),
            (POINTS, {"a": "no", "b": "no", "c": "yes"}, -2),
            (LOOKUP, {"a": "yes", "b": "yes"}, 7),
            (LOOKUP, {"a": "no", "b": "yes"}, 3),
            (LOOKUP, {"a": "no", "b": "no"}, 0),
        ],
    )
    def test_by_hand(self, value, findings, expected):
        found = bounds(value, findings)
        assert found.interval == exactly(expected)
        assert found.missing == ()

    def test_points_and_rows_say_why(self):
        assert bounds(POINTS, {"a": "yes", "b": "no", "c": "yes"}).because == "a; c"
        assert bounds(LOOKUP, {"a": "no", "b": "yes"}).because == "b is so"

    def test_a_value_is_not_indicated_where_its_condition_fails(self):
        value = derived("sum", "reach", when=is_yes("a"))
        assert bounds(value, {"a": "no", "reach": 4}).interval is None
        assert bounds(value, {"a": "yes", "reach": 4}).interval == exactly(4)

    def test_a_value_is_not_indicated_where_an_input_is_not_asked(self):
        value = derived("sum", "reach", "depth")
        assert bounds(value, {"reach": 4, "skin": ("intact",)}).interval is None

    def test_a_lookup_in_which_no_row_holds_gives_no_value(self):
        value = derived("lookup", rows=(Row(7, is_yes("a")),))
        assert bounds(value, {"a": "no"}).interval is None


class TestBounds:
    def test_an_unanswered_input_may_have_any_number_that_its_test_takes(self):
        found = bounds(derived("difference", "reach", "arch"), {"reach": 4})
        assert found.interval == Interval(4 - 3, 4 - 1)
        assert found.missing == (at("arch left"),)

    def test_an_open_condition_may_give_its_points_or_not(self):
        found = bounds(POINTS, {"a": "yes"})
        assert found.interval == Interval(1 - 2, 1 + 2)
        assert found.missing == (at("b left"), at("c left"))

    def test_a_row_that_is_open_leaves_the_next_ones_possible(self):
        found = bounds(LOOKUP, {"b": "yes"})
        assert found.interval == Interval(3, 7)
        assert found.missing == (at("a left"),)

    def test_what_no_answer_can_change_is_settled_and_lacks_nothing(self):
        same = derived("lookup", rows=(Row(3, is_yes("a")), Row(3)))
        nothing = derived("points", points=(Points(0, is_yes("a")),))
        for value in (same, nothing):
            found = bounds(value, {})
            assert (found.is_settled, found.missing) == (True, ())

    def test_a_condition_on_a_value_is_settled_where_all_its_numbers_agree(self):
        protocol = made(derived=(POINTS,))
        case = case_of(protocol, {"a": "yes", "c": "no"})
        at_least_one = Condition(derived="it", at_least=1)
        at_least_two = Condition(derived="it", at_least=2)
        assert case.verdict(at_least_one, Side.LEFT).truth is Truth.TRUE
        assert case.verdict(at_least_two, Side.LEFT).truth is Truth.UNKNOWN
        assert case.verdict(at_least_two, Side.LEFT).missing == (at("b left"),)


class TestWhetherItIsIndicatedIsOpen:
    VALUE = derived("sum", "reach", when=is_yes("a"), bands=(Band("any", at_least=0),))
    PROTOCOL = made(derived=(VALUE,))

    def test_a_condition_on_it_is_not_true_though_its_number_is_known(self):
        verdict = case_of(self.PROTOCOL, {"reach": 4}).verdict(
            Condition(derived="it", at_least=4), Side.LEFT
        )
        assert (verdict.truth, verdict.missing) == (Truth.UNKNOWN, (at("a left"),))

    def test_a_condition_that_the_number_fails_is_false_either_way(self):
        verdict = case_of(self.PROTOCOL, {"reach": 4}).verdict(
            Condition(derived="it", at_least=5), Side.LEFT
        )
        assert (verdict.truth, verdict.missing) == (Truth.FALSE, ())

    def test_it_has_no_value_and_no_band_yet(self):
        result = summary_of(self.PROTOCOL, {"reach": 4}).derived_value("it", Side.LEFT)
        assert (result.value, result.low, result.band) == (None, None, "")
        assert result.missing == (at("a left"),)

    def test_a_value_made_from_it_is_open_as_well(self):
        twice = Derived("twice", "Twice", "sum", ("practice",), inputs=("it", "it"))
        protocol = made(derived=(self.VALUE, twice))
        found = case_of(protocol, {"reach": 4}).derived_value(twice, Side.LEFT)
        assert found.missing == (at("a left"),)
        assert not found.is_settled

    def test_a_lookup_whose_only_row_is_open_may_come_to_nothing(self):
        found = bounds(derived("lookup", rows=(Row(7, is_yes("a")),)), {})
        assert not found.is_settled
        assert found.missing == (at("a left"),)


class TestResults:
    def test_a_value_shows_its_band_inputs_and_sides(self):
        value = derived("sum", "reach", bands=(Band("short", below=5), Band("long", at_least=5)))
        summary = summary_of(made(derived=(value,)), {"reach left": 4, "reach right": 5})
        left, right = summary.derived
        assert (left.value, left.band, left.inputs) == (4, "short", (at("reach left"),))
        assert (right.value, right.band) == (5, "long")

    def test_an_open_value_has_bounds_but_neither_value_nor_band(self):
        summary = summary_of(made(derived=(POINTS,)), {"a": "yes"})
        result = summary.derived_value("it", Side.LEFT)
        assert (result.value, result.low, result.high, result.band) == (None, -1, 3, "")


# A small protocol in which every named calculation but those with a formula of their own
# stands on inputs of few possible answers, so that all of them can be tried.
TRIED = made(
    tests=(*made().tests_by_id.values(), measured("n", (0, 3)), measured("m", (-1, 1))),
    derived=(
        Derived("total", "Total", "sum", ("practice",), inputs=("n", "m")),
        Derived("average", "Average", "mean", ("practice",), inputs=("n", "m", "arch")),
        Derived("change", "Change", "difference", ("practice",), inputs=("n", "total")),
        Derived("gap", "Gap", "absolute-difference", ("practice",), inputs=("n", "arch")),
        Derived("sides", "Sides", "side-difference", ("practice",), inputs=("total",)),
        Derived(
            "score",
            "Score",
            "points",
            ("practice",),
            points=(
                Points(1, Condition(derived="total", at_least=2)),
                Points(2, Condition(any=(is_yes("a"), Condition(test="arch", is_="high")))),
                Points(-1, Condition(not_=is_yes("b"))),
            ),
        ),
        Derived(
            "row",
            "Row",
            "lookup",
            ("practice",),
            rows=(
                Row(5, Condition(derived="score", at_least=2)),
                Row(2, Condition(derived="gap", at_most=1)),
                Row(1),
            ),
            when=Condition(not_=Condition(all=(is_yes("a"), is_yes("b")))),
        ),
    ),
)
USED = ("a", "b", "arch", "n", "m")


def answers_of(test: Test) -> list[Answer]:
    if test.kind is Kind.MEASURE:
        assert test.hard is not None
        return list(range(int(test.hard[0]), int(test.hard[1]) + 1))
    return list(test.options) or ["low", "medium", "high"]


def completions(protocol: Protocol, answers: Mapping[Place, Answer]) -> Iterator[dict]:
    tests = [protocol.tests_by_id[name] for name in USED]
    still_open = [place for test in tests for place in places_of(test) if place not in answers]
    ways = [answers_of(protocol.tests_by_id[place.test]) for place in still_open]
    for chosen in product(*ways):
        yield {**answers, **dict(zip(still_open, chosen, strict=True))}


@st.composite
def mostly_answered(draw: st.DrawFn) -> dict[Place, Answer]:
    """Draw answers to all tests that are used but one to four places."""
    places = [place for name in USED for place in places_of(TRIED.tests_by_id[name])]
    left_out = draw(st.sets(st.sampled_from(places), min_size=1, max_size=4))
    return {
        place: draw(st.sampled_from(answers_of(TRIED.tests_by_id[place.test])))
        for place in places
        if place not in left_out
    }


@settings(max_examples=60, deadline=None)
@given(mostly_answered())
def test_bounds_hold_the_value_of_every_way_to_complete_the_answers(answers):
    case = Case(TRIED, answers)
    before = {one.id: case.derived_value(one, Side.LEFT) for one in TRIED.derived}
    for complete in completions(TRIED, answers):
        after = Case(TRIED, complete)
        for one in TRIED.derived:
            known, value = before[one.id], after.derived_value(one, Side.LEFT)
            if value.interval is None:
                assert known.interval is None or known.may_lapse
                continue
            assert value.interval.is_settled
            assert known.interval is not None
            assert known.interval.low <= value.interval.low <= known.interval.high
            if not known.missing:
                assert known.interval == value.interval


def test_the_small_protocol_has_all_its_answers_by_hand():
    """n=3, m=-1, arch high (3), a no, b yes: 3-1; (3-1+3)/3; 3-2; 3-3; 2-2; 1+2; first row."""
    answers = placed(TRIED, {"n": 3, "m": -1, "arch": "high", "a": "no", "b": "yes"})
    case = Case(TRIED, answers)
    values = {one.id: case.derived_value(one, Side.LEFT).interval for one in TRIED.derived}
    assert values == {
        "total": exactly(2),
        "average": exactly(5 / 3),
        "change": exactly(1),
        "gap": exactly(0),
        "sides": exactly(0),
        "score": exactly(3),
        "row": exactly(5),
    }
