"""Proofs that nothing can be found, by taking one derived value as if it were measured.

Two rows of a table of points exclude each other whatever lies behind the points. To see that by
trying findings takes every set of them; with the points taken as a number of their own it takes a
few steps. More is possible for such a number than for what it stands for, so what is impossible
with it is impossible.
"""

from collections.abc import Iterable

from attrs import evolve

from examwalk.protocol.derived_model import Derived
from examwalk.protocol.exam_model import Kind, Test
from examwalk.protocol.model import Protocol
from examwalk.reasoning.case import Case
from examwalk.reasoning.places import sides_of
from examwalk.reasoning.supposing import Goal, proves_impossible

_WHOLE_NUMBERS = frozenset({"points", "lookup", "sum", "difference"})


def surely_impossible(protocol: Protocol, goal: Goal, names: Iterable[str]) -> bool:
    """Say whether a goal is impossible by one of these derived values alone.

    False does not mean that it is possible.
    """
    return any(
        proves_impossible(abstract, goal)
        for name in names
        if (abstract := _as_measured(protocol, name)) is not None
    )


def _as_measured(protocol: Protocol, name: str) -> Protocol | None:
    """Return the protocol with a derived value as a measurement, the same one each time."""
    known = protocol.noted.setdefault("as-measured", {})
    assert isinstance(known, dict)
    if name not in known:
        known[name] = _with_as_measured(protocol, protocol.derived_by_id[name])
    found: Protocol | None = known[name]
    return found


def _with_as_measured(protocol: Protocol, derived: Derived) -> Protocol | None:
    """Return the protocol with a derived value as a measurement, where it is a whole number."""
    case = Case(protocol, {})
    values = [case.derived_value(derived, side) for side in sides_of(derived.sides)]
    intervals = [value.interval for value in values if value.interval is not None]
    if derived.calculation not in _WHOLE_NUMBERS or derived.when or len(intervals) < len(values):
        return None
    low, high = intervals[0].low, intervals[0].high
    if any(value.may_lapse for value in values) or low != int(low) or high != int(high):
        return None
    measured = Test(
        id=derived.id,
        title=derived.title,
        position=protocol.positions[0].id,
        kind=Kind.MEASURE,
        basis=derived.basis,
        sides=derived.sides,
        hard=(int(low), int(high)),
    )
    others = tuple(one for one in protocol.derived if one.id != derived.id)
    return evolve(protocol, tests=(*protocol.tests, measured), derived=others)
