"""What stands, what hangs on which finding and what to repeat, on the summary and the review."""

import itertools
from collections.abc import Iterator

import pytest
from attrs import evolve
from ordering_protocol import CALM, LEFT, RIGHT, WHOLE, a_visit, an_outcome
from screen_text import an_app, screen_text

from examwalk.session.model import Place
from examwalk.tui.outlook import look_ahead
from examwalk.tui.screens import outcome_page
from examwalk.tui.screens.exam import ExamScreen
from examwalk.tui.screens.review_text import review_reasons, review_rows
from examwalk.tui.screens.summary_text import place_at, reasons, summary_rows
from examwalk.tui.screens.words import CAUTION_SIGN
from examwalk.tui.widgets.lines import Pointer, flow, row_lines
from examwalk.tui.widgets.row_list import RowList

STIFF = """
[[caution]]
id = "stiff-toe"
title = "Stiff toe"
when = { test = "jack", is = "hard" }
urgency = "routine"
device = "modify"
says = "The toe joint may be worn."
refer_to = "an X-ray"
basis = ["convention"]
"""
# One grade up makes the left posture pronated, and the device custom with a post of 4°.
NEUTRAL = {**CALM, ("posture", LEFT): "neutral", ("posture", RIGHT): "supinated"}
NEAR = {**NEUTRAL, ("jack", LEFT): "middling", ("jack", RIGHT): "easy"}
RAISED = {**CALM, ("jack", LEFT): "hard"}


def looked_ahead(folder, answers):
    outcome = an_outcome(folder, answers, STIFF)
    *_, last = look_ahead(outcome.protocol, outcome.session, outcome.summary)
    return evolve(outcome, outlook=last)


def written(rows, width=90):
    lines = [line for row in rows for line in row_lines(row, width, Pointer())]
    return [line.plain for line in lines]


def told(outcome, key, side=LEFT):
    return [line.plain for line in flow(reasons(outcome, Pointer(key, side)), 90)]


def test_a_value_is_followed_by_whether_it_stands(tmp_path):
    outcome = looked_ahead(tmp_path, NEUTRAL)
    lines = written(summary_rows(outcome))
    assert any("ready-made  both feet · hangs on 1 finding" in line for line in lines)
    assert any("6 weeks  both feet · stands" in line for line in lines)


def test_the_reasons_name_the_finding_and_the_value_it_would_bring(tmp_path):
    outcome = looked_ahead(tmp_path, NEUTRAL)
    lines = told(outcome, ("feature", "device"))
    assert "Hangs on:" in lines
    assert "· Posture, left: pronated instead of neutral → custom" in lines
    standing = told(outcome, ("feature", "review-weeks"))
    assert any(line.startswith("Stands, whichever single finding") for line in standing)


def test_a_caution_one_finding_away_is_listed_apart_and_not_signed_as_raised(tmp_path):
    outcome = looked_ahead(tmp_path, NEAR)
    lines = written(summary_rows(outcome))
    line = next(line for line in lines if "Stiff toe" in line)
    assert CAUTION_SIGN not in line
    assert "Stiff toe, left · Jack's test, left" in line
    above = lines[: lines.index(line)]
    assert "Nothing found so far calls for it." in "\n".join(above)
    assert "Not raised, but one finding away" in above


def test_its_reasons_say_which_answer_would_raise_it_and_enter_leads_there(tmp_path):
    outcome = looked_ahead(tmp_path, NEAR)
    key = ("near", "stiff-toe", LEFT)
    lines = told(outcome, key)
    assert "· Jack's test, left: hard instead of middling" in lines
    assert "If it holds: The toe joint may be worn." in lines
    assert place_at(outcome, Pointer(key)) == Place("jack", LEFT)


def test_a_raised_caution_says_with_which_answer_it_would_not_be(tmp_path):
    outcome = looked_ahead(tmp_path, RAISED)
    lines = told(outcome, ("caution", "stiff-toe", LEFT))
    assert "· Jack's test, left: middling instead of hard" in lines


def test_what_to_repeat_first_stands_with_what_hangs_on_it(tmp_path):
    outcome = looked_ahead(tmp_path, NEAR)
    lines = written(summary_rows(outcome))
    start = lines.index("Repeat these first")
    assert lines[start + 1].strip() == (
        "1 Jack's test, left · turns 1 caution · no published agreement"
    )
    assert lines[start + 2].strip().startswith("2 Posture, left · turns")
    key = ("repeat", Place("posture", LEFT))
    reasons_told = " ".join(told(outcome, key))
    assert "with pronated instead of neutral: Kind of device: ready-made → custom" in reasons_told
    assert place_at(outcome, Pointer(key)) == Place("posture", LEFT)


@pytest.mark.parametrize(
    ("answers", "says"),
    [
        (CALM, "Nothing is graded yet."),
        ({**CALM, ("posture", LEFT): "supinated"}, "No single finding that is a little off"),
    ],
)
def test_where_nothing_is_to_be_repeated_that_is_said(tmp_path, answers, says):
    lines = written(summary_rows(looked_ahead(tmp_path, answers)))
    assert says in lines[lines.index("Repeat these first") + 1]


def test_before_it_is_worked_out_only_how_far_it_is_is_told(tmp_path):
    outcome = looked_ahead(tmp_path, NEUTRAL)
    early, *_ = look_ahead(outcome.protocol, outcome.session, outcome.summary)
    text = "\n".join(written(summary_rows(evolve(outcome, outlook=early))))
    assert f"1 of {early.count}" in text
    assert "stands" not in text
    assert "· hangs on" not in text


def test_the_review_puts_the_most_telling_test_first_and_says_what_each_answer_does(tmp_path):
    outcome = looked_ahead(tmp_path, CALM)
    lines = written(review_rows(outcome))
    after = lines[lines.index("Not reached, and what hangs on it") :]
    assert "Jack's test, left" in after[1]  # it alone could raise a caution that refers
    reasons_told = [
        line.plain for line in flow(review_reasons(outcome, ("missing", Place("jack", LEFT))), 90)
    ]
    assert "Jack's test, left, by itself:" in reasons_told
    assert "· with hard: raises the caution Stiff toe, left" in reasons_told


async def test_it_is_worked_out_on_the_screen_and_again_after_a_decision(tmp_path):
    app = an_app(tmp_path)
    async with app.run_test(size=(100, 60)) as pilot:
        app.visit = a_visit(tmp_path, NEUTRAL)
        app.show_summary()
        await pilot.pause()
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert "hangs on 1 finding" in screen_text(app)
        first = app.visit.outlook
        app.visit.decide("device", WHOLE, "custom", "She asked for it.")
        app.screen.refresh_visit()
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert app.visit.outlook is not first
        assert app.visit.outlook.ordered == {("device", WHOLE): "custom"}


async def test_a_key_is_not_kept_waiting_while_it_is_worked_out(tmp_path, monkeypatch):
    started = []

    def endless(protocol, session, summary) -> Iterator:
        early, *_ = look_ahead(protocol, session, summary)
        started.append(True)
        return itertools.repeat(early)

    monkeypatch.setattr(outcome_page, "look_ahead", endless)
    app = an_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        app.visit = a_visit(tmp_path, NEUTRAL)
        app.show_summary()
        await pilot.pause()
        assert started
        before = app.screen.query_one("#rows", RowList).pointer
        app.simulate_key("down")
        await pilot.pause(0.05)
        assert app.screen.query_one("#rows", RowList).pointer != before
        app.simulate_key("escape")
        await pilot.pause(0.2)
        assert isinstance(app.screen, ExamScreen)
