"""The small protocol with things to order: each kind of feature, a collision, advice, a sum."""

from datetime import UTC, datetime
from pathlib import Path

from attrs import evolve
from screen_text import ticking_clock
from small_protocol import SMALL, small_protocol

from examwalk.protocol.model import Protocol
from examwalk.reasoning.summary import summarise
from examwalk.session.folder import keep_protocol, path_for
from examwalk.session.model import Answer, Finding, Place, ProtocolUsed, Session, Side
from examwalk.session.storing import write_session
from examwalk.tui.open_visit import OpenVisit
from examwalk.tui.screens.words import Outcome

ORDERING = (
    SMALL
    + """
[sources.trial]
cite = "Author and others, 2020, Journal 1:1"
mark = "published"

[[derived]]
id = "arch-sum"
title = "Sum of two grades"
calculation = "sum"
inputs = ["resistance", "jack"]
unit = "of 6"
basis = ["convention"]
bands = [{ label = "little", below = 4 }, { label = "much", at_least = 4 }]

[[derived]]
id = "years"
title = "Years counted"
calculation = "sum"
sides = "once"
inputs = ["age"]
unit = "years"
basis = ["convention"]

[[crosscheck]]
id = "no-strength-but-easy"
severity = "impossible"
when = { all = [{ test = "strength", is = "none" }, { test = "jack", is = "easy" }] }
says = "No strength, yet the toe comes up."
why = "One of the two cannot be so."
recheck = ["strength", "jack"]
basis = ["convention"]

[[feature]]
id = "device"
title = "Kind of device"
group = "Device"
kind = "option"
sides = "once"
start = "ready"
needs = ["hot-foot"]
about = "What is made at all."
basis = ["trial"]
[feature.options]
none = { label = "no device" }
ready = { label = "ready-made" }
custom = { label = "custom" }

[[feature]]
id = "post"
title = "Rearfoot post"
group = "Heel"
kind = "amount"
unit = "°"
range = [-4, 6]
step = 2
positive = "varus"
negative = "valgus"
zero = "vertical"
applies_when = { feature = "device", is = "custom" }
basis = ["convention"]

[[feature]]
id = "cover"
title = "Top cover"
group = "Cover"
kind = "option"
start = "firm"
basis = ["convention"]
[feature.options]
soft = { label = "soft", note = "for thin skin" }
firm = { label = "firm" }

[[feature]]
id = "review-weeks"
title = "First review after"
group = "Review"
kind = "amount"
sides = "once"
unit = "weeks"
range = [1, 12]
start = 6
basis = ["convention"]

[[rule]]
id = "custom-when-pronated"
when = { test = "posture", is = "pronated" }
effects = [{ feature = "device", prefer = "custom" }, { feature = "post", add = 4 }]
because = "A pronated foot asks for a shaped device."
basis = ["trial"]

[[rule]]
id = "lift-is-capped"
class = "safety"
when = { test = "strength", is = "weak" }
effects = [{ feature = "lift", at_most = 2 }]
because = "A weak leg does not bear a high lift."
basis = ["trial"]

[[rule]]
id = "soft-for-cracks"
when = { test = "skin", includes = "crack" }
effects = [{ feature = "cover", prefer = "soft" }]
because = "Cracked skin wants a soft cover."
basis = ["convention"]

[[rule]]
id = "firm-for-effort"
when = { test = "resistance", is = "hard" }
effects = [{ feature = "cover", prefer = "firm" }]
because = "A firm cover lasts."
basis = ["convention"]

[[advice]]
id = "shoes"
kind = "shoes"
says = "Wear shoes with a firm heel."
basis = ["convention"]
"""
)

Answers = dict[tuple[str, Side], Answer]

LEFT, RIGHT, WHOLE = Side.LEFT, Side.RIGHT, Side.WHOLE
CALM: Answers = {("hot-foot", LEFT): "no", ("hot-foot", RIGHT): "no"}
COLLIDING: Answers = {
    **CALM,
    ("skin", LEFT): ("crack",),
    ("resistance", LEFT): "hard",
}


def a_session(protocol: Protocol, answers: Answers) -> Session:
    """Return a visit of 25 November 2026 with these answers."""
    begun = datetime(2026, 11, 25, 9, 12, tzinfo=UTC)
    findings = tuple(
        Finding(Place(test, side), begun, answer=answer) for (test, side), answer in answers.items()
    )
    return Session(
        "20261125-0912-bcdf",
        begun,
        "AB",
        "P-0042",
        ProtocolUsed("small", "1.0.0"),
        findings=findings,
    )


def an_outcome(folder: Path, answers: Answers, more: str = "") -> Outcome:
    """Return what follows from these answers under the ordering protocol and what is added."""
    protocol = small_protocol(folder, ORDERING + more).protocol
    session = a_session(protocol, answers)
    return Outcome(protocol, session, summarise(protocol, session))


def a_visit(folder: Path, answers: Answers) -> OpenVisit:
    """Return an open visit in a folder of its own with these answers, saved."""
    loaded = small_protocol(folder, ORDERING)
    keep_protocol(folder, loaded.fingerprint, loaded.text)
    used = ProtocolUsed("small", "1.0.0", loaded.fingerprint)
    session = evolve(a_session(loaded.protocol, answers), protocol=used)
    path = path_for(folder, session.id)
    write_session(path, session)
    return OpenVisit.open(path, ticking_clock())
