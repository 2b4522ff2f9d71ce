"""Each condition that could not be answered is told once, in words and in its place."""

import pytest
from good_protocol import assert_told

ON_EACH_SIDE = 'when = { test = "hot-foot", is = "yes" }'
"""The grounds of a caution that is judged on each side and may look at findings alone."""
ONCE = '{ derived = "effort-total", side = "either", below = 1 },'
"""One of the grounds of a cross-check that is judged once for the person."""
ON_A_SETTLED_FEATURE = '{ feature = "device", is = "shell" },'
"""One of the grounds of a cross-check of the summary."""

ON_EACH_SIDE_ASKED = {
    "nothing": ("{}", ("exactly one of test, derived", "found none")),
    "a comparison of nothing": ('{ is = "yes" }', ("exactly one of", "found none")),
    "two things at once": (
        '{ test = "hot-foot", derived = "dose", is = "yes" }',
        ("exactly one of", "found test and derived"),
    ),
    "a group and a test": (
        '{ test = "hot-foot", is = "yes", all = [{ test = "skin", includes = "crack" }] }',
        ("found test and all",),
    ),
    "a test that is not there": ('{ test = "hot-food", is = "yes" }', ("“hot-food”", "“hot-foot”")),
    "a test without a comparison": ('{ test = "hot-foot" }', ("say what is asked of “hot-foot”",)),
    "an answer that is not there": (
        '{ test = "hot-foot", is = "yess" }',
        ("“yess” is not one of its answers", "“yes”"),
    ),
    "an answer like none there is": (
        '{ test = "resistance", is = "very high" }',
        ("“very high”", "Choose from: easy, middling, hard"),
    ),
    "yes as true": ('{ test = "hot-foot", is = true }', ("“true” is not one of its answers",)),
    "a grade as a number": (
        '{ test = "resistance", at_least = 2 }',
        ("“2” is not one of its answers", "easy, middling, hard"),
    ),
    "one of several answers, one unknown": (
        '{ test = "resistance", one_of = ["hard", "midling"] }',
        ("one_of number 2", "“midling”", "“middling”"),
    ),
    "one of no answers": ('{ test = "resistance", one_of = [] }', ("one_of", "list is empty")),
    "any of no options": (
        '{ test = "skin", includes_any = [] }',
        ("includes_any", "list is empty"),
    ),
    "an option that is not there": (
        '{ test = "skin", includes = "cracks" }',
        ("includes", "“cracks”", "“crack”"),
    ),
    "equality with a choice of several": (
        '{ test = "skin", is = "crack" }',
        ("“skin”, a choice", "cannot be asked “is”", "includes"),
    ),
    "order of a choice": (
        '{ test = "hot-foot", at_least = "yes" }',
        ("“hot-foot”, a choice", "cannot be asked “at_least”"),
    ),
    "inclusion in a grade": (
        '{ test = "resistance", includes = "hard" }',
        ("“resistance”, a grade", "cannot be asked “includes”"),
    ),
    "one of several numbers": (
        '{ test = "lunge", one_of = [3, 4] }',
        ("“lunge”, a measure", "cannot be asked “one_of”"),
    ),
    "the words of a text": (
        '{ test = "story", is = "sore" }',
        ("“story”, a text", "cannot be asked “is”", "it takes answered"),
    ),
    "a number in quotes": ('{ test = "lunge", below = "9" }', ("below", "compared with a number")),
    "a number that is true": ('{ test = "lunge", is = true }', ("is", "compared with a number")),
    "a number beyond what is accepted": (
        '{ test = "lunge", below = 90 }',
        ("below", "“lunge” is from 0 to 25", "90 is never given"),
    ),
    "bounds with nothing between": (
        '{ test = "lunge", at_least = 12, below = 9 }',
        ("no number lies between these bounds",),
    ),
    "bounds that meet in an open end": (
        '{ test = "lunge", above = 9, at_most = 9 }',
        ("no number lies between these bounds",),
    ),
    "answered and its answer": (
        '{ test = "hot-foot", answered = true, is = "yes" }',
        ("“answered” stands alone", "“is”"),
    ),
    "this side and an answer": (
        '{ test = "shorter", is_this_side = true, is_not = "neither" }',
        ("“is_this_side” stands alone", "“is_not”"),
    ),
    "this side of a choice without sides": (
        '{ test = "hot-foot", is_this_side = true }',
        ("is_this_side", "“hot-foot” has no answers left and right"),
    ),
    "a difference of choices": (
        '{ test = "hot-foot", side = "difference", at_least = 1 }',
        ("side", "“hot-foot” has no numbers on two sides"),
    ),
    "a difference within the whole person": (
        '{ test = "height", side = "excess", above = 1 }',
        ("side", "“height” has no numbers on two sides"),
    ),
    "a difference that is a grade": (
        '{ test = "resistance", side = "difference", at_least = "hard" }',
        ("at_least", "compared with a number"),
    ),
    "a difference that is answered": (
        '{ test = "lunge", side = "difference", answered = true }',
        ("a difference between sides cannot be asked “answered”",),
    ),
    "a side that is none": ('{ test = "lunge", side = "left", below = 9 }', ("side", '"left"')),
    "a derived value that is not there": (
        '{ derived = "doses", at_least = 1 }',
        ("derived", "no derived value “doses”", "“dose”"),
    ),
    "a derived value without a comparison": (
        '{ derived = "dose" }',
        ("say what is asked of “dose”",),
    ),
    "an option of a derived value": (
        '{ derived = "dose", includes = "much" }',
        ("a derived value cannot be asked “includes”", "it takes is, is_not"),
    ),
    "a derived value in words": (
        '{ derived = "dose", at_least = "much" }',
        ("at_least", "compared with a number"),
    ),
    "a difference of a value of the person": (
        '{ derived = "lunge-gap", side = "difference", above = 1 }',
        ("side", "“lunge-gap” is worked out once"),
    ),
    "no conditions at all": ("{ all = [] }", ("all", "list of conditions is empty")),
    "any of no conditions": ("{ any = [] }", ("any", "list of conditions is empty")),
    "a count of no conditions": ("{ count = [], at_least = 1 }", ("count", "is empty")),
    "a side of a group": (
        '{ any = [{ test = "hot-foot", is = "yes" }], side = "other" }',
        ("side", "in the conditions inside"),
    ),
    "a side of a denial": (
        '{ not = { test = "hot-foot", is = "yes" }, side = "either" }',
        ("side", "in the conditions inside"),
    ),
    "a comparison of a group": (
        '{ all = [{ test = "hot-foot", is = "yes" }], at_least = 1 }',
        ("“all” cannot be asked “at_least”",),
    ),
    "a comparison of a denial": (
        '{ not = { test = "hot-foot", is = "yes" }, is = "no" }',
        ("“not” cannot be asked “is”",),
    ),
    "a count without a number": (
        '{ count = [{ test = "hot-foot", is = "yes" }] }',
        ("“count” needs at_least", "from 1 to 1"),
    ),
    "a count of more than there are": (
        '{ count = [{ test = "hot-foot", is = "yes" }], at_least = 2 }',
        ("at_least", "from 1 to 1"),
    ),
    "a count of none": (
        '{ count = [{ test = "hot-foot", is = "yes" }], at_least = 0 }',
        ("at_least", "from 1 to 1"),
    ),
    "a count of true": (
        '{ count = [{ test = "hot-foot", is = "yes" }], at_least = true }',
        ("at_least", "whole number from 1 to 1"),
    ),
    "a count of one and a half": (
        '{ count = [{ test = "hot-foot", is = "yes" }], at_least = 1.5 }',
        ("at_least", "whole number from 1 to 1"),
    ),
    "a mistake deep inside": (
        '{ not = { any = [{ all = [{ test = "lunge", is = 9 }, { test = "lung", is = 9 }] }] } }',
        ("when, not, any number 1, all number 2, test", "“lung”", "“lunge”"),
    ),
}

