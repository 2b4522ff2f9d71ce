"""Repeat examinations on a page of their own, from the summary."""

import pytest
from ordering_protocol import CALM, LEFT
from screen_text import keys, screen_text
from test_summary_screen import summary_of

from examwalk.reasoning import reproducing
from examwalk.tui.screens.repeats import RepeatsPage
from examwalk.tui.screens.summary import SummaryScreen

CUSTOM = {**CALM, ("posture", LEFT): "pronated", ("resistance", LEFT): "hard"}


async def repeats_of(app, pilot, repeats):
    page = RepeatsPage(app.visit.protocol, app.visit.session, repeats)
    app.push_screen(page)
    await pilot.pause()
    return page


@pytest.mark.parametrize("size", [(80, 24), (140, 45)])
async def test_one_key_runs_it_and_shows_what_came_out_and_what_it_assumes(tmp_path, size):
    async with summary_of(tmp_path, CUSTOM, size) as (app, pilot):
        await keys(pilot, "p")
        await app.workers.wait_for_complete()
        await pilot.pause()
        shown = screen_text(app)
        assert "repeated 2000 times by another examiner" in shown
        assert "The recommendation comes out the same in" in shown
        await keys(pilot, "end")
        shown = screen_text(app)
        assert "Taken to come out the same" in shown
        assert "The clinician decides." in shown
        await keys(pilot, "escape")
        assert isinstance(app.screen, SummaryScreen)


async def test_while_it_runs_a_bar_is_shown_and_x_stops_it(tmp_path):
    async with summary_of(tmp_path, CUSTOM) as (app, pilot):
        await repeats_of(app, pilot, 1_000_000)
        shown = screen_text(app)
        assert "of 1000000 repeats" in shown
        assert "░" in shown
        assert "x stop" in " ".join(shown.split())
        await keys(pilot, "x")
        await app.workers.wait_for_complete()
        await pilot.pause()
        shown = screen_text(app)
        assert "Stopped before all 1000000 were done." in " ".join(shown.split())
        assert "x stop" not in " ".join(shown.split())


async def test_closing_the_page_ends_the_run(tmp_path, monkeypatch):
    done = []
    run = reproducing.Simulation.run

    def counted(self, repeats):
        for one in run(self, repeats):
            done.append(one)
            yield one

    monkeypatch.setattr(reproducing.Simulation, "run", counted)
    async with summary_of(tmp_path, CUSTOM) as (app, pilot):
        await repeats_of(app, pilot, 1_000_000)
        await keys(pilot, "escape")
        assert isinstance(app.screen, SummaryScreen)
        await pilot.pause(0.05)
        ended_at = len(done)
        await pilot.pause(0.05)
        assert len(done) == ended_at
