"""Lines and rows of text, laid out to a width; pure values that a widget only has to paint.

A panel of text is a sequence of :class:`Line`; a list that can be walked through is a sequence
of :class:`Row`, some of which stand in the two columns Left and Right.
"""

from collections.abc import Hashable, Iterable

from attrs import frozen
from textual.content import Content

from examwalk.session.model import Side

POINTER = "▸ "
NO_POINTER = "  "
GUTTER = len(POINTER)
LABEL_SHARE = 0.36
"""The part of the width that the labels take beside the columns Left and Right."""
SMALLEST_COLUMN = 8
EMPTY = Content("")


@frozen
class Line:
    """One paragraph, standing in by ``indent`` and after its first line by ``hang`` more."""

    text: Content = EMPTY
    indent: int = 0
    hang: int = 0


@frozen
class Row:
    """One row of a list: a heading, an item, or an item with a cell for each side."""

    text: Content = EMPTY
    key: Hashable = None
    """Names the row so that the pointer finds it again; a row without one is passed over."""
    left: Content | None = None
    right: Content | None = None
    both: Content | None = None
    """Stands across both columns, for what belongs to the pair."""
    hang: int = 0
    """How far further lines stand in, of the text or of the cells."""


@frozen
class Pointer:
    """Where the pointer stands in a list."""

    key: Hashable = None
    side: Side = Side.LEFT


@frozen
class Columns:
    """The widths in cells of the label and of each of the two columns, gutters included."""

    label: int
    column: int

    @classmethod
    def for_width(cls, width: int) -> "Columns":
        """Share out a width so that both columns are equally wide."""
        column = max(SMALLEST_COLUMN, (width - int(width * LABEL_SHARE)) // 2)
        return cls(max(SMALLEST_COLUMN, width - 2 * column), column)


def wrap(line: Line, width: int) -> list[Content]:
    """Break a paragraph into lines of at most ``width`` cells."""
    if not line.text.plain:
        return [EMPTY]
    room = max(1, width - line.indent - line.hang)
    first, *rest = _wrapped(line.text, max(1, width - line.indent), room)
    return [
        first.pad_left(line.indent),
        *(part.pad_left(line.indent + line.hang) for part in rest),
    ]


def _wrapped(text: Content, first_width: int, width: int) -> list[Content]:
    if first_width == width:
        return text.wrap(width)
    first = text.wrap(first_width)[0]
    remainder = text[len(first.plain) :]
    stripped = len(remainder.plain) - len(remainder.plain.lstrip())
    remainder = remainder[stripped:]
    return [first, *(remainder.wrap(width) if remainder.plain else [])]


def flow(lines: Iterable[Line], width: int) -> list[Content]:
    """Lay paragraphs out one under the other."""
    return [part for line in lines for part in wrap(line, width)]


def row_lines(row: Row, width: int, pointer: Pointer) -> list[Content]:
    """Lay a row out to a width; the pointer is shown by a sign and not by colour alone."""
    here = row.key is not None and row.key == pointer.key
    if row.left is None or row.right is None:
        if row.both is not None:
            return _pair_row(row, width, here)
        return _single_row(row, width, here)
    columns = Columns.for_width(width)
    label = _cell(row.text, columns.label, pointed=False)
    on_left = here and pointer.side is Side.LEFT
    on_right = here and pointer.side is Side.RIGHT
    left = _cell(row.left, columns.column, pointed=on_left, hang=row.hang)
    right = _cell(row.right, columns.column, pointed=on_right, hang=row.hang)
    return _beside((label, columns.label), (left, columns.column), (right, columns.column))


def _pair_row(row: Row, width: int, here: bool) -> list[Content]:
    columns = Columns.for_width(width)
    room = 2 * columns.column
    assert row.both is not None
    label = _cell(row.text, columns.label, pointed=False)
    return _beside(
        (label, columns.label), (_cell(row.both, room, pointed=here, hang=row.hang), room)
    )


def _single_row(row: Row, width: int, here: bool) -> list[Content]:
    if row.key is None:
        return wrap(Line(row.text, hang=row.hang), width)
    return _cell(row.text, width, pointed=here, hang=row.hang)


def _cell(text: Content, width: int, *, pointed: bool, hang: int = 0) -> list[Content]:
    lines = wrap(Line(text, hang=hang), max(1, width - GUTTER - 1))
    sign = Content.styled(POINTER, "$here bold") if pointed else Content(NO_POINTER)
    marked = [sign + lines[0], *(NO_POINTER + line for line in lines[1:])]
    if not pointed:
        return marked
    widest = max(line.cell_length for line in marked)
    style = "$block-cursor-foreground on $block-cursor-background"
    return [line.pad_right(widest - line.cell_length).stylize_before(style) for line in marked]


def _beside(*cells: tuple[list[Content], int]) -> list[Content]:
    height = max(len(lines) for lines, _ in cells)
    rows = []
    for number in range(height):
        row = EMPTY
        for lines, width in cells:
            part = lines[number] if number < len(lines) else EMPTY
            row += part.pad_right(max(0, width - part.cell_length))
        rows.append(row.rstrip())
    return rows
