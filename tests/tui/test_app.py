"""The app opens where it should, leaves nothing behind, and fails with a sentence."""

import asyncio
import errno
import os
import signal
import stat
from pathlib import Path

import pytest
from attrs import evolve
from screen_text import an_app, begin_small_visit, keys, screen_text, type_text
from small_protocol import small_protocol

from examwalk.session.model import Place, Side
from examwalk.session.storing import read_session, write_session
from examwalk.tui import app as app_module
from examwalk.tui import running
from examwalk.tui.app import ExamwalkApp, Start
from examwalk.tui.screens.exam import ExamScreen
from examwalk.tui.screens.page import TOO_SMALL


def name(app):
    return type(app.screen).__name__


@pytest.fixture
def stored_visit(tmp_path):
    """The file of a visit that was begun and left."""
    app = an_app(tmp_path / "sessions")
    begun = {}

    async def begin():
        async with app.run_test() as pilot:
            begin_small_visit(app, tmp_path)
            await pilot.pause()
            await keys(pilot, "2", "1")
            begun["path"] = app.visit.path

    asyncio.run(begin())
    return begun["path"]


def full_disk(monkeypatch):
    def refuse(*_):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", refuse)


async def test_it_opens_with_the_start(tmp_path):
    app = an_app(tmp_path)
    async with app.run_test() as pilot:
        await pilot.pause()
        assert name(app) == "StartScreen"


async def test_it_can_open_with_a_new_visit(tmp_path):
    app = an_app(tmp_path, Start("new"))
    async with app.run_test() as pilot:
        await pilot.pause()
        assert name(app) == "VisitScreen"


def test_it_can_open_with_a_visit_that_was_left_where_it_was_left(stored_visit):
    async def look():
        app = an_app(stored_visit.parent, Start("open", stored_visit))
        async with app.run_test() as pilot:
            await pilot.pause()
            assert isinstance(app.screen, ExamScreen)
            assert app.screen._walk.here == Place("skin", Side.LEFT)
            assert "Stop: Hot swollen foot, left" in screen_text(app)
            await keys(pilot, "q")
            await pilot.pause()
            assert name(app) == "StartScreen"
            assert app.visit is None

    asyncio.run(look())


async def test_a_damaged_visit_is_named_and_the_start_is_reached(tmp_path):
    damaged = tmp_path / "20261125-0912-aaaa.toml"
    damaged.write_text("format = 1\n[session", encoding="utf-8")
    app = an_app(tmp_path, Start("open", damaged))
    async with app.run_test() as pilot:
        await pilot.pause()
        assert "20261125-0912-aaaa.toml" in screen_text(app).replace("\n", "").replace("  ", "")
        await keys(pilot, "enter")
        assert name(app) == "StartScreen"


async def test_screens_do_not_pile_up(tmp_path):
    app = an_app(tmp_path / "sessions")
    async with app.run_test() as pilot:
        begin_small_visit(app, tmp_path)
        await pilot.pause()
        for key in ("r", "s", "r", "s", "q"):
            await keys(pilot, key)
            await pilot.pause()
        assert len(app.screen_stack) == 2


async def test_leaving_with_something_typed_asks_first(tmp_path):
    app = an_app(tmp_path / "sessions")
    async with app.run_test(size=(80, 24)) as pilot:
        begin_small_visit(app, tmp_path)
        await pilot.pause()
        await keys(pilot, "pagedown", "2", "q")
        assert "not accepted yet: Skin, left. Leave all the same?" in screen_text(app)
        await keys(pilot, "n")
        assert isinstance(app.screen, ExamScreen)
        await keys(pilot, "q", "y")
        await pilot.pause()
        assert name(app) == "StartScreen"


async def test_quitting_with_a_saved_visit_asks_nothing(tmp_path):
    app = an_app(tmp_path / "sessions")
    async with app.run_test() as pilot:
        begin_small_visit(app, tmp_path)
        await pilot.pause()
        await keys(pilot, "1")
        await pilot.press("ctrl+q")
    assert app.return_code == 0


async def test_quitting_works_while_a_text_is_being_written(tmp_path):
    app = an_app(tmp_path / "sessions")
    async with app.run_test() as pilot:
        begin_small_visit(app, tmp_path)
        await pilot.pause()
        await keys(pilot, "n")
        await type_text(pilot, "half")
        await pilot.press("ctrl+q")
    assert app.return_code == 0


