"""The drawing beside the teaching text: which figure it is, and where it has room."""

import pytest
import small_exam
from screen_text import screen_text
from small_exam import NORMAL
from small_protocol import SMALL

from examwalk.drawing.atlas import Atlas
from examwalk.drawing.terminals import can_show_braille
from examwalk.protocol.library import find_protocol
from examwalk.protocol.shipped import read_shipped
from examwalk.session.model import Side
from examwalk.tui.widgets.answers import Answers
from examwalk.tui.widgets.drawing import Drawing
from examwalk.tui.widgets.teaching import Teaching

LEFT, RIGHT = Side.LEFT, Side.RIGHT
WIDE, LOW = (140, 45), (80, 18)

FIGURES = """
[figures.resistance]
view_box = [0, 0, 60, 40]
alt = "A post at the inner side of the {side} foot. [/]"
[[figures.resistance.parts]]
line = [[10, 4], [10, 36]]

[figures.resistance-hard]
view_box = [0, 0, 60, 40]
alt = "A level bar under the {side} foot."
[[figures.resistance-hard.parts]]
line = [[4, 20], [56, 20]]
weight = "bold"

[figures.jack-easy]
view_box = [0, 0, 60, 40]
alt = "The toe of the {side} foot is up."
[[figures.jack-easy.parts]]
line = [[4, 4], [56, 36]]

[figures.lunge]
view_box = [0, 0, 60, 40]
alt = "The {side} knee is {value} cm from the wall."
drawn_at = 10
[[figures.lunge.parts]]
line = [[5, 4], [5, 36]]
move = [{ follows = [[0, 0], [25, 50]] }, 0]
"""
"""An upright post, a level bar in its place, and a post that moves 2 to the right for each cm."""


SHORTER = """
[[test]]
id = "shorter"
title = "Shorter leg"
position = "standing"
sides = "once"
kind = "choice"
basis = ["convention"]
[test.options]
level = { label = "Level" }
left = { label = "Left" }
right = { label = "Right" }

[[test]]
id = "blocks"
title = "Blocks"
position = "standing"
sides = "once"
kind = "measure"
unit = "mm"
hard = [0, 100]
figure_side = "shorter"
basis = ["convention"]

[figures.blocks]
view_box = [0, 0, 60, 40]
alt = "Blocks under the {side} leg."
[[figures.blocks.parts]]
line = [[6, 4], [6, 36]]
"""
"""A measure of the whole person that is drawn for the side that a choice before it names."""


class exam(small_exam.exam):  # noqa: N801 (reads as a word in "async with exam(...)")
    """The exam of a small visit with figures."""

    def __init__(self, folder, size=NORMAL, figures=FIGURES):
        super().__init__(folder, SMALL + figures, size)

    @property
    def region(self):
        """Where the drawing is; empty where there is none."""
        return self.app.screen.query_one(Drawing).region

    @property
    def drawn(self):
        """The cells of the drawing that hold dots, counted from its left upper corner."""
        x, y, width, height = self.region
        lines = screen_text(self.app).splitlines()[y : y + height]
        return {
            (column, row)
            for row, line in enumerate(lines)
            for column, character in enumerate(line[x : x + width])
            if is_dots(character)
        }

    @property
    def columns(self):
        return {column for column, _ in self.drawn}

    @property
    def rows(self):
        return {row for _, row in self.drawn}


def is_dots(character):
    return "\u2800" < character <= "\u28ff"


