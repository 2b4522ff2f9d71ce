"""Small protocols made in the tests, with only what a test is about."""

from collections.abc import Mapping, Sequence
from typing import Any

from attrs import evolve

from examwalk.protocol.condition_model import Condition
from examwalk.protocol.exam_model import Kind, Option, Position, Scale, Test
from examwalk.protocol.feature_model import (
    Effect,
    Feature,
    FeatureKind,
    FeatureOption,
    Rule,
    RuleClass,
)
from examwalk.protocol.key_types import Sides
from examwalk.protocol.model import Identity, Protocol, Source, SourceMark
from examwalk.reasoning.case import Case
from examwalk.reasoning.places import places_of
from examwalk.reasoning.results import FeatureResult, Summary
from examwalk.reasoning.summary import summarise_case
from examwalk.session.model import Answer, Place, Side

YES_NO = {"no": Option("No"), "yes": Option("Yes")}


def asked(id_: str, **options: Any) -> Test:
    """Make a yes-or-no question of each side."""
    options = {"kind": Kind.CHOICE, "options": YES_NO, **options}
    return Test(id=id_, title=id_, position="seated", basis=("practice",), **options)


def graded(id_: str, **options: Any) -> Test:
    """Make a test of each side on the scale low, medium, high, which count 1, 2, 3."""
    return asked(id_, kind=Kind.GRADE, options={}, scale="three", **options)


def measured(id_: str, hard: tuple[int, int] = (0, 10), **options: Any) -> Test:
    """Make a measurement of each side in whole numbers."""
    return asked(id_, kind=Kind.MEASURE, options={}, hard=hard, **options)


TESTS = (
    *(asked(name) for name in "abcd"),
    asked("person", sides=Sides.ONCE),
    asked(
        "short",
        sides=Sides.ONCE,
        options={name: Option(name) for name in ("none", "left", "right", "both")},
    ),
    asked(
        "skin",
        several=True,
        alone=("intact",),
        options={name: Option(name) for name in ("intact", "callus", "wound")},
    ),
    graded("arch"),
    measured("reach"),
    measured("mass", (40, 140), sides=Sides.ONCE),
    measured("depth", ask_when=Condition(test="skin", includes="wound")),
)

FRAME = Protocol(
    identity=Identity("made", "Made for a test", "1", disclaimer="The clinician decides."),
    positions=(Position("seated", "Seated"),),
    tests=TESTS,
    scales={"three": Scale(("low", "medium", "high"))},
    not_done_reasons={"pain": "Too painful"},
    urgencies={"emergency": "Today", "urgent": "Soon", "routine": "Some day"},
    sources={
        "trial": Source("A trial", SourceMark.PUBLISHED),
        "memory": Source("Recalled", SourceMark.FROM_MEMORY),
        "practice": Source("Common practice", SourceMark.COMMON_PRACTICE),
        "convention": Source("A convention", SourceMark.CONVENTION),
    },
)


def made(**tables: Any) -> Protocol:
    """Return the frame with these tables, as a checked file would give it."""
    return evolve(FRAME, **tables)


def amount(id_: str = "lift", **options: Any) -> Feature:
    """Make an amount in mm, from 0 to 20 in steps of 1, that starts at 0."""
    options = {"unit": "mm", "range": (0, 20), "start": 0, "basis": ("trial",), **options}
    return Feature(id=id_, title=id_.capitalize(), kind=FeatureKind.AMOUNT, **options)


def choice(id_: str = "shell", names: Sequence[str] = ("soft", "medium", "firm"), **options: Any):
    """Make a feature of options, the first of which is its start and the most cautious."""
    options = {"start": names[0], "basis": ("trial",), **options}
    choices = {name: FeatureOption(name) for name in names}
    return Feature(
        id=id_, title=id_.capitalize(), kind=FeatureKind.OPTION, options=choices, **options
    )


def is_yes(test: str, **options: Any) -> Condition:
    """Ask whether a yes-or-no question is answered with yes."""
    return Condition(test=test, is_="yes", **options)


def rule(
    id_: str,
    *effects: Effect,
    when: Condition | str | None = None,
    class_: RuleClass = RuleClass.FUNCTION,
    basis: tuple[str, ...] = ("practice",),
) -> Rule:
    """Make a rule; ``when="a"`` asks whether the question a is answered with yes."""
    condition = is_yes(when) if isinstance(when, str) else when
    because = f"Because of {id_}."
    return Rule(id_, effects, because=because, basis=basis, class_=class_, when=condition)


def placed(protocol: Protocol, findings: Mapping[str, Answer]) -> dict[Place, Answer]:
    """Put findings, by ``"a"`` for all its sides or ``"a left"``, at their places."""
    answers: dict[Place, Answer] = {}
    for name, answer in findings.items():
        test_id, _, side = name.partition(" ")
        places = places_of(protocol.tests_by_id[test_id])
        answers |= {place: answer for place in places if side in ("", place.side.value)}
    return answers


def case_of(protocol: Protocol, findings: Mapping[str, Answer]) -> Case:
    """Return the case that these findings make."""
    return Case(protocol, placed(protocol, findings))


def summary_of(protocol: Protocol, findings: Mapping[str, Answer]) -> Summary:
    """Return everything that follows from these findings."""
    return summarise_case(case_of(protocol, findings), {})


def feature_of(
    protocol: Protocol, findings: Mapping[str, Answer], id_: str = "lift", side: Side = Side.LEFT
) -> FeatureResult:
    """Return one settled feature."""
    return summary_of(protocol, findings).feature(id_, side)


def at(name: str) -> Place:
    """Return a place by ``"a left"``, or by ``"person"`` for what is asked once."""
    test_id, _, side = name.partition(" ")
    return Place(test_id, Side(side or "whole"))


SMALL_FILE = """
[protocol]
id = "small"
title = "A small exam"
version = "1"

[[position]]
id = "seated"
title = "Seated"

[sources.common-practice]
cite = "Common practice"
mark = "common practice"

[[test]]
id = "sore"
title = "Sore"
position = "seated"
kind = "choice"
basis = ["common-practice"]
[test.options]
no = { label = "No" }
yes = { label = "Yes" }
"""
"""The least that a protocol file can hold, where the program itself is run."""
