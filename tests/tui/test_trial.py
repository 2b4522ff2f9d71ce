"""Trying a protocol: nothing is kept, and a saved file is read anew with its difference shown."""

import os
from pathlib import Path

import pytest
from screen_text import an_app, keys, screen_text
from small_protocol import SMALL
from textual.pilot import Pilot

from examwalk.catalogues import choose_language
from examwalk.cli import main
from examwalk.tui.app import ExamwalkApp, Start

LIFT = """
[[feature]]
id = "toe-raise"
title = "Toe raise"
kind = "amount"
unit = "mm"
range = [0, 12]
start = 2
cautious = "low"
basis = ["convention"]
"""


@pytest.fixture
def clinic(tmp_path: Path) -> Path:
    path = tmp_path / "clinic.toml"
    path.write_text(SMALL.replace('id = "small"', 'id = "clinic"', 1), encoding="utf-8")
    return path


def trial_of(clinic: Path) -> ExamwalkApp:
    return an_app(clinic.parent / "thrown-away", Start("try", clinic))


async def rewrite(clinic: Path, text: str, app: ExamwalkApp, pilot: Pilot[None]) -> None:
    """Save the file as an editor would, and let the app look at it."""
    clinic.write_text(text, encoding="utf-8")
    later = clinic.stat().st_mtime_ns + 1_000_000_000
    os.utime(clinic, ns=(later, later))
    app._look_at_trial()
    await pilot.pause(0.05)


async def test_the_visit_says_that_it_is_a_trial_and_is_marked_as_invented(clinic: Path):
    app = trial_of(clinic)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        shown = screen_text(app)
        assert "Trial." in shown
        assert "Nothing here is kept" in shown
        assert app.visit is not None
        assert app.visit.session.invented


async def test_a_reworded_step_is_on_screen_once_the_file_is_saved(clinic: Path):
    app = trial_of(clinic)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "Hot, swollen foot" in screen_text(app)
        text = clinic.read_text(encoding="utf-8")
        await rewrite(clinic, text.replace("Hot, swollen foot", "A warm thick foot"), app, pilot)
        shown = screen_text(app)
        assert "A warm thick foot" in shown
        assert "read anew" in shown


async def test_answers_stay_when_the_file_is_read_anew(clinic: Path):
    app = trial_of(clinic)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await keys(pilot, "1", "1")
        assert app.visit is not None
        given = app.visit.session.answers
        assert len(given) == 2
        text = clinic.read_text(encoding="utf-8")
        await rewrite(clinic, text.replace("Hot, swollen foot", "A warm thick foot"), app, pilot)
        assert app.visit.session.answers == given


async def test_the_summary_shows_what_follows_differently(clinic: Path):
    clinic.write_text(clinic.read_text(encoding="utf-8") + LIFT, encoding="utf-8")
    app = trial_of(clinic)
    async with app.run_test(size=(140, 45)) as pilot:
        await pilot.pause()
        await keys(pilot, "s")
        await pilot.pause()
        assert "Changed by the last save" not in screen_text(app)
        text = clinic.read_text(encoding="utf-8")
        await rewrite(clinic, text.replace("start = 2", "start = 5"), app, pilot)
        shown = screen_text(app)
        assert "Changed by the last save of the protocol" in shown
        assert "Toe raise, left: 2 mm → 5 mm" in shown
        assert "Toe raise, right: 2 mm → 5 mm" in shown
        assert shown.index("Refer and take care") < shown.index("Changed by the last save")
        await rewrite(clinic, text.replace("start = 2", "start = 5") + "\n# a remark\n", app, pilot)
        assert "The same follows as before." in screen_text(app)


async def test_at_80_columns_the_summary_opens_at_what_the_save_has_changed(clinic: Path):
    clinic.write_text(clinic.read_text(encoding="utf-8") + LIFT, encoding="utf-8")
    app = trial_of(clinic)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        text = clinic.read_text(encoding="utf-8")
        await rewrite(clinic, text.replace("start = 2", "start = 5"), app, pilot)
        await keys(pilot, "s")
        await pilot.pause()
        shown = screen_text(app)
        assert "▸ Toe raise, left: 2 mm → 5 mm" in shown
        assert "Changed by the last save of the protocol" in shown


async def test_a_mistake_in_the_saved_file_is_named_and_the_version_before_stands(clinic: Path):
    app = trial_of(clinic)
    async with app.run_test(size=(140, 45)) as pilot:
        await pilot.pause()
        text = clinic.read_text(encoding="utf-8")
        await rewrite(clinic, text + "\nsafety = yes\n", app, pilot)
        shown = " ".join(screen_text(app).split())
        assert "cannot be read" in shown
        assert f"clinic.toml:{text.count(chr(10)) + 2}" in shown
        assert "Hot, swollen foot" in shown
        await rewrite(clinic, text, app, pilot)
        assert "cannot be read" not in screen_text(app)


async def test_a_test_taken_away_under_the_cursor_is_left_for_the_next_one(clinic: Path):
    app = trial_of(clinic)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        text = clinic.read_text(encoding="utf-8")
        await rewrite(clinic, text.replace("hot-foot", "warm-foot"), app, pilot)
        assert app.visit is not None
        assert all(place.test != "hot-foot" for place in app.visit.case.places)
        await keys(pilot, "1")
        assert {place.test for place in app.visit.session.answers} == {"warm-foot"}


async def test_leaving_a_trial_ends_the_app(clinic: Path):
    app = trial_of(clinic)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await keys(pilot, "q")
        await pilot.pause()
        assert not app.is_running


def test_a_protocol_that_cannot_be_read_is_said_before_the_screen_opens(
    clinic: Path, capsys: pytest.CaptureFixture[str]
):
    clinic.write_text('[protocol]\nid = "clinic\n', encoding="utf-8")
    assert main(["protocol", "try", str(clinic)]) == 1
    assert "clinic.toml:2" in capsys.readouterr().err


async def test_saving_a_translation_shows_its_words_at_once(clinic: Path):
    choose_language("de")
    german = clinic.parent / "translations" / "clinic.de.toml"
    german.parent.mkdir()
    german.write_text('[[position]]\nid = "seated"\ntitle = "Im Sitz"\n', encoding="utf-8")
    app = trial_of(clinic)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "Im Sitz" in screen_text(app)
        words = '[[position]]\nid = "seated"\ntitle = "Sitzend"\n'
        await rewrite(german, words, app, pilot)
        assert "Sitzend" in screen_text(app)
        await rewrite(german, words.replace("seated", "seatd"), app, pilot)
        assert "Sitzend" in screen_text(app)
        assert app.visit is not None
        assert "clinic.de.toml:2" in str(app.visit.trial_note)
