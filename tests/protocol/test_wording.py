"""Answers and numbers are written as a person would say them."""

import pytest
from good_protocol import read_good

from examwalk.catalogues import choose_language
from examwalk.protocol.derived_model import Derived
from examwalk.protocol.entry import read_number
from examwalk.protocol.library import find_protocol
from examwalk.protocol.shipped import read_shipped
from examwalk.protocol.wording import (
    answer_words,
    choices_of,
    decimals_of,
    number_words,
    reason_words,
    rounded_words,
    score_words,
    short_number,
    unit_words,
)
from examwalk.reasoning.settling import value_words


@pytest.fixture(scope="module")
def protocol(tmp_path_factory):
    return read_good(tmp_path_factory.mktemp("wording")).protocol


def test_the_choices_of_a_grade_are_its_scale_in_order_with_scores_and_looks(protocol):
    choices = choices_of(protocol, protocol.tests_by_id["resistance"])
    assert [(choice.id, choice.label, choice.score) for choice in choices] == [
        ("easy", "easy", 1),
        ("middling", "in between", 2),
        ("hard", "hard", 3),
    ]
    assert choices[0].looks == "One fingertip lifts it."


def test_a_scale_may_begin_at_another_score_and_a_grade_may_lack_a_description(protocol):
    choices = choices_of(protocol, protocol.tests_by_id["strength"])
    assert [(choice.id, choice.score, choice.looks) for choice in choices] == [
        ("none", 0, ""),
        ("weak", 1, ""),
        ("full", 2, ""),
    ]


def test_the_choices_of_a_choice_are_its_own_options_or_those_of_its_set(protocol):
    own = choices_of(protocol, protocol.tests_by_id["skin"])
    assert [(choice.id, choice.label, choice.score) for choice in own] == [
        ("intact", "Intact", None),
        ("callus", "Callus", None),
        ("crack", "Cracks", None),
    ]
    of_set = choices_of(protocol, protocol.tests_by_id["hot-foot"])
    assert [(choice.id, choice.label, choice.looks) for choice in of_set] == [
        ("no", "No", ""),
        ("yes", "Yes", "It is so."),
    ]


@pytest.mark.parametrize("test_id", ["lunge", "story"])
def test_numbers_and_texts_have_no_choices(protocol, test_id):
    assert choices_of(protocol, protocol.tests_by_id[test_id]) == ()


@pytest.mark.parametrize(
    ("step", "decimals"),
    [(1, 0), (5, 0), (10, 0), (2.0, 0), (0.5, 1), (0.1, 1), (0.25, 2), (1e-3, 3)],
)
def test_a_number_has_as_many_decimals_as_its_step(step, decimals):
    assert decimals_of(step) == decimals


@pytest.mark.parametrize(
    ("value", "step", "words"),
    [
        (12, 1, "12"),
        (12.0, 1, "12"),
        (12, 0.5, "12.0"),
        (9.5, 0.1, "9.5"),
        (-3, 1, "−3"),
        (-0.25, 0.05, "−0.25"),
        (0, 1, "0"),
        (-0.0, 0.1, "0.0"),
        (-0.04, 0.1, "0.0"),
        (-0.4, 1, "0"),
        (-0.06, 0.1, "−0.1"),
    ],
)
def test_a_number_is_written_with_a_true_minus_and_never_as_minus_nothing(value, step, words):
    assert number_words(value, step) == words


@pytest.mark.parametrize(
    ("score", "words"), [(2, "+2"), (0, "0"), (-1, "−1"), (12, "+12"), (-12, "−12")]
)
def test_a_score_is_written_with_its_sign(score, words):
    assert score_words(score) == words


@pytest.mark.parametrize(
    ("test_id", "answer", "words"),
    [
        ("resistance", "middling", "in between"),
        ("hot-foot", "yes", "Yes"),
        ("skin", ("callus", "crack"), "Callus, Cracks"),
        ("skin", ("intact",), "Intact"),
        ("lunge", 9, "9.0 cm"),
        ("lunge", 9.5, "9.5 cm"),
        ("height", 180.0, "180 cm"),
        ("story", "it hurts", "it hurts"),
    ],
)
def test_an_answer_is_written_with_its_label_or_unit(protocol, test_id, answer, words):
    assert answer_words(protocol, protocol.tests_by_id[test_id], answer) == words


@pytest.mark.parametrize(
    ("test_id", "answer", "words"),
    [
        ("resistance", "very-hard", "very-hard"),
        ("skin", ("crack", "gone"), "Cracks, gone"),
        ("lunge", "far", "far"),
        ("hot-foot", 3, "3"),
    ],
)
def test_an_answer_that_the_protocol_does_not_know_is_written_as_it_stands(
    protocol, test_id, answer, words
):
    assert answer_words(protocol, protocol.tests_by_id[test_id], answer) == words


def test_a_reason_is_written_in_the_words_of_the_protocol_or_as_it_stands(protocol):
    assert reason_words(protocol, "pain") == "Too painful"
    assert reason_words(protocol, "the dog ate it") == "the dog ate it"


@pytest.mark.parametrize(
    ("number", "unit"), [(1, "week"), (1.0, "week"), (-1, "week"), (0, "weeks"), (1.5, "weeks")]
)
def test_a_unit_is_in_the_singular_beside_one(number, unit):
    for_weeks = Derived("left", "Left", "sum", ("trial",), unit="weeks", unit_one="week")
    assert unit_words(for_weeks, number) == unit


def test_a_unit_without_a_singular_is_the_same_beside_one():
    assert unit_words(Derived("left", "Left", "sum", ("trial",), unit="mm"), 1) == "mm"


def test_an_answer_and_a_value_of_a_feature_say_one_week():
    adult = read_shipped(find_protocol("adult")).protocol
    pain = adult.tests_by_id["complaint-weeks"]
    assert answer_words(adult, pain, 1) == "1 week"
    assert answer_words(adult, pain, 2) == "2 weeks"
    assert value_words(adult.features_by_id["review-weeks"], 1) == "1 week"


def test_in_german_numbers_are_written_with_a_comma():
    choose_language("de")
    assert number_words(-2.5, 0.5) == "−2,5"
    assert number_words(12, 1) == "12"
    assert number_words(-0.04, 0.1) == "0,0"
    assert rounded_words(0.666, 2) == "0,67"
    assert short_number(4.0) == "4"
    assert short_number(-0.35) == "−0,35"


@pytest.mark.parametrize("typed", ["6,5", "6.5"])
def test_in_german_a_comma_and_a_point_are_understood(protocol, typed):
    choose_language("de")
    test = protocol.tests_by_id["lunge"]
    assert read_number(test, typed).value == 6.5
    assert "6,25" in read_number(test, "6.25").refusal


def test_an_amount_of_a_feature_has_no_decimals_that_it_does_not_need():
    adult = read_shipped(find_protocol("adult")).protocol
    halves = next(one for one in adult.features if one.step == 0.5)
    assert value_words(halves, 3.0).startswith("3 ")
    assert value_words(halves, 3.5).startswith("3.5 ")
    choose_language("de")
    assert value_words(halves, 3.5).startswith("3,5 ")
