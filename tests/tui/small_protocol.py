"""A small protocol for the tests of the screens; it has every kind of test."""

from pathlib import Path

from examwalk.protocol.reading import LoadedProtocol, read_protocol

SMALL = """
[protocol]
id = "small"
title = "A small exam"
version = "1.0.0"
minutes = 5
about = "For tests."
disclaimer = "The clinician decides."

[[position]]
id = "seated"
title = "Seated"
instruction = "The patient sits on the plinth."

[[position]]
id = "standing"
title = "Standing"
instruction = "The patient stands at ease."

[scales.effort]
grades = ["easy", "middling", "hard"]

[scales.posture]
grades = ["supinated", "neutral", "pronated"]
first_score = -1

[scales.strength]
grades = ["none", "weak", "full"]
first_score = 0

[not_done_reasons]
pain = "Too painful"
refused = "Declined by the patient"

[urgencies]
emergency = "Emergency, at once"
routine = "Routine"

[sources.convention]
cite = "A convention of this protocol"
mark = "convention of this protocol"

[[test]]
id = "hot-foot"
title = "Hot, swollen foot"
position = "seated"
kind = "choice"
safety = true
basis = ["convention"]
[test.options]
no = { label = "No" }
yes = { label = "Yes" }

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
id = "age"
title = "Age"
position = "seated"
sides = "once"
kind = "measure"
unit = "years"
step = 1
hard = [0, 115]
usual = [16, 95]
basis = ["convention"]

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
position = "standing"
kind = "grade"
scale = "effort"
why = "It shows how much force the foot asks for."
how = ["Stand behind the patient.", "Lift under the navicular with two fingertips."]
mistakes = ["The patient helps."]
cautions = ["Stop if it hurts."]
reading = "The grade is the effort to start the lift."
basis = ["convention"]
[test.grades]
easy = { looks = "One fingertip lifts it." }
middling = { looks = "Two fingertips lift it." }
hard = { looks = "Two hands are needed." }
[[test.reliability]]
statistic = "Weighted kappa"
value = "0.61"
source = "convention"

[[test]]
id = "jack"
title = "Jack's test"
position = "standing"
kind = "grade"
scale = "effort"
basis = ["convention"]
[test.grades]
easy = { looks = "The toe comes up freely." }
middling = { looks = "The toe comes up with some force." }
hard = { looks = "The toe does not come up." }

[[test]]
id = "posture"
title = "Posture"
position = "standing"
kind = "grade"
scale = "posture"
basis = ["convention"]
[test.grades]
supinated = { looks = "High." }
neutral = { looks = "Straight." }
pronated = { looks = "Low." }

[[test]]
id = "strength"
title = "Strength"
position = "standing"
kind = "grade"
scale = "strength"
basis = ["convention"]
[test.grades]
none = { looks = "No movement." }
weak = { looks = "Some." }
full = { looks = "All." }

[[test]]
id = "lunge"
title = "Lunge distance"
position = "standing"
kind = "measure"
unit = "cm"
step = 0.1
hard = [0, 25]
usual = [2, 18]
basis = ["convention"]
bands = [{ label = "short", below = 9 }, { label = "ordinary", at_least = 9 }]

[[test]]
id = "crack-depth"
title = "Depth of the cracks"
position = "standing"
kind = "choice"
ask_when = { test = "skin", includes = "crack" }
basis = ["convention"]
[test.options]
shallow = { label = "Shallow" }
deep = { label = "Deep" }

[[crosscheck]]
id = "hard-but-easy"
severity = "look again"
when = { all = [{ test = "resistance", is = "hard" }, { test = "jack", is = "easy" }] }
says = "High resistance but an easy toe."
why = "Both load the same tissue."
recheck = ["resistance", "jack"]
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
when = { test = "skin", includes = "crack" }
urgency = "routine"
device = "modify"
says = "Choose a soft cover."
basis = ["convention"]

[[feature]]
id = "lift"
title = "Heel lift"
kind = "amount"
unit = "mm"
range = [0, 12]
step = 1
basis = ["convention"]

[[rule]]
id = "lift-when-hard"
when = { test = "resistance", is = "hard" }
effects = [{ feature = "lift", add = 4 }]
because = "It is hard to lift."
basis = ["convention"]
"""


def small_protocol(folder: Path, text: str = SMALL) -> LoadedProtocol:
    """Write the small protocol into a folder and read it."""
    path = folder / "small.toml"
    path.write_text(text, encoding="utf-8")
    return read_protocol(path)
