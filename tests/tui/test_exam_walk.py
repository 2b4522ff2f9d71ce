"""One key for each answer, and the cursor goes where the next hand movement is."""

import random

import pytest
from screen_text import ticking_clock
from small_protocol import SMALL, small_protocol

from examwalk.session.model import Place, Side
from examwalk.session.storing import read_session
from examwalk.tui.exam_walk import ExamWalk
from examwalk.tui.open_visit import FINISHED, OpenVisit

LEFT, RIGHT, WHOLE = Side.LEFT, Side.RIGHT, Side.WHOLE


@pytest.fixture
def walk(tmp_path):
    return begin(tmp_path)


def begin(folder, text=SMALL):
    loaded = small_protocol(folder, text)
    visit = OpenVisit.start(
        folder / "sessions", loaded, "P-0042", "AB", ticking_clock(), random.Random(1)
    )
    return ExamWalk(visit)


def at(walk, test, side=LEFT):
    walk.go(Place(test, side))
    return walk


def answers(walk):
    return {str(place): answer for place, answer in walk.visit.session.answers.items()}


def test_the_exam_begins_with_the_first_test_on_the_left_and_nothing_is_filled_in(walk):
    assert walk.here == Place("hot-foot", LEFT)
    assert walk.visit.session.findings == ()
    assert walk.cursor.pointed is None


def test_walking_past_every_test_and_back_records_nothing(walk):
    tests = {place.test for place in walk.visit.case.places}
    passed = set()
    for step in (*[1] * len(tests), *[-1] * len(tests)):
        passed.add(walk.here.test)
        walk.step(step)
    assert passed == tests
    assert walk.visit.session.findings == ()
    assert walk.visit.case.answers == {}


def test_one_key_records_and_goes_to_the_other_side_then_to_the_next_test(walk):
    walk.answer("1")
    assert answers(walk) == {"hot-foot (left)": "no"}
    assert walk.here == Place("hot-foot", RIGHT)
    walk.answer("1")
    assert walk.here == Place("skin", LEFT)


def test_two_keys_typed_in_one_go_correct_both_sides_and_no_other_test(walk):
    at(walk, "resistance").answer("3")
    walk.answer("3")
    at(walk, "resistance").answer("1")
    assert walk.here == Place("resistance", RIGHT)
    assert walk.said.sentence == "Changed: Supination resistance, left: easy (before: hard)"
    walk.answer("2")
    assert answers(walk) == {"resistance (left)": "easy", "resistance (right)": "middling"}
    assert walk.here.test != "resistance"


def test_the_same_answer_again_is_not_called_a_change(walk):
    at(walk, "resistance").answer("3")
    at(walk, "resistance").answer("3")
    assert walk.said.sentence == "Recorded: Supination resistance, left: hard"


def test_after_a_correction_on_the_left_enter_leaves_the_right_side_as_it_is(walk):
    at(walk, "resistance").answer("3")
    walk.answer("3")
    at(walk, "resistance").not_done("pain", both_sides=False)
    assert walk.said.sentence.endswith("(before: hard)")
    assert walk.here == Place("resistance", RIGHT)
    walk.accept()
    assert walk.here.test != "resistance"
    assert answers(walk) == {"resistance (right)": "hard"}


def test_after_the_right_side_an_open_left_side_comes_first(walk):
    at(walk, "resistance", RIGHT).answer("2")
    assert walk.here == Place("resistance", LEFT)


def test_the_answer_is_on_disk_before_the_next_key(walk):
    walk.answer("2")
    stored = read_session(walk.visit.path)
    assert stored.answers == {Place("hot-foot", LEFT): "yes"}
    assert stored.here == Place("hot-foot", RIGHT)


def test_a_key_without_an_answer_records_nothing_and_names_the_keys(walk):
    walk.answer("7")
    assert walk.visit.session.findings == ()
    assert walk.said.is_refusal
    assert walk.said.sentence == "There is no answer 7 here: the keys are 1 to 2."