async def test_work_that_cannot_be_saved_stays_in_sight_and_quitting_asks(tmp_path, monkeypatch):
    app = an_app(tmp_path / "sessions")
    async with app.run_test(size=(80, 24)) as pilot:
        begin_small_visit(app, tmp_path)
        await pilot.pause()
        full_disk(monkeypatch)
        await keys(pilot, "2")
        assert "■ Not saved" in screen_text(app)
        assert "Ctrl+S tries again" in " ".join(screen_text(app).split())
        await keys(pilot, "ctrl+q")
        assert "Quit all the same?" in " ".join(screen_text(app).split())
        await keys(pilot, "n")
        monkeypatch.undo()
        await keys(pilot, "ctrl+s")
        assert "Not saved" not in screen_text(app)
        assert read_session(app.visit.path).answers == {Place("hot-foot", Side.LEFT): "yes"}


async def test_two_windows_on_one_visit_end_as_two_visits(tmp_path):
    app = an_app(tmp_path / "sessions")
    async with app.run_test(size=(80, 24)) as pilot:
        begin_small_visit(app, tmp_path)
        await pilot.pause()
        first = app.visit.path
        write_session(first, evolve(read_session(first), about="Changed in another window."))
        await keys(pilot, "2")
        assert "Another window" in screen_text(app)
        await keys(pilot, "ctrl+s", "y")
        assert app.visit.path != first
        assert read_session(app.visit.path).answers == {Place("hot-foot", Side.LEFT): "yes"}
        assert read_session(first).findings == ()


async def test_nothing_of_one_visit_is_seen_in_the_next(tmp_path):
    app = an_app(tmp_path / "sessions")
    async with app.run_test(size=(100, 40)) as pilot:
        app.begin_visit(small_protocol(tmp_path), "P-FIRST", "AB")
        await pilot.pause()
        app.visit.note(Place("hot-foot", Side.LEFT), "only of the first")
        await keys(pilot, "2")
        assert "P-FIRST" in screen_text(app)
        app.show_start()
        app.begin_visit(small_protocol(tmp_path), "P-SECOND", "AB")
        await pilot.pause()
        for screen in ("", "r", "s"):
            if screen:
                await keys(pilot, screen)
            shown = screen_text(app)
            assert "P-SECOND" in shown or screen == "r"
            assert "P-FIRST" not in shown
            assert "only of the first" not in shown
        assert app.visit.session.answers == {}


@pytest.mark.parametrize("signal_name", ["SIGTERM", "SIGHUP"])
async def test_a_signal_to_end_closes_the_app_cleanly(tmp_path, signal_name):
    app = an_app(tmp_path)
    number = getattr(signal, signal_name)
    async with app.run_test() as pilot:
        os.kill(os.getpid(), number)
        await pilot.pause(0.1)
    assert app.return_code == 128 + number


async def test_a_terminal_that_vanished_ends_the_app_at_once_with_all_saved(tmp_path, monkeypatch):
    ended = []
    monkeypatch.setattr(app_module, "has_terminal", lambda: True)
    app = an_app(tmp_path / "sessions")
    async with app.run_test() as pilot:
        begin_small_visit(app, tmp_path)
        await pilot.pause()
        await keys(pilot, "2")
        app._end_without_terminal()
        assert ended == []
        monkeypatch.setattr(os, "_exit", ended.append)
        monkeypatch.setattr(app_module, "has_terminal", lambda: False)
        app.visit.unsaved = "It was full."
        app._end_without_terminal()
        assert ended == [129]
        assert app.visit.unsaved is None


@pytest.mark.parametrize("size", [(59, 24), (80, 17), (30, 8), (10, 3), (2, 2), (1, 1)])
async def test_a_window_that_is_too_small_asks_for_room_and_loses_nothing(tmp_path, size):
    app = an_app(tmp_path / "sessions")
    async with app.run_test(size=(80, 24)) as pilot:
        begin_small_visit(app, tmp_path)
        await pilot.pause()
        await keys(pilot, "2")
        await pilot.resize_terminal(*size)
        await pilot.pause()
        said = " ".join(screen_text(app).split())
        assert "Left" not in said
        if size[0] >= 30:
            assert said == TOO_SMALL
        before = app.visit.session
        for key in ("1", "tab", "slash", "x", "T", "question_mark", "q", "u", "n"):
            await keys(pilot, key)
        await pilot.resize_terminal(80, 24)
        await pilot.pause()
        assert "● 2  Yes  recorded" in screen_text(app)
        assert app.visit.session == before
        assert isinstance(app.screen, ExamScreen)


async def test_what_is_being_written_waits_while_the_window_is_too_small(tmp_path):
    app = an_app(tmp_path / "sessions")
    async with app.run_test(size=(80, 24)) as pilot:
        begin_small_visit(app, tmp_path)
        await pilot.pause()
        await keys(pilot, "n")
        await type_text(pilot, "guarded")
        await pilot.resize_terminal(30, 8)
        await pilot.pause()
        await type_text(pilot, "xyz")
        await keys(pilot, "enter", "escape")
        await pilot.resize_terminal(80, 24)
        await pilot.pause()
        await type_text(pilot, " now")
        await keys(pilot, "enter")
        assert app.visit.session.finding(Place("hot-foot", Side.LEFT)).note == "guarded now"


