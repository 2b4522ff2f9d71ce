"""Each mistake in a feature, rule, exclusion or advice is told once in its place."""

import pytest
from good_protocol import assert_told

COVER_RULE = 'effects = [{ feature = "cover", rule_out = ["bare", "thin"] }]'
LIFT_CAP = '{ feature = "lift", at_most = 9 },'
CUP_FLOOR = '{ feature = "cup", at_least = 14 },'


def wearing_in(first: int, add: int, full: int) -> str:
    """Give an option of the cover a plan of so many minutes."""
    plan = f"first_minutes = {first}, add_minutes = {add}, full_minutes = {full}"
    return f'thin = {{ label = "thin", wearing_in = {{ {plan} }} }}  #!'


IN_FEATURES = {
    "amount without a range": (
        (
            '[[feature]]\nid = "cup"\ntitle = "Heel cup"\nkind = "amount"\nunit = "mm"\n'
            "range = [8, 20]\n"
        ),
        '[[feature]]  #!\nid = "cup"\ntitle = "Heel cup"\nkind = "amount"\nunit = "mm"\n',
        ('feature "cup", range', "needs “range”"),
    ),
    "range the wrong way round": (
        "range = [0, 12]",
        "range = [12, 0]  #!",
        ('feature "lift", range', "smaller number first"),
    ),
    "start outside the range": (
        "start = 10",
        "start = 7  #!",
        ('feature "cup", start', "7 lies outside the range", "8 to 20"),
    ),
    "amount that starts at a word": (
        "start = 10",
        'start = "ten"  #!',
        ('feature "cup", start', "starts at a number"),
    ),
    "a first day of more minutes than a day has": (
        'thin = { label = "thin" }',
        wearing_in(2000, 30, 480),
        ("wearing_in, first_minutes", "between 1 and 1440"),
    ),
    "wear that shrinks": (
        'thin = { label = "thin" }',
        wearing_in(60, 30, 30),
        ("wearing_in, full_minutes", "not shorter than the first"),
    ),
    "a plan of very many days": (
        'thin = { label = "thin" }',
        wearing_in(1, 1, 480),
        ("wearing_in, add_minutes", "480 days", "at most 60"),
    ),
    "amount that starts at true": ("start = 10", "start = true  #!", ("starts at a number",)),
    "step of nothing": (
        "step = 0.5\nstart",
        "step = 0  #!\nstart",
        ('feature "lift", step', "above 0"),
    ),
    "step too fine to count in": (
        "step = 0.5\nstart",
        "step = 1e-40  #!\nstart",
        ('feature "lift", step', "0.001 or more"),
    ),
    "careful direction that is none": (
        'cautious = "low"',
        'cautious = "lower"  #!',
        ('feature "lift", cautious', "“lower”", "“low”"),
    ),
    "difference across the pair below 0": (
        "across_pair_within = 4",
        "across_pair_within = -4  #!",
        ('feature "lift", across_pair_within', "0 or more"),
    ),
    "amount matched like an option": (
        'across_pair = "higher"',
        'across_pair = "first"  #!',
        ('feature "cup", across_pair', "“higher” or “lower”"),
    ),
    "option matched like an amount": (
        'across_pair = "first"',
        'across_pair = "lower"  #!',
        ('feature "cover", across_pair', "“first” or “last”"),
    ),
    "pair matched where there is only one": (
        'needs = ["hot-foot"]',
        'across_pair = "first"  #!\nneeds = ["hot-foot"]',
        ('feature "device", across_pair', "only a feature of each foot"),
    ),
    "difference across the pair between options": (
        'across_pair = "first"',
        "across_pair_within = 1  #!",
        ('feature "cover", across_pair_within', "kind “amount”", "“option”"),
    ),
    "options on an amount": (
        "start = 10",
        'start = 10\noptions = { a = { label = "A" } }  #!',
        ('feature "cup", options', "kind “option”", "“amount”"),
    ),
    "range on options": (
        'start = "thin"',
        'start = "thin"\nrange = [0, 1]  #!',
        ('feature "cover", range', "kind “amount”", "“option”"),
    ),
    "one option alone": (
        '[[feature]]\nid = "cover"',
        (
            '[[feature]]\nid = "wedge"\ntitle = "Wedge"\nkind = "option"\nstart = "none"\n'
            'basis = ["convention"]\noptions = { none = { label = "none" } }  #!\n\n'
            '[[feature]]\nid = "cover"'
        ),
        ('feature "wedge", options', "two or more"),
    ),
    "start that is no option": (
        'start = "thin"',
        'start = "thinn"  #!',
        ('feature "cover", start', "no option “thinn”", "“thin”"),
    ),
    "options that start at a number": (
        'start = "thin"',
        "start = 0  #!",
        ('feature "cover", start', "thick, thin, bare"),
    ),
    "needed test that is not there": (
        'needs = ["hot-foot"]',
        'needs = ["hot-feet"]  #!',
        ('feature "device", needs number 1', "“hot-feet”", "“hot-foot”"),
    ),
    "feature that looks at a later one": (
        'applies_when = { feature = "device", is_not = "none" }',
        'applies_when = { feature = "cup", above = 9 }  #!',
        ('feature "lift", applies_when, feature', "“cup” is not settled yet", "earlier"),
    ),
    "feature that looks at itself": (
        'applies_when = { feature = "device", is_not = "none" }',
        'applies_when = { feature = "lift", above = 9 }  #!',
        ('feature "lift", applies_when, feature', "“lift” is not settled yet"),
    ),
    "feature id given twice": (
        '[[feature]]\nid = "cover"',
        (
            '[[feature]]\nid = "cup"  #!\ntitle = "Cup"\nkind = "amount"\nrange = [0, 30]\n'
            'basis = ["convention"]\n\n[[feature]]\nid = "cover"'
        ),
        ('feature "cup", id', "given twice"),
    ),
}

