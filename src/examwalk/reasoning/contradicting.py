"""A quick look whether conditions that must all hold exclude each other on their face.

Two rows of one table ask the same derived value to be 1 and 2: no search is needed to see that
they never hold together, and a search through everything behind the value would be long.
"""

from collections.abc import Iterable, Iterator, Mapping
from typing import TypeGuard

from examwalk.protocol.condition_model import Condition, SideScope
from examwalk.protocol.derived_model import Derived
from examwalk.protocol.exam_model import Test
from examwalk.protocol.feature_model import Feature
from examwalk.protocol.key_types import Sides
from examwalk.protocol.model import Protocol
from examwalk.session.model import Side

Wanted = tuple[Condition, Side, bool]
Subject = tuple[str, str, Side]


def contradict(protocol: Protocol, wanted: Iterable[Wanted]) -> bool:
    """Say whether these conditions surely exclude each other.

    Args:
        protocol: says what is asked once for the whole person.
        wanted: each condition, the side it is judged on, and whether it must hold.

    Only what every one of them asks of one subject on one side is compared, and whether one
    refuses the very condition that another holds, so False does not mean that they can hold
    together.
    """
    bounds: dict[Subject, tuple[float, float]] = {}
    options: dict[Subject, set[str]] = {}
    held: set[tuple[Condition, Side]] = set()
    refused: set[tuple[Condition, Side]] = set()
    for condition, side, holds in wanted:
        if not holds:
            refused.add((condition, side))
        for part in _all_of(condition) if holds else ():
            held.add((part, side))
            if part.not_ is not None:
                refused.add((part.not_, side))
            subject = _subject(protocol, part, side)
            if subject is None:
                continue
            low, high = _bounds(part)
            held_low, held_high = bounds.get(subject, (float("-inf"), float("inf")))
            bounds[subject] = max(low, held_low), min(high, held_high)
            allowed = _options(part)
            if allowed is not None:
                options[subject] = options.get(subject, allowed) & allowed
    if held & refused or not all(options.values()):
        return True
    return any(low > high for low, high in bounds.values())


def _all_of(condition: Condition) -> Iterator[Condition]:
    if condition.all is None:
        yield condition
    else:
        for part in condition.all:
            yield from _all_of(part)


def _subject(protocol: Protocol, condition: Condition, side: Side) -> Subject | None:
    sided: dict[str, Mapping[str, Test] | Mapping[str, Derived] | Mapping[str, Feature]] = {
        "test": protocol.tests_by_id,
        "derived": protocol.derived_by_id,
        "feature": protocol.features_by_id,
    }
    for kind, known in sided.items():
        name = getattr(condition, kind)
        if name is None:
            continue
        if known[name].sides is Sides.ONCE:
            return kind, name, Side.WHOLE
        if condition.side is SideScope.SAME:
            return kind, name, side
        return (kind, name, side.other) if condition.side is SideScope.OTHER else None
    return None


def _bounds(condition: Condition) -> tuple[float, float]:
    """Return the numbers that a condition leaves possible, its bounds included."""
    lows = [condition.at_least, condition.above, condition.is_]
    highs = [condition.at_most, condition.below, condition.is_]
    return (
        max((float(low) for low in lows if _is_number(low)), default=float("-inf")),
        min((float(high) for high in highs if _is_number(high)), default=float("inf")),
    )


def _is_number(value: object) -> TypeGuard[int | float]:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _options(condition: Condition) -> set[str] | None:
    """Return the answers that a condition leaves possible, where it names them."""
    if isinstance(condition.is_, str):
        return {condition.is_}
    if condition.one_of is not None:
        return {str(one) for one in condition.one_of}
    return None
