"""What counts as a change between two visits, and what does not."""

from datetime import UTC, datetime, timedelta
from typing import ClassVar

import pytest
from attrs import evolve

from examwalk.protocol.caution_model import Caution
from examwalk.protocol.change_model import Better, ImportantChange
from examwalk.protocol.condition_model import Condition, DeviceEffect
from examwalk.protocol.derived_model import Derived
from examwalk.protocol.exam_model import Option, Scale
from examwalk.protocol.feature_model import Effect
from examwalk.protocol.key_types import Sides
from examwalk.protocol.reliability_model import Coefficient, Reliability
from examwalk.reasoning.cautions_compared import CautionCourse
from examwalk.reasoning.comparing import (
    Change,
    Comparison,
    Ground,
    Judgement,
    Visit,
    compare,
    refusal,
)
from examwalk.reasoning.detectable import detectable_change
from examwalk.reasoning.results import FeatureStatus
from examwalk.reasoning.same_meaning import Unlike
from examwalk.session.model import Finding, Place, ProtocolUsed, Session, Side, State
from made_protocols import FRAME, amount, graded, is_yes, made, measured, rule

LEFT, WHOLE = Side.LEFT, Side.WHOLE
BEGUN = datetime(2026, 3, 2, 9, tzinfo=UTC)
POWDEN = (
    Reliability("ICC", "0.80 to 0.99", "trial", minimal_detectable_change=1.6),
    Reliability(
        "ICC", "0.65 to 0.99", "trial", within_examiner=True, minimal_detectable_change=1.9
    ),
)
"""Powden 2015, doi 10.1016/j.math.2015.01.004: the lunge, 1.6 cm between, 1.9 cm within."""


def a_visit(protocol, answers, week=0, examiner="AB", state=State.FINISHED, patient="P-1"):
    """Make a visit in a week; answers go by ``"test"``, left where the test has sides."""
    at = BEGUN + timedelta(weeks=week)
    findings = tuple(
        Finding(Place(name, _side(protocol, name)), at, answer=answer)
        for name, answer in answers.items()
    )
    used = ProtocolUsed("made", protocol.identity.version)
    return Visit(
        Session(f"v{week}", at, examiner, patient, used, state=state, findings=findings), protocol
    )


def _side(protocol, name):
    test = protocol.tests_by_id.get(name) or FRAME.tests_by_id[name]
    return WHOLE if test.sides is Sides.ONCE else LEFT


def compared(protocol, first, last, examiner="AB", **options) -> Comparison:
    visits = [a_visit(protocol, first), a_visit(protocol, last, 12, examiner, **options)]
    return compare(visits)


def the_change(comparison: Comparison, name: str) -> Change:
    (change,) = [one for one in comparison.changes if one.id == name]
    return change


def lunging(figures=POWDEN, **options):
    return made(tests=(*FRAME.tests, measured("lunge", (0, 25), reliability=figures, **options)))


class TestDetectableChange:
    # Reurink 2013, PMID 23735425: SEM 5.3 and 7.6 degrees, printed MDC 15 and 21.
    @pytest.mark.parametrize(("error", "worked", "printed"), [(5.3, 14.69, 15), (7.6, 21.07, 21)])
    def test_it_follows_from_the_standard_error_as_published_pairs_do(self, error, worked, printed):
        figure = Reliability("SEM", str(error), "trial", standard_error=error)
        change = detectable_change(figure)
        assert change == pytest.approx(worked, abs=0.005)
        assert round(change) == printed

    def test_it_follows_from_spread_and_icc(self):
        # By hand: SEM = 3.0 · √0.03 = 0.519615, times 2.771859.
        figure = Reliability("ICC", "0.97", "trial", standard_deviation=3.0, coefficient=0.97)
        assert detectable_change(figure) == pytest.approx(1.440300, abs=1e-6)

    def test_a_printed_change_outweighs_one_that_is_worked_out(self):
        # A paper of 2007 prints SEM 2 and MDC 4, though the formula gives 5.54 from it.
        figure = Reliability("SEM", "2", "trial", standard_error=2, minimal_detectable_change=4)
        assert detectable_change(figure) == 4

    def test_a_kappa_beside_a_spread_gives_no_error(self):
        figure = Reliability(
            "kappa",
            "0.9",
            "trial",
            standard_deviation=3.0,
            coefficient=0.9,
            coefficient_is=Coefficient.KAPPA,
        )
        assert detectable_change(figure) is None


