"""The summary as a person uses it: reading reasons, ordering, taking back."""

import shutil
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from ordering_protocol import CALM, COLLIDING, LEFT, RIGHT, WHOLE, a_visit
from screen_text import an_app, keys, screen_text, starting_with, type_text

from examwalk.cli import main
from examwalk.files import SaveFailedError
from examwalk.session.model import Side
from examwalk.session.storing import read_session
from examwalk.tui import visit_on_disk
from examwalk.tui.screens.exam import ExamScreen
from examwalk.tui.screens.review import ReviewScreen
from examwalk.tui.screens.summary import SummaryScreen
from examwalk.tui.widgets.lines import Pointer
from examwalk.tui.widgets.row_list import RowList

CUSTOM = {**CALM, ("posture", LEFT): "pronated", ("resistance", LEFT): "hard"}
HOSTILE = "[/] [@click=app.quit] \x1b]2;x\x07 \x9b \u202e"


@asynccontextmanager
async def summary_of(folder, answers, size=(80, 24)):
    app = an_app(folder)

    def show() -> None:
        app.visit = a_visit(folder, answers)
        app.show_summary()

    async with starting_with(show, app).run_test(size=size) as pilot:
        await pilot.pause()
        yield app, pilot


async def point(pilot, feature, side=LEFT):
    pilot.app.screen.query_one("#rows", RowList).point_at(Pointer(("feature", feature), side))
    await pilot.pause()


def ordered(app, feature, side=LEFT):
    return next(
        (d for d in app.visit.session.decisions if (d.feature, d.side) == (feature, side)), None
    )


@pytest.mark.parametrize("size", [(80, 24), (140, 45)])
async def test_the_disclaimer_stays_in_sight_wherever_the_pointer_goes(tmp_path, size):
    async with summary_of(tmp_path, CUSTOM, size) as (app, pilot):
        for _ in range(2):
            assert "The clinician decides." in screen_text(app)
            await keys(pilot, "end")


async def test_left_is_headed_left_of_right_as_seen_from_behind(tmp_path):
    async with summary_of(tmp_path, CUSTOM) as (app, _):
        line = next(ln for ln in screen_text(app).splitlines() if "as seen from behind" in ln)
        assert line.index("Left") < line.index("Right")


async def test_the_pointer_goes_to_the_other_foot_and_the_reasons_follow(tmp_path):
    async with summary_of(tmp_path, CUSTOM) as (app, pilot):
        await point(pilot, "lift")
        assert "Heel lift, left" in screen_text(app)
        assert "It is hard to lift." in screen_text(app)
        await keys(pilot, "right")
        assert "Heel lift, right" in screen_text(app)
        assert "It is hard to lift." not in screen_text(app)


async def test_enter_twice_accepts_a_recommendation_and_saves_it(tmp_path):
    async with summary_of(tmp_path, CUSTOM) as (app, pilot):
        await point(pilot, "lift")
        await keys(pilot, "enter", "enter")
        assert isinstance(app.screen, SummaryScreen)
        assert "● 4 mm" in screen_text(app)
        (decision,) = read_session(app.visit.path).decisions
        assert (decision.feature, decision.side) == ("lift", LEFT)
        assert (decision.value, decision.recommended, decision.because) == (4, 4, "")


async def test_nothing_stands_in_the_field_beforehand(tmp_path):
    async with summary_of(tmp_path, CUSTOM) as (app, pilot):
        await point(pilot, "lift")
        await keys(pilot, "enter")
        assert app.screen.query_one("#value").value == ""


async def test_another_amount_is_ordered_only_with_a_reason(tmp_path):
    async with summary_of(tmp_path, CUSTOM) as (app, pilot):
        await point(pilot, "lift")
        await keys(pilot, "enter", "3", "enter")
        assert ordered(app, "lift") is None
        assert "3 mm is not the recommended 4 mm" in screen_text(app)
        await keys(pilot, "enter")
        assert "A reason is needed" in screen_text(app)
        assert ordered(app, "lift") is None
        await type_text(pilot, "full shoe")
        await keys(pilot, "enter")
        decision = ordered(app, "lift")
        assert decision is not None
        assert (decision.value, decision.recommended) == (3, 4)
        assert decision.because == "full shoe"
        text = screen_text(app)
        assert "● 3 mm ordered" in text
        assert "○ 4 mm" in text


async def test_an_amount_out_of_range_is_refused_beside_the_field(tmp_path):
    async with summary_of(tmp_path, CUSTOM) as (app, pilot):
        await point(pilot, "lift")
        await keys(pilot, "enter", "4", "0", "enter")
        assert "40 is out of range: 0 to 12 mm" in screen_text(app)
        assert ordered(app, "lift") is None


async def test_escape_orders_nothing(tmp_path):
    async with summary_of(tmp_path, CUSTOM) as (app, pilot):
        await point(pilot, "lift")
        await keys(pilot, "enter", "3", "enter", "escape")
        assert isinstance(app.screen, SummaryScreen)
        assert app.visit.session.decisions == ()


