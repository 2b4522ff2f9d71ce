"""The start as a person uses it."""

import asyncio
import os
import threading
from contextlib import asynccontextmanager
from datetime import UTC, datetime

import pytest
from attrs import evolve
from ordering_protocol import CALM, a_session
from screen_text import an_app, keys, screen_text, type_text
from small_protocol import small_protocol

from examwalk.session.folder import keep_protocol, path_for
from examwalk.session.model import ProtocolUsed, State
from examwalk.session.storing import read_session, write_session
from examwalk.tui.screens.exam import ExamScreen
from examwalk.tui.screens.start import StartScreen
from examwalk.tui.screens.visit import VisitScreen


def put(folder, code, at_second, **changes):
    """Write a visit into a folder, last changed at a second; later seconds are listed first."""
    loaded = small_protocol(folder.parent)
    keep_protocol(folder, loaded.fingerprint, loaded.text)
    session = evolve(
        a_session(loaded.protocol, CALM),
        id=f"20261125-0912-{'bcdfghjkmn'[at_second] * 4}",
        patient=code,
        protocol=ProtocolUsed("small", "1.0.0", loaded.fingerprint),
        **changes,
    )
    path = path_for(folder, session.id)
    write_session(path, session)
    os.utime(path, (1_000_000_000 + at_second,) * 2)
    return path


@asynccontextmanager
async def start_over(folder, size=(80, 24)):
    app = an_app(folder)
    async with app.run_test(size=size) as pilot:
        await has_read(app, pilot)
        yield app, pilot


async def has_read(app, pilot):
    """Wait until the start has read its folder."""
    await pilot.pause()
    await app.workers.wait_for_complete()
    await pilot.pause()


@pytest.fixture
def folder(tmp_path):
    path = tmp_path / "visits"
    path.mkdir()
    return path


async def test_an_empty_folder_says_how_to_begin(folder):
    async with start_over(folder) as (app, _):
        text = screen_text(app)
        assert "There is no visit here yet." in text
        assert "Press n to begin one" in text


async def test_a_folder_that_is_not_there_yet_is_empty_too(tmp_path):
    async with start_over(tmp_path / "nowhere") as (app, _):
        assert "There is no visit here yet." in screen_text(app)


