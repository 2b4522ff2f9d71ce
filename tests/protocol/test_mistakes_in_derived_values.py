"""Each mistake in a derived value, cross-check or caution is told once in its place."""

import pytest
from good_protocol import assert_told

IN_DERIVED_VALUES = {
    "calculation that is not there": (
        'calculation = "sum"',
        'calculation = "summ"  #!',
        ('derived "effort-total", calculation', "“summ”", "“sum”"),
    ),
    "too many inputs": (
        'inputs = ["lunge"]',
        'inputs = ["lunge", "lunge"]  #!',
        ('derived "lunge-gap", inputs', "takes 1 inputs, found 2"),
    ),
    "no inputs": (
        'inputs = ["resistance", "strength"]',
        "inputs = []  #!",
        ('derived "effort-total", inputs', "1 or more", "found 0"),
    ),
    "input that is not there": (
        'inputs = ["resistance", "strength"]',
        'inputs = ["resistance", "stregth"]  #!',
        ('derived "effort-total", inputs number 2', "“stregth”", "“strength”"),
    ),
    "input that is worked out later": (
        'inputs = ["resistance", "strength"]',
        'inputs = ["resistance", "dose"]  #!',
        ('derived "effort-total", inputs number 2', "“dose” is not worked out yet", "move it"),
    ),
    "input that is the value itself": (
        'inputs = ["resistance", "strength"]',
        'inputs = ["resistance", "effort-total"]  #!',
        ('derived "effort-total", inputs number 2', "not worked out yet"),
    ),
    "input that is a choice": (
        'inputs = ["resistance", "strength"]',
        'inputs = ["resistance", "skin"]  #!',
        ('derived "effort-total", inputs number 2', "“skin” is a choice", "grades or numbers"),
    ),
    "input that is a text": (
        'inputs = ["resistance", "strength"]',
        'inputs = ["resistance", "story"]  #!',
        ("“story” is a text", "grades or numbers"),
    ),
    "input of two sides for a value of the person": (
        (
            'id = "effort-total"\ntitle = "Effort"\ncalculation = "sum"\n'
            'inputs = ["resistance", "strength"]'
        ),
        (
            'id = "effort-sum"\ntitle = "Effort"\ncalculation = "sum"\nsides = "once"\n'
            'basis = ["convention"]\ninputs = [\n  "height",\n  "lunge",  #!\n]\n\n'
            '[[derived]]\nid = "effort-total"\ntitle = "Effort"\ncalculation = "sum"\n'
            'inputs = ["resistance", "strength"]'
        ),
        ('derived "effort-sum", inputs number 2', "“lunge” has two sides", "worked out once"),
    ),
    "sides compared where there are none": (
        'inputs = ["lunge"]',
        'inputs = ["height"]  #!',
        ('derived "lunge-gap", inputs number 1', "“height” has no sides"),
    ),
    "height and mass swapped": (
        'inputs = ["body-mass", "height"]',
        'inputs = [\n  "body-mass",\n  "body-mass",  #!\n]',
        ('derived "body-mass-index", inputs number 2', "measure in cm", "“body-mass”"),
    ),
    "mass that is a height": (
        'inputs = ["body-mass", "height"]',
        'inputs = [\n  "height",  #!\n  "height",\n]',
        ('derived "body-mass-index", inputs number 1', "measure in kg", "“height”"),
    ),
    "no condition where the calculation needs one": (
        '[derived.conditions]\nthis-side-is-shorter = { test = "shorter", is_this_side = true }\n',
        "[derived.conditions]  #!\n",
        ('derived "limb-lift", conditions', "needs the condition “this-side-is-shorter”"),
    ),
    "condition misspelt": (
        'linked-symptom = { test = "story", answered = true }',
        'linked-symptoms = { test = "story", answered = true }  #!',
        ('derived "limb-lift", conditions, linked-symptoms', "“linked-symptom”"),
    ),
    "parameter missing": (
        "[derived.parameters]\nfraction = 0.5\n",
        "[derived.parameters]  #!\n",
        ('derived "limb-lift", parameters', "needs the parameter “fraction”"),
    ),
    "parameter that the calculation does not take": (
        "fraction = 0.5\n",
        "fraction = 0.5\nweight = 2  #!\n",
        ('derived "limb-lift", parameters, weight', "no parameter", "“weight”", "fraction"),
    ),
    "parameters for a plain sum": (
        'decimals = 1\nbasis = ["convention"]\nbands',
        'decimals = 1\nparameters = { factor = 2 }  #!\nbasis = ["convention"]\nbands',
        ('derived "effort-total", parameters, factor', "“sum”", "“factor”"),
    ),
    "points without any": (
        '[[derived]]\nid = "load-score"',
        (
            '[[derived]]  #!\nid = "no-score"\ntitle = "None"\ncalculation = "points"\n'
            'basis = ["convention"]\n\n[[derived]]\nid = "load-score"'
        ),
        ('derived "no-score", points', "“points” needs “points”"),
    ),
    "rows for a plain sum": (
        'unit = "points"\n',
        'unit = "points"\nrows = [{ value = 1 }]  #!\n',
        ('derived "effort-total", rows', "“sum” takes no “rows”"),
    ),
    "rows after one that always holds": (
        '{ value = 1, because = "little load" },',
        '{ value = 1, because = "little load" },  #!\n  { value = 0 },',
        ('derived "dose", rows number 2', "rows after it never count"),
    ),
    "decimals below 0": (
        "decimals = 1",
        "decimals = -1  #!",
        ('"effort-total", decimals', "0 to 6"),
    ),
    "decimals beyond use": ("decimals = 1", "decimals = 99  #!", ("0 to 6 decimals",)),
    "band without a bound": (
        '{ label = "much", above = 2 },',
        '{ label = "much" },  #!',
        ('derived "effort-total", bands number 2', "needs a bound"),
    ),
    "id that a test has": (
        '[[derived]]\nid = "load-score"',
        (
            '[[derived]]\nid = "lunge"  #!\ntitle = "Lunge"\ncalculation = "sum"\n'
            'inputs = ["strength"]\nbasis = ["convention"]\n\n[[derived]]\nid = "load-score"'
        ),
        ('derived "lunge", id', "already the id of a test"),
    ),
    "id given twice": (
        '[[derived]]\nid = "load-score"',
        (
            '[[derived]]\nid = "lunge-gap"  #!\ntitle = "Gap"\ncalculation = "side-difference"\n'
            'sides = "once"\ninputs = ["strength"]\nbasis = ["convention"]\n\n'
            '[[derived]]\nid = "load-score"'
        ),
        ('derived "lunge-gap", id', "given twice"),
    ),
    "points for a value worked out later": (
        '{ derived = "effort-total", above = 3 }, because = "much effort" },',
        '{ derived = "dose", above = 3 }, because = "much effort" },  #!',
        ('derived "load-score", points number 2, when, derived', "“dose”", "stands earlier"),
    ),
    "grounds that are a later value": (
        'when = { test = "hot-foot", is_not = "yes" }',
        'when = { derived = "limb-lift", above = 3 }  #!',
        ('derived "dose", when, derived', "“limb-lift”", "stands earlier"),
    ),
    "basis that is no source": (
        'internal = true\nbasis = ["convention"]',
        'internal = true\nbasis = ["konvention"]  #!',
        ('derived "load-score", basis number 1', "“konvention”", "“convention”"),
    ),
}

