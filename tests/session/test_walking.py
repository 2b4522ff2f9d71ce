"""Where the exam goes next, over a short exam: a question, two sided tests, and a question."""

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from examwalk.session.model import Finding, Place, ProtocolUsed, Session, Side
from examwalk.session.walking import (
    Progress,
    first_unsettled,
    left_over,
    neighbour,
    next_after_answer,
    next_unsettled,
    other_side,
    progress,
    resume_at,
)

NOW = datetime(2026, 11, 25, 9, 12, tzinfo=UTC)
COMPLAINT = Place("complaint", Side.WHOLE)
ARCH_LEFT = Place("arch", Side.LEFT)
ARCH_RIGHT = Place("arch", Side.RIGHT)
LUNGE_LEFT = Place("lunge", Side.LEFT)
LUNGE_RIGHT = Place("lunge", Side.RIGHT)
GAIT = Place("gait", Side.WHOLE)
PLACES = (COMPLAINT, ARCH_LEFT, ARCH_RIGHT, LUNGE_LEFT, LUNGE_RIGHT, GAIT)
UNKNOWN = Place("no-longer-asked", Side.LEFT)


def visit(*answered: Place, here: Place | None = None) -> Session:
    return Session(
        id="visit",
        started=NOW,
        examiner="AB",
        patient="P-1",
        protocol=ProtocolUsed("short", "1"),
        findings=tuple(Finding(place, NOW, answer="high") for place in answered),
        here=here,
    )


class TestWhatIsLeft:
    def test_nothing_answered_leaves_every_place(self):
        assert left_over(PLACES, visit()) == PLACES

    def test_an_answer_and_a_reason_settle_a_place_but_a_note_alone_does_not(self):
        session = (
            visit(COMPLAINT)
            .with_finding(Finding(ARCH_LEFT, NOW, not_done="pain"))
            .with_finding(Finding(ARCH_RIGHT, NOW, note="cold foot"))
        )
        assert left_over(PLACES, session) == (ARCH_RIGHT, LUNGE_LEFT, LUNGE_RIGHT, GAIT)

    def test_an_answer_to_what_is_no_longer_asked_settles_nothing(self):
        assert left_over(PLACES, visit(UNKNOWN)) == PLACES

    def test_the_first_unsettled_place_is_found_behind_answered_ones(self):
        assert first_unsettled(PLACES, visit(COMPLAINT, ARCH_LEFT, LUNGE_LEFT)) == ARCH_RIGHT

    def test_nothing_is_unsettled_once_all_is_answered(self):
        assert first_unsettled(PLACES, visit(*PLACES)) is None
        assert left_over(PLACES, visit(*PLACES)) == ()


class TestNext:
    @pytest.mark.parametrize(
        ("answered", "after", "expected"),
        [
            ((), None, COMPLAINT),
            ((), COMPLAINT, ARCH_LEFT),
            ((), ARCH_LEFT, ARCH_RIGHT),
            ((ARCH_RIGHT, LUNGE_LEFT), ARCH_LEFT, LUNGE_RIGHT),
            ((), GAIT, None),
            ((GAIT,), LUNGE_RIGHT, None),
            ((COMPLAINT,), UNKNOWN, ARCH_LEFT),
        ],
    )
    def test_the_next_unsettled_place_comes_after_this_one(self, answered, after, expected):
        assert next_unsettled(PLACES, visit(*answered), after) == expected

    def test_what_was_left_out_before_is_not_next(self):
        assert next_unsettled(PLACES, visit(GAIT), LUNGE_RIGHT) is None

    @pytest.mark.parametrize(
        ("answered", "here", "expected"),
        [
            ((ARCH_LEFT,), ARCH_LEFT, ARCH_RIGHT),
            ((ARCH_RIGHT,), ARCH_RIGHT, ARCH_LEFT),
            ((ARCH_LEFT, ARCH_RIGHT), ARCH_LEFT, LUNGE_LEFT),
            ((ARCH_LEFT, ARCH_RIGHT), ARCH_RIGHT, LUNGE_LEFT),
            ((ARCH_LEFT, ARCH_RIGHT, LUNGE_LEFT), ARCH_LEFT, LUNGE_RIGHT),
            ((COMPLAINT,), COMPLAINT, ARCH_LEFT),
            ((GAIT,), GAIT, None),
            (PLACES, ARCH_LEFT, None),
            ((COMPLAINT,), UNKNOWN, ARCH_LEFT),
        ],
    )
    def test_after_an_answer_the_other_side_comes_first(self, answered, here, expected):
        assert next_after_answer(PLACES, visit(*answered), here) == expected

    @pytest.mark.parametrize(
        ("answered", "here", "expected"),
        [
            ((ARCH_LEFT, ARCH_RIGHT), ARCH_LEFT, ARCH_RIGHT),
            ((ARCH_LEFT, ARCH_RIGHT), ARCH_RIGHT, LUNGE_LEFT),
            ((ARCH_RIGHT,), ARCH_RIGHT, ARCH_LEFT),
            ((COMPLAINT,), COMPLAINT, ARCH_LEFT),
            (PLACES, ARCH_LEFT, ARCH_RIGHT),
            (PLACES, ARCH_RIGHT, None),
        ],
    )
    def test_after_a_correction_on_the_left_the_right_side_follows(self, answered, here, expected):
        assert next_after_answer(PLACES, visit(*answered), here, corrected=True) == expected

    def test_answering_what_comes_next_goes_once_through_the_whole_exam(self):
        assert walk(visit(), COMPLAINT) == list(PLACES)

    @given(st.sampled_from(PLACES), st.sets(st.sampled_from(PLACES)))
    def test_from_anywhere_the_walk_meets_open_places_only_once_each(self, start, answered):
        walked = walk(visit(*answered), start)
        assert len(set(walked)) == len(walked)
        assert not set(walked[1:]) & answered