async def test_an_option_is_ordered_with_the_digit_before_it(tmp_path):
    async with summary_of(tmp_path, CUSTOM) as (app, pilot):
        await point(pilot, "device", LEFT)
        await keys(pilot, "enter")
        assert "custom  ○ recommended" in screen_text(app)
        await keys(pilot, "3")
        decision = ordered(app, "device", WHOLE)
        assert decision is not None
        assert decision.value == "custom"


async def test_another_option_needs_a_reason_in_which_digits_are_only_letters(tmp_path):
    async with summary_of(tmp_path, CUSTOM) as (app, pilot):
        await point(pilot, "device")
        await keys(pilot, "enter", "2")
        await type_text(pilot, "3 weeks")
        await keys(pilot, "enter")
        decision = ordered(app, "device", WHOLE)
        assert decision is not None
        assert (decision.value, decision.because) == ("ready", "3 weeks")


async def test_where_rules_collide_enter_alone_orders_nothing(tmp_path):
    async with summary_of(tmp_path, COLLIDING) as (app, pilot):
        await point(pilot, "cover")
        await keys(pilot, "enter", "enter")
        assert ordered(app, "cover") is None
        assert "Choose an option first" in screen_text(app)
        await keys(pilot, "down", "enter")
        decision = ordered(app, "cover")
        assert decision is not None
        assert decision.value == "soft"


async def test_a_feature_that_waits_can_be_ordered_with_a_reason(tmp_path):
    async with summary_of(tmp_path, {}) as (app, pilot):
        await point(pilot, "device")
        await keys(pilot, "enter")
        assert "Nothing is recommended: waiting for answers." in screen_text(app)
        await keys(pilot, "1", "x", "enter")
        decision = ordered(app, "device", WHOLE)
        assert decision is not None
        assert (decision.value, decision.recommended, decision.because) == ("none", None, "x")


async def test_accept_all_leaves_collisions_and_earlier_decisions_alone(tmp_path):
    async with summary_of(tmp_path, COLLIDING) as (app, pilot):
        app.visit.decide("lift", LEFT, 3, "full shoe")
        app.screen.refresh_visit()
        await keys(pilot, "a")
        assert "4 recommendations accepted." in screen_text(app)
        assert ordered(app, "cover", LEFT) is None
        assert ordered(app, "lift", LEFT).value == 3
        assert {(d.feature, d.side) for d in read_session(app.visit.path).decisions} == {
            ("lift", LEFT),
            ("lift", RIGHT),
            ("device", WHOLE),
            ("cover", RIGHT),
            ("review-weeks", WHOLE),
        }


async def test_undo_after_accept_all_takes_the_whole_acceptance_back(tmp_path):
    async with summary_of(tmp_path, COLLIDING) as (app, pilot):
        app.visit.decide("lift", LEFT, 3, "full shoe")
        app.screen.refresh_visit()
        await keys(pilot, "a", "u")
        assert "Taken back: the acceptance of 4 recommendations." in screen_text(app)
        kept = [(d.feature, d.side, d.value) for d in read_session(app.visit.path).decisions]
        assert kept == [("lift", LEFT, 3)]


async def test_delete_takes_a_decision_back_and_undo_brings_it_again(tmp_path):
    async with summary_of(tmp_path, CUSTOM) as (app, pilot):
        await point(pilot, "lift")
        await keys(pilot, "enter", "enter")
        await keys(pilot, "delete")
        assert ordered(app, "lift") is None
        assert "No longer ordered: Heel lift, left." in screen_text(app)
        await keys(pilot, "u")
        assert ordered(app, "lift") is not None
        assert "Taken back:" in screen_text(app)


async def test_a_finished_visit_is_not_changed_and_says_how_to_go_on(tmp_path):
    async with summary_of(tmp_path, CUSTOM) as (app, pilot):
        app.visit.finish()
        app.screen.refresh_visit()
        await point(pilot, "lift")
        for key in ("enter", "a", "delete"):
            await keys(pilot, key)
            assert isinstance(app.screen, SummaryScreen)
            assert "This visit is finished" in screen_text(app)
        assert app.visit.session.decisions == ()


async def test_finishing_asks_first_and_the_same_key_reopens(tmp_path):
    async with summary_of(tmp_path, CUSTOM) as (app, pilot):
        await keys(pilot, "f")
        assert "without a decision" in screen_text(app)
        await keys(pilot, "n")
        assert not app.visit.is_finished
        await keys(pilot, "f", "y")
        assert app.visit.is_finished
        assert "finished 25 Nov 2026" in screen_text(app)
        await keys(pilot, "f", "y")
        assert not app.visit.is_finished


async def test_a_caution_leads_to_the_test_that_raised_it(tmp_path):
    async with summary_of(tmp_path, {("hot-foot", RIGHT): "yes"}) as (app, pilot):
        await keys(pilot, "enter")
        assert isinstance(app.screen, ExamScreen)
        assert app.visit.session.here.test == "hot-foot"
        assert app.visit.session.here.side is Side.RIGHT


