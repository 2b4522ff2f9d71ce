"""Which figure says how a test comes out again, and what is said of figures that cannot be."""

import math

import pytest
from attrs import evolve

from examwalk.protocol.exam_model import Kind
from examwalk.protocol.model import AssumedAgreement
from examwalk.protocol.reliability_model import Coefficient, Reliability
from examwalk.reasoning.agreement import Agreement, Origin, agreement_at
from examwalk.session.model import Answer
from made_protocols import TESTS, at, made

ASSUMED = {
    "graded": AssumedAgreement(Kind.GRADE, ("convention",), weighted_kappa=0.5),
    "measured": AssumedAgreement(Kind.MEASURE, ("convention",), error_in_steps=2),
}


def figure(**options) -> Reliability:
    return Reliability(statistic="some", value="printed", source="trial", **options)


def found(
    name: str, answer: Answer, *figures: Reliability, assumed=None, same_examiner=False
) -> Agreement:
    tests = tuple(evolve(test, reliability=figures) if test.id == name else test for test in TESTS)
    protocol = made(tests=tests, assumed_agreement=assumed or {})
    place = at("person" if name == "person" else f"{name} left")
    return agreement_at(protocol, place, answer, same_examiner=same_examiner)


def test_without_any_figure_an_answer_is_held():
    assert found("arch", "high") == Agreement(at("arch left"), Origin.HELD)


def test_what_is_assumed_is_marked_so():
    graded = found("arch", "high", assumed=ASSUMED)
    assert (graded.origin, graded.words) == (Origin.ASSUMED, "weighted kappa 0.5")
    measured = found("reach", 5, assumed=ASSUMED)
    assert measured.origin is Origin.ASSUMED
    assert measured.repeat.error == 2


def test_nothing_is_assumed_in_a_position_that_is_left_out():
    left_out = {"graded": evolve(ASSUMED["graded"], except_in=("seated",))}
    assert found("arch", "high", assumed=left_out).origin is Origin.HELD


def test_a_printed_error_is_taken_as_it_is():
    assert found("reach", 5, figure(standard_error=1.5)).repeat.error == 1.5


def test_a_detectable_change_gives_the_error():
    """Reurink 2013: a change of 14.69 for an error of 5.3 degrees, 21.07 for 7.6."""
    first = found("reach", 5, figure(minimal_detectable_change=14.69))
    second = found("reach", 5, figure(minimal_detectable_change=21.07))
    assert first.repeat.error == pytest.approx(5.3, abs=0.005)
    assert second.repeat.error == pytest.approx(7.6, abs=0.005)


def test_a_spread_and_an_icc_give_the_error():
    """SD 3.0 and ICC 0.97: 3.0 × √0.03 = 0.5196."""
    one = found("reach", 5, figure(standard_deviation=3.0, coefficient=0.97))
    assert one.repeat.error == pytest.approx(0.519615, abs=1e-6)


def test_a_figure_for_another_kind_of_repeat_is_borrowed_only_for_want_of_a_fitting_one():
    within = figure(standard_error=1, within_examiner=True)
    between = figure(standard_error=2)
    assert found("reach", 5, within, between).repeat.error == 2
    assert found("reach", 5, within, between).origin is Origin.PUBLISHED
    assert found("reach", 5, between, within, same_examiner=True).repeat.error == 1
    assert found("reach", 5, within).origin is Origin.BORROWED


def test_an_answer_of_the_patient_counts_whoever_asks():
    by_patient = figure(standard_error=1, by_patient=True)
    for same_examiner in (False, True):
        one = found("reach", 5, by_patient, same_examiner=same_examiner)
        assert one.origin is Origin.PUBLISHED


def test_an_icc_of_grades_is_the_kappa_with_quadratic_weights():
    icc = found("arch", "low", figure(coefficient=0.7))
    kappa = found(
        "arch", "low", figure(coefficient=0.7, coefficient_is=Coefficient.QUADRATIC_KAPPA)
    )
    assert icc.repeat == kappa.repeat
    assert icc.words == "ICC 0.7"


def test_several_options_at_once_are_held():
    assert found("skin", ("callus",), figure(coefficient=0.7)).origin is Origin.HELD


def test_a_kappa_below_zero_is_said_and_reckoned_as_chance():
    kappa = Coefficient.LINEAR_KAPPA
    one = found("arch", "low", figure(coefficient=-0.2, coefficient_is=kappa))
    assert one.faults == ("arch: an agreement of −0.2 is below chance; it is reckoned as chance.",)
    assert one.repeat.shares == pytest.approx((1 / 3, 1 / 3, 1 / 3))


def test_an_icc_without_a_spread_is_said_and_what_is_assumed_is_taken():
    one = found("reach", 5, figure(coefficient=0.9), assumed=ASSUMED)
    assert one.origin is Origin.ASSUMED
    assert "no standard deviation beside it" in one.faults[0]


def test_a_spread_of_nothing_is_said():
    one = found("reach", 5, figure(coefficient=0.9, standard_deviation=0))
    assert one.origin is Origin.HELD
    assert "do not differ" in one.faults[0]


def test_an_agreement_above_one_is_said():
    assert "more than perfect" in found("arch", "low", figure(coefficient=1.2)).faults[0]
    measured = found("reach", 5, figure(coefficient=1.2, standard_deviation=3))
    assert "more than perfect" in measured.faults[0]
    assert measured.origin is Origin.HELD


def test_figures_that_contradict_each_other_are_said_and_the_first_is_taken():
    """An error of 2 asks for a change of 5.5, not 12."""
    one = found("reach", 5, figure(standard_error=2, minimal_detectable_change=12))
    assert one.repeat.error == 2
    assert "different errors (2, 4.33)" in one.faults[0]
    consistent = found("reach", 5, figure(standard_error=2, minimal_detectable_change=5.5))
    assert consistent.faults == ()


def test_a_prevalence_counts():
    """Kappa 0.6 between two answers of 0.9 and 0.1: a yes is kept by 0.6 + 0.4 × 0.1."""
    one = found(
        "a",
        "yes",
        figure(
            coefficient=0.6,
            coefficient_is=Coefficient.KAPPA,
            prevalence={"no": 0.9, "yes": 0.1},
        ),
    )
    assert dict(zip(one.repeat.answers, one.repeat.shares, strict=True))["yes"] == (
        pytest.approx(0.64)
    )


@pytest.mark.parametrize(
    ("prevalence", "says"),
    [
        ({"low": 1}, "single answer"),
        ({"low": 0}, "single answer"),
        ({"low": 0.5, "medium": 0.5}, "never found"),
    ],
)
def test_a_prevalence_that_cannot_be_reckoned_with_is_said(prevalence, says):
    one = found("arch", "high", figure(coefficient=0.6, prevalence=prevalence))
    assert one.origin is Origin.HELD
    assert says in one.faults[0]


def test_perfect_agreement_turns_nothing():
    one = found("arch", "medium", figure(coefficient=1))
    assert one.repeat.shares == pytest.approx((0, 1, 0))
    assert math.isclose(sum(one.repeat.shares), 1)
