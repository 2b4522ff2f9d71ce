"""What the adult protocol does not ask of a leg that must not be loaded or stretched."""

import pytest

from adult_cases import NORMAL, case_of
from examwalk.session.model import Place, Side

LEFT, RIGHT = Side.LEFT, Side.RIGHT
LOADED = ("lunge-screen", "lunge-distance", "knee-over-toes", "double-heel-raise")
RAISES = ("single-heel-raise", "heel-raise-stop")


def on_their_feet(findings):
    """Return the positions with weight on the feet in which something is examined."""
    case = case_of(findings)
    asked = {case.protocol.tests_by_id[place.test].position for place in case.places}
    return asked - {"interview", "seated", "supine", "prone"}


@pytest.mark.parametrize(
    ("question", "left_out"),
    [
        ("calf-swelling", (*LOADED, *RAISES)),
        ("push-off-loss", LOADED),
    ],
)
def test_a_leg_that_must_not_be_loaded_is_not_asked_to_lunge_or_rise(question, left_out):
    usual = case_of(NORMAL).places
    places = case_of({**NORMAL, f"{question} left": "yes"}).places
    for test in left_out:
        assert Place(test, LEFT) in usual
        assert Place(test, LEFT) not in places
        assert Place(test, RIGHT) in places


@pytest.mark.parametrize(
    "found",
    [
        {"hot-swollen-foot right": "yes"},
        {"hot-swollen-foot left": "yes", "diabetes": "type-2"},
        {"alarm-signs": ("fever-hot-joint",)},
    ],
)
def test_with_a_hot_foot_or_joint_nobody_is_asked_to_stand_or_walk(found):
    assert on_their_feet(NORMAL) == {"standing", "walking", "effort"}
    assert on_their_feet({**NORMAL, **found}) == set()


def test_what_nobody_answered_leaves_nothing_out():
    unanswered = {name: answer for name, answer in NORMAL.items() if name != "calf-swelling"}
    assert Place("lunge-distance", LEFT) in case_of(unanswered).places


def test_the_clot_questions_follow_a_swollen_calf_at_once():
    places = case_of({**NORMAL, "calf-swelling left": "yes"}).places
    tests = list(dict.fromkeys(place.test for place in places))
    at = tests.index("calf-swelling")
    assert tests[at + 1 : at + 4] == ["breathless", "clot-history", "clot-signs"]
