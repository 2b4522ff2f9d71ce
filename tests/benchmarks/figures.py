"""A measured figure, what it is compared with, and how both are shown."""

import statistics
from collections.abc import Callable, Sequence

from attrs import frozen

Seconds = Sequence[float]
Measure = Callable[[int], Sequence["Figure"]]
"""Measures something so many times."""


@frozen
class Figure:
    """Durations of something, beside those of an anchor measured in turns with it."""

    name: str
    taken: Seconds
    anchor_name: str = ""
    anchor: Seconds = ()
    budget: float | None = None
    """The largest ratio that is wanted; none where there is no budget."""
    quantile: float = 0.5
    """Which part of the durations counts; the anchor always counts by its median."""

    @property
    def milliseconds(self) -> float:
        """The duration that counts."""
        return quantile(self.taken, self.quantile) * 1000

    @property
    def anchor_milliseconds(self) -> float:
        """The median of the anchor."""
        return statistics.median(self.anchor) * 1000

    @property
    def ratio(self) -> float | None:
        """How many times the anchor it takes; none without an anchor."""
        return self.milliseconds / self.anchor_milliseconds if self.anchor else None

    @property
    def verdict(self) -> str:
        """Whether it is within its budget."""
        if self.ratio is None or self.budget is None:
            return "no budget"
        return "within" if self.ratio <= self.budget else "over"


def quantile(taken: Seconds, part: float) -> float:
    """Return the duration that a part of all durations does not exceed."""
    if part == 0.5:
        return statistics.median(taken)
    ordered = sorted(taken)
    return ordered[min(len(ordered) - 1, int(part * len(ordered)))]


def table(figures: Sequence[Figure]) -> str:
    """Write figures as lines with columns."""
    rows = [("figure", "ms", "anchor", "ms", "ratio", "budget", "")]
    rows += [
        (
            figure.name,
            f"{figure.milliseconds:.2f}",
            figure.anchor_name or "-",
            f"{figure.anchor_milliseconds:.2f}" if figure.anchor else "-",
            f"{figure.ratio:.2f}" if figure.ratio is not None else "-",
            f"{figure.budget:g}" if figure.budget is not None else "-",
            figure.verdict,
        )
        for figure in figures
    ]
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    right = {1, 3, 4, 5}
    return "\n".join(
        "  ".join(
            cell.rjust(width) if column in right else cell.ljust(width)
            for column, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in rows
    )