class TestNumbers:
    @pytest.mark.parametrize(
        ("first", "last", "judgement"),
        [
            (8.0, 10.0, Judgement.REAL),
            (8.0, 9.8, Judgement.WITHIN_ERROR),
            (8.0, 9.9, Judgement.REAL),  # as large as the detectable change
            (10.0, 8.1, Judgement.REAL),
            (8.0, 8.0, Judgement.UNCHANGED),
        ],
    )
    def test_one_examiner_is_weighed_against_the_error_within(self, first, last, judgement):
        change = the_change(compared(lunging(), {"lunge": first}, {"lunge": last}), "lunge")
        assert change.judgement is judgement
        if judgement is not Judgement.UNCHANGED:
            assert change.detectable.change == 1.9

    def test_two_examiners_are_weighed_against_the_error_between(self):
        comparison = compared(lunging(), {"lunge": 8.0}, {"lunge": 9.6}, examiner="CD")
        change = the_change(comparison, "lunge")
        assert comparison.same_examiner is False
        assert (change.judgement, change.detectable.change) == (Judgement.REAL, 1.6)

    @pytest.mark.parametrize(("initials", "same"), [("ab ", True), ("CD", False), ("", None)])
    def test_the_same_initials_are_the_same_examiner(self, initials, same):
        comparison = compared(lunging(), {"lunge": 8}, {"lunge": 9}, examiner=initials)
        assert comparison.same_examiner is same

    def test_two_examiners_with_only_one_examiners_error_cannot_be_told_apart_from_it(self):
        protocol = lunging(POWDEN[1:])
        far, near = (
            the_change(compared(protocol, {"lunge": 8}, {"lunge": last}, examiner="CD"), "lunge")
            for last in (12, 9)
        )
        assert (far.judgement, far.ground) == (Judgement.UNJUDGED, Ground.OTHER_EXAMINER)
        assert near.judgement is Judgement.WITHIN_ERROR

    def test_a_number_without_any_published_error_cannot_be_judged(self):
        change = the_change(compared(lunging(()), {"lunge": 2}, {"lunge": 20}), "lunge")
        assert (change.judgement, change.ground) == (Judgement.UNJUDGED, Ground.NO_FIGURE)
        assert change.difference == 18


# Pain of 0 to 10: detectable change 1.77 (doi 10.1055/a-1304-3677); 2 points or more matter
# (Salaffi 2004, doi 10.1016/j.ejpain.2003.09.004).
PAIN = made(
    tests=(
        *FRAME.tests,
        measured(
            "pain",
            reliability=(
                Reliability(
                    "MDC", "1.77", "trial", by_patient=True, minimal_detectable_change=1.77
                ),
            ),
            important_change=ImportantChange(2, Better.LOWER, "trial"),
        ),
    )
)


@pytest.mark.parametrize("examiner", ["AB", "CD", ""])
@pytest.mark.parametrize(
    ("last", "judgement", "matters", "better"),
    [
        (6, Judgement.UNCHANGED, False, None),
        (5, Judgement.WITHIN_ERROR, False, True),
        (4, Judgement.REAL, True, True),
        (9, Judgement.REAL, True, False),
    ],
)
def test_pain_is_weighed_the_same_whoever_asks(examiner, last, judgement, matters, better):
    change = the_change(compared(PAIN, {"pain": 6}, {"pain": last}, examiner), "pain")
    assert (change.judgement, change.matters, change.is_better) == (judgement, matters, better)


