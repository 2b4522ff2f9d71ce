"""A condition made ready to be asked answers each case by that case alone."""

from itertools import product

import pytest
from hypothesis import given, settings

from adult_cases import ADULT, any_findings
from examwalk.protocol.condition_model import Condition, SideScope
from examwalk.protocol.feature_model import Effect
from examwalk.reasoning.case import Case
from examwalk.reasoning.features import settle_features
from examwalk.reasoning.mentions import conditions_in
from examwalk.reasoning.results import Truth
from examwalk.reasoning.supposed import LeftOpen, Supposed
from examwalk.session.model import Side
from made_protocols import at, case_of, choice, is_yes, made, rule

BOTH_ASKED = Condition(all=(is_yes("a"), Condition(not_=is_yes("b"))))
PROTOCOL = made(
    features=(choice("shell"),), rules=(rule("firm", Effect("shell", prefer="firm"), when="c"),)
)


def test_one_case_after_another_is_answered_by_its_own_findings():
    yes = case_of(PROTOCOL, {"a": "yes", "b": "no"})
    no = case_of(PROTOCOL, {"a": "no", "b": "no"})
    open_ = case_of(PROTOCOL, {"b": "no"})
    for _ in range(2):
        assert yes.verdict(BOTH_ASKED, Side.LEFT).truth is Truth.TRUE
        assert no.verdict(BOTH_ASKED, Side.LEFT).truth is Truth.FALSE
        assert open_.verdict(BOTH_ASKED, Side.LEFT).truth is Truth.UNKNOWN


def test_each_side_is_asked_of_its_own_findings():
    case = case_of(PROTOCOL, {"a left": "yes", "a right": "no"})
    here, there = is_yes("a"), Condition(test="a", is_="yes", side=SideScope.OTHER)
    assert case.verdict(here, Side.LEFT).findings == (at("a left"),)
    assert not case.verdict(here, Side.RIGHT).holds
    assert case.verdict(there, Side.RIGHT).findings == (at("a left"),)


def test_a_condition_on_a_feature_follows_the_features_it_is_asked_with():
    case = case_of(PROTOCOL, {"c": "yes"})
    firm = Condition(feature="shell", is_="firm")
    as_recommended = settle_features(case).as_ordered
    as_ordered = settle_features(case, {("shell", Side.LEFT): "soft"}).as_ordered
    assert case.verdict(firm, Side.LEFT, as_recommended).holds
    assert not case.verdict(firm, Side.LEFT, as_ordered).holds
    assert case.verdict(firm, Side.LEFT, as_recommended).holds


def test_verdicts_that_stand_on_the_same_answers_are_one_object():
    one = case_of(PROTOCOL, {"a": "yes", "b": "no", "d": "yes"})
    other = case_of(PROTOCOL, {"a": "yes", "b": "no", "d": "no"})
    assert one.verdict(BOTH_ASKED, Side.LEFT) is other.verdict(BOTH_ASKED, Side.LEFT)


def test_what_is_supposed_does_not_answer_for_a_case_nor_a_case_for_what_is_supposed():
    is_answered = Condition(test="a", answered=True)
    assert not Case(PROTOCOL, {}).verdict(is_answered, Side.LEFT).holds
    assert Supposed(PROTOCOL, {}).verdict(is_answered, Side.LEFT).is_unknown
    left_open = Supposed(PROTOCOL, {at("a left"): LeftOpen()})
    assert left_open.verdict(is_answered, Side.LEFT).truth is Truth.FALSE
    assert Case(PROTOCOL, {at("a left"): "no"}).verdict(is_answered, Side.LEFT).holds


A, B, C = is_yes("a"), is_yes("b"), is_yes("c")
EVERY_FORM = {
    "all": Condition(all=(A, B, C)),
    "any": Condition(any=(A, B, C)),
    "not": Condition(not_=Condition(any=(A, B))),
    "count": Condition(count=(A, B, C), at_least=2),
    "either": Condition(test="a", is_="yes", side=SideScope.EITHER),
    "both": Condition(test="a", is_="yes", side=SideScope.BOTH),
}


@pytest.mark.parametrize("form", EVERY_FORM)
def test_what_is_certain_is_the_verdict_and_without_gaps_all_is_certain(form):
    condition = EVERY_FORM[form]
    for answers in product(("yes", "no", None), repeat=4):
        named = dict(zip(("a left", "a right", "b", "c"), answers, strict=True))
        given_ = {name: answer for name, answer in named.items() if answer is not None}
        case = case_of(PROTOCOL, given_)
        certainty = case.certainty(condition, Side.LEFT)
        verdict = case.verdict(condition, Side.LEFT)
        assert certainty is None or (certainty is verdict.holds and verdict.is_final)
        if len(given_) == len(named):
            assert certainty is verdict.holds


@given(any_findings())
@settings(max_examples=25, deadline=None)
def test_what_is_certain_for_a_patient_is_what_its_verdict_says(answers):
    sure, asked = Case(ADULT, answers), Case(ADULT, answers)
    features = settle_features(asked).as_ordered
    for condition in conditions_in(ADULT):
        for side in (Side.LEFT, Side.RIGHT):
            certainty = sure.certainty(condition, side, features)
            verdict = asked.verdict(condition, side, features)
            assert certainty is None or (certainty is verdict.holds and verdict.is_final)


def test_equal_conditions_are_asked_as_one():
    twin = Condition(all=(is_yes("a"), Condition(not_=is_yes("b"))))
    case = case_of(PROTOCOL, {"a": "yes", "b": "no"})
    assert twin is not BOTH_ASKED
    assert case.verdict(twin, Side.LEFT) is case.verdict(BOTH_ASKED, Side.LEFT)
