"""Whatever a clinic legally changes in the adult protocol, it loads, passes the check and runs."""

import random
import tomllib
from pathlib import Path
from typing import Any

import tomli_w
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from adult_cases import ADULT
from examwalk.protocol.exam_model import Kind, Test
from examwalk.protocol.figures import figure_problems
from examwalk.protocol.model import Protocol
from examwalk.protocol.reading import read_protocol
from examwalk.protocol.using import users_of, uses_in
from examwalk.protocol.wording import choices_of
from examwalk.reasoning.case import Case
from examwalk.reasoning.places import places_of
from examwalk.reasoning.summary import summarise_case
from examwalk.session.model import Answer, Place

FOLDER = Path(__file__).parents[2] / "protocols" / "adult"
KINDS = {
    "position": "positions",
    "test": "tests",
    "derived": "derived",
    "crosscheck": "crosschecks",
    "caution": "cautions",
    "feature": "features",
    "rule": "rules",
    "exclusion": "exclusions",
    "advice": "advice",
}
Overlay = dict[str, Any]


def tables() -> dict[str, list[Any]]:
    """Return the tables of the adult protocol as they are written, by kind."""
    found: dict[str, list[Any]] = {}
    for file in sorted(FOLDER.glob("*.toml")):
        for key, value in tomllib.loads(file.read_text(encoding="utf-8")).items():
            if isinstance(value, list):
                found.setdefault(key, []).extend(value)
    return found


TABLES = tables()
USES = uses_in(TABLES)


def drop_a_test(overlay: Overlay, chance: random.Random) -> None:
    """Take a test away with everything that uses it, as the checker asks for.

    The one that [protocol] names as the complaint stays: without it another has to be named.
    """
    kept = ADULT.identity.complaint
    test = chance.choice([one for one in ADULT.tests if not one.safety and one.id != kept])
    removed = overlay.setdefault("remove", {})
    users = users_of(USES, "test", test.id)
    users["tests"] = [test.id, *users.get("tests", [])]
    for word, ids in users.items():
        more = [one for one in ids if one not in removed.get(word, ())]
        removed.setdefault(word, []).extend(more)


def reword_a_test(overlay: Overlay, chance: random.Random) -> None:
    test = chance.choice(ADULT.tests)
    own = table_of(overlay, "test", test.id)
    own["how"] = ["First this.", "Then that."]
    own["title"] = f"Reworded {test.id}"


def move_a_test(overlay: Overlay, chance: random.Random) -> None:
    """Ask a test elsewhere in its position, which is legal where no `ask_when` ties it down."""
    asked_about = str([test.ask_when for test in ADULT.tests if test.ask_when])
    free = [
        test
        for test in ADULT.tests
        if test.position == "standing" and not test.ask_when and f"'{test.id}'" not in asked_about
    ]
    test = chance.choice(free)
    other = chance.choice(
        [one for one in ADULT.tests if one.position == "standing" and one.id != test.id]
    )
    table = table_of(overlay, "test", test.id)
    if not {"after", "before"} & set(table):
        table[chance.choice(["after", "before"])] = other.id


def relabel_a_scale(overlay: Overlay, chance: random.Random) -> None:
    name = chance.choice(list(ADULT.scales))
    grade = chance.choice(ADULT.scales[name].grades)
    scale = overlay.setdefault("scales", {}).setdefault(name, {})
    scale.setdefault("labels", {})[grade] = "our own label"


