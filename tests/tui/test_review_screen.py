"""The review as a person uses it: going to tests, replying, going on."""

import shutil
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from ordering_protocol import CALM, LEFT, RIGHT, a_visit
from screen_text import an_app, keys, screen_text, starting_with, type_text

from examwalk.session.model import Place
from examwalk.session.storing import read_session
from examwalk.tui.screens.exam import ExamScreen
from examwalk.tui.screens.review import ReviewScreen
from examwalk.tui.screens.start import StartScreen
from examwalk.tui.screens.summary import SummaryScreen
from examwalk.tui.widgets.lines import Pointer
from examwalk.tui.widgets.row_list import RowList

ODD = {
    **CALM,
    ("strength", LEFT): "none",
    ("jack", LEFT): "easy",
    ("resistance", LEFT): "hard",
}
IMPOSSIBLE = ("crosscheck", "no-strength-but-easy", LEFT)


@asynccontextmanager
async def review_of(folder, answers, size=(80, 24)):
    app = an_app(folder)

    def show() -> None:
        app.visit = a_visit(folder, answers)
        app.show_review()

    async with starting_with(show, app).run_test(size=size) as pilot:
        await pilot.pause()
        yield app, pilot


async def point(pilot, key):
    pilot.app.screen.query_one("#rows", RowList).point_at(Pointer(key))
    await pilot.pause()


async def test_enter_goes_to_the_first_test_to_look_at_again(tmp_path):
    async with review_of(tmp_path, ODD) as (app, pilot):
        await point(pilot, IMPOSSIBLE)
        await keys(pilot, "enter")
        assert isinstance(app.screen, ExamScreen)
        assert app.visit.session.here == Place("strength", LEFT)


async def test_a_digit_goes_to_the_test_with_that_number(tmp_path):
    async with review_of(tmp_path, ODD) as (app, pilot):
        await point(pilot, IMPOSSIBLE)
        assert "2 Jack's test, left" in screen_text(app)
        await keys(pilot, "2")
        assert app.visit.session.here == Place("jack", LEFT)


async def test_a_number_that_is_not_there_goes_nowhere_and_says_so(tmp_path):
    async with review_of(tmp_path, ODD) as (app, pilot):
        await point(pilot, IMPOSSIBLE)
        await keys(pilot, "7")
        assert isinstance(app.screen, ReviewScreen)
        assert "There is no test to go to here." in screen_text(app)


async def test_a_test_that_was_not_reached_is_one_key_away(tmp_path):
    async with review_of(tmp_path, {("hot-foot", RIGHT): "no"}) as (app, pilot):
        await keys(pilot, "enter")
        assert isinstance(app.screen, ExamScreen)
        assert app.visit.session.here == Place("hot-foot", LEFT)


async def test_a_reply_is_typed_kept_and_can_be_taken_away(tmp_path):
    async with review_of(tmp_path, ODD) as (app, pilot):
        await point(pilot, IMPOSSIBLE)
        await keys(pilot, "n")
        await type_text(pilot, "seen twice")
        await keys(pilot, "enter")
        assert "● Replied: seen twice" in screen_text(app)
        (reply,) = read_session(app.visit.path).replies
        assert (reply.crosscheck, reply.side, reply.says) == (
            "no-strength-but-easy",
            LEFT,
            "seen twice",
        )
        await keys(pilot, "u")
        assert read_session(app.visit.path).replies == ()
        assert "replied" not in screen_text(app)


async def test_a_reply_to_something_else_is_not_offered(tmp_path):
    async with review_of(tmp_path, CALM) as (app, pilot):
        await keys(pilot, "n")
        assert isinstance(app.screen, ReviewScreen)
        assert "A reply can be written to findings that do not fit together." in screen_text(app)


async def test_a_finished_visit_takes_no_reply(tmp_path):
    async with review_of(tmp_path, ODD) as (app, pilot):
        app.visit.finish()
        app.screen.refresh_visit()
        await point(pilot, IMPOSSIBLE)
        await keys(pilot, "n", "x", "enter")
        assert app.visit.session.replies == ()
        assert "This visit is finished" in screen_text(app)


async def test_q_leaves_to_the_start_and_s_goes_on_to_the_summary(tmp_path):
    async with review_of(tmp_path, ODD) as (app, pilot):
        await keys(pilot, "s")
        assert isinstance(app.screen, SummaryScreen)
        await keys(pilot, "r", "q")
        assert isinstance(app.screen, StartScreen)
        assert app.visit is None


async def test_help_names_every_key_of_the_review(tmp_path):
    async with review_of(tmp_path, ODD) as (app, pilot):
        await keys(pilot, "question_mark")
        text = screen_text(app)
        assert "Keys: Review" in text
        assert "Write why findings that do not fit together both stand." in " ".join(text.split())


async def test_the_rows_scroll_with_the_pointer_to_the_last_one(tmp_path):
    async with review_of(tmp_path, ODD) as (app, pilot):
        await keys(pilot, "end")
        last = screen_text(app)
        assert "▸" in last
        assert "more lines" not in last.partition("Not reached")[0]
        await keys(pilot, "home")
        assert "Raised cautions" in screen_text(app)


async def test_a_click_on_a_row_goes_to_its_test(tmp_path):
    async with review_of(tmp_path, ODD) as (app, pilot):
        lines = screen_text(app).splitlines()
        y = next(n for n, line in enumerate(lines) if "impossible, left" in line)
        await pilot.click(offset=(10, y))
        assert isinstance(app.screen, ExamScreen)
        assert app.visit.session.here == Place("strength", LEFT)


@pytest.mark.parametrize("size", [(1, 1), (59, 17), (60, 18), (200, 60)])
async def test_no_window_is_too_small_or_too_large(tmp_path, size):
    async with review_of(tmp_path, ODD) as (app, pilot):
        await pilot.resize_terminal(*size)
        await keys(pilot, "down", "end", "t", "space", "t", "home", "u")
        await pilot.resize_terminal(80, 24)
        await pilot.pause()
        assert "Review" in screen_text(app)


async def test_hostile_text_in_a_reply_is_shown_harmlessly(tmp_path):
    hostile = "[/] [@click=app.quit] \x1b]2;x\x07 \x9b \u202e"
    async with review_of(tmp_path, ODD) as (app, pilot):
        app.visit.reply("no-strength-but-easy", LEFT, hostile)
        app.screen.refresh_visit()
        await point(pilot, IMPOSSIBLE)
        text = screen_text(app)
        assert "[@click=app.quit]" in text
        assert not {"\x1b", "\x07", "\x9b", "\u202e"} & set(text)


@pytest.mark.parametrize("key", ["r", "s"])
async def test_a_finished_visit_says_whose_it_is_and_why_nothing_changes_at_80_columns(
    tmp_path, key
):
    example = Path(__file__).parents[2] / "sessions" / "collapsing-foot-left.toml"
    app = an_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_visit(Path(shutil.copy(example, tmp_path)))
        await pilot.pause()
        await keys(pilot, key)
        top = screen_text(app).splitlines()[0]
        assert top.split()[0] == "P-1077"
        assert ("0 not reached" if key == "r" else "50 to accept") in top
        if key == "s":
            await keys(pilot, "down", "down", "down", "enter")
            told = "To go on, reopen it with f in the review or the summary."
            assert told in " ".join(screen_text(app).split())
