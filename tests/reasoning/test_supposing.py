"""The search for findings that make a condition true is exact, and its examples are small."""

import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from examwalk.protocol.condition_model import Condition, SideScope
from examwalk.protocol.derived_model import Derived, Points
from examwalk.protocol.exam_model import Kind
from examwalk.protocol.key_types import Sides
from examwalk.protocol.model import Protocol
from examwalk.protocol.wording import choices_of
from examwalk.reasoning.case import Case
from examwalk.reasoning.contradicting import contradict
from examwalk.reasoning.logic import Verdict, conjunction
from examwalk.reasoning.supposed import Supposed
from examwalk.reasoning.supposing import find_example, find_shortly
from examwalk.session.model import Place, Side
from made_protocols import FRAME, TESTS, amount, at, is_yes, made, measured


def example(protocol: Protocol, condition: Condition) -> dict | None:
    outcome = find_example(protocol, lambda case: case.verdict(condition, Side.LEFT))
    assert not outcome.undecided
    return None if outcome.example is None else dict(outcome.example.answers)


HIGH_AND_LOW = (Condition(test="arch", at_least="high"), Condition(test="arch", at_most="low"))


@pytest.mark.parametrize(
    "condition",
    [
        Condition(all=HIGH_AND_LOW),
        Condition(test="reach", above=10),
        Condition(all=(Condition(test="reach", above=4), Condition(test="reach", below=5))),
        Condition(test="arch", side=SideScope.DIFFERENCE, at_least=3),
        Condition(
            all=(
                Condition(test="skin", includes="intact"),
                Condition(test="skin", includes="wound"),
            )
        ),
        Condition(
            all=(Condition(test="depth", at_least=0), Condition(test="skin", includes="intact"))
        ),
    ],
)
def test_what_no_findings_can_make_true_is_known_to_be_impossible(condition: Condition) -> None:
    assert example(FRAME, condition) is None


@pytest.mark.parametrize(
    ("condition", "expected"),
    [
        (Condition(test="a", is_="yes"), {at("a left"): "yes"}),
        (Condition(test="reach", at_least=10), {at("reach left"): 10}),
        (Condition(test="skin", includes="wound"), {at("skin left"): ("wound",)}),
        (
            Condition(test="arch", side=SideScope.DIFFERENCE, at_least=2),
            {at("arch left"): "low", at("arch right"): "high"},
        ),
        (
            Condition(any=(Condition(all=HIGH_AND_LOW), Condition(test="b", is_="no"))),
            {at("b left"): "no"},
        ),
        # A test that is asked only where another says so brings that other finding with it.
        (
            Condition(test="depth", at_least=10),
            {at("skin left"): ("wound",), at("depth left"): 10},
        ),
        (Condition(test="a", answered=False), {}),
    ],
)
def test_the_example_is_the_smallest_set_of_findings(condition: Condition, expected: dict) -> None:
    assert example(FRAME, condition) == expected


def test_a_sum_is_searched_through_its_inputs() -> None:
    # Three grades count 1, 2, 3: a sum of both arches' scores of 6 needs both high.
    total = Derived(
        id="total",
        title="Total",
        calculation="points",
        basis=("practice",),
        points=tuple(
            Points(points=1, when=Condition(test=name, is_="yes")) for name in ("a", "b", "c")
        ),
    )
    protocol = made(derived=(total,))
    assert example(protocol, Condition(derived="total", above=3)) is None
    found = example(protocol, Condition(derived="total", at_least=3))
    assert found == {at(f"{name} left"): "yes" for name in "abc"}


def test_a_small_window_of_a_fine_measurement_is_found() -> None:
    fine = measured("fine", (0, 1000), step=0.1)
    protocol = made(tests=(*TESTS, fine))
    window = Condition(
        all=(Condition(test="fine", above=777.2), Condition(test="fine", below=777.4))
    )
    assert example(protocol, window) == {at("fine left"): 777.3}


def test_a_condition_on_a_feature_is_left_open() -> None:
    protocol = made(features=(amount(),))
    wanted = Condition(all=(is_yes("a"), Condition(feature="lift", above=3)))
    outcome = find_example(
        protocol, lambda case: case.verdict(wanted, Side.LEFT, case.open_features)
    )
    assert outcome.example is None
    assert outcome.is_possible


def test_a_search_that_is_cut_short_says_so() -> None:
    goal = Condition(all=tuple(Condition(test=name, is_="yes") for name in "abcd"))
    outcome = find_example(FRAME, lambda case: case.verdict(goal, Side.LEFT), most_steps=1)
    assert outcome.example is not None or outcome.undecided