def test_a_strength_scale_from_nought_is_answered_with_its_own_figures(walk):
    at(walk, "strength").answer("0")
    assert answers(walk) == {"strength (left)": "none"}
    walk.answer("3")
    assert walk.said.is_refusal
    assert walk.said.sentence.endswith("the keys are 0 to 2.")


def test_a_scale_with_negative_scores_is_numbered_from_one(walk):
    at(walk, "posture").answer("1")
    assert answers(walk) == {"posture (left)": "supinated"}


def test_options_are_ticked_until_enter_accepts_them_in_the_order_of_the_file(walk):
    at(walk, "skin").answer("3")
    walk.answer("2")
    assert walk.visit.session.findings == ()
    walk.accept()
    assert answers(walk) == {"skin (left)": ("callus", "crack")}


def test_a_ticked_option_can_be_unticked(walk):
    at(walk, "skin").answer("3")
    walk.answer("2")
    walk.answer("3")
    walk.accept()
    assert answers(walk) == {"skin (left)": ("callus",)}


def test_an_option_that_stands_alone_is_recorded_at_once_and_excludes_the_others(walk):
    at(walk, "skin").answer("2")
    walk.answer("1")
    assert answers(walk) == {"skin (left)": ("intact",)}
    assert walk.here == Place("skin", RIGHT)
    assert not walk.visit.drafts


def test_ticking_another_option_takes_away_the_one_that_stands_alone(walk):
    at(walk, "skin").answer("1")
    at(walk, "skin").answer("2")
    walk.accept()
    assert answers(walk) == {"skin (left)": ("callus",)}


def test_accepting_nothing_says_so(walk):
    at(walk, "skin").accept()
    assert walk.visit.session.findings == ()
    assert walk.said.sentence.startswith("Nothing is ticked")
    at(walk, "skin").answer("2")
    walk.answer("2")
    walk.accept()
    assert walk.visit.session.findings == ()
    assert walk.said.is_refusal


def test_a_number_is_typed_and_accepted(walk):
    at(walk, "lunge")
    for key in "12":
        walk.answer(key)
    walk.type(",")
    walk.answer("5")
    walk.accept()
    assert answers(walk) == {"lunge (left)": 12.5}
    assert walk.here == Place("lunge", RIGHT)


def test_a_refused_number_stays_in_the_field_and_is_not_recorded(walk):
    at(walk, "lunge").answer("9")
    walk.answer("9")
    walk.accept()
    assert walk.visit.session.findings == ()
    assert walk.said.is_refusal
    assert walk.visit.drafts.typed(walk.here) == "99"


def test_an_unlikely_number_is_asked_about_once(walk):
    at(walk, "lunge").answer("1")
    walk.accept()
    assert walk.said.sentence.startswith("Surely 1.0 cm?")
    assert walk.visit.session.findings == ()
    walk.accept()
    assert answers(walk) == {"lunge (left)": 1.0}


def test_a_doubt_counts_for_that_number_only(walk):
    at(walk, "lunge").answer("1")
    walk.accept()
    walk.type("backspace")
    walk.type("0")
    walk.type(".")
    walk.answer("5")
    walk.accept()
    assert walk.visit.session.findings == ()
    assert "Surely 0.5 cm?" in walk.said.sentence


def test_a_doubt_is_asked_again_after_the_number_was_touched(walk):
    at(walk, "lunge").answer("1")
    walk.accept()
    walk.type("backspace")
    walk.answer("1")
    walk.accept()
    assert walk.visit.session.findings == ()


def test_what_is_typed_on_one_side_waits_there_while_the_other_is_looked_at(walk):
    at(walk, "lunge").answer("7")
    walk.other_side()
    assert walk.visit.drafts.typed(walk.here) == ""
    walk.other_side()
    assert walk.visit.drafts.typed(walk.here) == "7"