IN_RULES = {
    "rule that does nothing": (
        COVER_RULE,
        "effects = []  #!",
        ('rule "soft-cover-on-cracks", effects', "at least one effect"),
    ),
    "feature that is not there": (
        COVER_RULE,
        'effects = [{ feature = "covers", rule_out = ["bare"] }]  #!',
        ('"soft-cover-on-cracks", effects number 1, feature', "“covers”", "“cover”"),
    ),
    "verb of amounts for an option": (
        COVER_RULE,
        'effects = [{ feature = "cover", at_least = 2 }]  #!',
        ("effects number 1, at_least", "“cover” is a choice of options", "prefer, require"),
    ),
    "verb of options for an amount": (
        CUP_FLOOR,
        '{ feature = "cup", require = "deep" },  #!',
        ("effects number 1, require", "“cup” is an amount", "start, add, at_least, at_most"),
    ),
    "two verbs in one effect": (
        CUP_FLOOR,
        '{ feature = "cup", at_least = 14, at_most = 16 },  #!',
        ("effects number 1", "exactly one of", "at_least and at_most"),
    ),
    "effect without a verb": (
        CUP_FLOOR,
        '{ feature = "cup" },  #!',
        ("effects number 1", "exactly one of", "found none"),
    ),
    "amount in words": (
        CUP_FLOOR,
        '{ feature = "cup", at_least = "deep" },  #!',
        ("effects number 1, at_least", "an amount is a number"),
    ),
    "bound beyond the range": (
        CUP_FLOOR,
        '{ feature = "cup", at_least = 140 },  #!',
        ("effects number 1, at_least", "140 lies outside the range of “cup”, 8 to 20"),
    ),
    "option that is not there": (
        'effects = [{ feature = "device", prefer = "shell" }]',
        'effects = [{ feature = "device", prefer = "shel" }]  #!',
        ('rule "shell-when-loaded", effects number 1, prefer', "“shel”", "“shell”"),
    ),
    "required option that is not there": (
        'effects = [{ feature = "device", prefer = "shell" }]',
        'effects = [{ feature = "device", require = "cork" }]  #!',
        ("effects number 1, require", "“cork”", "Choose from: none, shell, soft"),
    ),
    "ruled-out option that is not there": (
        COVER_RULE,
        'effects = [{ feature = "cover", rule_out = ["bare", "thinn"] }]  #!',
        ("effects number 1, rule_out number 2", "“thinn”", "“thin”"),
    ),
    "ruling out nothing": (
        COVER_RULE,
        'effects = [{ feature = "cover", rule_out = [] }]  #!',
        ("effects number 1, rule_out", "this list is empty"),
    ),
    "ruling out everything": (
        COVER_RULE,
        'effects = [{ feature = "cover", rule_out = ["thick", "thin", "bare"] }]  #!',
        ("effects number 1, rule_out", "leaves no option of “cover”"),
    ),
    "amount looked up nowhere": (
        'add = { derived = "limb-lift" } },',
        "add = {} },  #!",
        ("effects number 1, add", "looked up in one of: derived, feature"),
    ),
    "amount looked up twice": (
        'add = { derived = "limb-lift" } },',
        'add = { derived = "limb-lift", feature = "device" } },  #!',
        ("effects number 1, add", "looked up in one of: derived, feature"),
    ),
    "amount looked up in a value that is not there": (
        'add = { derived = "limb-lift" } },',
        'add = { derived = "limb-left" } },  #!',
        ("effects number 1, add, derived", "“limb-left”", "“limb-lift”"),
    ),
    "amount looked up in a later feature": (
        'add = { derived = "limb-lift" } },',
        'add = { feature = "cup" } },  #!',
        ("effects number 1, add, feature", "no feature before this one named “cup”"),
    ),
    "amount looked up in a feature with options": (
        'add = { derived = "limb-lift" } },',
        'add = { feature = "device" } },  #!',
        ("effects number 1, add, feature", "“device” is a choice of options"),
    ),
    "grounds that are not settled yet": (
        'when = { not = { derived = "dose", at_most = 1 } }',
        'when = { not = { feature = "lift", at_most = 1 } }  #!',
        ('rule "shell-when-loaded", when, not, feature', "“lift” is not settled yet"),
    ),
    "grounds that are the feature acted on": (
        'when = { any_caution = "modify" }',
        'when = { feature = "cover", is = "bare" }  #!',
        ('rule "soft-cover-on-cracks", when, feature', "“cover” is not settled yet"),
    ),
    "rule id given twice": (
        'id = "cup-follows-the-lift"',
        'id = "shell-when-loaded"  #!',
        ('rule "shell-when-loaded", id', "given twice"),
    ),
    "basis that is no source": (
        'because = "A shorter limb is lifted."\nbasis = ["convention"]',
        'because = "A shorter limb is lifted."\nbasis = ["knutson"]  #!',
        ('rule "lift-for-the-shorter-limb", basis number 1', "no source “knutson”"),
    ),
}

