"""What a clinician sees of the exam, and what her keys do, at 80 columns and 24 rows."""

import re
import shutil
from pathlib import Path

import pytest
from screen_text import an_app, keys, screen_text, type_text
from small_exam import NORMAL, exam
from small_protocol import SMALL
from textual import events

from examwalk.protocol.library import find_protocol
from examwalk.protocol.shipped import read_shipped
from examwalk.protocol.wording import choices_of
from examwalk.session.model import Place, Side
from examwalk.tui.screens.exam import ExamScreen
from examwalk.tui.widgets.answers import Column, _heading
from examwalk.tui.widgets.banner import Banner

LEFT, RIGHT, WHOLE = Side.LEFT, Side.RIGHT, Side.WHOLE
WIDE = (140, 45)


def columns(line, middle=40):
    return line[:middle].strip(), line[middle:].strip()


async def test_left_stands_left_and_right_stands_right_in_full_words(tmp_path):
    async with exam(tmp_path) as shown:
        left, right = columns(shown.line_with("Left"))
        assert "Left" in left
        assert "Right" in right
        await shown.press("2")
        left, right = columns(shown.line_with("Yes"))
        assert "recorded" in left
        assert "recorded" not in right


async def test_nothing_is_marked_before_it_is_answered(tmp_path):
    async with exam(tmp_path) as shown:
        assert "●" not in shown.text_shown
        assert "recorded" not in shown.text_shown.lower()


async def test_the_side_under_the_cursor_has_a_heavy_rule_and_the_other_a_light_one(tmp_path):
    async with exam(tmp_path) as shown:
        left, right = columns(shown.line_with("Left"))
        assert (left[0], right[0]) == ("━", "─")
        await shown.press("tab")
        left, right = columns(shown.line_with("Left"))
        assert (left[0], right[0]) == ("─", "━")