def add_a_graded_test(overlay: Overlay, chance: random.Random) -> None:
    """Add a test with a band, a rule and a cross-check of its own."""
    number = len(overlay.get("test", []))
    name = f"clinic-test-{number}"
    scale = f"clinic-scale-{number}"
    overlay.setdefault("scales", {})[scale] = {"grades": ["mild", "marked"]}
    overlay.setdefault("test", []).append(
        {
            "id": name,
            "title": "One of our own",
            "position": chance.choice(["standing", "supine", "prone"]),
            "kind": "grade",
            "scale": scale,
            "why": "It tells.",
            "how": ["Look."],
            "basis": ["convention"],
            "grades": {"mild": {"looks": "little"}, "marked": {"looks": "much"}},
        }
    )
    overlay.setdefault("rule", []).append(
        {
            "id": f"clinic-rule-{number}",
            "when": {"test": name, "is": "marked"},
            "effects": [{"feature": "heel-lift", "add": chance.choice([1, 2])}],
            "class": "preference",
            "because": "We do so.",
            "basis": ["convention"],
        }
    )
    overlay.setdefault("crosscheck", []).append(
        {
            "id": f"clinic-check-{number}",
            "severity": "look again",
            "when": {
                "all": [{"test": name, "is": "mild"}, {"test": "age", "at_least": 80}],
            },
            "says": "Mild at this age.",
            "recheck": [name],
            "basis": ["convention"],
        }
    )


def table_of(overlay: Overlay, kind: str, name: str) -> dict[str, Any]:
    held: list[dict[str, Any]] = overlay.setdefault(kind, [])
    for one in held:
        if one["id"] == name:
            return one
    held.append({"id": name})
    return held[-1]


CHANGES = [drop_a_test, reword_a_test, move_a_test, relabel_a_scale, add_a_graded_test]


def legal(overlay: Overlay) -> Overlay:
    """Say nothing of what is taken away, and put nothing beside it."""
    removed = overlay.get("remove", {})
    for kind, word in KINDS.items():
        gone = set(removed.get(word, ()))
        if kind in overlay:
            overlay[kind] = [one for one in overlay[kind] if one.get("id") not in gone]
            for one in overlay[kind]:
                for key in ("after", "before"):
                    if one.get(key) in gone:
                        del one[key]
    # What is added may not use what is taken away either.
    for kind, used in (("test", "test"), ("feature", "feature"), ("position", "position")):
        gone = set(removed.get(KINDS[kind], ()))
        for user in ("rule", "crosscheck", "test"):
            if user in overlay:
                overlay[user] = [one for one in overlay[user] if not gone & named(one, used)]
    return {key: value for key, value in overlay.items() if value != []}


def named(value: Any, key: str) -> set[str]:
    """Return every text that stands under a key, at any depth."""
    if isinstance(value, dict):
        own = {value[key]} if isinstance(value.get(key), str) else set()
        return own.union(*(named(inner, key) for inner in value.values()))
    return (
        set().union(*(named(inner, key) for inner in value)) if isinstance(value, list) else set()
    )


def answer_to(protocol: Protocol, test: Test, chance: random.Random) -> Answer:
    if test.kind is Kind.TEXT:
        return "a story"
    if test.kind is Kind.MEASURE:
        assert test.hard is not None
        return float(chance.choice(test.hard))
    chosen = chance.choice([choice.id for choice in choices_of(protocol, test)])
    return (chosen,) if test.several else chosen


@settings(max_examples=10, deadline=None, suppress_health_check=list(HealthCheck))
@given(seed=st.integers(0, 2**32))
def test_a_legal_overlay_loads_passes_the_check_and_runs(tmp_path_factory, seed):
    chance = random.Random(seed)
    overlay: Overlay = {"protocol": {"id": "clinic", "version": "1.0.0", "extends": "adult"}}
    wanted = [chance.choice(CHANGES) for _ in range(chance.randint(1, 6))]
    for change in wanted:
        change(overlay, chance)
    path = tmp_path_factory.mktemp("clinic") / "clinic.toml"
    path.write_text(tomli_w.dumps(legal(overlay)), encoding="utf-8")
    loaded = read_protocol(path)  # raises with every problem where it does not pass
    protocol = loaded.protocol
    assert figure_problems(protocol) == ()
    assert loaded.changes
    gone = set(overlay.get("remove", {}).get("tests", ()))
    assert {one.id for one in protocol.tests} & gone == set()
    answers: dict[Place, Answer] = {
        place: answer_to(protocol, test, chance)
        for test in protocol.tests
        for place in places_of(test)
        if chance.random() < 0.8
    }
    summary = summarise_case(Case(protocol, answers), {})
    assert {one.id for one in summary.features} == set(protocol.features_by_id)