class TestGrades:
    @pytest.mark.parametrize(
        ("last", "judgement", "ground"),
        [
            ("medium", Judgement.WITHIN_ERROR, Ground.ONE_GRADE),
            ("high", Judgement.REAL, Ground.MORE_GRADES),
            ("low", Judgement.UNCHANGED, Ground.NONE),
        ],
    )
    def test_one_grade_is_examiner_error_where_no_figure_is_published(
        self, last, judgement, ground
    ):
        change = the_change(compared(made(), {"arch": "low"}, {"arch": last}), "arch")
        assert (change.judgement, change.ground) == (judgement, ground)

    @pytest.mark.parametrize(
        ("last", "judgement"),
        [("medium", Judgement.WITHIN_ERROR), ("high", Judgement.UNJUDGED)],
    )
    def test_agreement_at_chance_makes_no_change_of_grade_real(self, last, judgement):
        # Jarvis 2012, J Foot Ankle Res 5:14: Fleiss kappa of first-ray tests below 0.05.
        figures = (Reliability("Fleiss kappa", "below 0.05", "trial", coefficient=0.05),)
        protocol = made(tests=(graded("ray", reliability=figures),))
        change = the_change(compared(protocol, {"ray": "low"}, {"ray": last}), "ray")
        assert (change.judgement, change.ground) == (judgement, Ground.AT_CHANCE)

    def test_a_published_change_in_grades_outweighs_the_convention(self):
        figures = (Reliability("MDC", "1", "trial", minimal_detectable_change=1),)
        protocol = made(tests=(graded("ray", reliability=figures),))
        change = the_change(compared(protocol, {"ray": "low"}, {"ray": "medium"}), "ray")
        assert change.judgement is Judgement.REAL


def test_options_in_another_order_are_the_same_answer():
    protocol = made()
    same = compared(protocol, {"skin": ("callus", "wound")}, {"skin": ("wound", "callus")})
    assert the_change(same, "skin").judgement is Judgement.UNCHANGED
    other = compared(protocol, {"skin": ("callus",)}, {"skin": ("wound",)})
    assert the_change(other, "skin").judgement is Judgement.OTHERWISE


def test_what_was_answered_once_is_neither_real_nor_unchanged():
    comparison = compared(made(), {"arch": "low"}, {"reach": 4})
    for name in ("arch", "reach"):
        assert the_change(comparison, name).judgement is Judgement.ONE_VISIT_ONLY


def test_real_changes_are_told_before_those_that_cannot_be_judged_and_those_within_error():
    first = {"arch": "low", "lunge": 8, "reach": 1, "a": "no", "b": "no", "c": "no"}
    last = {"arch": "medium", "lunge": 12, "reach": 4, "a": "yes", "b": "no", "d": "no"}
    told = [change.id for change in compared(lunging(), first, last).changes]
    assert told == ["lunge", "a", "reach", "arch", "c", "d", "b"]


def test_an_impossible_answer_in_a_file_is_not_compared():
    comparison = compared(made(), {"reach": 99}, {"reach": 4})
    assert the_change(comparison, "reach").judgement is Judgement.ONE_VISIT_ONLY


class TestWhoIsCompared:
    def test_visits_of_two_patients_are_refused(self):
        sessions = [a_visit(made(), {}, week, patient=f"P-{week}").session for week in (1, 2)]
        assert "different patients (P-1, P-2)" in refusal(sessions)
        with pytest.raises(ValueError, match="different patients"):
            compare([Visit(session, made()) for session in sessions])

    def test_one_visit_alone_and_one_visit_twice_are_refused(self):
        visit = a_visit(made(), {}).session
        assert "Two visits or more" in refusal([visit])
        assert "v0 is named twice" in refusal([visit, visit])

    def test_visits_are_put_in_the_order_in_which_they_began(self):
        late, early = a_visit(lunging(), {"lunge": 12}, 9), a_visit(lunging(), {"lunge": 8}, 1)
        comparison = compare([late, early])
        assert [visit.session.id for visit in comparison.visits] == ["v1", "v9"]
        assert the_change(comparison, "lunge").difference == 4

    def test_the_first_is_compared_with_the_last_and_those_between_are_kept(self):
        visits = [a_visit(lunging(), {"lunge": 8 + week}, week) for week in (0, 1, 3)]
        change = the_change(compare(visits), "lunge")
        assert (change.values, change.difference) == ((8, 9, 11), 3)