async def test_the_recorded_answer_has_a_dot_and_the_word(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("resistance")
        await shown.press("3")
        left, _ = columns(shown.line_with("hard"))
        assert re.fullmatch(r"● 3  hard  recorded", left)


async def test_the_top_line_tells_patient_position_place_in_it_and_minutes(tmp_path):
    async with exam(tmp_path) as shown:
        assert re.search(r"P-0042 .*Seated  1 of 4, 4 open +\d+ min", shown.lines[0])
        await shown.at("jack")
        assert re.search(r"Standing  2 of 6, 6 open", shown.lines[0])


async def test_minutes_go_on_while_nothing_is_pressed(tmp_path):
    async with exam(tmp_path) as shown:
        start = shown.lines[0]
        for _ in range(70):
            shown.app.now()
        shown.app.screen._show_top()
        await shown.pilot.pause()
        assert shown.lines[0] != start


async def test_how_the_patient_is_placed_is_told_until_the_first_answer_there(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("resistance")
        assert "The patient stands at ease." in shown.text_shown
        await shown.press("1")
        assert "The patient stands at ease." not in shown.text_shown


async def test_a_safety_question_is_named_as_one(tmp_path):
    async with exam(tmp_path) as shown:
        assert "safety question" in shown.text_shown
        await shown.at("skin")
        assert "safety question" not in shown.text_shown


async def test_the_teaching_text_can_be_folded_away_and_back(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("resistance")
        for words in ("Careful  Stop if it hurts.", "Stand behind the patient.", "Mistakes", "Why"):
            assert words in shown.text_shown
        await shown.press("t")
        assert "Stand behind the patient." not in shown.text_shown
        await shown.at("jack")
        await shown.at("resistance")
        assert "Stand behind the patient." not in shown.text_shown
        await shown.press("t")
        assert "Stand behind the patient." in shown.text_shown


async def test_teaching_that_does_not_fit_says_where_the_rest_is(tmp_path):
    text = SMALL.replace('"Stand behind the patient."', ", ".join(['"A step of it."'] * 30))
    async with exam(tmp_path, text) as shown:
        await shown.at("resistance")
        assert "… more: T" in shown.text_shown
        assert "5  A step of it." in shown.text_shown
        assert "hard" in shown.text_shown, "the answers keep their room"


async def test_all_about_a_test_shows_grades_reliability_and_sources(tmp_path):
    async with exam(tmp_path, size=WIDE) as shown:
        await shown.at("resistance")
        await shown.press("T")
        await shown.pilot.pause()
        for words in (
            "Two hands are needed.",
            "Weighted kappa 0.61",
            "A convention of this protocol",
            "[convention of this protocol]",
        ):
            assert words in shown.text_shown
        await shown.press("escape")
        assert isinstance(shown.app.screen, ExamScreen)


async def test_the_arrows_show_what_a_grade_looks_like_and_record_nothing(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("resistance")
        assert "Two hands are needed." not in shown.text_shown
        await shown.press("up")
        assert "▸ 3  hard: Two hands are needed." in shown.text_shown
        assert columns(shown.line_with("3  hard"))[0].startswith("▸")
        assert shown.stored.findings == ()


async def test_the_recorded_grade_shows_what_it_looks_like(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("resistance")
        await shown.press("2", "tab")
        assert "middling: Two fingertips lift it." in shown.text_shown


async def test_scores_that_are_no_keys_stand_beside_the_label_with_a_true_minus(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("posture")
        assert "1  −1  supinated" in shown.text_shown
        assert "3  +1  pronated" in shown.text_shown
        await shown.at("strength")
        assert "0  none" in shown.text_shown


async def test_ticked_options_are_shown_as_not_accepted_until_enter(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("skin")
        await shown.press("2", "3")
        assert "not accepted yet" in columns(shown.line_with("Left"))[0]
        assert columns(shown.line_with("Cracks"))[0] == "○ 3  Cracks  ticked"
        assert shown.stored.findings == ()
        await shown.press("enter")
        assert columns(shown.line_with("Cracks"))[0] == "● 3  Cracks  recorded"


async def test_a_number_shows_while_it_is_typed_then_with_its_band(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("lunge")
        assert "0 to 25 cm, usually 2 to 18" in shown.text_shown
        await shown.press("8", "comma", "5")
        assert "8,5▁ cm" in shown.text_shown
        await shown.press("backspace", "4", "enter")
        left, right = columns(shown.line_with("8.4 cm"))
        assert left == "● 8.4 cm  short  recorded"
        assert right.startswith("▸")


async def test_bands_too_long_for_one_line_go_on_in_the_next(tmp_path):
    short = 'label = "short", below = 9'
    long = 'label = "short enough that a lift under both heels would ask less", below = 9'
    assert short in SMALL
    async with exam(tmp_path, SMALL.replace(short, long)) as shown:
        await shown.at("lunge")
        assert "would ask less · ordinary)" in " ".join(shown.text_shown.split())


async def test_a_number_left_without_enter_says_on_its_side_that_it_waits(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("lunge")
        await shown.press("8", "tab")
        assert "not accepted yet" in columns(shown.line_with("Left"))[0]


async def test_letters_keep_working_while_a_number_is_typed(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("lunge")
        await shown.press("8", "f")
        assert shown.app.screen._walk.here.test != "lunge" or "last test" in shown.text_shown


async def test_a_refusal_is_told_above_the_keys(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("lunge")
        await shown.press("9", "9", "enter")
        assert "! 99.0 cm cannot be: Lunge distance takes 0 to 25." in shown.text_shown


async def test_a_test_of_the_whole_person_has_one_column(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("age", WHOLE)
        assert "Whole person" in shown.text_shown
        assert "Left" not in shown.text_shown
        assert "Tab side" not in shown.text_shown


async def test_words_are_typed_into_a_field_and_enter_accepts_them(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("story", WHOLE)
        await type_text(shown.pilot, "sore, quite")
        await shown.press("enter")
        assert shown.stored.answers == {Place("story", WHOLE): "sore, quite"}
        assert shown.app.screen._walk.here == Place("resistance", LEFT)
        await shown.press("2")
        assert len(shown.stored.findings) == 2, "the keys work again after the field"


async def test_escape_leaves_the_field_so_that_letters_act_again(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("story", WHOLE)
        await type_text(shown.pilot, "x")
        await shown.press("escape", "x")
        assert "Why is this not done?" in shown.text_shown
        await shown.press("2")
        finding = shown.stored.finding(Place("story", WHOLE))
        assert finding.not_done == "refused"


async def test_words_in_the_field_survive_a_look_elsewhere(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("story", WHOLE)
        await type_text(shown.pilot, "half a sent")
        await shown.press("pagedown")
        assert "half a sent" not in shown.text_shown
        await shown.press("b")
        assert "half a sent" in shown.text_shown


async def test_tab_leaves_no_trap_on_a_test_in_words(tmp_path):
    text = SMALL.replace(
        'id = "story"\ntitle = "In the patient\'s words"', 'id = "story"\ntitle = "Words"'
    )
    text = text.replace('sides = "once"\nkind = "text"', 'kind = "text"')
    async with exam(tmp_path, text) as shown:
        await shown.at("story", LEFT)
        await type_text(shown.pilot, "left words")
        await shown.press("tab")
        assert shown.app.screen._walk.here == Place("story", RIGHT)
        await type_text(shown.pilot, "right words")
        await shown.press("enter")
        await shown.press("enter")
        assert shown.stored.answers == {
            Place("story", LEFT): "left words",
            Place("story", RIGHT): "right words",
        }


async def test_not_done_takes_one_key_for_the_reason(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("resistance")
        await shown.press("x")
        assert "1  Too painful" in shown.text_shown
        await shown.press("1")
        assert "not done: Too painful" in columns(shown.line_with("Left"))[0]
        assert shown.app.screen._walk.here == Place("resistance", RIGHT)


async def test_not_done_can_be_said_of_both_sides_and_in_free_words(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("resistance")
        await shown.press("x", "tab")
        assert "both sides" in shown.text_shown
        await shown.press("o")
        await type_text(shown.pilot, "cast on")
        await shown.press("enter")
        assert {str(f.place): f.not_done for f in shown.stored.findings} == {
            "resistance (left)": "cast on",
            "resistance (right)": "cast on",
        }


async def test_escape_leaves_the_reason_open(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.press("x", "escape")
        assert shown.stored.findings == ()
        assert isinstance(shown.app.screen, ExamScreen)


async def test_a_note_is_written_shown_and_changed(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("resistance")
        await shown.press("n")
        await type_text(shown.pilot, "guarded")
        await shown.press("enter")
        assert "Note  guarded" in shown.text_shown
        assert "note" in columns(shown.line_with("Left"))[0]
        await shown.press("n")
        await type_text(shown.pilot, " twice")
        await shown.press("enter")
        assert shown.stored.finding(Place("resistance", LEFT)).note == "guarded twice"


async def test_escape_leaves_a_note_as_it_was(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.press("n")
        await type_text(shown.pilot, "no")
        await shown.press("escape")
        assert shown.stored.findings == ()


@pytest.mark.parametrize("status", ["", "note", "amended, before: 11.5 cm", "amended " * 9])
def test_a_heading_is_as_wide_as_its_column_and_gives_its_rule_to_what_is_said(status):
    for width in range(24, 60):
        drawn = _heading(Column(RIGHT, is_here=True, status=status), width)
        assert drawn.cell_length == width
    assert status in _heading(Column(RIGHT, is_here=True, status=status), 90).plain
    if len(status) < 25:
        assert status in _heading(Column(RIGHT, is_here=True, status=status), 36).plain


@pytest.mark.parametrize(
    "test", ["alarm-signs", "complaint-region", "skin-check", "shoe-volume", "fpi-talar-head"]
)
async def test_what_the_answer_at_the_pointer_looks_like_is_told_to_its_end(tmp_path, test):
    loaded = read_shipped(find_protocol("adult"))
    app = an_app(tmp_path)
    async with app.run_test(size=NORMAL) as pilot:
        app.begin_visit(loaded, "P-0042", "AB")
        await pilot.pause()
        sides = {place.test: place for place in reversed(app.visit.case.places)}
        app.screen._walk.go(sides[test])
        app.screen.refresh_visit()
        for choice in choices_of(loaded.protocol, loaded.protocol.tests_by_id[test]):
            await keys(pilot, "down")
            await pilot.pause()
            shown = (words_left_of_the_drawing(line) for line in screen_text(app).splitlines())
            assert choice.looks in " ".join(" ".join(shown).split())


def words_left_of_the_drawing(line):
    return re.split(r" *[\u2800-\u28ff]|   +", line.strip())[0]


async def test_jumping_takes_part_of_a_name(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.press("slash")
        await type_text(shown.pilot, "lunge")
        assert "Age" not in shown.text_shown
        await shown.press("enter")
        assert shown.app.screen._walk.here == Place("lunge", LEFT)


async def test_jumping_finds_tests_by_their_position_and_by_arrows(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.press("slash")
        await type_text(shown.pilot, "standing")
        await shown.press("down", "enter")
        assert shown.app.screen._walk.here == Place("jack", LEFT)


async def test_jumping_puts_the_name_of_a_test_before_that_of_its_position(tmp_path):
    example = Path(__file__).parents[2] / "sessions" / "heel-pain-right.toml"
    app = an_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_visit(Path(shutil.copy(example, tmp_path)))
        await pilot.pause()
        await pilot.press("slash")
        await type_text(pilot, "supin")
        assert "Heel fat pad  Supine" in screen_text(app)
        await pilot.press("enter")
        assert app.screen._walk.here.test == "supination-resistance"


async def test_in_the_list_of_tests_a_sign_and_not_colour_alone_points_at_one(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("lunge")
        await shown.press("slash")
        assert shown.line_with("▸").lstrip("▸ ").startswith("Lunge")
        await type_text(shown.pilot, "j")
        listed = shown.text_shown.split("Go to a test")[1]
        assert listed.count("▸") == 1
        await shown.press("down")
        assert shown.text_shown.count("▸") == 1


async def test_jumping_to_nothing_stays(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.press("slash")
        await type_text(shown.pilot, "zzz")
        assert "No test that is asked now has this in its name." in shown.text_shown
        await shown.press("enter", "escape")
        assert shown.app.screen._walk.here == Place("hot-foot", LEFT)


async def test_a_cross_check_appears_the_moment_its_last_finding_is_in(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("resistance")
        await shown.press("3")
        await shown.at("jack")
        assert "look again" not in shown.text_shown
        await shown.press("1")
        assert "◇ look again  new  Left: High resistance but an easy toe." in " ".join(
            line.strip() for line in shown.lines
        )
        assert "w goes there" in shown.text_shown
        await shown.press("w")
        assert shown.app.screen._walk.here == Place("resistance", LEFT)


async def test_a_cross_check_of_the_test_on_the_screen_says_so(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("resistance")
        await shown.press("3")
        await shown.at("jack")
        await shown.press("1", "2")
        await shown.at("lunge")
        assert "this test" not in shown.text_shown
        await shown.at("resistance")
        assert "look again  this test" in shown.text_shown


async def test_one_warning_on_both_sides_takes_one_line(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("skin")
        await shown.press("3", "enter", "3", "enter")
        assert shown.text_shown.count("Cracked skin") == 1
        assert "Left and right: Cracked skin" in shown.text_shown


async def test_a_finding_that_stops_stays_at_the_top_with_urgency_and_whom_to_ask(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.press("1", "2")
        words = " ".join(line.strip() for line in shown.lines[1:4])
        assert "Stop: Hot swollen foot, right. Emergency, at once." in words
        assert "Refer to the emergency foot clinic. No device; keep the weight off." in words
        await shown.at("lunge")
        assert "Stop: Hot swollen foot, right." in shown.text_shown


async def test_undo_says_what_it_took_back_and_goes_there(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.press("1", "1", "2", "enter", "u")
        assert "Taken back: Skin, left: Callus." in shown.text_shown
        assert shown.app.screen._walk.here == Place("skin", LEFT)
        assert len(shown.stored.findings) == 2


async def test_after_the_last_test_comes_the_review(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("crack-depth")
        await shown.press("x", "tab", "1")
        await shown.pilot.pause()
        assert type(shown.app.screen).__name__ == "ReviewScreen"


async def test_review_summary_and_start_are_one_key_away(tmp_path):
    for key, name in (("r", "ReviewScreen"), ("s", "SummaryScreen"), ("q", "StartScreen")):
        folder = tmp_path / key
        folder.mkdir()
        async with exam(folder) as shown:
            await shown.press(key)
            await shown.pilot.pause()
            assert type(shown.app.screen).__name__ == name


async def test_every_answer_of_a_long_list_and_all_keys_stay_in_sight(tmp_path):
    more = "\n".join(
        f'option-{n} = {{ label = "Option {n}{", in words that take two lines" * (n < 6)}" }}'
        for n in range(3, 10)
    )
    text = SMALL.replace('crack = { label = "Cracks" }', f'crack = {{ label = "Cracks" }}\n{more}')
    async with exam(tmp_path, text) as shown:
        await shown.at("skin")
        for n in range(3, 10):
            assert shown.text_shown.count(f"Option {n}") == 2
        assert "q leave" in shown.text_shown


async def test_under_a_stop_all_ten_answers_stay_in_sight(tmp_path):
    more = "\n".join(f'option-{n} = {{ label = "Option {n}" }}' for n in range(3, 10))
    text = SMALL.replace('crack = { label = "Cracks" }', f'crack = {{ label = "Cracks" }}\n{more}')
    text = text.replace("No device; keep the weight off.", "A long sentence to say. " * 12)
    async with exam(tmp_path, text) as shown:
        await shown.press("2", "1")
        for words in ("Intact", "Callus", "Cracks", *(f"Option {n}" for n in range(3, 10))):
            assert words in shown.text_shown
        assert "Emergency, at once. Refer to the emergency foot" in " ".join(
            shown.text_shown.split()
        )


async def test_the_pointer_brings_an_answer_out_of_sight_into_sight(tmp_path):
    more = "\n".join(
        f'option-{n} = {{ label = "Option {n}, which in two narrow columns takes two lines" }}'
        for n in range(3, 10)
    )
    text = SMALL.replace('crack = { label = "Cracks" }', f'crack = {{ label = "Cracks" }}\n{more}')
    async with exam(tmp_path, text, size=(60, 18)) as shown:
        await shown.at("skin")
        assert "Option 9" not in shown.text_shown
        await shown.press("up")
        await shown.pilot.pause()
        assert "▸   0  Option 9" in shown.text_shown
        await shown.press("enter", "f", "b")
        await shown.pilot.pause()
        assert "Intact" in shown.text_shown


async def test_a_wide_window_teaches_beside_the_answers_and_shows_all_grades(tmp_path):
    async with exam(tmp_path, size=WIDE) as shown:
        await shown.at("resistance")
        for looks in (
            "One fingertip lifts it.",
            "Two fingertips lift it.",
            "Two hands are needed.",
        ):
            assert looks in shown.text_shown
        row = next(n for n, line in enumerate(shown.lines) if "Stand behind the patient." in line)
        assert shown.lines[row].index("Stand behind") > 80


async def test_a_long_walk_from_the_first_key_to_the_review(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.press("1", "1", "1", "1", "4", "5", "enter")
        await type_text(shown.pilot, "sore")
        await shown.press("enter", "2", "2", "2", "2", "2", "2", "1", "1")
        await shown.press("1", "1", "enter", "1", "2", "enter")
        await shown.pilot.pause()
        assert type(shown.app.screen).__name__ == "ReviewScreen", shown.text_shown
        assert {str(place): answer for place, answer in shown.stored.answers.items()} == {
            "hot-foot (left)": "no",
            "hot-foot (right)": "no",
            "skin (left)": ("intact",),
            "skin (right)": ("intact",),
            "age": 45,
            "story": "sore",
            "resistance (left)": "middling",
            "resistance (right)": "middling",
            "jack (left)": "middling",
            "jack (right)": "middling",
            "posture (left)": "neutral",
            "posture (right)": "neutral",
            "strength (left)": "weak",
            "strength (right)": "weak",
            "lunge (left)": 11.0,
            "lunge (right)": 12.0,
        }


async def test_a_click_on_a_grade_records_it_on_the_side_clicked(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("resistance")
        row = next(n for n, line in enumerate(shown.lines) if "3  hard" in line)
        await shown.pilot.click(offset=(50, row))
        await shown.pilot.pause()
        assert shown.stored.answers == {Place("resistance", RIGHT): "hard"}


@pytest.mark.parametrize("size", [(80, 24), (100, 30), (140, 45), (60, 18), (200, 60)])
async def test_no_line_is_wider_than_the_window_and_the_last_key_is_shown(tmp_path, size):
    async with exam(tmp_path, size=size) as shown:
        for test in ("hot-foot", "skin", "resistance", "lunge"):
            await shown.at(test)
            assert all(len(line) <= size[0] for line in shown.lines)
            assert "Left" in shown.text_shown
            assert "? help" in shown.text_shown


async def burst(shown, text):
    """Send keys as a slow line does: all at once, before the first of them is handled."""
    names = {"\r": "enter", "\t": "tab", "\x1b": "escape", " ": "space", ".": "full_stop"}
    for character in text:
        shown.app.post_message(events.Key(names.get(character, character), character))
    for _ in range(20):
        await shown.pilot.pause(0)


async def test_keys_that_come_all_at_once_take_effect_in_their_order(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("lunge")
        await burst(shown, "12.5\r11\r")
        assert shown.stored.answers == {Place("lunge", LEFT): 12.5, Place("lunge", RIGHT): 11}


async def test_a_key_for_the_next_test_never_ends_in_the_words_of_this_one(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("story", WHOLE)
        await burst(shown, "sore at night\r23")
        assert shown.stored.answers == {
            Place("story", WHOLE): "sore at night",
            Place("resistance", LEFT): "middling",
            Place("resistance", RIGHT): "hard",
        }


async def test_a_hasty_enter_jumps_to_what_was_typed_before_it(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.press("slash")
        await burst(shown, "lunge\r9\r")
        assert shown.stored.answers == {Place("lunge", LEFT): 9.0}


async def test_a_hasty_note_ends_at_its_enter(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("resistance")
        await shown.press("n")
        await burst(shown, "guarded\r3")
        finding = shown.stored.finding(Place("resistance", LEFT))
        assert (finding.note, finding.answer) == ("guarded", "hard")


async def test_teaching_that_is_cut_ends_with_a_whole_word(tmp_path):
    example = Path(__file__).parents[2] / "sessions" / "collapsing-foot-left.toml"
    app = an_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_visit(Path(shutil.copy(example, tmp_path)))
        await pilot.pause()
        line = next(line for line in screen_text(app).splitlines() if "… more: T" in line)
        last_word = line.split("… more: T")[0].split()[-1]
        test = app.screen._walk.test
        assert last_word in {word for step in test.how for word in step.split()}


async def test_what_stops_is_told_in_full_when_it_is_raised_and_then_keeps_to_two_lines(tmp_path):
    example = Path(__file__).parents[2] / "sessions" / "heel-pain-right.toml"
    app = an_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_visit(Path(shutil.copy(example, tmp_path)))
        app.visit.reopen()
        app.visit.go(Place("hot-swollen-foot", LEFT))
        app.show_exam()
        await pilot.pause()
        await pilot.press("2")
        await pilot.pause()
        told = "Find the cause before any device"
        assert told in " ".join(screen_text(app).split())
        await pilot.press("f")
        await pilot.pause()
        words = " ".join(screen_text(app).split())
        assert "Stop: Hot, swollen foot, cause not known, left. Within one working day." in words
        assert told not in words


async def test_where_what_stops_has_no_room_the_banner_says_that_it_goes_on(tmp_path):
    app = an_app(tmp_path)
    async with app.run_test(size=NORMAL) as pilot:
        app.begin_visit(read_shipped(find_protocol("adult")), "P-0042", "AB")
        for place in app.visit.case.places:
            if place.test in ("hot-swollen-foot", "calf-swelling", "push-off-loss"):
                app.visit.answer(place, "yes")
        app.show_exam()
        await pilot.pause()
        banner = app.screen.query_one(Banner)
        assert banner.size.height == 5
        last = screen_text(app).splitlines()[banner.region.bottom - 1]
        assert last.rstrip().endswith("… more: r")
        for place in app.visit.case.places:
            is_one = place == Place("hot-swollen-foot", LEFT)
            if place.test in ("hot-swollen-foot", "calf-swelling", "push-off-loss") and not is_one:
                app.visit.answer(place, "no")
        app.screen.refresh_visit()
        await pilot.pause()
        shown = screen_text(app)
        assert "Refer to" in shown
        assert "more: r" not in shown


async def test_a_narrow_window_still_says_whose_visit_it_is(tmp_path):
    example = Path(__file__).parents[2] / "sessions" / "heel-pain-right.toml"
    app = an_app(tmp_path)
    async with app.run_test(size=(60, 18)) as pilot:
        app.open_visit(Path(shutil.copy(example, tmp_path)))
        await pilot.pause()
        top = screen_text(app).splitlines()[0]
        assert top.split()[0] == "P-1041"
        assert "6 of 6" in top
