"""Does a test, or a derived value, mean the same in two protocols?

Only then are its answers compared. Other words for how it is done do not count: what an answer
is, on which scale and in which unit, does.
"""

from enum import Enum

from attrs import evolve

from examwalk.protocol.derived_model import Derived
from examwalk.protocol.exam_model import Kind, Test
from examwalk.protocol.model import Protocol


class Unlike(Enum):
    """What makes the answers of two protocols incomparable."""

    KIND = "kind"
    SIDES = "sides"
    SCALE = "grades"
    UNIT = "unit"
    OPTIONS = "options"
    CALCULATION = "calculation"


def test_unlike(earlier: Protocol, later: Protocol, test_id: str) -> Unlike | None:
    """Say what makes a test that both protocols have another one, if anything does."""
    if earlier is later:
        return None
    one, other = earlier.tests_by_id[test_id], later.tests_by_id[test_id]
    if one.kind is not other.kind:
        return Unlike.KIND
    if one.sides is not other.sides:
        return Unlike.SIDES
    if one.kind is Kind.MEASURE and one.unit != other.unit:
        return Unlike.UNIT
    if one.kind is Kind.GRADE and earlier.scale_of(one).grades != later.scale_of(other).grades:
        return Unlike.SCALE
    if one.kind is Kind.CHOICE and _options(earlier, one) != _options(later, other):
        return Unlike.OPTIONS
    return None


def _options(protocol: Protocol, test: Test) -> tuple[bool, frozenset[str]]:
    return test.several, frozenset(protocol.options_of(test))


def derived_unlike(earlier: Protocol, later: Protocol, derived_id: str) -> Unlike | None:
    """Say what makes a derived value that both protocols have another one, if anything does."""
    if earlier is later:
        return None
    one, other = earlier.derived_by_id[derived_id], later.derived_by_id[derived_id]
    if one.sides is not other.sides:
        return Unlike.SIDES
    if one.unit != other.unit:
        return Unlike.UNIT
    if _workings(one) != _workings(other):
        return Unlike.CALCULATION
    if any(_input_unlike(earlier, later, name) for name in one.inputs):
        return Unlike.CALCULATION
    return None


def _input_unlike(earlier: Protocol, later: Protocol, name: str) -> bool:
    if name in earlier.derived_by_id and name in later.derived_by_id:
        return derived_unlike(earlier, later, name) is not None
    if name in earlier.tests_by_id and name in later.tests_by_id:
        return test_unlike(earlier, later, name) is not None
    return True


def _workings(derived: Derived) -> Derived:
    """Return only what decides the number: no words, and nothing about reading it."""
    return evolve(
        derived,
        title="",
        basis=(),
        bands=(),
        reliability=(),
        decimals=0,
        internal=False,
        points=tuple(evolve(points, because="") for points in derived.points),
        rows=tuple(evolve(row, because="") for row in derived.rows),
    )
