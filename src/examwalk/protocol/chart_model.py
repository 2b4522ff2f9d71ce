"""What a protocol file says of charts, as immutable classes like those of ``model``."""

from enum import Enum

from attrs import frozen


class ChartKind(Enum):
    """What a chart shows of each foot."""

    DROP = "drop"
    """How far a grade or a number goes from the first test to the second."""
    NUMBER = "number"
    """Where a number lies among its bands and its reference values."""


@frozen
class Chart:
    """A picture of findings in the record and the summary; nothing follows from it."""

    id: str
    title: str
    kind: ChartKind
    of: tuple[str, ...]
    """For a drop: two tests on one scale or in one unit, in the order in which they are drawn.
    For a number: one test or derived value."""
    result: str | None = None
    """For a drop: the derived value that says how far it goes."""
