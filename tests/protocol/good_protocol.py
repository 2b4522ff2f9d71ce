"""A good protocol in two files that uses every table, and mistakes put into it one at a time."""

from pathlib import Path

from examwalk.problems import Problem, UnusableFileError
from examwalk.protocol.reading import LoadedProtocol, read_protocol

EXAM = """
[protocol]
id = "small"
title = "A small exam"
version = "1.0.0"
language = "en"
about = "Invented for tests."
minutes = 5
disclaimer = "The clinician decides."

[[position]]
id = "seated"
title = "Seated"
instruction = "The patient sits."

[[position]]
id = "standing"
title = "Standing"

[scales.effort]
grades = ["easy", "middling", "hard"]
[scales.effort.labels]
middling = "in between"

[scales.strength]
grades = ["none", "weak", "full"]
first_score = 0

[option_sets.yes-no]
no = { label = "No" }
yes = { label = "Yes", looks = "It is so." }

[not_done_reasons]
pain = "Too painful"
refused = "Declined"

[urgencies]
emergency = "Emergency, at once"
routine = "Routine"

[sources.convention]
cite = "A convention of this protocol"
mark = "convention of this protocol"

[sources.common-practice]
cite = "Common practice"
mark = "common practice"
identifier = "none"
note = "Nothing was found."

[[test]]
id = "hot-foot"
title = "Hot, swollen foot"
position = "seated"
kind = "choice"
option_set = "yes-no"
safety = true
basis = ["convention"]

[[test]]
id = "skin"
title = "Skin"
position = "seated"
kind = "choice"
several = true
alone = ["intact"]
basis = ["convention"]
[test.options]
intact = { label = "Intact" }
callus = { label = "Callus" }
crack = { label = "Cracks" }

[[test]]
id = "crack-depth"
title = "Depth of the cracks"
position = "seated"
kind = "choice"
ask_when = { test = "skin", includes = "crack" }
basis = ["convention"]
[test.options]
shallow = { label = "Shallow" }
deep = { label = "Deep" }

[[test]]
id = "body-mass"
title = "Body mass"
position = "seated"
sides = "once"
kind = "measure"
unit = "kg"
hard = [20, 300]
usual = [40, 150]
basis = ["convention"]

[[test]]
id = "height"
title = "Height"
position = "seated"
sides = "once"
kind = "measure"
unit = "cm"
hard = [50, 250]
basis = ["convention"]

[[test]]
id = "shorter"
title = "Which limb is shorter"
position = "seated"
sides = "once"
kind = "choice"
basis = ["convention"]
[test.options]
left = { label = "Left" }
right = { label = "Right" }
neither = { label = "Neither" }

[[test]]
id = "story"
title = "In the patient's words"
position = "seated"
sides = "once"
kind = "text"
basis = ["convention"]

[[test]]
id = "resistance"
title = "Supination resistance"
short_title = "Resistance"
position = "standing"
kind = "grade"
scale = "effort"
why = "It shows how much force the foot asks for."
how = ["Stand behind the patient.", "Lift with two fingertips."]
mistakes = ["The patient helps."]
cautions = ["Stop if it hurts."]
reading = "The grade is the effort to start the lift."
basis = ["convention", "common-practice"]
[test.grades]
easy = { looks = "One fingertip lifts it." }
middling = { looks = "Two fingertips lift it." }
hard = { looks = "Two hands are needed." }
[[test.reliability]]
statistic = "Weighted kappa"
value = "0.61"
source = "convention"
within_examiner = true
minimal_detectable_change = 1.5
note = "Invented."

[[test]]
id = "strength"
title = "Strength"
position = "standing"
kind = "grade"
scale = "strength"
basis = ["convention"]

[[test]]
id = "lunge"
title = "Lunge distance"
position = "standing"
kind = "measure"
unit = "cm"
step = 0.5
hard = [0, 25]
usual = [2, 18]
basis = ["convention"]
bands = [
  { label = "short", below = 9 },
  { label = "ordinary", at_least = 9, at_most = 15 },
  { label = "long", above = 15 },
]
"""