def _leaves() -> st.SearchStrategy[Condition]:
    graded = st.builds(
        Condition,
        test=st.just("arch"),
        at_least=st.sampled_from(["low", "medium", "high"]),
        side=st.sampled_from([SideScope.SAME, SideScope.OTHER, SideScope.EITHER, SideScope.BOTH]),
    )
    asked = st.builds(
        Condition, test=st.sampled_from(["a", "b"]), is_=st.sampled_from(["yes", "no"])
    )
    reached = st.builds(Condition, test=st.just("reach"), below=st.integers(-1, 11))
    skin = st.builds(
        Condition, test=st.just("skin"), includes=st.sampled_from(["intact", "callus", "wound"])
    )
    return st.one_of(graded, asked, reached, skin)


CONDITIONS = st.recursive(
    _leaves(),
    lambda inner: st.one_of(
        st.builds(Condition, all=st.lists(inner, min_size=1, max_size=3).map(tuple)),
        st.builds(Condition, any=st.lists(inner, min_size=1, max_size=3).map(tuple)),
        st.builds(Condition, not_=inner),
    ),
    max_leaves=6,
)


@given(CONDITIONS)
def test_an_example_really_makes_the_condition_true(condition: Condition) -> None:
    found = example(FRAME, condition)
    if found is not None:
        assert Case(FRAME, found).verdict(condition, Side.LEFT).holds


@given(CONDITIONS, st.data())
def test_no_findings_make_true_what_was_called_impossible(
    condition: Condition, data: st.DataObject
) -> None:
    if example(FRAME, condition) is not None:
        return
    answers = {}
    for name in ("a", "b", "arch", "reach", "skin"):
        test = FRAME.tests_by_id[name]
        for side in (Side.LEFT, Side.RIGHT):
            ids = [choice.id for choice in choices_of(FRAME, test)]
            if test.kind is Kind.MEASURE:
                answer = data.draw(st.integers(0, 10))
            elif test.several:
                options = st.lists(st.sampled_from(["callus", "wound"]), min_size=1, unique=True)
                answer = data.draw(st.one_of(st.just(("intact",)), options.map(tuple)))
            else:
                answer = data.draw(st.sampled_from(ids))
            answers[Place(name, side)] = answer
    assert not Case(FRAME, answers).verdict(condition, Side.LEFT).holds


@given(
    st.lists(
        st.one_of(
            CONDITIONS,
            st.builds(Condition, test=st.sampled_from(["a", "depth"]), answered=st.booleans()),
        ),
        min_size=1,
        max_size=4,
    )
)
def test_what_was_worked_out_for_other_suppositions_leads_no_search_astray(
    conditions: list[Condition],
) -> None:
    wanted = Condition(all=tuple(conditions))

    def goal(case: Supposed) -> Verdict:
        return conjunction(case.verdict(condition, Side.LEFT) for condition in conditions)

    anew = find_example(evolve(FRAME), lambda case: case.verdict(wanted, Side.LEFT))
    remembering = evolve(FRAME)
    assert find_example(remembering, goal) == anew
    assert find_example(remembering, goal) == anew


@given(CONDITIONS)
def test_a_short_search_settles_nothing_otherwise_than_the_thorough_one(
    condition: Condition,
) -> None:
    def goal(case: Supposed) -> Verdict:
        return case.verdict(condition, Side.LEFT)

    shortly = find_shortly(FRAME, goal)
    if not shortly.undecided:
        assert shortly == find_example(FRAME, goal)


class TestContradicting:
    """What excludes itself on its face is seen without a search."""

    def asks(self, *conditions: Condition) -> bool:
        return contradict(FRAME, [(one, Side.LEFT, True) for one in conditions])

    def test_two_numbers_of_one_test_exclude_each_other(self) -> None:
        assert self.asks(Condition(test="reach", is_=1), Condition(test="reach", is_=2))
        assert self.asks(Condition(test="reach", at_most=3), Condition(test="reach", at_least=4))

    def test_two_options_of_one_test_exclude_each_other(self) -> None:
        assert self.asks(Condition(test="a", is_="yes"), Condition(test="a", one_of=("no",)))

    def test_what_one_holds_and_another_refuses_excludes_itself(self) -> None:
        yes, other = is_yes("a"), is_yes("b")
        assert self.asks(yes, Condition(all=(other, Condition(not_=yes))))
        assert contradict(FRAME, [(yes, Side.LEFT, True), (yes, Side.LEFT, False)])
        assert not contradict(FRAME, [(yes, Side.LEFT, True), (yes, Side.RIGHT, False)])
        assert not self.asks(Condition(not_=Condition(all=(yes, other))), yes)

    def test_the_same_number_on_two_feet_does_not(self) -> None:
        other = Condition(test="reach", is_=2, side=SideScope.OTHER)
        assert not self.asks(Condition(test="reach", is_=1), other)

    def test_what_is_asked_once_is_the_same_from_both_feet(self) -> None:
        wanted = [
            (Condition(test="person", is_="yes"), Side.LEFT, True),
            (Condition(test="person", is_="no"), Side.RIGHT, True),
        ]
        assert FRAME.tests_by_id["person"].sides is Sides.ONCE
        assert contradict(FRAME, wanted)