async def test_the_visits_are_listed_before_any_protocol_is_read(folder, monkeypatch):
    put(folder, "P-NEW", 1)
    may_read, read = threading.Event(), StartScreen._protocol

    def read_late(screen, session):
        assert may_read.wait(30)
        return read(screen, session)

    monkeypatch.setattr(StartScreen, "_protocol", read_late)
    app = an_app(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        try:
            async with asyncio.timeout(30):
                while "goes on with P-NEW" not in screen_text(app):
                    await pilot.pause()
            assert "open, 2 findings" in screen_text(app)
        finally:
            may_read.set()
        await has_read(app, pilot)
        assert "open, 1 of " in screen_text(app)  # two sides of one test


async def test_what_is_read_while_the_screen_is_taken_down_is_left_alone(folder):
    put(folder, "P-0001", 1)
    async with start_over(folder) as (app, _):
        start = app.screen
        entries = start._entries
        await start.query("*").remove()  # a screen that is left loses its widgets first
        start._has_read(entries, "")
        start._knows_how_far(entries, ("open",))


async def test_enter_goes_on_with_the_open_visit_that_was_changed_last(folder):
    put(folder, "P-OLD", 1)
    put(folder, "P-NEW", 2)
    put(folder, "P-DONE", 3, state=State.FINISHED, finished=datetime(2026, 11, 25, 10, tzinfo=UTC))
    async with start_over(folder) as (app, pilot):
        assert "goes on with P-NEW" in screen_text(app)
        await keys(pilot, "enter")
        assert isinstance(app.screen, ExamScreen)
        assert app.visit.session.patient == "P-NEW"


async def test_r_goes_on_wherever_the_pointer_stands(folder):
    put(folder, "P-OLD", 1)
    put(folder, "P-NEW", 2)
    async with start_over(folder) as (app, pilot):
        await keys(pilot, "end", "r")
        assert app.visit.session.patient == "P-NEW"


async def test_visits_stand_in_the_order_of_their_last_change(folder):
    put(folder, "P-OLD", 1)
    put(folder, "P-NEW", 2)
    async with start_over(folder) as (app, pilot):
        listed = screen_text(app).partition("goes on with")[2].partition("\n")[2]
        assert listed.index("P-NEW") < listed.index("P-OLD")
        await keys(pilot, "down", "enter")
        assert app.visit.session.patient == "P-OLD"


async def test_typing_narrows_the_list_and_enter_opens_what_is_found(folder):
    put(folder, "P-OLD", 1)
    put(folder, "Q-NEW", 2)
    async with start_over(folder) as (app, pilot):
        await keys(pilot, "slash")
        await type_text(pilot, "p-o")
        assert "Q-NEW" not in screen_text(app).partition("Find")[2]
        await keys(pilot, "enter")
        assert app.visit.session.patient == "P-OLD"


async def test_letters_typed_into_the_search_are_not_keys(folder):
    put(folder, "P-NEW", 2)
    async with start_over(folder) as (app, pilot):
        await keys(pilot, "slash", "n", "r", "q")
        assert isinstance(app.screen, StartScreen)
        assert "No visit has “nrq” in it." in screen_text(app)
        await keys(pilot, "escape")
        assert "P-NEW" in screen_text(app)
        await keys(pilot, "n")
        assert isinstance(app.screen, VisitScreen)


async def test_a_damaged_file_hides_no_other_and_tells_its_problem(folder):
    put(folder, "P-GOOD", 1)
    (folder / "broken.toml").write_text("format = 1\n[session\n")
    async with start_over(folder) as (app, pilot):
        assert "P-GOOD" in screen_text(app)
        assert "cannot be opened" in screen_text(app)
        await keys(pilot, "home")
        assert "Line 2" in screen_text(app)
        await keys(pilot, "enter")
        assert app.visit is None
        assert "broken.toml" in screen_text(app)
        await keys(pilot, "enter")
        assert isinstance(app.screen, StartScreen)


async def test_a_visit_that_vanished_is_told_about_not_a_crash(folder):
    path = put(folder, "P-NEW", 2)
    async with start_over(folder) as (app, pilot):
        path.unlink()
        await keys(pilot, "enter")
        assert app.visit is None
        told = screen_text(app).replace("\n", "").replace(" ", "")
        assert f"{path.name}:Thereisnosuchfile." in told


async def test_leaving_the_exam_comes_back_to_the_start_with_what_was_done(folder):
    put(folder, "P-NEW", 2)
    async with start_over(folder) as (app, pilot):
        assert "1 of 10 tests" in screen_text(app)
        await keys(pilot, "enter")
        # The skin of both feet is intact, so the depth of cracks is not asked any more.
        await keys(pilot, "1", "enter", "1", "enter", "q")
        await has_read(app, pilot)
        assert isinstance(app.screen, StartScreen)
        assert "2 of 9 tests" in screen_text(app)


async def test_an_invented_example_is_listed_as_such(folder):
    put(folder, "E-HEEL", 1, invented=True)
    async with start_over(folder) as (app, _):
        assert "invented" in screen_text(app)


async def test_a_long_list_scrolls_and_says_how_much_is_below(folder):
    for number in range(10):
        for copy in "ab":
            path = put(folder, f"P-{number}{copy}", number)
            path.rename(path.with_name(f"{path.stem}{copy}.toml"))
    async with start_over(folder) as (app, pilot):
        assert "more" in screen_text(app)
        await keys(pilot, "end")
        assert "P-0" in screen_text(app)


@pytest.mark.parametrize("size", [(1, 1), (59, 17), (60, 18), (200, 60)])
async def test_no_window_is_too_small_or_too_large(folder, size):
    put(folder, "P-NEW", 2)
    async with start_over(folder) as (app, pilot):
        await pilot.resize_terminal(*size)
        await keys(pilot, "down", "end", "home")
        await keys(pilot, "slash", "p", "escape")
        await pilot.resize_terminal(80, 24)
        await pilot.pause()
        assert "P-NEW" in screen_text(app)


async def test_q_quits(folder):
    async with start_over(folder) as (app, pilot):
        await keys(pilot, "q")
        await pilot.pause()
        assert app.return_code == 0


async def test_a_damaged_visit_is_brought_back_from_its_earlier_copy_and_kept_aside(folder):
    path = put(folder, "P-BACK", 1)
    session = read_session(path)
    write_session(path, evolve(session, about="Saved last."))
    path.write_text("format = 1\n[session\n")
    async with start_over(folder) as (app, pilot):
        await keys(pilot, "home", "enter")
        assert "Bring back the copy saved at" in " ".join(screen_text(app).split())
        await keys(pilot, "n")
        assert "[session\n" in path.read_text()
        await keys(pilot, "enter", "y")
        await has_read(app, pilot)
        assert "is back" in screen_text(app)
        assert read_session(path) == session
        aside = next(folder.glob("*.damaged-*"))
        assert "[session\n" in aside.read_text()
        await keys(pilot, "enter")
        assert "P-BACK" in screen_text(app)