def walk(session: Session, start: Place) -> list[Place]:
    """Answer from here on whatever comes next, and return the places in that order."""
    walked = []
    here: Place | None = start
    while here is not None:
        walked.append(here)
        session = session.with_finding(Finding(here, NOW, answer="high"))
        here = next_after_answer(PLACES, session, here)
    return walked


class TestStepping:
    @pytest.mark.parametrize(
        ("here", "step", "expected"),
        [
            (ARCH_LEFT, 1, LUNGE_LEFT),
            (ARCH_RIGHT, 1, LUNGE_RIGHT),
            (LUNGE_RIGHT, -1, ARCH_RIGHT),
            (COMPLAINT, 1, ARCH_LEFT),
            (LUNGE_RIGHT, 1, GAIT),
            (COMPLAINT, 2, LUNGE_LEFT),
            (ARCH_RIGHT, 0, ARCH_RIGHT),
            (COMPLAINT, -1, COMPLAINT),
            (ARCH_RIGHT, -9, COMPLAINT),
            (GAIT, 1, GAIT),
            (ARCH_LEFT, 9, GAIT),
            (UNKNOWN, 1, COMPLAINT),
            (UNKNOWN, -1, COMPLAINT),
        ],
    )
    def test_a_step_goes_by_tests_keeps_the_side_and_stops_at_the_ends(self, here, step, expected):
        assert neighbour(PLACES, here, step) == expected

    def test_a_test_on_one_side_only_is_entered_on_that_side(self):
        assert neighbour((ARCH_LEFT, LUNGE_RIGHT), ARCH_LEFT, 1) == LUNGE_RIGHT

    def test_without_any_places_one_stays_where_one_is(self):
        assert neighbour((), ARCH_LEFT, 1) == ARCH_LEFT

    def test_the_other_side_is_the_same_test(self):
        assert other_side(PLACES, ARCH_LEFT) == ARCH_RIGHT
        assert other_side(PLACES, ARCH_RIGHT) == ARCH_LEFT

    def test_what_is_asked_once_has_no_other_side(self):
        assert other_side(PLACES, GAIT) == GAIT
        assert other_side((ARCH_LEFT, GAIT), ARCH_LEFT) == ARCH_LEFT


class TestResuming:
    def test_the_exam_goes_on_where_it_was_left(self):
        assert resume_at(PLACES, visit(here=LUNGE_LEFT)) == LUNGE_LEFT

    def test_a_place_that_was_left_answered_is_still_where_it_was_left(self):
        assert resume_at(PLACES, visit(LUNGE_LEFT, here=LUNGE_LEFT)) == LUNGE_LEFT

    @pytest.mark.parametrize("here", [None, UNKNOWN])
    def test_else_it_goes_on_at_the_first_unsettled_place(self, here):
        assert resume_at(PLACES, visit(COMPLAINT, ARCH_LEFT, here=here)) == ARCH_RIGHT

    def test_else_at_the_last_place(self):
        assert resume_at(PLACES, visit(*PLACES)) == GAIT

    def test_where_nothing_is_asked_there_is_nowhere_to_go(self):
        assert resume_at((), visit()) is None


class TestProgress:
    def test_a_test_is_done_once_both_sides_are_settled(self):
        session = visit(COMPLAINT, ARCH_LEFT, ARCH_RIGHT, LUNGE_LEFT)
        assert progress(PLACES, session, ("arch", "lunge")) == Progress(done=1, total=2)

    def test_tests_that_are_not_asked_do_not_count(self):
        assert progress(PLACES, visit(GAIT), ("gait", "hop")) == Progress(done=1, total=1)

    def test_a_position_without_tests_has_no_progress(self):
        assert progress(PLACES, visit(), ()) == Progress(done=0, total=0)