def test_words_are_recorded_clean_and_on_one_line(walk):
    at(walk, "story", WHOLE).write("  it\nhurts\x1b  here ")
    assert answers(walk) == {"story": "it hurts\ufffd here"}


def test_empty_words_are_no_answer(walk):
    at(walk, "story", WHOLE).write("  ")
    assert walk.visit.session.findings == ()
    assert walk.said.is_refusal


def test_the_pointer_walks_through_the_grades_without_recording(walk):
    at(walk, "resistance")
    seen = []
    for _ in range(4):
        walk.look(1)
        seen.append(walk.cursor.pointed)
    assert seen == [0, 1, 2, 0]
    walk.look(-1)
    assert walk.cursor.pointed == 2
    assert walk.visit.session.findings == ()


def test_enter_records_the_grade_at_the_pointer(walk):
    at(walk, "resistance").look(-1)
    walk.accept()
    assert answers(walk) == {"resistance (left)": "hard"}
    assert walk.cursor.pointed is None


def test_enter_without_a_pointer_records_nothing(walk):
    at(walk, "resistance").accept()
    assert walk.visit.session.findings == ()
    assert walk.said.is_refusal


def test_enter_on_a_recorded_answer_goes_on_and_changes_nothing(walk):
    at(walk, "lunge").answer("9")
    walk.accept()
    at(walk, "lunge").accept()
    assert walk.here == Place("lunge", RIGHT)
    assert answers(walk) == {"lunge (left)": 9.0}


def test_space_ticks_the_option_at_the_pointer(walk):
    at(walk, "skin").look(1)
    walk.look(1)
    walk.tick()
    walk.accept()
    assert answers(walk) == {"skin (left)": ("callus",)}


def test_a_test_that_an_answer_calls_for_is_asked_on_that_side_only(walk):
    at(walk, "skin", RIGHT).answer("3")
    walk.accept()
    at(walk, "skin").answer("1")
    places = [str(place) for place in walk.visit.case.places]
    assert "crack-depth (right)" in places
    assert "crack-depth (left)" not in places
    at(walk, "crack-depth", RIGHT).side(LEFT)
    assert walk.here == Place("crack-depth", RIGHT)


def test_not_done_keeps_its_reason_and_goes_on(walk):
    at(walk, "resistance").not_done("pain", both_sides=False)
    finding = walk.visit.session.finding(Place("resistance", LEFT))
    assert (finding.answer, finding.not_done) == (None, "pain")
    assert walk.here == Place("resistance", RIGHT)
    assert walk.said.sentence.endswith("not done: Too painful")


def test_not_done_on_both_sides_goes_to_the_next_test(walk):
    at(walk, "resistance", RIGHT).not_done("pain", both_sides=True)
    assert {str(finding.place) for finding in walk.visit.session.findings} == {
        "resistance (left)",
        "resistance (right)",
    }
    assert walk.here == Place("jack", LEFT)


def test_a_note_keeps_the_answer_and_an_answer_keeps_the_note(walk):
    at(walk, "resistance").note("guarded")
    walk.answer("3")
    at(walk, "resistance").note("guarded, twice")
    finding = walk.visit.session.finding(Place("resistance", LEFT))
    assert (finding.answer, finding.note) == ("hard", "guarded, twice")
    assert walk.here == Place("resistance", LEFT)


def test_a_note_alone_leaves_the_test_open(walk):
    at(walk, "resistance").note("later")
    walk.answer("2")
    at(walk, "jack").note("later")
    at(walk, "resistance", RIGHT).answer("2")
    assert walk.here == Place("jack", LEFT)


def test_undo_goes_back_to_where_the_answer_was_given(walk):
    at(walk, "resistance").answer("3")
    at(walk, "posture", RIGHT)
    walk.undo()
    assert walk.here == Place("resistance", LEFT)
    assert walk.visit.session.findings == ()
    assert walk.said.sentence == "Taken back: Supination resistance, left: hard."


