"""Whatever is changed in a protocol, it is refused in words, or the reasoning bears it."""

import copy
import random
import tomllib
from pathlib import Path
from typing import Any

import tomli_w
from good_protocol import EXAM, REASONING
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from examwalk.problems import Problem, UnusableFileError
from examwalk.protocol.exam_model import Kind
from examwalk.protocol.model import Protocol
from examwalk.protocol.reading import read_protocol
from examwalk.protocol.wording import choices_of
from examwalk.reasoning.case import Case
from examwalk.reasoning.places import places_of
from examwalk.reasoning.summary import summarise_case
from examwalk.report.protocol_text import protocol_text
from examwalk.session.model import Answer, Place

GOOD: dict[str, Any] = {**tomllib.loads(EXAM), **tomllib.loads(REASONING)}
ODD = [True, False, 0, -1, 1, 2, 1e9, 0.5, 1e-9, "", "x", "none", "once", "each", [], {}]


def nodes(value: Any) -> list[tuple[Any, Any]]:
    """List every table or list in the value with each key or index in it."""
    found = []
    items = value.items() if isinstance(value, dict) else enumerate(value)
    for key, inner in items:
        found.append((value, key))
        if isinstance(inner, dict | list):
            found.extend(nodes(inner))
    return found


def change(data: dict[str, Any], chance: random.Random) -> None:
    holder, key = chance.choice(nodes(data))
    other_holder, other_key = chance.choice(nodes(data))
    match chance.randrange(5):
        case 0:
            del holder[key]
        case 1:
            holder[key] = chance.choice(ODD)
        case 2:  # what stands elsewhere, most often under the same key
            same = [pair for pair in nodes(data) if pair[1] == key]
            other_holder, other_key = chance.choice(same)
            holder[key] = copy.deepcopy(other_holder[other_key])
        case 3:
            holder[key] = copy.deepcopy(other_holder[other_key])
        case 4 if isinstance(holder, list):
            holder.insert(0, copy.deepcopy(holder[key]))
        case _:
            words = ["sides", "side", "kind", "calculation", "scale", "is", "at_least"]
            if isinstance(holder, dict):
                holder[chance.choice(words)] = chance.choice(["once", "difference", "sum", 1, "a"])


def some_answers(protocol: Protocol, chance: random.Random) -> dict[Place, Answer]:
    answers: dict[Place, Answer] = {}
    for test in protocol.tests:
        choices = [choice.id for choice in choices_of(protocol, test)]
        for place in places_of(test):
            if chance.random() < 0.3:
                continue
            if test.kind is Kind.TEXT:
                answers[place] = "a story"
            elif test.kind is Kind.MEASURE:
                answers[place] = float(chance.choice([*test.hard, sum(test.hard) / 2]))
            else:
                chosen = chance.choice(choices)
                answers[place] = (chosen,) if test.several else chosen
    return answers


def read(path: Path) -> tuple[Protocol | None, tuple[Problem, ...]]:
    try:
        return read_protocol(path).protocol, ()
    except UnusableFileError as error:
        return None, error.problems


@settings(max_examples=250, suppress_health_check=list(HealthCheck))
@given(seed=st.integers(0, 2**32), changes=st.integers(1, 4))
def test_a_changed_protocol_is_refused_in_words_or_can_be_reasoned_with(
    tmp_path_factory, seed, changes
):
    chance = random.Random(seed)
    data = copy.deepcopy(GOOD)
    for _ in range(changes):
        change(data, chance)
    path = tmp_path_factory.getbasetemp() / "changed.toml"
    path.write_text(tomli_w.dumps(data), encoding="utf-8")
    protocol, problems = read(path)
    if protocol is None:
        assert problems
        assert all(str(problem).endswith((".", "?")) for problem in problems), problems
        return
    protocol_text(protocol)
    for _ in range(3):
        summarise_case(Case(protocol, some_answers(protocol, chance)), {})
