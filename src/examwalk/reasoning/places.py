"""Where tests are answered, and on which sides things are judged."""

from functools import lru_cache

from examwalk.protocol.exam_model import Test
from examwalk.protocol.feature_model import Feature
from examwalk.protocol.key_types import Sides
from examwalk.session.model import BOTH_FEET, Place, Side

FeatureAt = tuple[str, Side]
"""The id of a feature, and the side it is settled for."""


def place_of(test: Test, side: Side) -> Place:
    """Return where a test is answered for a side."""
    return _place(test.id, Side.WHOLE if test.sides is Sides.ONCE else side)


@lru_cache(maxsize=10_000)
def _place(test_id: str, side: Side) -> Place:
    return Place(test_id, side)


def places_of(test: Test) -> tuple[Place, ...]:
    """Return all places of a test, left before right."""
    return tuple(_place(test.id, side) for side in sides_of(test.sides))


def sides_of(sides: Sides) -> tuple[Side, ...]:
    """Return the sides on which something is judged."""
    return (Side.WHOLE,) if sides is Sides.ONCE else BOTH_FEET


def sides_seen_from(sides: Sides, side: Side) -> tuple[Side, ...]:
    """Return the sides that count for one side; for the whole person either foot counts."""
    if sides is Sides.ONCE:
        return (Side.WHOLE,)
    return BOTH_FEET if side is Side.WHOLE else (side,)


def feature_seen_from(feature: Feature, side: Side) -> tuple[FeatureAt, ...]:
    """Return which results of a feature count for one side."""
    return tuple((feature.id, at) for at in sides_seen_from(feature.sides, side))
