"""Each mistake in a test, scale or position is told once, in words and in its place."""

import pytest
from good_protocol import EXAM, FILES, assert_told, problems_of, read_good, write_files

STRENGTH = '[[test]]\nid = "strength"\ntitle = "Strength"\nposition = "standing"\nkind = "grade"\n'
DEPTH_OPTIONS = 'shallow = { label = "Shallow" }\ndeep = { label = "Deep" }\n'
TEXT = 'title = "New"\nposition = "seated"\nsides = "once"\nkind = "text"\nbasis = ["convention"]\n'

IMPORTANT = (
    'important_change = { change = 2, better = "higher", '
    'source = "common-practice", note = "Invented." }'
)
MISTAKES = {
    "complaint that no test asks for": (
        "minutes = 5\n",
        'minutes = 5\ncomplaint = "hot-fot"  #!\n',
        ("protocol, complaint", "no test “hot-fot”", "“hot-foot”"),
    ),
    "position that is not there": (
        STRENGTH,
        STRENGTH.replace('"standing"', '"standin"  #!'),
        ('test "strength", position', "no position “standin”", "“standing”"),
    ),
    "grade test without a scale": (
        STRENGTH + 'scale = "strength"\n',
        STRENGTH.replace("[[test]]", "[[test]]  #!"),
        ('test "strength"', "needs a scale"),
    ),
    "scale that is not there": (
        'scale = "strength"\n',
        'scale = "strenght"  #!\n',
        ('test "strength", scale', "“strenght”", "“strength”"),
    ),
    "description of a grade that the scale has not": (
        'middling = { looks = "Two fingertips lift it." }',
        'midling = { looks = "Two fingertips lift it." }  #!',
        ('test "resistance", grades, midling', "scale “effort”", "“middling”"),
    ),
    "label of a grade that the scale has not": (
        'middling = "in between"',
        'midling = "in between"  #!',
        ("scales, effort, labels, midling", "“middling”"),
    ),
    "scale of one grade": (
        'grades = ["none", "weak", "full"]',
        'grades = ["none"]  #!',
        ("scales, strength, grades", "2 to 10 grades", "has 1"),
    ),
    "scale of more than ten grades": (
        'grades = ["none", "weak", "full"]',
        'grades = ["none", "b", "c", "d", "e", "f", "g", "h", "i", "j", "k"]  #!',
        ("scales, strength, grades", "2 to 10 grades", "has 11"),
    ),
    "grade given twice": (
        'grades = ["none", "weak", "full"]',
        'grades = [\n  "none",\n  "weak",\n  "weak",  #!\n]',
        ("scales, strength, grades number 3", "“weak” is given twice"),
    ),
    "grade that is no id": (
        'grades = ["none", "weak", "full"]',
        'grades = ["none", "Very weak", "full"]  #!',
        ('"Very weak" cannot be an id', "hyphens"),
    ),
    "measure without limits": (
        (
            '[[test]]\nid = "height"\ntitle = "Height"\nposition = "seated"\nsides = "once"\n'
            'kind = "measure"\nunit = "cm"\nhard = [50, 250]\n'
        ),
        (
            '[[test]]  #!\nid = "height"\ntitle = "Height"\nposition = "seated"\nsides = "once"\n'
            'kind = "measure"\nunit = "cm"\n'
        ),
        ('test "height"', "“hard”", "smallest and largest"),
    ),
    "limits the wrong way round": (
        "hard = [0, 25]",
        "hard = [25, 0]  #!",
        ('test "lunge", hard', "smaller number comes first"),
    ),
    "usual range beyond the limits": (
        "usual = [2, 18]",
        "usual = [2, 180]  #!",
        ('test "lunge", usual', "inside “hard”"),
    ),
    "usual range the wrong way round": (
        "usual = [2, 18]",
        "usual = [18, 2]  #!",
        ('test "lunge", usual', "smaller number first"),
    ),
    "step of nothing": (
        "step = 0.5\nhard",
        "step = 0  #!\nhard",
        ('test "lunge", step', "above 0"),
    ),
    "step below 0": ("step = 0.5\nhard", "step = -1  #!\nhard", ("above 0",)),
    "step too fine to count in": ("step = 0.5\nhard", "step = 1e-9  #!\nhard", ("0.001 or more",)),
    "band without a bound": (
        '{ label = "long", above = 15 }',
        '{ label = "long" } #!\n',
        ('test "lunge", bands number 3', "needs a bound"),
    ),
    "band the wrong way round": (
        "at_least = 9, at_most = 15 },",
        "at_least = 15, at_most = 9 }, #!",
        ('test "lunge", bands number 2', "lies above the upper"),
    ),
    "band that holds nothing": (
        "at_least = 9, at_most = 15 },",
        "at_least = 9, below = 9 }, #!",
        ('test "lunge", bands number 2', "no number lies between"),
    ),
    "band with two lower bounds": (
        "at_least = 9, at_most = 15 },",
        "at_least = 9, above = 9, at_most = 15 }, #!",
        ("one lower bound",),
    ),
    "bands that share a number": (
        "above = 15 },",
        "at_least = 15 }, #!",
        ('test "lunge", bands number 3', "shares numbers", "“ordinary”"),
    ),
    "bands that overlap": (
        "at_least = 9, at_most = 15 },",
        "at_least = 8, at_most = 15 }, #!",
        ('test "lunge", bands number 2', "shares numbers", "“short”"),
    ),
    "option set that is not there": (
        'option_set = "yes-no"',
        'option_set = "yes-not"  #!',
        ('test "hot-foot", option_set', "“yes-not”", "“yes-no”"),
    ),
    "own options beside an option set": (
        'option_set = "yes-no"',
        'option_set = "yes-no"  #!\noptions = { no = { label = "No" }, yes = { label = "Yes" } }',
        ("either “options” or “option_set”",),
    ),
    "choice of one": (
        '[[test]]\nid = "crack-depth"',
        (
            '[[test]]\nid = "one-way"\ntitle = "One way"\nposition = "seated"\nkind = "choice"\n'
            'basis = ["convention"]\n[test.options] #!\nonly = { label = "Only" }\n\n'
            '[[test]]\nid = "crack-depth"'
        ),
        ('test "one-way", options', "2 to 10 options", "has 1"),
    ),
    "choice without options": (
        '[[test]]\nid = "crack-depth"',
        (
            '[[test]]  #!\nid = "no-way"\ntitle = "No way"\nposition = "seated"\nkind = "choice"\n'
            'basis = ["convention"]\n\n[[test]]\nid = "crack-depth"'
        ),
        ('test "no-way"', "2 to 10 options", "has 0"),
    ),
    "more than ten options": (
        "[test.options]\n" + DEPTH_OPTIONS,
        "[test.options]  #!\n"
        + "".join(f'depth-{number} = {{ label = "{number} mm" }}\n' for number in range(11)),
        ('test "crack-depth", options', "2 to 10 options", "has 11"),
    ),
    "option set of more than ten": (
        "[option_sets.yes-no]",
        "[option_sets.long]  #!\n"
        + "".join(f'answer-{number} = {{ label = "{number}" }}\n' for number in range(11))
        + "[option_sets.yes-no]",
        ("option_sets, long", "2 to 10 options", "has 11"),
    ),
    "lone option that is not there": (
        'alone = ["intact"]',
        'alone = ["intakt"]  #!',
        ('test "skin", alone', "“intakt”", "“intact”"),
    ),
    "lone option where only one can be chosen": (
        'kind = "choice"\nask_when',
        'kind = "choice"\nalone = ["deep"]  #!\nask_when',
        ('test "crack-depth", alone', "several = true"),
    ),
    "scale on a text": (
        'kind = "text"\n',
        'kind = "text"\nscale = "effort"  #!\n',
        ('test "story", scale', "kind “grade”", "“text”"),
    ),
    "limits on a grade": (
        'scale = "strength"\n',
        'scale = "strength"\nhard = [0, 5]  #!\n',
        ('test "strength", hard', "kind “measure”", "“grade”"),
    ),
    "options on a measure": (
        "step = 0.5\nhard",
        "step = 0.5\nseveral = true  #!\nhard",
        ('test "lunge", several', "kind “choice”", "“measure”"),
    ),
    "unit on a choice": (
        'option_set = "yes-no"\n',
        'option_set = "yes-no"\nunit = "mm"  #!\n',
        ('test "hot-foot", unit', "kind “measure”", "“choice”"),
    ),
    "test id given twice": (
        STRENGTH,
        '[[test]]\nid = "crack-depth"  #!\n' + TEXT + "\n" + STRENGTH,
        ('test "crack-depth", id', "given twice", "another id"),
    ),
    "position id given twice": (
        "[scales.effort]\ngrades",
        '[[position]]\nid = "seated"  #!\ntitle = "Seated again"\n\n[scales.effort]\ngrades',
        ('position "seated", id', "given twice"),
    ),
    "statement with an empty basis": (
        'kind = "text"\nbasis = ["convention"]',
        'kind = "text"\nbasis = []  #!',
        ('test "story", basis', "needs a basis", "name a source"),
    ),
    "statement without a basis": (
        (
            '[[test]]\nid = "story"\ntitle = "In the patient\'s words"\nposition = "seated"\n'
            'sides = "once"\nkind = "text"\nbasis = ["convention"]'
        ),
        (
            '[[test]]  #!\nid = "story"\ntitle = "In the patient\'s words"\nposition = "seated"\n'
            'sides = "once"\nkind = "text"'
        ),
        ('test "story"', "“basis” is missing"),
    ),
    "basis that is no source": (
        'basis = ["convention", "common-practice"]',
        'basis = [\n  "convention",\n  "comon-practice",  #!\n]',
        ('test "resistance", basis number 2', "no source “comon-practice”", "“common-practice”"),
    ),
    "agreement figure from no source": (
        'source = "convention"',
        'source = "conventions"  #!',
        ('test "resistance", reliability number 1, source', "“conventions”", "“convention”"),
    ),
    "agreement beyond one": (
        "coefficient = 0.61",
        "coefficient = 1.2  #!",
        ('test "resistance", reliability number 1, coefficient', "between -1 and 1"),
    ),
    "spread of nothing": (
        "standard_deviation = 0.8",
        "standard_deviation = 0  #!",
        ('test "resistance", reliability number 1, standard_deviation', "above 0"),
    ),
    "spread without the agreement that it needs": (
        "standard_deviation = 0.8\ncoefficient = 0.61",
        "standard_deviation = 0.8  #!",
        ('test "resistance", reliability number 1, standard_deviation', "“coefficient”"),
    ),
    "error below nothing": (
        "standard_deviation = 0.8\ncoefficient = 0.61",
        "standard_error = -0.1  #!",
        ('test "resistance", reliability number 1, standard_error', "below 0"),
    ),
    "answered twice by two": (
        "within_examiner = true",
        "within_examiner = true\nby_patient = true  #!",
        ('test "resistance", reliability number 1, by_patient', "who answered twice"),
    ),
    "change that matters without a source": (
        IMPORTANT,
        IMPORTANT.replace("common-practice", "nobody") + "  #!",
        ('test "lunge", important_change, source', "no source “nobody”"),
    ),
    "change that matters though it is none": (
        IMPORTANT,
        IMPORTANT.replace("change = 2", "change = 0") + "  #!",
        ('test "lunge", important_change, change', "above 0"),
    ),
    "prevalence of an answer that there is not": (
        'source = "convention"\nwithin_examiner',
        'source = "convention"\nprevalence = { easi = 1 }  #!\nwithin_examiner',
        ('test "resistance", reliability number 1, prevalence, easi', "“easi”", "“easy”"),
    ),
    "prevalence below nothing": (
        'source = "convention"\nwithin_examiner',
        'source = "convention"\nprevalence = { easy = -1 }  #!\nwithin_examiner',
        ('test "resistance", reliability number 1, prevalence, easy', "less often than never"),
    ),
    "agreement assumed in a position that is not there": (
        'except_in = ["seated"]',
        'except_in = ["seatid"]  #!',
        ("assumed_agreement, by-hand, except_in", "“seatid”", "“seated”"),
    ),
    "agreement assumed above the greatest": (
        "weighted_kappa = 0.5",
        "weighted_kappa = 1.5  #!",
        ("assumed_agreement, by-hand, weighted_kappa", "between 0 and 1"),
    ),
    "agreement assumed by a key of another kind": (
        "weighted_kappa = 0.5",
        "weighted_kappa = 0.5\nerror_in_steps = 1  #!",
        ("assumed_agreement, by-hand, error_in_steps", "for the kind “measure”"),
    ),
    "agreement assumed from no source": (
        'except_in = ["seated"]\nbasis = ["convention"]',
        'except_in = ["seated"]\nbasis = ["conventions"]  #!',
        ("assumed_agreement, by-hand, basis", "“conventions”", "“convention”"),
    ),
    "asked on grounds of a later test": (
        'ask_when = { test = "skin", includes = "crack" }',
        'ask_when = { test = "strength", is = "none" }  #!',
        ('test "crack-depth", ask_when, test', "“strength”", "earlier"),
    ),
    "asked on grounds of itself": (
        'ask_when = { test = "skin", includes = "crack" }',
        'ask_when = { test = "crack-depth", is = "deep" }  #!',
        ('test "crack-depth", ask_when, test', "does not stand before this"),
    ),
    "asked on grounds of a derived value": (
        'ask_when = { test = "skin", includes = "crack" }',
        'ask_when = { derived = "body-mass-index", above = 30 }  #!',
        ('test "crack-depth", ask_when, derived', "not worked out yet"),
    ),
    "asked on grounds of a feature": (
        'ask_when = { test = "skin", includes = "crack" }',
        'ask_when = { feature = "device", is = "shell" }  #!',
        ('test "crack-depth", ask_when, feature', "not settled yet"),
    ),
    "asked on grounds of a caution": (
        'ask_when = { test = "skin", includes = "crack" }',
        'ask_when = { caution = "hot" }  #!',
        ('test "crack-depth", ask_when', "cautions can be asked about only in"),
    ),
    "asked on grounds of a test that is not there": (
        'ask_when = { test = "skin", includes = "crack" }',
        'ask_when = { test = "skim", includes = "crack" }  #!',
        ('test "crack-depth", ask_when, test', "no test “skim”", "“skin”"),
    ),
    "position asked on grounds of what is examined in it": (
        'title = "Standing"\n',
        'title = "Standing"\nask_when = { test = "strength", side = "either", is = "full" }  #!\n',
        ('position "standing", ask_when, test', "“strength”", "earlier"),
    ),
    "position asked on one side only": (
        'title = "Standing"\n',
        'title = "Standing"\nask_when = { test = "hot-foot", is = "no" }  #!\n',
        ('position "standing", ask_when', "“hot-foot”", "either"),
    ),
    "drawing of the side that a later test names": (
        'sides = "once"\nkind = "text"',
        'sides = "once"\nfigure_side = "strength"  #!\nkind = "text"',
        ('test "story", figure_side', "no earlier test “strength”"),
    ),
    "drawing of the side that a test without sides to choose names": (
        'sides = "once"\nkind = "text"',
        'sides = "once"\nfigure_side = "skin"  #!\nkind = "text"',
        ('test "story", figure_side', "“skin” does not say which side", "“left” and “right”"),
    ),
    "drawing of another side than the one that is examined": (
        'title = "Strength"\n',
        'title = "Strength"\nfigure_side = "skin"  #!\n',
        ('test "strength", figure_side', "for the side that is examined"),
    ),
    "exam of no time": ("minutes = 5", "minutes = 0  #!", ("protocol, minutes", "one minute")),
}


