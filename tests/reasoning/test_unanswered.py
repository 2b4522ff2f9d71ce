"""What each answer to an unanswered test would do; expected values follow from the made rules."""

import random

import pytest

from adult_cases import ADULT, NORMAL, placed
from examwalk.protocol.caution_model import Caution
from examwalk.protocol.condition_model import Condition, DeviceEffect
from examwalk.protocol.derived_model import Derived
from examwalk.protocol.exam_model import Kind
from examwalk.protocol.feature_model import Effect
from examwalk.reasoning.case import Case
from examwalk.reasoning.summary import summarise_case
from examwalk.reasoning.unanswered import Unanswered, in_order_of_worth, most_telling_first
from examwalk.report.unanswered_words import answers_words, worth_data, worth_words
from made_protocols import amount, asked, at, case_of, graded, is_yes, made, measured, rule

LIFT = amount()
TOTAL = Derived("total", "Total", "sum", ("practice",), inputs=("first", "second"))


def worth_of(protocol, findings, *names):
    return tuple(Unanswered(case_of(protocol, findings), [at(name) for name in names]).run())


def outcomes(worth):
    return [
        (one.answers, [(shift.id, shift.value_after) for shift in one.found.features])
        for one in worth.possible
    ]


def test_each_grade_is_tried_and_those_that_do_the_same_stand_together():
    protocol = made(
        features=(LIFT,),
        rules=(rule("high", Effect("lift", start=5), when=Condition(test="arch", is_="high")),),
    )
    (worth,) = worth_of(protocol, {}, "arch left")
    assert outcomes(worth) == [(("low", "medium"), []), (("high",), [("lift", 5)])]
    assert [one.answers for one in worth.telling] == [("high",)]
    assert worth_words(protocol, worth) == ("with high: Lift, left: none → 5 mm",)
    same = worth.possible[0]
    assert answers_words(protocol, protocol.tests_by_id["arch"], same) == "low or medium"


def test_numbers_are_told_as_ranges_that_end_where_something_else_follows():
    """From 4 on 3 mm, from 8 on 3 + 2 = 5 mm."""
    protocol = made(
        features=(LIFT,),
        rules=(
            rule("some", Effect("lift", start=3), when=Condition(test="reach", at_least=4)),
            rule("more", Effect("lift", add=2), when=Condition(test="reach", above=7)),
        ),
    )
    (worth,) = worth_of(protocol, {}, "reach left")
    assert outcomes(worth) == [
        ((0, 3), []),
        ((4, 7), [("lift", 3)]),
        ((8, 10), [("lift", 5)]),
    ]
    assert worth_words(protocol, worth) == (
        "with 4 to 7: Lift, left: none → 3 mm",
        "with 8 to 10: Lift, left: none → 5 mm",
    )


def test_a_range_ends_at_the_very_step_also_where_the_cut_lies_in_a_derived_value():
    """The limit stands on the sum of both; with 60 on the one, 37 of the other reach 97."""
    wide = [measured(name, (0, 200)) for name in ("first", "second")]
    protocol = made(
        tests=tuple(wide),
        derived=(TOTAL,),
        features=(LIFT,),
        rules=(rule("far", Effect("lift", start=4), when=Condition(derived="total", at_least=97)),),
    )
    (worth,) = worth_of(protocol, {"first left": 60}, "second left")
    assert outcomes(worth) == [((0, 36), []), ((37, 200), [("lift", 4)])]


def test_of_several_options_each_is_tried_alone():
    protocol = made(
        features=(LIFT,),
        rules=(
            rule("wound", Effect("lift", start=2), when=Condition(test="skin", includes="wound")),
        ),
    )
    (worth,) = worth_of(protocol, {}, "skin left")
    assert outcomes(worth) == [((("intact",), ("callus",)), []), ((("wound",),), [("lift", 2)])]
    assert worth_data(worth)[1]["answers"] == [["wound"]]


def test_a_test_that_nothing_looks_at_tells_nothing_and_text_is_not_tried():
    protocol = made(tests=(asked("a"), graded("arch"), asked("words", kind=Kind.TEXT, options={})))
    case = case_of(protocol, {})
    unanswered = Unanswered(case, [at("a left"), at("words left")])
    assert unanswered.places == (at("a left"),)
    (worth,) = unanswered.run()
    assert worth.possible == ()


def test_what_only_two_answers_together_do_is_not_told_of_either():
    protocol = made(
        features=(LIFT,),
        rules=(
            rule("both", Effect("lift", start=2), when=Condition(all=(is_yes("a"), is_yes("b")))),
        ),
    )
    for worth in worth_of(protocol, {}, "a left", "b left"):
        assert worth.telling == ()
    (alone,) = worth_of(protocol, {"a left": "yes"}, "b left")
    assert [one.answers for one in alone.telling] == [("yes",)]


def test_what_could_raise_a_caution_that_stops_comes_before_what_changes_a_feature():
    stop = Caution("halt", "Halt", is_yes("b"), "urgent", DeviceEffect.STOP, "Says.", ("practice",))
    protocol = made(
        features=(LIFT,),
        rules=(rule("a", Effect("lift", start=20), when="a"),),
        cautions=(stop,),
    )
    case = case_of(protocol, {"c": "no"})
    places = [at("d left"), at("a left"), at("b left")]
    ranked = most_telling_first(tuple(Unanswered(case, places).run()))
    assert [one.place.test for one in ranked] == ["b", "a", "d"]
    yes, no = ({one.answers: one for one in ranked[0].possible}[(name,)] for name in ("yes", "no"))
    assert yes.found.cautions[0].is_raised
    assert no.found.cautions[0].is_excluded
    missing = in_order_of_worth(summarise_case(case, {}).missing, ranked)
    assert [one.place for one in missing][:3] == [one.place for one in ranked]


@pytest.mark.parametrize("seed", range(4))
def test_for_an_adult_each_answer_does_what_reasoning_anew_with_it_gives(seed):
    chance = random.Random(seed)
    answers = placed(NORMAL)
    for place in chance.sample(sorted(answers), 25):
        del answers[place]
    case = Case(ADULT, answers)
    before = summarise_case(case, {})
    values = {(one.id, one.side): (one.status, one.value) for one in before.features}
    for worth in Unanswered(case, [one.place for one in before.missing]).run():
        for possible in worth.possible:
            answer = possible.answers[-1]
            after = summarise_case(Case(ADULT, {**answers, worth.place: answer}), {})
            changed = {
                (one.id, one.side)
                for one in after.features
                if (one.status, one.value) != values[one.id, one.side]
            }
            assert {(one.id, one.side) for one in possible.found.features} == changed
            raised = {(one.id, one.side) for one in after.cautions}
            was_raised = {(one.id, one.side) for one in before.cautions}
            assert {
                (one.id, one.side) for one in possible.found.cautions if one.is_raised
            } == raised - was_raised


def test_the_places_of_an_unfinished_exam_are_told_in_the_order_given():
    case = Case(ADULT, {})
    places = [one.place for one in summarise_case(case, {}).missing][:10]
    assert [one.place for one in Unanswered(case, places).run()] == places
