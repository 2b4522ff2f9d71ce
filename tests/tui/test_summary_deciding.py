"""What may be ordered: amounts as typed, reasons, and what can be accepted at once."""

import pytest
from attrs import evolve
from ordering_protocol import CALM, COLLIDING, LEFT, RIGHT, WHOLE, an_outcome

from examwalk.reasoning.deciding import (
    acceptable,
    has_changed_since,
    needs_reason,
    open_collision,
    ordered_words,
    range_words,
    read_amount,
    undecided,
)
from examwalk.session.model import Decision


@pytest.fixture
def outcome(tmp_path):
    answers = {**CALM, ("posture", LEFT): "pronated", ("posture", RIGHT): "neutral"}
    return an_outcome(tmp_path, answers)


@pytest.fixture
def post(outcome):
    return outcome.protocol.features_by_id["post"]


@pytest.mark.parametrize(
    ("typed", "value"), [("4", 4), (" +2 ", 2), ("-4", -4), ("−2", -2), ("0", 0), ("2,0", 2)]
)
def test_an_amount_within_range_and_step_is_taken(post, typed, value):
    assert read_amount(post, typed).value == value


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("", "not a number"),
        ("four", "not a number"),
        ("1..2", "not a number"),
        ("1.2.3", "not a number"),
        ("1e3", "not a number"),
        ("nan", "not a number"),
        ("inf", "not a number"),
        ("--2", "not a number"),
        ("4.", "not a number"),
        ("8", "out of range"),
        ("-6", "out of range"),
        ("3", "between two steps"),
        ("0.5", "between two steps"),
    ],
)
def test_what_cannot_be_ordered_is_refused_with_what_can(post, typed, why):
    reading = read_amount(post, typed)
    assert reading.value is None
    assert why in reading.refusal
    assert "−4 to 6°" in reading.refusal


def test_the_range_says_which_sign_is_which_direction(post):
    assert range_words(post) == "−4 to 6°, in steps of 2; + is varus, − is valgus"


def test_an_ordered_value_is_written_with_unit_and_direction(outcome, post):
    assert ordered_words(post, -2) == "2° valgus"
    assert ordered_words(post, 0) == "vertical"
    assert ordered_words(outcome.protocol.features_by_id["cover"], "soft") == "soft"


def test_an_option_that_the_protocol_no_longer_has_is_written_as_it_stands(outcome):
    assert ordered_words(outcome.protocol.features_by_id["cover"], "cork") == "cork"
    assert ordered_words(outcome.protocol.features_by_id["post"], "steep") == "steep"


def test_a_reason_is_needed_only_where_the_order_differs(outcome):
    post = outcome.summary.feature("post", LEFT)
    assert post.value == 4
    assert not needs_reason(post, 4)
    assert needs_reason(post, 2)


def test_a_reason_is_needed_where_nothing_is_recommended(tmp_path):
    waiting = an_outcome(tmp_path, {}).summary.feature("device", WHOLE)
    assert needs_reason(waiting, "custom")


def test_all_is_acceptable_but_what_is_ordered_or_collides(tmp_path):
    outcome = an_outcome(tmp_path, COLLIDING)
    every = {(one.id, one.side) for one in acceptable(outcome.session, outcome.summary)}
    assert ("cover", LEFT) not in every
    assert ("cover", RIGHT) in every
    assert ("post", LEFT) not in every, "it does not apply"
    at = outcome.session.started
    decided = outcome.session.with_decision(Decision("lift", LEFT, 4, 4, at))
    fewer = {(one.id, one.side) for one in acceptable(decided, outcome.summary)}
    assert every - fewer == {("lift", LEFT)}
    left = {(one.id, one.side) for one in undecided(decided, outcome.summary)}
    assert left == fewer | {("cover", LEFT)}


def test_nothing_can_be_accepted_while_the_safety_questions_are_open(tmp_path):
    outcome = an_outcome(tmp_path, {})
    accepted = {one.id for one in acceptable(outcome.session, outcome.summary)}
    assert "device" not in accepted
    assert "post" not in accepted


def test_a_collision_is_found_on_its_own_side_only(tmp_path):
    outcome = an_outcome(tmp_path, COLLIDING)
    assert open_collision(outcome.summary, outcome.summary.feature("cover", LEFT)) is not None
    assert open_collision(outcome.summary, outcome.summary.feature("cover", RIGHT)) is None


def test_a_decision_is_stale_once_the_recommendation_is_another(outcome):
    post = outcome.summary.feature("post", LEFT)
    decision = Decision("post", LEFT, 2, 4, outcome.session.started, "tried before")
    assert not has_changed_since(post, decision)
    assert has_changed_since(post, evolve(decision, recommended=0))
