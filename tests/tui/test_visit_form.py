"""The form for a new visit: three fields, errors beside them, and nothing begun by accident."""

import re
from contextlib import asynccontextmanager

import pytest
from screen_text import an_app, keys, screen_text, type_text
from small_protocol import SMALL, small_protocol

from examwalk.session.folder import list_sessions
from examwalk.tui.app import Start
from examwalk.tui.screens.exam import ExamScreen
from examwalk.tui.screens.start import StartScreen
from examwalk.tui.screens.visit import VisitScreen, offered_protocols


@pytest.fixture
def small(tmp_path):
    return small_protocol(tmp_path).path


@pytest.fixture
def folder(tmp_path):
    path = tmp_path / "visits"
    path.mkdir()
    return path


@asynccontextmanager
async def form(folder, protocol="", **start):
    app = an_app(folder, Start("new", protocol=str(protocol), **start))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        yield app, pilot


def visits(folder):
    return [entry.session for entry in list_sessions(folder)]


async def test_code_initials_and_protocol_are_entered_through(folder, small):
    async with form(folder, small) as (app, pilot):
        await type_text(pilot, "P-0042")
        await keys(pilot, "enter")
        await type_text(pilot, "AB")
        await keys(pilot, "enter", "enter")
        assert isinstance(app.screen, ExamScreen)
        (session,) = visits(folder)
        assert (session.patient, session.examiner, session.protocol.id) == ("P-0042", "AB", "small")


async def test_nothing_is_written_before_the_last_enter(folder, small):
    async with form(folder, small) as (app, pilot):
        await type_text(pilot, "P-0042")
        await keys(pilot, "enter")
        await type_text(pilot, "AB")
        assert visits(folder) == []
        await keys(pilot, "escape")
        assert isinstance(app.screen, StartScreen)
        assert visits(folder) == []


async def test_a_visit_needs_a_code(folder, small):
    async with form(folder, small) as (app, pilot):
        await keys(pilot, "enter")
        assert "The patient needs a code" in screen_text(app)
        assert app.focused.id == "patient"


@pytest.mark.parametrize("code", ["25.12.1980", "Anna Example", "0171 5550123"])
async def test_what_could_tell_who_the_patient_is_is_asked_about_once(folder, small, code):
    async with form(folder, small) as (app, pilot):
        app.screen.query_one("#patient").value = code
        await pilot.pause()
        await keys(pilot, "enter")
        assert "looks like" in screen_text(app)
        assert app.focused.id == "patient"
        await keys(pilot, "enter")
        assert app.focused.id == "examiner"


async def test_a_code_that_was_changed_is_asked_about_anew(folder, small):
    async with form(folder, small) as (app, pilot):
        app.screen.query_one("#patient").value = "25.12.1980"
        await pilot.pause()
        await keys(pilot, "enter")
        app.screen.query_one("#patient").value = "26.12.1980"
        await pilot.pause()
        assert "looks like" not in screen_text(app)
        await keys(pilot, "enter")
        assert "looks like" in screen_text(app)
        assert app.focused.id == "patient"


async def test_a_visit_needs_an_examiner(folder, small):
    async with form(folder, small) as (app, pilot):
        await type_text(pilot, "P-1")
        await keys(pilot, "enter", "enter")
        assert "who examined" in screen_text(app)
        assert app.focused.id == "examiner"
        assert visits(folder) == []


async def test_the_wanted_protocol_stands_first_with_title_minutes_and_what_it_is_for(
    folder, small
):
    async with form(folder, small) as (app, _):
        text = screen_text(app)
        assert re.search("▸ A small exam +about 5 minutes", text)
        starts = {line.index("about") for line in text.splitlines() if "minutes, version" in line}
        assert len(starts) == 1
        assert "For tests." in text


async def test_the_arrows_choose_another_protocol(folder, small):
    async with form(folder, small) as (app, pilot):
        await keys(pilot, "down")
        assert "▸ Foot and lower-limb examination, adult" in screen_text(app)
        await type_text(pilot, "P-1")
        await keys(pilot, "enter", "A", "enter", "enter")
        assert app.visit.session.protocol.id == "adult"


async def test_a_protocol_that_cannot_be_used_says_why_and_begins_nothing(folder, tmp_path):
    broken = tmp_path / "broken.toml"
    broken.write_text(SMALL.replace('kind = "grade"', 'kind = "greade"', 1))
    async with form(folder, broken, patient="P-1", examiner="AB") as (app, pilot):
        await keys(pilot, "enter", "enter", "enter")
        text = screen_text(app)
        assert "cannot be used" in text
        assert "greade" in text
        assert isinstance(app.screen, VisitScreen)
        assert visits(folder) == []


