"""The kinds of value that keys of several tables hold, and how a key is declared."""

from enum import Enum
from typing import Any

from attrs import field

Scalar = str | int | float | bool
Number = int | float


class OneOfEach(Enum):
    """Each member is one object: its identity is a hash, and a quicker one than its name's."""

    __hash__ = object.__hash__


class Ranked(OneOfEach):
    """Members that are listed in the order of their rank."""

    rank: int
    """0 for the first."""

    def __init__(self, _: str) -> None:
        self.rank = len(type(self).__members__)


class Sides(Enum):
    """Whether something is judged on each side or once for the whole person."""

    EACH = "each"
    ONCE = "once"


def key_field(key: str, **options: Any) -> Any:
    """Make an attrs field whose key in the file differs from its name."""
    return field(metadata={"key": key}, **options)