class TestTwoProtocols:
    def changed(self, **tables):
        return evolve(FRAME, identity=evolve(FRAME.identity, version="2"), **tables)

    def between(self, later, answers):
        return compare([a_visit(made(), answers), a_visit(later, answers, 5)])

    def test_other_words_leave_a_test_the_same(self):
        tests = tuple(
            evolve(test, title=f"{test.id} anew", how=("Gently.",)) for test in FRAME.tests
        )
        comparison = self.between(self.changed(tests=tests), {"arch": "low", "reach": 3})
        assert comparison.incomparable == ()
        assert the_change(comparison, "reach").judgement is Judgement.UNCHANGED

    @pytest.mark.parametrize(
        ("name", "answer", "tables", "unlike"),
        [
            ("arch", "low", {"scales": {"three": Scale(("low", "high", "medium"))}}, Unlike.SCALE),
            ("reach", 3, {"unit": "cm"}, Unlike.UNIT),
            ("reach", 3, {"sides": Sides.ONCE}, Unlike.SIDES),
            ("a", "no", {"options": {"no": Option("No"), "maybe": Option("?")}}, Unlike.OPTIONS),
        ],
    )
    def test_another_meaning_is_said_and_not_compared(self, name, answer, tables, unlike):
        if "scales" not in tables:
            tests = [evolve(test, **tables) if test.id == name else test for test in FRAME.tests]
            tables = {"tests": tuple(tests)}
        comparison = compare(
            [a_visit(made(), {name: answer}), a_visit(self.changed(**tables), {}, 5)]
        )
        assert [(one.title, one.unlike) for one in comparison.incomparable] == [(name, unlike)]
        assert [change.id for change in comparison.changes] == []

    def test_a_test_that_only_one_protocol_has_was_answered_at_one_visit(self):
        later = self.changed(tests=tuple(test for test in FRAME.tests if test.id != "arch"))
        first = a_visit(made(), {"arch": "low", "reach": 3})
        comparison = compare([first, a_visit(later, {"reach": 3}, 5)])
        assert the_change(comparison, "arch").judgement is Judgement.ONE_VISIT_ONLY
        assert the_change(comparison, "reach").judgement is Judgement.UNCHANGED


def summing(*inputs, **options):
    derived = Derived("total", "Total", "sum", ("trial",), inputs=inputs, **options)
    return made(
        tests=(graded("one"), graded("two"), measured("reach", reliability=POWDEN)),
        derived=(derived,),
    )


class TestDerivedValues:
    FIGURES = (Reliability("ICC(2,1)", "0.86", "trial", standard_deviation=2.93, coefficient=0.86),)
    """Spread of Gijon-Nogueron 2016, agreement of Vaughan 2016: by hand 2.771859 · 2.93 · √0.14 =
    3.0389."""

    def test_a_derived_value_is_weighed_against_its_own_error(self):
        protocol = summing("one", "two", "reach", reliability=self.FIGURES)
        first = {"one": "low", "two": "low", "reach": 1}
        last = {"one": "high", "two": "high", "reach": 1}
        change = the_change(compared(protocol, first, last, examiner="CD"), "total")
        assert (change.difference, change.judgement) == (4, Judgement.REAL)
        assert change.detectable.change == pytest.approx(3.0389, abs=1e-4)
        assert change.detectable.worked_out

    def test_three_points_of_it_are_within_error(self):
        protocol = summing("one", "two", "reach", reliability=self.FIGURES)
        first = {"one": "low", "two": "low", "reach": 1}
        last = {"one": "high", "two": "medium", "reach": 1}
        change = the_change(compared(protocol, first, last, examiner="CD"), "total")
        assert (change.difference, change.judgement) == (3, Judgement.WITHIN_ERROR)

    def test_without_a_figure_it_is_error_only_where_one_finding_moved_within_error(self):
        protocol = summing("one", "two")
        first = {"one": "low", "two": "low"}
        once = the_change(compared(protocol, first, {"one": "medium", "two": "low"}), "total")
        both = the_change(compared(protocol, first, {"one": "medium", "two": "medium"}), "total")
        far = the_change(compared(protocol, first, {"one": "high", "two": "low"}), "total")
        assert (once.judgement, once.ground) == (Judgement.WITHIN_ERROR, Ground.ONE_INPUT)
        assert (both.judgement, both.ground) == (Judgement.UNJUDGED, Ground.NO_FIGURE)
        assert (far.judgement, far.ground) == (Judgement.UNJUDGED, Ground.NO_FIGURE)

    def test_one_that_is_worked_out_in_another_way_is_not_compared(self):
        answers = {"one": "low", "two": "low", "reach": 2}
        visits = [a_visit(summing("one", "two"), answers)]
        visits.append(a_visit(summing("one", "reach"), answers, 3))
        (unlike,) = compare(visits).incomparable
        assert (unlike.title, unlike.unlike) == ("Total", Unlike.CALCULATION)


