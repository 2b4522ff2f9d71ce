"""The list of hazards: every row is whole, and every test that it names is there."""

import ast
import tomllib
from functools import cache
from pathlib import Path

import pytest

TESTS = Path(__file__).parent
HAZARDS = tomllib.loads((TESTS / "hazards.toml").read_text("utf-8"))["hazard"]
NAMED = {"wrong-side", "wrong-patient", "wrong-unit", "default-as-finding", "entry-lost"} | {
    *("other-protocol", "over-trust", "weakened-caution", "alarm-fatigue"),
}
"""Hazards that must never drop off the list."""


@cache
def names_in(path: Path) -> frozenset[str]:
    """Return the names of the tests in a file."""
    tree = ast.parse(path.read_text("utf-8"))
    return frozenset(
        node.name
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and node.name.startswith("test_")
    )


def test_the_list_is_as_long_as_it_is_useful_and_each_hazard_stands_once():
    ids = [hazard["id"] for hazard in HAZARDS]
    assert 15 <= len(ids) <= 20
    assert len(set(ids)) == len(ids)
    assert set(ids) >= NAMED


@pytest.mark.parametrize("hazard", HAZARDS, ids=lambda hazard: hazard["id"])
def test_a_hazard_has_its_harm_cause_and_control_and_tests_that_are_there(hazard):
    assert set(hazard) == {"id", "harm", "cause", "control", "shown_by"}
    for key in ("harm", "cause", "control"):
        assert hazard[key].endswith(".")
    assert hazard["shown_by"]
    for named in hazard["shown_by"]:
        file, _, test = named.partition("::")
        assert test in names_in(TESTS / file), named
