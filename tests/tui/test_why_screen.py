"""Why, and why not, on screen, by the keyboard alone."""

import shutil
from pathlib import Path

import pytest
from ordering_protocol import CALM, LEFT, RIGHT
from screen_text import an_app, keys, screen_text, ticking_clock, type_text
from test_summary_screen import CUSTOM, ordered, point, summary_of

from examwalk.tui.open_visit import OpenVisit
from examwalk.tui.screens.decision import DecisionSheet
from examwalk.tui.screens.summary import SummaryScreen
from examwalk.tui.screens.why import WhyPage

CAPPED = {**CUSTOM, ("strength", LEFT): "weak"}


def in_words(app):
    return " ".join(screen_text(app).split())


@pytest.mark.parametrize("size", [(80, 24), (140, 45)])
async def test_one_key_tells_the_chain_behind_the_feature_at_the_pointer(tmp_path, size):
    async with summary_of(tmp_path, CAPPED, size) as (app, pilot):
        await point(pilot, "lift")
        await keys(pilot, "w")
        text = in_words(app)
        assert "Why: Heel lift, left" in text
        assert "The clinician decides." in text
        steps = ["It starts at none.", "none → 4 mm", "4 mm → 2 mm", "So: 2 mm."]
        places = [text.index(step) for step in steps]
        assert places == sorted(places)
        await keys(pilot, "escape")
        assert isinstance(app.screen, SummaryScreen)


async def test_an_amount_is_asked_about_by_typing_it(tmp_path):
    async with summary_of(tmp_path, CAPPED) as (app, pilot):
        await point(pilot, "lift")
        await keys(pilot, "w", "n")
        assert "Type 0 to 12 mm" in screen_text(app)
        await type_text(pilot, "4")
        await keys(pilot, "enter")
        text = in_words(app)
        assert "Heel lift, left: why not 4 mm?" in text
        assert "A weak leg does not bear a high lift." in text
        assert "Strength, left: weak → " in text


async def test_an_option_is_asked_about_by_its_number_or_the_arrows(tmp_path):
    async with summary_of(tmp_path, CUSTOM) as (app, pilot):
        await point(pilot, "device")
        await keys(pilot, "w", "n")
        assert "3 custom ○ recommended" in in_words(app)
        await keys(pilot, "2")
        by_number = in_words(app)
        assert "Kind of device: why not ready-made?" in by_number
        await keys(pilot, "n", "down", "down", "enter")
        assert in_words(app) == by_number


async def test_what_cannot_be_asked_is_refused_in_a_sentence_and_can_be_typed_anew(tmp_path):
    async with summary_of(tmp_path, CAPPED) as (app, pilot):
        await point(pilot, "lift")
        await keys(pilot, "w", "n")
        await type_text(pilot, "40")
        await keys(pilot, "enter")
        assert "40 is out of range: 0 to 12 mm" in screen_text(app)
        await keys(pilot, "backspace", "enter")
        assert "why not 4 mm?" in screen_text(app)


async def test_enter_without_a_choice_says_what_to_do_and_a_number_too_high_is_refused(tmp_path):
    async with summary_of(tmp_path, CUSTOM) as (app, pilot):
        await point(pilot, "device")
        await keys(pilot, "w", "n", "enter")
        assert "Choose an option first" in screen_text(app)
        await keys(pilot, "9")
        assert "There is no option with this number." in screen_text(app)


async def test_escape_goes_back_step_by_step_and_nothing_is_ordered(tmp_path):
    async with summary_of(tmp_path, CAPPED) as (app, pilot):
        await point(pilot, "lift")
        await keys(pilot, "w", "n")
        await type_text(pilot, "4")
        await keys(pilot, "enter", "n", "escape")
        assert "why not 4 mm?" in screen_text(app)
        await keys(pilot, "escape")
        assert "Why: Heel lift, left" in screen_text(app)
        await keys(pilot, "escape")
        assert isinstance(app.screen, SummaryScreen)
        assert ordered(app, "lift") is None


async def test_from_the_decision_a_key_tells_why_and_what_was_typed_stays(tmp_path):
    async with summary_of(tmp_path, CAPPED) as (app, pilot):
        await point(pilot, "lift")
        await keys(pilot, "enter")
        await type_text(pilot, "3")
        await keys(pilot, "f2")
        assert isinstance(app.screen, WhyPage)
        assert "So: 2 mm." in screen_text(app)
        await keys(pilot, "escape")
        assert isinstance(app.screen, DecisionSheet)
        assert app.screen.query_one("#value").value == "3"


async def test_a_feature_without_a_value_tells_what_it_waits_for(tmp_path):
    async with summary_of(tmp_path, {}) as (app, pilot):
        await point(pilot, "device")
        await keys(pilot, "w")
        assert "Waiting for: Hot, swollen foot" in screen_text(app)


async def test_off_a_feature_the_key_says_so(tmp_path):
    async with summary_of(tmp_path, CALM) as (app, pilot):
        await keys(pilot, "end", "w")
        assert isinstance(app.screen, SummaryScreen)
        assert "Put the pointer on a feature of the device first" in screen_text(app)


async def test_a_long_chain_is_scrolled_and_how_much_is_left_is_said(tmp_path):
    path = shutil.copy(Path(__file__).parents[2] / "sessions" / "heel-pain-right.toml", tmp_path)
    app = an_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        app.visit = OpenVisit.open(Path(path), ticking_clock())
        app.show_summary()
        await pilot.pause()
        await point(pilot, "medial-heel-skive", RIGHT)
        await keys(pilot, "w")
        assert "more lines" in screen_text(app)
        assert "So: 2 mm." not in screen_text(app)
        await keys(pilot, "end")
        assert "more line" not in screen_text(app)
        assert "So: 2 mm." in screen_text(app)
        await keys(pilot, "home", "down", "pagedown")
        assert "Why: Medial heel skive, right" in screen_text(app)
        print(screen_text(app))