async def test_the_figure_of_the_test_stands_beside_its_teaching_text(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("resistance")
        assert len(shown.columns) == 1
        assert len(shown.rows) >= 5
        teaching = shown.app.screen.query_one(Teaching).region
        assert teaching.right <= shown.region.x
        assert teaching.y == shown.region.y
        assert "Left: how it is done" in screen_text(shown.app)


async def test_the_right_side_is_the_mirror_image_of_the_left(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("resistance")
        middle = shown.region.width / 2
        assert max(shown.columns) < middle
        await shown.press("tab")
        assert min(shown.columns) >= middle
        assert "Right: how it is done" in screen_text(shown.app)


async def test_the_pointer_shows_the_figure_of_its_grade_and_records_nothing(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("resistance")
        await shown.press("up")
        assert len(shown.rows) == 1
        assert len(shown.columns) > 10
        assert "Left: hard" in screen_text(shown.app)
        assert not shown.app.visit.session.findings


async def test_a_grade_without_a_figure_leaves_that_of_the_test(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("resistance")
        await shown.press("down")
        assert len(shown.columns) == 1
        assert "Left: how it is done" in screen_text(shown.app)


async def test_a_recorded_grade_shows_its_own_figure(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("resistance")
        await shown.press("3")
        assert "Right: how it is done" in screen_text(shown.app)
        await shown.press("tab")
        assert len(shown.rows) == 1
        assert "Left: hard" in screen_text(shown.app)


async def test_a_drawing_follows_the_number_that_is_typed_and_then_recorded(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("lunge")
        at_ten = min(shown.columns)
        await shown.press("5")
        assert max(shown.columns) < at_ten
        await shown.press("backspace", "1", "8")
        at_eighteen = min(shown.columns)
        assert at_eighteen > at_ten
        await shown.press("enter")
        assert min(shown.columns) != at_eighteen
        await shown.press("tab")
        assert min(shown.columns) == at_eighteen
        assert "Left: 18.0 cm" in screen_text(shown.app)


@pytest.mark.parametrize(("option", "side"), [("2", "left"), ("3", "right")])
async def test_a_test_of_the_whole_person_is_drawn_for_the_side_that_was_named(
    tmp_path, option, side
):
    async with exam(tmp_path, (80, 60), SHORTER) as shown:
        await shown.at("shorter", Side.WHOLE)
        await shown.press(option)
        await shown.at("blocks", Side.WHOLE)
        middle = shown.region.width / 2
        assert all((column < middle) is (side == "left") for column in shown.columns)
        assert shown.columns
        assert f"{side.title()}: how it is done" in screen_text(shown.app)
        await shown.press("T")
        assert f"Blocks under the {side} leg." in screen_text(shown.app)


@pytest.mark.parametrize("option", [None, "1"])
async def test_no_side_is_drawn_while_none_is_named(tmp_path, option):
    async with exam(tmp_path, (80, 60), SHORTER) as shown:
        if option is not None:
            await shown.at("shorter", Side.WHOLE)
            await shown.press(option)
        await shown.at("blocks", Side.WHOLE)
        assert not shown.region
        await shown.press("T")
        text = screen_text(shown.app)
        assert "Blocks" in text
        assert "Blocks under" not in text
        assert not any(map(is_dots, text))


async def test_where_only_answers_have_figures_nothing_is_drawn_before_one_is_pointed_at(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("jack")
        assert not shown.drawn
        assert "↑ ↓ draw each answer" in screen_text(shown.app)
        await shown.press("down")
        assert shown.drawn


async def test_a_test_without_figures_keeps_the_width_for_its_words(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("posture")
        assert not shown.region
        assert shown.app.screen.query_one(Teaching).region.width == 76


async def test_folding_hides_the_drawing_with_the_teaching(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("resistance")
        await shown.press("t")
        assert not any(map(is_dots, screen_text(shown.app)))
        await shown.press("t")
        assert shown.drawn


@pytest.mark.parametrize("size", [(60, 18), LOW, NORMAL, (100, 30), (120, 24), WIDE])
async def test_the_answers_and_the_words_of_a_grade_stay_in_sight_at_every_size(tmp_path, size):
    async with exam(tmp_path, size) as shown:
        await shown.at("resistance")
        await shown.press("up")
        assert shown.app.screen.query_one(Answers).region.height == 4
        text = screen_text(shown.app)
        for words in ("1  easy", "2  middling", "3  hard", "Two hands are needed."):
            assert words in text


async def test_a_low_window_has_no_drawing_and_gives_its_room_to_the_words(tmp_path):
    async with exam(tmp_path, LOW) as shown:
        await shown.at("resistance")
        assert not any(map(is_dots, screen_text(shown.app)))
        assert shown.app.screen.query_one(Teaching).region.width == 76
        await shown.pilot.resize_terminal(*NORMAL)
        await shown.pilot.pause()
        assert shown.drawn


async def test_a_wide_window_draws_larger(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("resistance")
        rows = len(shown.rows)
        await shown.pilot.resize_terminal(*WIDE)
        await shown.pilot.pause()
        assert len(shown.rows) >= rows + 3
        assert shown.region.width >= 44


async def test_what_is_bold_is_told_apart_without_colour(tmp_path):
    async with exam(tmp_path) as shown:
        await shown.at("resistance")
        for keys_pressed, is_bold in (((), False), (("up",), True)):
            await shown.press(*keys_pressed)
            strips = shown.app.screen._compositor.render_strips()
            styles = [
                segment.style.bold
                for strip in strips
                for segment in strip
                if any(map(is_dots, segment.text))
            ]
            assert styles
            assert all(bool(bold) is is_bold for bold in styles)


async def test_a_terminal_without_braille_gets_the_words_of_the_figure(tmp_path, monkeypatch):
    monkeypatch.setenv("TERM", "linux")
    async with exam(tmp_path) as shown:
        await shown.at("resistance", RIGHT)
        words = " ".join(
            line[shown.region.x :].strip() for line in screen_text(shown.app).splitlines()
        )
        assert "A post at the inner side of the right foot. [/]" in words
        assert not any(map(is_dots, screen_text(shown.app)))


async def test_the_full_teaching_shows_every_figure_with_its_words(tmp_path):
    async with exam(tmp_path, (80, 60)) as shown:
        await shown.at("resistance", RIGHT)
        await shown.press("T")
        text = screen_text(shown.app)
        assert any(map(is_dots, text))
        assert "A post at the inner side of the right foot. [/]" in text
        assert "A level bar under the right" in text
        assert text.index("A post") < text.index("Answers") < text.index("A level bar")


@pytest.mark.parametrize(
    ("term", "encoding", "expected"),
    [
        ("xterm-256color", "utf-8", True),
        ("xterm-256color", "UTF8", True),
        ("", "utf-8", True),
        ("linux", "utf-8", False),
        ("dumb", "utf-8", False),
        ("xterm", "iso8859-1", False),
        ("xterm", "no-such-encoding", False),
        ("xterm", None, False),
    ],
)
def test_braille_needs_a_terminal_and_an_encoding_that_have_it(term, encoding, expected):
    assert can_show_braille({"TERM": term}, encoding) is expected


@pytest.mark.parametrize(
    "test", ["tibialis-posterior-strength", "ankle-dorsiflexion-straight", "hot-swollen-foot"]
)
async def test_the_words_of_a_shipped_figure_stand_whole_where_there_is_no_braille(
    tmp_path, monkeypatch, test
):
    monkeypatch.setenv("TERM", "linux")
    async with exam(tmp_path) as shown:
        shown.app.begin_visit(read_shipped(find_protocol("adult")), "P-0042", "AB")
        await shown.pilot.pause()
        await shown.at(test)
        protocol = shown.app.visit.protocol
        atlas = Atlas(protocol.outlines, protocol.figures)
        left, top, width, height = shown.region
        rows = screen_text(shown.app).splitlines()[top : top + height]
        words = " ".join(row[left : left + width].strip() for row in rows)
        assert atlas.words(test) in words