async def test_a_field_of_the_exam_is_written_on_after_the_window_was_too_small(tmp_path):
    app = an_app(tmp_path / "sessions")
    async with app.run_test(size=(80, 24)) as pilot:
        begin_small_visit(app, tmp_path)
        await pilot.pause()
        app.screen._walk.go(Place("story", Side.WHOLE))
        app.screen.refresh_visit()
        await pilot.pause()
        await type_text(pilot, "pain")
        await pilot.resize_terminal(30, 8)
        await pilot.pause()
        await pilot.resize_terminal(80, 24)
        await pilot.pause()
        await type_text(pilot, "s q")
        await keys(pilot, "enter")
        assert app.visit.session.answers == {Place("story", Side.WHOLE): "pains q"}


async def test_the_smallest_window_that_is_enough_shows_the_exam(tmp_path):
    app = an_app(tmp_path / "sessions")
    async with app.run_test(size=(60, 18)) as pilot:
        begin_small_visit(app, tmp_path)
        await pilot.pause()
        assert "1  No" in screen_text(app)


def test_a_size_left_in_the_environment_does_not_outweigh_the_window(tmp_path, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("LINES", "24")
    seen = {}

    def headless(self):
        seen.update(os.environ)
        self._exit = True

    monkeypatch.setattr(ExamwalkApp, "run", headless)
    monkeypatch.setattr(running, "has_terminal", lambda: True)
    assert running.run(tmp_path, Start()) == 0
    assert not {"COLUMNS", "LINES"} & set(seen)


class BrokenApp(ExamwalkApp):
    """Fails on a key, with a patient's words in a local variable."""

    CSS_PATH = Path(app_module.__file__).with_name("app.tcss")
    BINDINGS = [("f12", "break_down", "break")]  # noqa: RUF012

    def action_break_down(self):
        secret = "the patient said this"
        raise RuntimeError("a fault") from ValueError(len(secret))


class TestAFaultOfTheAppItself:
    @pytest.fixture
    def outcome(self, tmp_path, monkeypatch, capsys):
        """What run() leaves after a fault: its code, its words and the log."""
        logs = tmp_path / "logs"

        def log_path(*_, **__):
            logs.mkdir(exist_ok=True)
            return logs

        def headless(self):
            async def press(pilot):
                (tmp_path / "p").mkdir()
                begin_small_visit(self, tmp_path / "p")
                await pilot.pause()
                await keys(pilot, "2", "f12")
                await pilot.pause()

            super(BrokenApp, self).run(headless=True, auto_pilot=press)

        monkeypatch.setattr(running, "ExamwalkApp", BrokenApp)
        monkeypatch.setattr(running, "user_log_path", log_path)
        monkeypatch.setattr(BrokenApp, "run", headless, raising=False)
        code = running.run_app(tmp_path / "sessions", Start())
        return code, capsys.readouterr().err, logs / "failures.log"

    def test_it_ends_with_code_one_and_says_where_the_visit_is(self, outcome, tmp_path):
        code, said, log = outcome
        assert code == 1
        assert said.startswith("examwalk stopped because of a fault of its own.")
        (saved,) = (tmp_path / "sessions").glob("*.toml")
        assert f"The visit is saved: {saved}" in said
        assert str(log) in said
        assert "Traceback" not in said
        assert read_session(saved).answers == {Place("hot-foot", Side.LEFT): "yes"}

    def test_the_log_has_the_traceback_but_no_values_and_only_the_user_can_read_it(self, outcome):
        _, said, log = outcome
        text = log.read_text(encoding="utf-8")
        assert "RuntimeError: a fault" in text
        assert "action_break_down" in text
        assert "= 'the patient said this'" not in text + said
        assert stat.S_IMODE(log.stat().st_mode) == 0o600


async def test_the_protocol_note_stays_at_the_top(tmp_path):
    app = an_app(tmp_path / "sessions")
    async with app.run_test(size=(80, 24)) as pilot:
        begin_small_visit(app, tmp_path)
        await pilot.pause()
        app.visit.protocol_note = "It is read with version 2."
        app.screen.refresh_visit()
        await pilot.pause()
        assert "▲ Protocol It is read with version 2." in screen_text(app)


def test_no_screen_needs_the_folder_to_exist(tmp_path: Path):
    assert an_app(tmp_path / "not" / "there").folder.exists() is False
