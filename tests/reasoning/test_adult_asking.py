"""What the adult protocol does not ask of a leg that must not be loaded or stretched."""

import pytest

from adult_cases import NORMAL, case_of
from examwalk.session.model import Place, Side

LEFT, RIGHT = Side.LEFT, Side.RIGHT
LOADED = ("lunge-screen", "lunge-distance", "knee-over-toes", "double-heel-raise")
RAISES = ("single-heel-raise", "heel-raise-stop")
WALKED = ("foot-progression-angle", "heel-rise-timing", "abductory-twist")


@pytest.mark.parametrize(
    ("question", "left_out"),
    [
        ("calf-swelling", (*LOADED, *RAISES)),
        ("hot-swollen-foot", (*LOADED, *RAISES)),
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


@pytest.mark.parametrize("test", WALKED)
def test_with_a_hot_foot_the_patient_is_not_walked(test):
    usual = case_of(NORMAL).places
    places = case_of({**NORMAL, "hot-swollen-foot right": "yes"}).places
    assert {place.side for place in usual if place.test == test} == {LEFT, RIGHT}
    assert not [place for place in places if place.test == test]


def test_what_nobody_answered_leaves_nothing_out():
    unanswered = {name: answer for name, answer in NORMAL.items() if name != "calf-swelling"}
    assert Place("lunge-distance", LEFT) in case_of(unanswered).places