async def test_a_protocol_that_does_not_exist_is_named(folder):
    async with form(folder, "nosuch") as (app, _):
        assert "there is no protocol “nosuch”" in " ".join(screen_text(app).split())


def test_the_shipped_adult_protocol_is_offered_first_and_can_be_used():
    first, *_ = offered_protocols("")
    assert first.identity is not None
    assert first.identity.id == "adult"


async def test_a_code_from_the_command_line_is_for_the_first_visit_alone(folder, small):
    async with form(folder, small, patient="P-0042", examiner="AB") as (app, pilot):
        await keys(pilot, "enter", "enter", "enter")
        assert app.visit.session.patient == "P-0042"
        await keys(pilot, "q", "n")
        assert app.screen.query_one("#patient").value == ""


async def test_letters_are_letters_in_the_fields(folder, small):
    async with form(folder, small) as (app, pilot):
        await type_text(pilot, "qrs?")
        assert app.screen.query_one("#patient").value == "qrs?"


async def test_a_hostile_code_cannot_drive_the_terminal(folder, small):
    async with form(folder, small, patient="x[/]\x1b]2;x\x07\u202e") as (app, pilot):
        await keys(pilot, "enter")
        text = screen_text(app)
        assert not {"\x1b", "\x07", "\u202e"} & set(text)
        app.screen.query_one("#patient").value = "P\x9b1"
        await pilot.pause()
        assert "\x9b" not in screen_text(app)
        assert visits(folder) == []


@pytest.mark.parametrize("size", [(1, 1), (59, 17), (60, 18), (200, 60)])
async def test_no_window_is_too_small_or_too_large(folder, small, size):
    async with form(folder, small) as (app, pilot):
        await pilot.resize_terminal(*size)
        await keys(pilot, "P", "down", "up", "tab", "tab", "shift+tab")
        await pilot.resize_terminal(80, 24)
        await pilot.pause()
        assert "New visit" in screen_text(app)


async def test_the_key_line_says_when_enter_begins_the_exam(folder, small):
    async with form(folder, small) as (app, pilot):
        await type_text(pilot, "P-0042")
        await keys(pilot, "enter")
        assert "Enter next" in screen_text(app)
        await type_text(pilot, "AB")
        await keys(pilot, "enter")
        assert "Enter begin the exam" in screen_text(app)
        await keys(pilot, "enter")
        assert isinstance(app.screen, ExamScreen)


class TestWhatWasChosenOnceForAll:
    @staticmethod
    def choose(monkeypatch, tmp_path, text):
        path = tmp_path / "settings.toml"
        path.write_text(text, "utf-8")
        monkeypatch.setenv("EXAMWALK_SETTINGS", str(path))

    async def test_the_chosen_initials_and_protocol_stand_there_already(
        self, folder, tmp_path, monkeypatch
    ):
        self.choose(monkeypatch, tmp_path, 'examiner = "KL"\nprotocol = "short"\n')
        app = an_app(folder)
        async with app.run_test(size=(80, 24)) as pilot:
            await keys(pilot, "n")
            await type_text(pilot, "P-0042")
            await keys(pilot, "enter", "enter", "enter")
            (session,) = visits(folder)
            assert (session.examiner, session.protocol.id) == ("KL", "short")

    async def test_the_clinics_own_protocols_stand_first_and_say_where_they_lie(
        self, folder, own, small
    ):
        small.rename(own / "our-small.toml")
        (own / "our-broken.toml").write_text("nothing here = 1", "utf-8")
        async with form(folder) as (app, pilot):
            await type_text(pilot, "P-0042")
            text = screen_text(app)
            assert text.index("our-broken") < text.index("A small") < text.index("adult")
            assert "▲ our-broken  cannot be used" in text
            await keys(pilot, "down")
            assert "Your own:" in screen_text(app)
            await keys(pilot, "down")
            assert "Your own:" not in screen_text(app)

    async def test_one_with_the_name_of_a_shipped_protocol_cannot_be_chosen(
        self, folder, own, small
    ):
        small.rename(own / "adult.toml")
        async with form(folder) as (app, pilot):
            await pilot.pause()
            assert "A shipped protocol has the name “adult”" in " ".join(screen_text(app).split())

    async def test_a_file_of_settings_that_breaks_meanwhile_is_told_and_nothing_ends(
        self, folder, tmp_path, monkeypatch
    ):
        app = an_app(folder)
        async with app.run_test(size=(80, 24)) as pilot:
            self.choose(monkeypatch, tmp_path, "examiner = KL\n")
            await keys(pilot, "n")
            assert "not valid TOML" in " ".join(screen_text(app).split())
            await keys(pilot, "escape")
            assert isinstance(app.screen, StartScreen)