PAIR_FEATURE = (
    '[[feature]]\nid = "weeks"\ntitle = "Weeks"\nkind = "amount"\nsides = "once"\n'
    'range = [0, 12]\nbasis = ["convention"]\n'
)
PAIR_RULE = '[[rule]]\nid = "weeks-rule"\nbecause = "So."\nbasis = ["convention"]\n'

BETWEEN_FEET_AND_PAIR = {
    "pair held together where there is only one": (
        '[[rule]]\nid = "shell-when-loaded"',
        PAIR_FEATURE + 'across_pair_within = 2  #!\n\n[[rule]]\nid = "shell-when-loaded"',
        ('feature "weeks", across_pair_within', "only a feature of each foot"),
    ),
    "amount of the pair looked up in one of each foot": (
        '[[rule]]\nid = "shell-when-loaded"',
        PAIR_FEATURE
        + PAIR_RULE
        + 'effects = [{ feature = "weeks", add = { feature = "lift" } }]  #!\n\n'
        + '[[rule]]\nid = "shell-when-loaded"',
        ('rule "weeks-rule", effects number 1, add, feature', "“lift” has two sides", "“weeks”"),
    ),
    "amount of the pair looked up in a value of each side": (
        '[[rule]]\nid = "shell-when-loaded"',
        PAIR_FEATURE
        + PAIR_RULE
        + 'effects = [{ feature = "weeks", add = { derived = "limb-lift" } }]  #!\n\n'
        + '[[rule]]\nid = "shell-when-loaded"',
        ('rule "weeks-rule", effects number 1, add, derived', "“limb-lift” has two sides"),
    ),
    "feature of the pair that gives way to one of each foot": (
        '[[exclusion]]\nfeatures = ["lift", "cup"]',
        PAIR_FEATURE
        + '\n[[exclusion]]\nfeatures = ["lift", "weeks"]  #!\nbecause = "So."\n'
        + 'basis = ["convention"]\n\n[[exclusion]]\nfeatures = ["lift", "cup"]',
        ("exclusion number 1, features", "“lift” is for each foot", "“weeks”"),
    ),
}

IN_EXCLUSIONS_AND_ADVICE = {
    "excluded feature that is not there": (
        'features = ["lift", "cup"]',
        'features = ["lift", "cupp"]  #!',
        ("exclusion number 1, features number 2", "“cupp”", "“cup”"),
    ),
    "exclusion in the wrong order": (
        'features = ["lift", "cup"]',
        'features = ["cup", "lift"]  #!',
        ("exclusion number 1, features", "stands first in the file", "gives way"),
    ),
    "feature that excludes itself": (
        'features = ["lift", "cup"]',
        'features = ["lift", "lift"]  #!',
        ("exclusion number 1, features", "“lift” cannot exclude itself"),
    ),
    "exclusion without a basis": (
        'because = "Both tip the heel."\nbasis = ["convention"]',
        'because = "Both tip the heel."\nbasis = []  #!',
        ("exclusion number 1, basis", "needs a basis"),
    ),
    "advice on a test that is not there": (
        'when = { all = [{ test = "lunge", below = 9 }, { feature = "lift", above = 0 }] }',
        'when = { all = [{ test = "lung", below = 9 }, { feature = "lift", above = 0 }] }  #!',
        ('advice "stretch", when, all number 1, test', "“lung”", "“lunge”"),
    ),
    "advice id given twice": (
        'id = "review"',
        'id = "stretch"  #!',
        ('advice "stretch", id', "given twice"),
    ),
    "advice on a basis that is no source": (
        'says = "Come back in six weeks."\nbasis = ["common-practice"]',
        'says = "Come back in six weeks."\nbasis = ["common"]  #!',
        ('advice "review", basis number 1', "“common”", "Choose from: convention, common-practice"),
    ),
}

MISTAKES = {
    **{f"feature: {name}": one for name, one in IN_FEATURES.items()},
    **{f"rule: {name}": one for name, one in IN_RULES.items()},
    **BETWEEN_FEET_AND_PAIR,
    **IN_EXCLUSIONS_AND_ADVICE,
}


@pytest.mark.parametrize("mistake", MISTAKES)
def test_a_mistake_in_what_is_recommended_is_told_in_its_place(tmp_path, mistake):
    assert_told(tmp_path, *MISTAKES[mistake])
