"""The rows of the summary and the reasons behind them, as plain text without an app."""

import pytest
from attrs import evolve
from ordering_protocol import CALM, COLLIDING, LEFT, RIGHT, WHOLE, an_outcome

from examwalk.reasoning.summary import summarise
from examwalk.session.model import Decision, Finding, Place
from examwalk.tui.screens.further_text import review_day
from examwalk.tui.screens.summary_text import (
    feature_at,
    how_far,
    place_at,
    reasons,
    summary_rows,
)
from examwalk.tui.widgets.lines import Pointer, flow, row_lines

CUSTOM = {**CALM, ("posture", LEFT): "pronated", ("resistance", LEFT): "hard"}
NOWHERE = Pointer()


def written(outcome, width=76):
    lines = [line for row in summary_rows(outcome) for line in row_lines(row, width, NOWHERE)]
    return "\n".join(line.plain for line in lines)


def line_with(outcome, words):
    return next(line for line in written(outcome).splitlines() if words in line)


def told(outcome, key, side=LEFT):
    return "\n".join(line.plain for line in flow(reasons(outcome, Pointer(key, side)), 90))


def ordering(outcome, feature, side, value, because="", recommended=None):
    decision = Decision(feature, side, value, recommended, outcome.session.started, because)
    return evolve(outcome, session=outcome.session.with_decision(decision))


def test_what_stops_and_refers_stands_before_every_feature(tmp_path):
    text = written(an_outcome(tmp_path, {("hot-foot", LEFT): "yes"}))
    caution = text.index("Hot swollen foot, left")
    assert "Emergency, at once" in text
    assert "emergency foot clinic" in text
    assert caution < text.index("Not excluded yet") < text.index("Kind of device")


def test_a_caution_that_stops_says_so_in_words_not_by_colour(tmp_path):
    row = line_with(an_outcome(tmp_path, {("hot-foot", LEFT): "yes"}), "Hot swollen foot, left")
    assert "Stop" in row


def test_a_caution_that_is_not_excluded_is_listed_until_it_is_answered(tmp_path):
    assert "? Hot swollen foot, left" in written(an_outcome(tmp_path, {}))
    assert "Hot swollen foot" not in written(an_outcome(tmp_path, CALM))


def test_each_foot_has_its_own_column_and_the_left_one_stands_left(tmp_path):
    row = line_with(an_outcome(tmp_path, {**CALM, ("resistance", RIGHT): "hard"}), "Heel lift")
    assert row.index("none") < row.index("4 mm")


def test_a_feature_of_the_pair_says_that_it_is_for_both_feet(tmp_path):
    assert "ready-made  both feet" in line_with(an_outcome(tmp_path, CALM), "Kind of device")


def test_a_feature_without_a_value_says_whether_it_waits_or_does_not_apply(tmp_path):
    assert "waiting" in line_with(an_outcome(tmp_path, {}), "Kind of device")
    assert line_with(an_outcome(tmp_path, CALM), "Rearfoot post").count("not applicable") == 2


def test_the_reason_for_waiting_names_the_questions(tmp_path):
    text = told(an_outcome(tmp_path, {}), ("feature", "device"))
    assert "Waiting for: Hot, swollen foot, left and right." in text


def test_the_reason_why_a_feature_does_not_apply_names_what_it_hangs_on(tmp_path):
    text = told(an_outcome(tmp_path, CALM), ("feature", "post"))
    assert "Does not apply" in text
    assert "Kind of device: ready-made" in text


def test_a_recommendation_tells_rule_finding_source_and_what_each_changed(tmp_path):
    outcome = an_outcome(tmp_path, {**CUSTOM, ("strength", LEFT): "weak"})
    text = told(outcome, ("feature", "lift"))
    assert "Heel lift, left" in text
    assert "Recommended: 2 mm" in text
    first = text.index("none → 4 mm")
    second = text.index("4 mm → 2 mm")
    assert first < text.index("It is hard to lift.") < second
    assert "safety" in text[second:]
    assert "A weak leg does not bear a high lift." in text[second:]
    assert "Supination resistance, left: hard" in text
    assert "Strength, left: weak" in text[second:]
    assert "published: Author and others, 2020, Journal 1:1" in text[second:]


def test_the_weakest_basis_is_said_in_words(tmp_path):
    outcome = an_outcome(tmp_path, CUSTOM)
    assert "rests on a convention of this protocol" in told(outcome, ("feature", "lift"))
    assert "rests on published sources" in told(outcome, ("feature", "device"))


def test_what_could_still_change_a_value_is_named(tmp_path):
    text = told(an_outcome(tmp_path, CUSTOM), ("feature", "lift"))
    assert "Could still change with: Strength, left." in text


def test_an_accepted_value_is_marked_as_ordered(tmp_path):
    outcome = an_outcome(tmp_path, CUSTOM)
    assert "○ 4 mm" in line_with(outcome, "Heel lift")
    accepted = ordering(outcome, "lift", LEFT, 4, recommended=4)
    assert "● 4 mm" in line_with(accepted, "Heel lift")


