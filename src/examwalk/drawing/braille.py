"""A drawing as rows of braille characters, for a terminal."""

from itertools import groupby

from attrs import frozen

from examwalk.drawing.composing import Drawing
from examwalk.drawing.dots import Dots, dots_of

MOST_COLUMNS = 500
MOST_ROWS = 200
_BLANK = "\u2800"
_FIRST = 0x2800
_BITS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
"""The bit of each dot of a cell, by row and column (Unicode, Braille Patterns)."""


@frozen
class Braille:
    """Rows of cells, all of the same length; a cell without dots is a space."""

    lines: tuple[str, ...]
    bold: tuple[tuple[tuple[int, int], ...], ...]
    """For each row the stretches of cells that hold dots of a bold line: from, up to."""


def braille_of(drawing: Drawing, columns: int, rows: int) -> Braille:
    """Draw as large as fits into so many cells, in the middle, its proportions kept.

    Nothing is drawn where there is no cell; a size beyond any screen is cut to one.
    """
    columns, rows = min(columns, MOST_COLUMNS), min(rows, MOST_ROWS)
    if columns < 1 or rows < 1:
        return Braille((), ())
    return _cells(dots_of(drawing, 2 * columns, 4 * rows))


def _cells(dots: Dots) -> Braille:
    columns, rows = dots.width // 2, dots.height // 4
    cells = [bytearray(columns) for _ in range(rows)]
    bold_cells: list[set[int]] = [set() for _ in range(rows)]
    for (x, y), bold in dots.bold.items():
        cells[y >> 2][x >> 1] |= _BITS[y & 3][x & 1]
        if bold:
            bold_cells[y >> 2].add(x >> 1)
    lines = tuple("".join(chr(_FIRST + cell) for cell in row).replace(_BLANK, " ") for row in cells)
    return Braille(lines, tuple(_stretches(row) for row in bold_cells))


def _stretches(columns: set[int]) -> tuple[tuple[int, int], ...]:
    """Join neighbouring columns to stretches."""
    stretches = []
    for _, run in groupby(enumerate(sorted(columns)), key=lambda item: item[1] - item[0]):
        members = [column for _, column in run]
        stretches.append((members[0], members[-1] + 1))
    return tuple(stretches)