ONCE_ASKED = {
    "the same side of a test": (
        '{ test = "resistance", is = "hard" },',
        ("judged once", "“resistance” has two sides", "either or both"),
    ),
    "the same side of a derived value": (
        '{ derived = "dose", above = 1 },',
        ("judged once", "“dose” has two sides", "either or both"),
    ),
    "the other side": (
        '{ test = "resistance", side = "other", is = "hard" },',
        ("side", "no other side"),
    ),
    "this side minus the other": (
        '{ derived = "dose", side = "excess", above = 1 },',
        ("side", "no other side"),
    ),
    "whether a choice names this side": (
        '{ test = "shorter", is_this_side = true },',
        ("is_this_side", "judged once"),
    ),
    "the same side inside a denial": (
        '{ not = { test = "resistance", is = "hard" } },',
        ("any number 2, not", "“resistance” has two sides"),
    ),
}

OF_FEATURES_AND_CAUTIONS = {
    "a feature that is not there": ('{ feature = "devise", is = "shell" },', ("“device”",)),
    "a feature without a comparison": ('{ feature = "device" },', ("asked of “device”",)),
    "an option that is not there": ('{ feature = "device", is = "shel" },', ("“shel”", "“shell”")),
    "a number of a feature with options": (
        '{ feature = "device", at_least = 2 },',
        ("a feature with options cannot be asked “at_least”",),
    ),
    "an option of an amount": (
        '{ feature = "lift", is = "high" },',
        ("is", "compared with a number"),
    ),
    "one of several amounts": (
        '{ feature = "lift", one_of = [1, 2] },',
        ("an amount cannot be asked “one_of”",),
    ),
    "the cut of an option": (
        '{ feature = "device", cut_at_least = 2 },',
        ("cannot be asked “cut_at_least”",),
    ),
    "the difference between two devices": (
        '{ feature = "lift", side = "difference", above = 2 },',
        ("side", "a feature has no numbers to compare"),
    ),
    "the difference between two cautions": (
        '{ caution = "hot", side = "excess" },',
        ("side", "a caution has no numbers to compare"),
    ),
    "the difference of any caution": (
        '{ any_caution = "stop", side = "difference" },',
        ("side", "a caution has no numbers to compare"),
    ),
    "the answer of a caution": (
        '{ caution = "hot", is = true },',
        ("a caution cannot be asked “is”", "takes no comparison"),
    ),
    "a caution that is not there": ('{ caution = "hott" },', ("“hott”", "“hot”")),
    "an effect that no caution has": ('{ any_caution = "stopp" },', ('"stopp"', "“stop”")),
}


@pytest.mark.parametrize("asked", ON_EACH_SIDE_ASKED)
def test_a_condition_cannot_ask(tmp_path, asked):
    condition, words = ON_EACH_SIDE_ASKED[asked]
    assert_told(tmp_path, ON_EACH_SIDE, f"when = {condition}  #!", ('caution "hot", when', *words))


@pytest.mark.parametrize("asked", ONCE_ASKED)
def test_a_condition_judged_once_cannot_ask(tmp_path, asked):
    condition, words = ONCE_ASKED[asked]
    place = 'crosscheck "feet-differ", when, any number 2'
    assert_told(tmp_path, ONCE, f"{condition}  #!", (place, *words))


@pytest.mark.parametrize("asked", OF_FEATURES_AND_CAUTIONS)
def test_a_condition_on_the_summary_cannot_ask(tmp_path, asked):
    condition, words = OF_FEATURES_AND_CAUTIONS[asked]
    place = 'crosscheck "device-on-cracks", when, all number 1'
    assert_told(tmp_path, ON_A_SETTLED_FEATURE, f"{condition}  #!", (place, *words))