def test_an_order_that_differs_leaves_the_recommendation_in_sight(tmp_path):
    outcome = an_outcome(tmp_path, CUSTOM)
    changed = ordering(outcome, "lift", LEFT, 3, "the shoe is full", recommended=4)
    text = written(changed)
    assert "● 3 mm ordered" in text
    assert "○ 4 mm" in text
    assert "changed since" not in text
    reason = told(changed, ("feature", "lift"))
    assert "Recommended: 4 mm" in reason
    assert "Ordered: 3 mm, because: the shoe is full." in reason


def test_an_order_made_on_another_recommendation_says_that_it_changed_since(tmp_path):
    changed = ordering(an_outcome(tmp_path, CUSTOM), "lift", LEFT, 0, "flat", recommended=2)
    assert "changed since" in written(changed)
    assert "it was 2 mm when this was ordered" in told(changed, ("feature", "lift"))


def test_an_order_without_any_recommendation_can_be_read(tmp_path):
    changed = ordering(an_outcome(tmp_path, CALM), "post", LEFT, 2, "worn before")
    assert "● 2° varus ordered" in written(changed)
    assert "2° varus, because: worn before." in told(changed, ("feature", "post"))


def test_rules_that_collide_show_both_reasons_and_what_stands(tmp_path):
    outcome = an_outcome(tmp_path, COLLIDING)
    assert "◆ soft, rules collide" in line_with(outcome, "Top cover")
    for key in (("feature", "cover"), ("collision", 0)):
        text = told(outcome, key)
        assert "yours to decide" in text
        assert "soft stands" in text
        assert "Cracked skin wants a soft cover" in text
        assert "A firm cover lasts" in text


def test_from_a_collision_the_feature_itself_is_reached(tmp_path):
    result = feature_at(an_outcome(tmp_path, COLLIDING), Pointer(("collision", 0), RIGHT))
    assert result is not None
    assert (result.id, result.side) == ("cover", LEFT)


def test_missing_tests_that_could_change_something_are_named_and_the_others_counted(tmp_path):
    outcome = an_outcome(tmp_path, CUSTOM)
    missing = written(outcome).partition("What is missing")[2].partition("Advice")[0]
    assert "Strength" in missing
    silent = [one for one in outcome.summary.missing if not (one.could_raise or one.could_change)]
    assert f"{len(silent)} further tests" in missing


def test_a_missing_test_leads_to_its_place_and_tells_what_hangs_on_it(tmp_path):
    outcome = an_outcome(tmp_path, {("hot-foot", RIGHT): "no"})
    key = ("missing", Place("hot-foot", LEFT))
    assert place_at(outcome, Pointer(key)) == Place("hot-foot", LEFT)
    text = told(outcome, key)
    assert "Not reached yet." in text
    assert "A safety question" in text
    assert "Without it not excluded: Hot swollen foot." in text
    assert "Kind of device" in text


def test_a_test_that_was_not_done_stands_there_with_its_reason(tmp_path):
    outcome = an_outcome(tmp_path, CUSTOM)
    finding = Finding(Place("strength", LEFT), outcome.session.started, not_done="pain")
    session = outcome.session.with_finding(finding)
    summary = summarise(outcome.protocol, session)
    outcome = evolve(outcome, session=session, summary=summary)
    assert "Strength, left: Too painful" in written(outcome)
    assert "Not done: Too painful." in told(outcome, ("missing", Place("strength", LEFT)))


def test_advice_and_the_day_of_the_review_are_given(tmp_path):
    text = written(an_outcome(tmp_path, CALM))
    assert "Shoes: Wear shoes with a firm heel." in text
    # six weeks after 25 November 2026
    assert "Review: 6 January 2027" in text


def test_the_day_of_the_review_follows_what_is_ordered(tmp_path):
    outcome = an_outcome(tmp_path, CALM)
    sooner = ordering(outcome, "review-weeks", WHOLE, 2, "far away at Christmas", recommended=6)
    day = review_day(sooner)
    assert day is not None
    assert day.isoformat() == "2026-12-09"


def test_a_derived_value_shows_its_band_or_how_far_it_is_known(tmp_path):
    outcome = an_outcome(tmp_path, {**CALM, ("resistance", LEFT): "hard", ("jack", LEFT): "easy"})
    row = line_with(outcome, "Sum of two grades")
    assert "4 of 6, much" in row
    assert "not known yet" in row
    assert "Jack's test, left: easy" in told(outcome, ("derived", "arch-sum"))


def test_the_top_line_counts_orders_and_what_is_left(tmp_path):
    outcome = an_outcome(tmp_path, COLLIDING)
    # Acceptable are the device, the lift on both sides, the right cover and the review.
    assert how_far(outcome) == "0 ordered · 5 to accept · 1 to decide"
    assert how_far(ordering(outcome, "lift", LEFT, 4, recommended=4)).startswith(
        "1 ordered · 4 to accept"
    )


HOSTILE = "[/] [@click=app.quit] \x1b]2;x\x07 \x9b \u202e"


@pytest.mark.parametrize("width", [56, 76, 136])
def test_a_hostile_reason_is_shown_without_a_control_character(tmp_path, width):
    outcome = ordering(an_outcome(tmp_path, CUSTOM), "lift", LEFT, 3, HOSTILE, recommended=4)
    lines = flow(reasons(outcome, Pointer(("feature", "lift"))), width)
    text = "".join(line.plain for line in lines)
    assert "[@click=app.quit]" in text
    assert not {"\x1b", "\x07", "\x9b", "\u202e"} & set(text)