def test_the_protocol_is_good_before_a_mistake_is_put_in(tmp_path):
    assert read_good(tmp_path).protocol.identity.id == "small"


@pytest.mark.parametrize("mistake", MISTAKES)
def test_a_mistake_in_the_exam_is_told_in_its_place(tmp_path, mistake):
    assert_told(tmp_path, *MISTAKES[mistake])


@pytest.mark.parametrize("key", ["position", "test"])
def test_a_protocol_without_positions_or_tests_is_told_so(tmp_path, key):
    head = EXAM[: EXAM.index("[[position]]")]
    rest = {
        "position": "test = []\nposition = []\n",
        "test": 'test = []\nposition = [{ id = "seated", title = "Seated" }]\n',
    }
    path = write_files(tmp_path / "empty", {"exam.toml": rest[key] + head})
    told = [str(problem) for problem in problems_of(path)]
    assert any(f"a protocol needs at least one {key}" in one for one in told)


def test_the_file_of_each_mistake_is_named_where_several_have_one(tmp_path):
    files = {
        "exam.toml": FILES["exam.toml"].replace('scale = "strength"', 'scale = "strenght"'),
        "reasoning.toml": FILES["reasoning.toml"].replace('urgency = "emergency"', 'urgency = "x"'),
    }
    problems = problems_of(write_files(tmp_path / "two", files))
    assert sorted(problem.file.name for problem in problems) == ["exam.toml", "reasoning.toml"]