REASONING = """
[[derived]]
id = "effort-total"
title = "Effort"
calculation = "sum"
inputs = ["resistance", "strength"]
unit = "points"
decimals = 1
basis = ["convention"]
bands = [
  { label = "little", at_most = 2 },
  { label = "much", above = 2 },
]

[[derived]]
id = "body-mass-index"
title = "Body mass index"
calculation = "body-mass-index"
sides = "once"
inputs = ["body-mass", "height"]
basis = ["convention"]

[[derived]]
id = "lunge-gap"
title = "Lunge, left against right"
calculation = "side-difference"
sides = "once"
inputs = ["lunge"]
basis = ["convention"]

[[derived]]
id = "load-score"
title = "Load"
calculation = "points"
internal = true
basis = ["convention"]
points = [
  { points = 1, when = { test = "resistance", at_least = "middling" }, because = "it resists" },
  { points = 2, when = { derived = "effort-total", above = 3 }, because = "much effort" },
]

[[derived]]
id = "dose"
title = "Row of the dosing table"
calculation = "lookup"
when = { test = "hot-foot", is_not = "yes" }
basis = ["convention"]
rows = [
  { value = 3, when = { derived = "load-score", at_least = 2 }, because = "much load" },
  { value = 1, because = "little load" },
]

[[derived]]
id = "limb-lift"
title = "First lift"
calculation = "limb-length-lift"
inputs = ["lunge-gap"]
basis = ["convention"]
[derived.conditions]
this-side-is-shorter = { test = "shorter", is_this_side = true }
linked-symptom = { test = "story", answered = true }
[derived.parameters]
fraction = 0.5
ignore-below-mm = 5

[[crosscheck]]
id = "weak-but-hard"
severity = "look again"
when = { all = [
  { test = "strength", is = "none" },
  { test = "resistance", one_of = ["hard"] },
] }
says = "Weak, yet hard to lift."
why = "Both load the same tissue."
recheck = ["resistance", "strength"]
basis = ["convention"]

[[crosscheck]]
id = "feet-differ"
severity = "unlikely"
sides = "once"
stage = "review"
when = { any = [
  { test = "lunge", side = "difference", at_least = 10 },
  { derived = "effort-total", side = "either", below = 1 },
] }
says = "The feet differ by much."
recheck = ["lunge"]
basis = ["convention"]

[[crosscheck]]
id = "device-on-cracks"
severity = "impossible"
stage = "summary"
when = { all = [
  { feature = "device", is = "shell" },
  { caution = "cracked" },
] }
says = "A shell on cracked skin."
recheck = ["skin"]
basis = ["convention"]

[[caution]]
id = "hot"
title = "Hot swollen foot"
when = { test = "hot-foot", is = "yes" }
urgency = "emergency"
device = "stop"
says = "No device; keep the weight off."
refer_to = "the emergency foot clinic"
basis = ["convention"]

[[caution]]
id = "cracked"
title = "Cracked skin"
when = { test = "skin", includes_any = ["crack", "callus"] }
urgency = "routine"
device = "modify"
says = "Choose a soft cover."
basis = ["convention"]

[[feature]]
id = "device"
title = "Device"
kind = "option"
sides = "once"
start = "none"
needs = ["hot-foot"]
basis = ["convention"]
[feature.options]
none = { label = "no device" }
shell = { label = "a shell", note = "made to measure" }
soft = { label = "a soft one" }

[[feature]]
id = "lift"
title = "Heel lift"
group = "Heel"
about = "Under the heel."
kind = "amount"
unit = "mm"
range = [0, 12]
step = 0.5
start = 0
cautious = "low"
zero = "no lift"
positive = "high"
negative = "low"
across_pair_within = 4
applies_when = { feature = "device", is_not = "none" }
basis = ["convention"]

[[feature]]
id = "cup"
title = "Heel cup"
kind = "amount"
unit = "mm"
range = [8, 20]
start = 10
across_pair = "higher"
basis = ["convention"]

[[feature]]
id = "cover"
title = "Cover"
kind = "option"
start = "thin"
across_pair = "first"
basis = ["convention"]
[feature.options]
thick = { label = "thick" }
thin = { label = "thin" }
bare = { label = "none" }

[[rule]]
id = "shell-when-loaded"
class = "tolerance"
when = { not = { derived = "dose", at_most = 1 } }
effects = [{ feature = "device", prefer = "shell" }]
because = "Much load asks for a shell."
basis = ["convention"]

[[rule]]
id = "lift-for-the-shorter-limb"
when = { count = [
  { test = "shorter", is_this_side = true },
  { test = "lunge", side = "excess", below = 0 },
], at_least = 2 }
effects = [
  { feature = "lift", add = { derived = "limb-lift" } },
  { feature = "lift", at_most = 9 },
]
because = "A shorter limb is lifted."
basis = ["convention"]

[[rule]]
id = "cup-follows-the-lift"
when = { feature = "lift", at_least = 4, cut_at_least = 1 }
effects = [
  { feature = "cup", at_least = 14 },
  { feature = "cup", start = { feature = "lift" } },
]
because = "A high lift tips the heel."
basis = ["convention"]

[[rule]]
id = "soft-cover-on-cracks"
class = "safety"
when = { any_caution = "modify" }
effects = [{ feature = "cover", rule_out = ["bare", "thin"] }]
because = "Cracks want a soft cover."
basis = ["convention"]

[[exclusion]]
features = ["lift", "cup"]
because = "Both tip the heel."
basis = ["convention"]

[[advice]]
id = "stretch"
kind = "exercise"
sides = "each"
when = { all = [{ test = "lunge", below = 9 }, { feature = "lift", above = 0 }] }
says = "Stretch the calf."
basis = ["common-practice"]

[[advice]]
id = "review"
kind = "review"
says = "Come back in six weeks."
basis = ["common-practice"]
"""