IN_CROSSCHECKS_AND_CAUTIONS = {
    "nothing to look at again": (
        'recheck = ["resistance", "strength"]',
        "recheck = []  #!",
        ('crosscheck "weak-but-hard", recheck', "at least one test"),
    ),
    "looking again at a test that is not there": (
        'recheck = ["resistance", "strength"]',
        'recheck = ["resistance", "strengths"]  #!',
        ('crosscheck "weak-but-hard", recheck number 2', "“strengths”", "“strength”"),
    ),
    "caution asked about during the exam": (
        '{ test = "strength", is = "none" },',
        '{ caution = "hot" },  #!',
        ('crosscheck "weak-but-hard", when, all number 1', "cautions", "only in"),
    ),
    "feature asked about during the exam": (
        '{ test = "strength", is = "none" },',
        '{ feature = "device", is = "none" },  #!',
        ('"weak-but-hard", when, all number 1, feature', "“device” is not settled yet"),
    ),
    "caution that is not there": (
        '{ caution = "cracked" },',
        '{ caution = "craked" },  #!',
        ('crosscheck "device-on-cracks", when, all number 2, caution', "“craked”", "“cracked”"),
    ),
    "cross-check id given twice": (
        'id = "feet-differ"',
        'id = "weak-but-hard"  #!',
        ('crosscheck "weak-but-hard", id', "given twice"),
    ),
    "urgency that is not there": (
        'urgency = "emergency"',
        'urgency = "emergancy"  #!',
        ('caution "hot", urgency', "“emergancy”", "“emergency”"),
    ),
    "urgency like none there is": (
        'urgency = "emergency"',
        'urgency = "soon"  #!',
        ('caution "hot", urgency', "“soon”", "Choose from: emergency, routine"),
    ),
    "caution that asks about a caution": (
        'when = { test = "hot-foot", is = "yes" }',
        'when = { caution = "cracked" }  #!',
        ('caution "hot", when', "cautions can be asked about only in"),
    ),
    "caution id given twice": (
        '[[caution]]\nid = "cracked"',
        (
            '[[caution]]\nid = "hot"  #!\ntitle = "Hot again"\n'
            'when = { test = "skin", includes = "crack" }\nurgency = "routine"\ndevice = "allow"\n'
            'says = "Again."\nbasis = ["convention"]\n\n[[caution]]\nid = "cracked"'
        ),
        ('caution "hot", id', "given twice"),
    ),
    "caution without a basis": (
        'refer_to = "the emergency foot clinic"\nbasis = ["convention"]',
        'refer_to = "the emergency foot clinic"\nbasis = []  #!',
        ('caution "hot", basis', "needs a basis"),
    ),
}

MISTAKES = {
    **{f"derived value: {name}": one for name, one in IN_DERIVED_VALUES.items()},
    **IN_CROSSCHECKS_AND_CAUTIONS,
}


@pytest.mark.parametrize("mistake", MISTAKES)
def test_a_mistake_in_what_is_worked_out_is_told_in_its_place(tmp_path, mistake):
    assert_told(tmp_path, *MISTAKES[mistake])