def test_undo_takes_back_answer_after_answer_to_the_start(walk):
    for key in ("1", "2", "2", "3"):
        walk.answer(key)
    walk.accept()
    for _ in range(3):
        walk.undo()
    assert walk.visit.session.findings == ()
    walk.undo()
    assert "nothing to take back" in walk.said.sentence


def test_undo_of_a_changed_answer_brings_the_earlier_one_back(walk):
    at(walk, "resistance").answer("3")
    at(walk, "resistance").answer("1")
    walk.undo()
    assert answers(walk) == {"resistance (left)": "hard"}


def test_clear_leaves_the_test_as_if_not_reached(walk):
    at(walk, "resistance").answer("3")
    at(walk, "resistance").clear()
    assert walk.visit.session.findings == ()
    assert walk.here == Place("resistance", LEFT)
    walk.undo()
    assert answers(walk) == {"resistance (left)": "hard"}


def test_going_back_and_forth_moves_by_test_and_keeps_the_side(walk):
    at(walk, "resistance", RIGHT).step(1)
    assert walk.here == Place("jack", RIGHT)
    walk.step(-1)
    assert walk.here == Place("resistance", RIGHT)


def test_at_either_end_it_says_so(walk):
    walk.step(-1)
    assert walk.here == Place("hot-foot", LEFT)
    assert "first test" in walk.said.sentence
    at(walk, "crack-depth").step(1)
    assert walk.here == Place("crack-depth", LEFT)
    assert "last test" in walk.said.sentence


def test_a_new_cross_check_is_fresh_until_the_next_answer(walk):
    at(walk, "resistance").answer("3")
    at(walk, "jack").answer("1")
    assert ("hard-but-easy", LEFT) in walk.fresh
    walk.answer("2")
    assert not walk.fresh


def test_look_again_goes_to_the_first_test_to_recheck_and_then_round(walk):
    at(walk, "resistance").answer("3")
    at(walk, "jack").answer("1")
    at(walk, "lunge")
    walk.look_again()
    assert walk.here == Place("resistance", LEFT)
    walk.look_again()
    assert walk.here == Place("jack", LEFT)
    walk.look_again()
    assert walk.here == Place("resistance", LEFT)


def test_what_was_replied_to_is_not_gone_to_again_until_an_answer_of_it_changes(walk):
    at(walk, "resistance").answer("3")
    at(walk, "jack").answer("1")
    walk.visit.reply("hard-but-easy", LEFT, "Both felt twice.")
    at(walk, "lunge").look_again()
    assert walk.said.sentence == "No findings disagree."
    at(walk, "jack").answer("2")
    at(walk, "jack").answer("1")
    at(walk, "lunge").look_again()
    assert walk.here == Place("resistance", LEFT)


def test_look_again_with_nothing_to_look_at_stays(walk):
    walk.look_again()
    assert walk.here == Place("hot-foot", LEFT)
    assert walk.said.sentence == "No findings disagree."


def test_the_walk_is_over_after_the_last_test(walk):
    at(walk, "lunge").answer("9")
    walk.accept()
    assert not walk.is_over
    walk.answer("9")
    at(walk, "crack-depth").not_done("refused", both_sides=True)
    assert walk.is_over


def test_the_walk_is_taken_up_where_it_was_left(walk):
    at(walk, "posture", RIGHT)
    reopened = OpenVisit.open(walk.visit.path, ticking_clock())
    assert ExamWalk(reopened).here == Place("posture", RIGHT)


def test_in_a_finished_visit_no_key_changes_anything(walk):
    walk.answer("1")
    walk.visit.finish()
    before = walk.visit.session.findings
    walk.answer("2")
    assert walk.said.sentence == FINISHED
    at(walk, "lunge").answer("2")
    at(walk, "lunge").not_done("pain", both_sides=True)
    walk.note("no")
    walk.clear()
    at(walk, "skin").answer("2")
    at(walk, "story", WHOLE).write("no")
    assert walk.said.sentence == FINISHED
    assert walk.visit.session.findings == before
    assert not walk.visit.drafts
