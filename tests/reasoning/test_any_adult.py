"""What holds for any findings under the adult protocol, also for those no one would have."""

import random
from collections.abc import Mapping

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from adult_cases import ADULT, NORMAL, PLACES, answer_by_chance, any_findings, placed, walked
from examwalk.protocol.feature_model import FeatureKind
from examwalk.protocol.key_types import Sides
from examwalk.reasoning.case import Case
from examwalk.reasoning.results import FeatureStatus, Summary
from examwalk.reasoning.summary import summarise_case
from examwalk.session.model import Answer, Place, Side

SIDE_ANSWERS = {"left": "right", "right": "left"}
SWAPPED = {Side.LEFT: Side.RIGHT, Side.RIGHT: Side.LEFT, Side.WHOLE: Side.WHOLE}


def summary_of(answers: Mapping[Place, Answer]) -> Summary:
    return summarise_case(Case(ADULT, answers), {})


def swapped(answers: Mapping[Place, Answer]) -> dict[Place, Answer]:
    """Swap left and right, also in answers that name a side."""
    turned = {}
    for place, answer in answers.items():
        test = ADULT.tests_by_id[place.test]
        names_sides = test.sides is Sides.ONCE and {"left", "right"} <= set(test.options)
        there = Place(place.test, SWAPPED[place.side])
        turned[there] = SIDE_ANSWERS.get(str(answer), answer) if names_sides else answer
    return turned


def outcome(summary: Summary, turn: Mapping[Side, Side]) -> dict[str, set]:
    """Return what a summary says, its sides turned, without the order of left and right."""
    return {
        "features": {
            (one.id, turn[one.side], one.status, one.value, one.standing, one.cut)
            for one in summary.features
        },
        "cautions": {(one.id, turn[one.side]) for one in summary.cautions},
        "open": {(one.id, turn[one.side]) for one in summary.open_cautions},
        "crosschecks": {(one.id, turn[one.side]) for one in summary.crosschecks},
        "derived": {
            (one.id, turn[one.side], one.low, one.high, one.band) for one in summary.derived
        },
        "collisions": {
            (one.feature, turn[one.side], frozenset(one.rules)) for one in summary.collisions
        },
        "advice": {(one.id, turn[one.side]) for one in summary.advice},
        "missing": {
            (one.place.test, turn[one.place.side], frozenset(one.could_raise))
            for one in summary.missing
        },
        "changing": {
            (one.id, turn[one.side], place.test, turn[place.side])
            for one in summary.features
            for place in one.missing
        },
    }


AS_IT_IS = {side: side for side in Side}


@settings(max_examples=40, deadline=None)
@example(placed(NORMAL))
@example({})
@given(any_findings())
def test_any_answers_give_a_whole_summary(answers):
    summary = summary_of(answers)
    assert {one.id for one in summary.features} == set(ADULT.features_by_id)
    for result in summary.features:
        feature = ADULT.features_by_id[result.id]
        if result.status is not FeatureStatus.RECOMMENDED:
            assert result.value is None
            continue
        assert result.words
        assert result.standing is not None
        if feature.kind is FeatureKind.OPTION:
            assert result.value in feature.options
        else:
            assert feature.range is not None
            assert feature.range[0] <= result.value <= feature.range[1]
            assert result.cut >= 0
    for one in summary.missing:
        assert one.place not in answers


@settings(max_examples=25, deadline=None)
@given(any_findings())
def test_swapping_left_and_right_swaps_the_summary(answers):
    mirrored = summary_of(swapped(answers))
    assert outcome(mirrored, SWAPPED) == outcome(summary_of(answers), AS_IT_IS)


@settings(max_examples=25, deadline=None)
@given(any_findings(), st.randoms(use_true_random=False))
def test_the_order_in_which_findings_were_made_does_not_matter(answers, chance):
    shuffled = list(answers.items())
    chance.shuffle(shuffled)
    assert summary_of(dict(shuffled)) == summary_of(answers)


@settings(max_examples=25, deadline=None)
@given(any_findings())
def test_a_finding_that_stops_leaves_no_device_and_nothing_that_hangs_on_one(answers):
    summary = summary_of(answers)
    if any(caution.device.value == "stop" for caution in summary.cautions):
        device = summary.feature("device", Side.WHOLE)
        assert device.value in (None, "refer-only")
        for one in summary.features:
            if one.id in ("medial-heel-skive", "shell-thickness", "heel-lift"):
                assert one.status is not FeatureStatus.RECOMMENDED


@settings(max_examples=25, deadline=None)
@given(any_findings())
def test_no_correction_is_advised_where_sensation_or_circulation_is_known_to_be_lost(answers):
    summary = summary_of(answers)
    lost = summary.derived_value("protection-lost", Side.WHOLE)
    if lost.low is None or lost.low < 1:
        return
    for side in (Side.LEFT, Side.RIGHT):
        for name in ("medial-heel-skive", "lateral-heel-skive", "inversion", "metatarsal-dome"):
            assert summary.feature(name, side).value in (None, 0)
    assert summary.feature("device", Side.WHOLE).value not in ("custom-functional", "ready-made")


def values(summary: Summary) -> dict[tuple[str, Side], tuple]:
    return {(one.id, one.side): (one.status, one.value) for one in summary.features}


def test_places_of_the_walk_are_those_of_the_protocol():
    assert len(PLACES) == len(set(PLACES))


@pytest.mark.parametrize("seed", range(20))
def test_a_value_that_lacks_nothing_is_the_same_however_the_rest_is_answered(seed):
    """Half an exam, completed in several ways; then each single answer that is left alone."""
    chance = random.Random(seed)
    answers = walked(chance, {}, share=chance.choice([0.4, 0.7, 0.9]))
    summary = summary_of(answers)
    before = values(summary)
    lacking = {(one.id, one.side): set(one.missing) for one in summary.features}
    for _ in range(3):
        after = values(summary_of(walked(chance, answers, share=1)))
        changed = {key for key in before if before[key] != after[key]}
        assert [key for key in changed if not lacking[key]] == []
    still_open = [one.place for one in summary.missing]
    for place in chance.sample(still_open, min(4, len(still_open))):
        answer = answer_by_chance(chance, ADULT.tests_by_id[place.test])
        after = values(summary_of({**answers, place: answer}))
        changed = {key for key in before if before[key] != after[key]}
        assert [key for key in changed if place not in lacking[key]] == []


@pytest.mark.parametrize("seed", range(8))
def test_a_derived_value_lies_within_the_bounds_that_it_had_before(seed):
    chance = random.Random(1000 + seed)
    answers = walked(chance, {}, share=0.6)
    before = {
        (one.id, one.side): (one.low, one.high)
        for one in summary_of(answers).derived
        if one.low is not None
    }
    for _ in range(3):
        for one in summary_of(walked(chance, answers, share=1)).derived:
            low, high = before.get((one.id, one.side), (None, None))
            if low is not None and one.value is not None:
                assert low <= one.value <= high