async def test_what_stops_a_device_stays_as_a_banner(tmp_path):
    async with summary_of(tmp_path, {("hot-foot", RIGHT): "yes"}) as (app, pilot):
        await keys(pilot, "end")
        top = " ".join(" ".join(screen_text(app).splitlines()[:5]).split())
        assert "Stop: Hot swollen foot, right" in top
        assert "Emergency, at once" in top
        assert "emergency foot clinic" in top


async def test_long_reasons_can_be_read_to_their_end(tmp_path):
    answers = {**CUSTOM, ("strength", LEFT): "weak"}
    async with summary_of(tmp_path, answers) as (app, pilot):
        await point(pilot, "lift")
        last = "Author and others, 2020"
        assert last not in screen_text(app)
        for _ in range(2):  # two pages further is the end
            await keys(pilot, "space")
        assert last in screen_text(app)
        await keys(pilot, "space", "t")
        text = screen_text(app)
        assert "Recommended: 2 mm" in text
        assert last in text


async def test_a_wide_window_has_the_reasons_beside_the_rows(tmp_path):
    async with summary_of(tmp_path, CUSTOM, (140, 45)) as (app, pilot):
        await point(pilot, "lift")
        line = next(ln for ln in screen_text(app).splitlines() if "Heel lift, left" in ln)
        assert line.index("Heel lift, left") > 70


@pytest.mark.parametrize("size", [(80, 24), (140, 45)])
async def test_hostile_text_in_a_reason_is_shown_harmlessly(tmp_path, size):
    async with summary_of(tmp_path, CUSTOM, size) as (app, pilot):
        app.visit.decide("lift", LEFT, 3, HOSTILE)
        app.screen.refresh_visit()
        await point(pilot, "lift")
        text = screen_text(app)
        assert "[@click=app.quit]" in text
        assert not {"\x1b", "\x07", "\x9b", "\u202e"} & set(text)
        await keys(pilot, "enter")
        assert "[@click=app.quit]" in screen_text(app)


@pytest.mark.parametrize("size", [(1, 1), (10, 3), (59, 17), (60, 18), (200, 60)])
async def test_no_window_is_too_small_or_too_large(tmp_path, size):
    async with summary_of(tmp_path, COLLIDING) as (app, pilot):
        await pilot.resize_terminal(*size)
        await keys(pilot, "down", "end", "t", "space", "t", "home")
        await keys(pilot, "enter")
        await pilot.resize_terminal(80, 24)
        await pilot.pause()
        assert app.visit is not None


async def test_from_the_summary_to_the_review_and_the_exam_and_out(tmp_path):
    async with summary_of(tmp_path, CUSTOM) as (app, pilot):
        await keys(pilot, "r")
        assert isinstance(app.screen, ReviewScreen)
        await keys(pilot, "s")
        assert isinstance(app.screen, SummaryScreen)
        await keys(pilot, "escape")
        assert isinstance(app.screen, ExamScreen)


async def test_without_colour_the_pointer_and_the_orders_can_still_be_told(tmp_path, monkeypatch):
    monkeypatch.setenv("NO_COLOR", "1")
    async with summary_of(tmp_path, CUSTOM) as (app, pilot):
        await point(pilot, "lift")
        await keys(pilot, "enter", "enter")
        line = next(ln for ln in screen_text(app).splitlines() if "Heel lift  " in ln)
        assert "▸ ● 4 mm" in line


async def test_an_unsaved_decision_is_said_and_kept(tmp_path, monkeypatch):
    def full(path, cause=None):
        raise SaveFailedError(path, OSError(28, "No space left on device"))

    async with summary_of(tmp_path, CUSTOM) as (app, pilot):
        monkeypatch.setattr(visit_on_disk, "write_session", full)
        await keys(pilot, "a")
        assert "Not saved" in screen_text(app)
        assert app.visit.session.decisions
        monkeypatch.undo()
        await keys(pilot, "ctrl+s")
        assert "Not saved" not in screen_text(app)
        assert read_session(app.visit.path).decisions == app.visit.session.decisions


async def test_the_profile_and_charts_of_the_printed_summary_are_on_a_page(tmp_path, capsys):
    example = Path(__file__).parents[2] / "sessions" / "heel-pain-right.toml"
    assert main(["summary", str(example)]) == 0
    printed = capsys.readouterr().out.splitlines()
    profile = printed[printed.index("Profile of the grades") :]
    app = an_app(tmp_path)
    async with app.run_test(size=(80, 45)) as pilot:
        app.open_visit(Path(shutil.copy(example, tmp_path)))
        await pilot.pause()
        await keys(pilot, "s", "g")
        shown = [line.strip() for line in screen_text(app).splitlines()]
        for line in profile[2:12]:
            assert line.strip() in shown
        before = screen_text(app)
        await keys(pilot, "right", "end")
        assert screen_text(app) != before
        await keys(pilot, "escape")
        assert isinstance(app.screen, SummaryScreen)
