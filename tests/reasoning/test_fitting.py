"""Findings that do not fit the protocol they are read with: said, and never reasoned from."""

from datetime import UTC, datetime

import pytest

from examwalk.protocol.exam_model import Kind
from examwalk.protocol.feature_model import Effect
from examwalk.reasoning.fitting import case_of, misfits
from examwalk.reasoning.summary import summarise
from examwalk.session.model import Answer, Finding, ProtocolUsed, Session, Side
from made_protocols import amount, asked, at, made, rule

NOW = datetime(2026, 11, 25, tzinfo=UTC)
PROTOCOL = made(
    tests=(*made().tests, asked("story", kind=Kind.TEXT, options={})),
    features=(amount(),),
    rules=(rule("more", Effect("lift", start=4), when="a"),),
)


def visit(**answers: Answer) -> Session:
    return Session(
        id="visit",
        started=NOW,
        examiner="",
        patient="P-1",
        protocol=ProtocolUsed("made", "1"),
        findings=tuple(
            Finding(at(name.replace("_", " ")), NOW, answer) for name, answer in answers.items()
        ),
    )


@pytest.mark.parametrize(
    "answers",
    [
        {"a_left": "yes", "person": "no", "short": "both"},
        {"arch_left": "high", "reach_right": 10, "mass": 75.5},
        {"skin_left": ("callus", "wound"), "skin_right": ("intact",)},
        {"story_left": "It began in May."},
    ],
)
def test_answers_that_a_test_can_have_fit(answers):
    assert misfits(PROTOCOL, visit(**answers)) == ()


@pytest.mark.parametrize(
    ("answers", "says"),
    [
        ({"a_left": "yess"}, "“yess” is not one of its answers. Did you mean “yes”?"),
        ({"a_left": 1}, "“1” is not one of its answers."),
        ({"a_left": ("yes",)}, "one answer is expected."),
        ({"arch_left": "flat"}, "“flat” is not one of its answers."),
        ({"arch_left": 2}, "“2” is not one of its answers."),
        ({"reach_left": 10.5}, "10.5 lies outside 0 to 10."),
        ({"reach_left": -1}, "-1 lies outside 0 to 10."),
        ({"reach_left": "10"}, "a number is expected."),
        ({"reach_left": True}, "a number is expected."),
        ({"skin_left": "callus"}, "a list of options is expected."),
        ({"skin_left": ("callus", "cut")}, "“cut” is not one of its answers."),
        ({"skin_left": ("callus", "intact")}, "“intact” excludes all others."),
        ({"skin_left": ()}, "at least one option is expected."),
        ({"story_left": 4}, "a text is expected."),
        ({"person_left": "yes"}, "it is answered once, without a side."),
        ({"a": "yes"}, "it is answered for left or right."),
    ],
)
def test_answers_that_cannot_be_are_told_with_what_is_wrong(answers, says):
    (misfit,) = misfits(PROTOCOL, visit(**answers))
    assert says in misfit.says
    assert not misfit.unknown_test


def test_a_test_that_the_protocol_does_not_have_is_told_apart():
    (misfit,) = misfits(PROTOCOL, visit(rech_left=4))
    assert misfit.unknown_test
    assert misfit.says == "The protocol has no test “rech”. Did you mean “reach”?"


def test_what_does_not_fit_is_left_out_of_the_case_and_counts_as_missing():
    session = visit(a_left="yess", a_right="yes", b_left="no")
    case = case_of(PROTOCOL, session)
    assert set(case.answers) == {at("a right"), at("b left")}
    summary = summarise(PROTOCOL, session)
    assert summary.feature("lift", Side.LEFT).value == 0
    assert at("a left") in [one.place for one in summary.missing]
    assert summary.feature("lift", Side.RIGHT).value == 4


def test_a_reason_why_a_test_was_not_done_is_told_in_the_words_of_the_protocol():
    session = visit().with_finding(Finding(at("a left"), NOW, not_done="pain"))
    session = session.with_finding(Finding(at("b left"), NOW, not_done="She was in a hurry."))
    reasons = {one.place: one.reason for one in summarise(PROTOCOL, session).not_done}
    assert reasons == {at("a left"): "Too painful", at("b left"): "She was in a hurry."}