FILES = {"exam.toml": EXAM, "reasoning.toml": REASONING}
HERE = "#!"
"""Marks the line on which a mistake must be reported; for TOML it is a comment."""


def write_files(folder: Path, files: dict[str, str]) -> Path:
    folder.mkdir(exist_ok=True)
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8", newline="")
    return folder


def read_good(folder: Path) -> LoadedProtocol:
    return read_protocol(write_files(folder / "good", FILES))


def problems_of(path: Path) -> tuple[Problem, ...]:
    """Read a protocol and return its problems, none where it is good."""
    try:
        read_protocol(path)
    except UnusableFileError as error:
        return error.problems
    return ()


def with_mistake(old: str, new: str) -> tuple[dict[str, str], str]:
    """Put a mistake into the one place where the old text stands; name the file it is in."""
    holding = [name for name, text in FILES.items() if old in text]
    assert len(holding) == 1, f"{old!r} stands in {holding or 'no file'}"
    (name,) = holding
    assert FILES[name].count(old) == 1, f"{old!r} stands {FILES[name].count(old)} times"
    return {**FILES, name: FILES[name].replace(old, new)}, name


def line_of(mark: str, text: str) -> int:
    """Count from 1 to the one line that holds the mark."""
    lines = [number for number, line in enumerate(text.splitlines(), 1) if mark in line]
    assert len(lines) == 1, f"{mark!r} stands in lines {lines}"
    return lines[0]


def assert_told(folder: Path, old: str, new: str, words: tuple[str, ...]) -> None:
    """The mistake gives one problem, in its file and marked line, and these words tell it."""
    files, name = with_mistake(old, new)
    problems = problems_of(write_files(folder / "mistaken", files))
    told = "\n".join(str(problem) for problem in problems)
    assert len(problems) == 1, told or "nothing was reported"
    (problem,) = problems
    assert (problem.file.name, problem.line) == (name, line_of(HERE, files[name])), told
    for word in words:
        assert word in f"{problem.place}: {problem.message}", told
