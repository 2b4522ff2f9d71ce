"""What a protocol says about itself: orders, scores, bands and names."""

import pytest
from attrs import evolve
from attrs.exceptions import FrozenInstanceError
from good_protocol import read_good

from examwalk.protocol.exam_model import Band, Scale
from examwalk.protocol.feature_model import RuleClass
from examwalk.protocol.model import SourceMark
from examwalk.protocol.vocabulary import CALCULATIONS


@pytest.fixture(scope="module")
def protocol(tmp_path_factory):
    return read_good(tmp_path_factory.mktemp("model")).protocol


def test_tests_are_walked_by_position_and_then_as_the_file_lists_them(protocol):
    first, *rest = protocol.tests
    moved = evolve(protocol, tests=(*rest, first))
    assert first.position == "seated"
    order = [test.id for test in moved.tests_in_order]
    assert order == [
        "skin",
        "crack-depth",
        "body-mass",
        "height",
        "shorter",
        "story",
        "hot-foot",
        "resistance",
        "strength",
        "lunge",
    ]


def test_things_are_found_by_their_ids(protocol):
    assert protocol.tests_by_id["lunge"].unit == "cm"
    assert protocol.derived_by_id["dose"].calculation == "lookup"
    assert protocol.features_by_id["cup"].range == (8, 20)
    assert protocol.cautions_by_id["hot"].urgency == "emergency"
    assert protocol.position("standing").title == "Standing"
    assert protocol.scale_of(protocol.tests_by_id["strength"]).first_score == 0


def test_a_test_goes_by_its_short_title_where_it_has_one(protocol):
    assert protocol.tests_by_id["resistance"].name == "Resistance"
    assert protocol.tests_by_id["strength"].name == "Strength"


def test_a_grade_without_a_label_is_its_id_in_words():
    scale = Scale(grades=("very-low", "high"), labels={"high": "High!"}, first_score=-1)
    assert [scale.label(grade) for grade in scale.grades] == ["very low", "High!"]
    assert [scale.score(grade) for grade in scale.grades] == [-1, 0]


@pytest.mark.parametrize(
    ("bounds", "inside", "outside"),
    [
        ({"at_least": 6}, (6, 7), (5.999,)),
        ({"above": 6}, (6.001,), (6, 5)),
        ({"at_most": 6}, (6, -100), (6.001,)),
        ({"below": 6}, (5.999,), (6, 7)),
        ({"at_least": 6, "below": 10}, (6, 9.99), (5.99, 10)),
        ({"above": -5, "at_most": -1}, (-4, -1), (-5, 0)),
    ],
)
def test_a_band_holds_its_closed_ends_and_not_its_open_ones(bounds, inside, outside):
    band = Band(label="x", **bounds)
    assert all(band.holds(value) for value in inside)
    assert not any(band.holds(value) for value in outside)


def test_safety_is_the_strongest_class_and_preference_the_weakest():
    order = [RuleClass.SAFETY, RuleClass.TOLERANCE, RuleClass.FUNCTION, RuleClass.PREFERENCE]
    assert sorted(RuleClass, key=lambda one: one.rank) == order


def test_what_is_published_is_known_best_and_a_convention_least():
    ranks = {mark.value: mark.rank for mark in SourceMark}
    assert ranks["published"] < ranks["from memory"] < ranks["common practice"]
    assert max(ranks, key=ranks.get) == "convention of this protocol"


def test_nothing_that_was_read_can_be_changed(protocol):
    with pytest.raises(FrozenInstanceError):
        protocol.identity.title = "Other"
    with pytest.raises(FrozenInstanceError):
        protocol.tests[0].title = "Other"


def test_each_calculation_says_what_it_is_and_takes_something():
    for name, signature in CALCULATIONS.items():
        least, most = signature.inputs
        assert signature.about, name
        assert most is None or least <= most, name
        assert most is None or most > 0 or signature.conditions or signature.table, name
        assert signature.table in ("", "points", "rows"), name
