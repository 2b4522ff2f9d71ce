"""A condition made ready to be asked answers each case by that case alone."""

from examwalk.protocol.model import Condition, Effect, SideScope
from examwalk.reasoning.case import Case
from examwalk.reasoning.features import settle_features
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