def caution(name, urgency="routine"):
    return Caution(
        name, name.capitalize(), is_yes(name), urgency, DeviceEffect.ALLOW, "Look.", ("trial",)
    )


CAUTIOUS = made(cautions=(caution("a"), caution("b"), caution("c", "urgent"), caution("d")))


class TestCautions:
    def test_new_ones_come_first_and_one_is_gone_only_where_it_is_excluded(self):
        comparison = compared(
            CAUTIOUS,
            {"a": "yes", "b": "yes", "c": "no", "d": "yes"},
            {"a": "yes", "b": "no", "c": "yes"},
        )
        told = [(one.raised.id, one.course) for one in comparison.cautions]
        assert told == [
            ("c", CautionCourse.NEW),
            ("a", CautionCourse.STILL),
            ("d", CautionCourse.OPEN),
            ("b", CautionCourse.GONE),
        ]

    def test_of_new_ones_the_most_urgent_comes_first(self):
        comparison = compared(CAUTIOUS, {}, {"a": "yes", "c": "yes"})
        assert [one.raised.id for one in comparison.cautions] == ["c", "a"]

    def test_one_that_the_later_protocol_does_not_know_was_not_looked_for(self):
        visits = [a_visit(CAUTIOUS, {"a": "yes"}), a_visit(made(), {"a": "yes"}, 4)]
        (change,) = compare(visits).cautions
        assert change.course is CautionCourse.NOT_ASKED


LIFTING = made(
    features=(amount(), amount("wedge")),
    rules=(rule("stiff", Effect("lift", add=4), when="a"),),
)


def test_only_recommendations_that_differ_are_told_with_both_values():
    (change,) = compared(LIFTING, {"a": "no"}, {"a": "yes"}).features
    assert (change.id, change.side) == ("lift", LEFT)
    assert [(one.status, one.value) for one in change.results] == [
        (FeatureStatus.RECOMMENDED, 0),
        (FeatureStatus.RECOMMENDED, 4),
    ]


class TestAnOpenVisit:
    """An examiner must not see an earlier answer before her own is in."""

    FIRST: ClassVar = {"arch": "low", "reach": 2, "a": "yes", "b": "yes"}

    def test_nothing_is_told_of_what_it_has_not_answered(self):
        comparison = compared(CAUTIOUS, self.FIRST, {"arch": "low"}, state=State.OPEN)
        assert [change.id for change in comparison.changes] == ["arch"]
        assert comparison.cautions == ()
        # Three answers, and two cautions that they raised.
        assert comparison.held_back == 5

    def test_what_it_has_answered_is_compared(self):
        last = {"arch": "high", "a": "no"}
        comparison = compared(CAUTIOUS, self.FIRST, last, state=State.OPEN)
        assert the_change(comparison, "arch").judgement is Judgement.REAL
        assert [one.raised.id for one in comparison.cautions] == ["a"]

    def test_a_recommendation_that_can_still_change_is_not_set_against_the_earlier_one(self):
        still = compared(LIFTING, {"a": "yes"}, {}, state=State.OPEN)
        assert (still.features, still.held_back) == ((), 2)
        (change,) = compared(LIFTING, {"a": "yes"}, {"a": "no"}, state=State.OPEN).features
        assert change.id == "lift"

    def test_a_finished_one_tells_all(self):
        comparison = compared(CAUTIOUS, self.FIRST, {"arch": "low"})
        assert {change.id for change in comparison.changes} == {"arch", "reach", "a", "b"}
        assert comparison.held_back == 0


def test_a_derived_value_waits_for_an_open_visit_too():
    protocol = evolve(summing("one", "two"))
    first = {"one": "low", "two": "low"}
    comparison = compared(protocol, first, {"one": "low"}, state=State.OPEN)
    assert [change.id for change in comparison.changes] == ["one"]


def test_a_condition_that_leaves_a_value_out_makes_it_one_of_one_visit():
    protocol = summing("one", "two", when=Condition(test="one", is_="low"))
    comparison = compared(protocol, {"one": "low", "two": "low"}, {"one": "high", "two": "low"})
    assert the_change(comparison, "total").judgement is Judgement.ONE_VISIT_ONLY
