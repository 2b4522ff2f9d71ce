"""A few numbers over time as a small line of dots, in braille or in plain characters."""

from collections.abc import Sequence
from itertools import pairwise

Dot = tuple[int, int]
_FIRST = 0x2800
_BITS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
"""The bit of each dot of a braille cell, by row and column (Unicode, Braille Patterns)."""


def trend_lines(
    points: Sequence[tuple[float, float]], columns: int, rows: int, *, in_braille: bool
) -> list[str]:
    """Draw points joined by straight lines, from the earliest to the latest.

    Args:
        points: time and value of each.
        columns: how many characters wide.
        rows: how many lines high; the largest value stands in the first, the smallest in the last.
        in_braille: in braille dots, else with ``o`` for a point and ``.`` between points.
    """
    across, down = (2, 4) if in_braille else (1, 1)
    width, height = columns * across, rows * down
    places = [_dot(point, points, width, height) for point in sorted(points)]
    between = {dot for one, other in pairwise(places) for dot in _line(one, other)}
    if in_braille:
        return _cells(between | set(places), columns, rows)
    signs = {**dict.fromkeys(between, "."), **dict.fromkeys(places, "o")}
    return ["".join(signs.get((x, y), " ") for x in range(width)).rstrip() for y in range(height)]


def _dot(
    point: tuple[float, float], points: Sequence[tuple[float, float]], width: int, height: int
) -> Dot:
    times, values = zip(*points, strict=True)
    return (
        _share(point[0], min(times), max(times), width),
        height - 1 - _share(point[1], min(values), max(values), height),
    )


def _share(number: float, least: float, most: float, length: int) -> int:
    """Return where a number lies on so many steps; in the middle where all are the same."""
    if most == least:
        return (length - 1) // 2
    return round((number - least) / (most - least) * (length - 1))


def _line(one: Dot, other: Dot) -> list[Dot]:
    steps = max(abs(other[0] - one[0]), abs(other[1] - one[1]), 1)
    return [
        (
            round(one[0] + (other[0] - one[0]) * step / steps),
            round(one[1] + (other[1] - one[1]) * step / steps),
        )
        for step in range(steps + 1)
    ]


def _cells(dots: set[Dot], columns: int, rows: int) -> list[str]:
    cells = [[0] * columns for _ in range(rows)]
    for x, y in dots:
        cells[y // 4][x // 2] |= _BITS[y % 4][x % 2]
    return ["".join(chr(_FIRST + cell) if cell else " " for cell in row).rstrip() for row in cells]
