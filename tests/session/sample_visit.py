"""One invented visit, as a value and as the file that must hold it."""

from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest

from examwalk.problems import UnusableFileError
from examwalk.session.model import (
    Decision,
    Finding,
    Place,
    ProtocolUsed,
    Reply,
    Session,
    Side,
    State,
)
from examwalk.session.storing import from_toml

PATH = Path("visit.toml")
NOW = datetime(2026, 11, 25, 9, 12, 4, tzinfo=UTC)
LATER = datetime(2026, 11, 25, 10, 30, tzinfo=timezone(timedelta(hours=1)))

GOOD = """\
format = 1

[session]
id = "20261125-0912-k7f3"
started = 2026-11-25T09:12:04+00:00
examiner = "AB"
state = "finished"
finished = 2026-11-25T10:30:00+01:00
invented = true
about = "A made-up visit."
here = { test = "supination-resistance", side = "left" }

[patient]
code = "P-0042"

[protocol]
id = "adult"
version = "1.0.0"
fingerprint = "9f86d081"

[[finding]]
test = "complaint"
answer = "sore heel"
at = 2026-11-25T09:12:04+00:00

[[finding]]
test = "supination-resistance"
side = "left"
answer = "high"
note = "two\\nlines"
at = 2026-11-25T09:12:04+00:00

[[finding]]
test = "supination-resistance"
side = "right"
not_done = "pain"
at = 2026-11-25T09:12:04+00:00

[[finding]]
test = "lunge-distance"
side = "left"
answer = 9.5
at = 2026-11-25T09:12:04+00:00

[[finding]]
test = "shoes"
answer = [
    "boots",
    "sandals",
]
at = 2026-11-25T09:12:04+00:00

[[finding]]
test = "gait"
note = "limps"
at = 2026-11-25T09:12:04+00:00

[[decision]]
feature = "heel-lift"
side = "left"
value = 4
recommended = 6
because = "the shoe is low"
at = 2026-11-25T10:30:00+01:00

[[decision]]
feature = "shell"
value = "firm"
at = 2026-11-25T10:30:00+01:00

[[reply]]
crosscheck = "arch-rises"
side = "right"
says = "repeated, the same"
at = 2026-11-25T10:30:00+01:00
"""

RESISTANCE_LEFT = Place("supination-resistance", Side.LEFT)
RESISTANCE_RIGHT = Place("supination-resistance", Side.RIGHT)
VISIT = Session(
    id="20261125-0912-k7f3",
    started=NOW,
    examiner="AB",
    patient="P-0042",
    protocol=ProtocolUsed("adult", "1.0.0", "9f86d081"),
    state=State.FINISHED,
    finished=LATER,
    invented=True,
    about="A made-up visit.",
    findings=(
        Finding(Place("complaint", Side.WHOLE), NOW, answer="sore heel"),
        Finding(RESISTANCE_LEFT, NOW, answer="high", note="two\nlines"),
        Finding(Place("supination-resistance", Side.RIGHT), NOW, not_done="pain"),
        Finding(Place("lunge-distance", Side.LEFT), NOW, answer=9.5),
        Finding(Place("shoes", Side.WHOLE), NOW, answer=("boots", "sandals")),
        Finding(Place("gait", Side.WHOLE), NOW, note="limps"),
    ),
    decisions=(
        Decision("heel-lift", Side.LEFT, 4, 6, LATER, "the shoe is low"),
        Decision("shell", Side.WHOLE, "firm", None, LATER),
    ),
    replies=(Reply("arch-rises", Side.RIGHT, LATER, "repeated, the same"),),
    here=RESISTANCE_LEFT,
)
BARE = Session("a", NOW, "", "P-1", ProtocolUsed("short", "1"))


def problems_in(text: str) -> list[str]:
    with pytest.raises(UnusableFileError) as error:
        from_toml(text, PATH)
    assert all(problem.file == PATH for problem in error.value.problems)
    return [f"{problem.place}: {problem.message}" for problem in error.value.problems]


def the_problem_in(text: str) -> str:
    (problem,) = problems_in(text)
    return problem
