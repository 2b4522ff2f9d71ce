"""The answers of one test: Left stands left and Right stands right."""

from collections.abc import Sequence

from attrs import frozen
from textual import events
from textual.content import Content
from textual.geometry import Size
from textual.message import Message
from textual.widget import Widget

from examwalk.language import say
from examwalk.report.sides import side_heading
from examwalk.session.model import Side
from examwalk.tui.text import hanging, phrase, shortened

RECORDED = "●"
TICKED = "○"
POINTER = "▸"
GAP = 4
ONE_COLUMN = 72
"""The widest that a single column becomes, in cells."""


@frozen
class Row:
    """One grade or option."""

    key: str
    words: str
    score: str = ""
    """The grade's score where it differs from its key."""
    mark: str = " "
    pointed: bool = False


@frozen
class Field:
    """The place for a number."""

    typed: str
    unit: str
    recorded: str = ""
    """The recorded number in words."""
    band: str = ""


@frozen
class Column:
    """One side, or the whole person."""

    side: Side
    is_here: bool
    status: str = ""
    """A few words beside the heading, such as why it was not done."""
    rows: tuple[Row, ...] = ()
    field: Field | None = None
    text: str = ""
    """The recorded text of a test that is answered in words."""

    @property
    def heading(self) -> str:
        """The side in a full word."""
        return side_heading(self.side)


Drawn = tuple[Side, list[tuple[str, Content]]]
"""One side and its lines, each with the key of the row that it belongs to."""


class Answers(Widget):
    """Draws the columns of one test and says which row was clicked."""

    DEFAULT_CSS = """
    Answers { height: auto; width: 1fr; text-wrap: nowrap; text-overflow: clip; }
    """

    class Clicked(Message):
        """A row was clicked, or the column itself where ``key`` is empty."""

        def __init__(self, side: Side, key: str) -> None:
            super().__init__()
            self.side = side
            self.key = key

    def __init__(self) -> None:
        super().__init__()
        self._columns: tuple[Column, ...] = ()
        self._drawn: dict[int, list[Drawn]] = {}

    def show(self, columns: tuple[Column, ...]) -> None:
        """Show other columns."""
        if columns != self._columns:
            lines = self.lines_at(self.size.width)
            self._columns = columns
            self._drawn.clear()
            self.refresh(layout=lines != self.lines_at(self.size.width))

    def lines_at(self, width: int) -> int:
        """Say how many lines the columns need at a width."""
        return max((len(lines) for _, lines in self._draw(width)), default=0)

    def pointed_line(self) -> int | None:
        """Return the line of the row at the pointer."""
        for column in self._columns:
            for row in column.rows:
                if row.pointed:
                    lines = _draw(column, _column_width(self.size.width, len(self._columns)))
                    return next(at for at, (key, _) in enumerate(lines) if key == row.key)
        return None

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """Say how many lines the columns need at a width."""
        return self.lines_at(width)

    def render(self) -> Content:
        """Draw the columns side by side."""
        width = self.size.width
        drawn = self._draw(width)
        if not drawn:
            return Content("")
        if len(drawn) == 1:
            inner, lines = _column_width(width, 1), [line for _, line in drawn[0][1]]
            return Content("\n").join(line.pad_left((width - inner) // 2) for line in lines)
        left, right = ([line for _, line in lines] for _, lines in drawn)
        inner = _column_width(width, 2)
        blank = Content("")
        rows = max(len(left), len(right))
        return Content("\n").join(
            (left[at] if at < len(left) else blank)
            .truncate(inner, pad=True)
            .pad_right(GAP)
            .append(right[at] if at < len(right) else blank)
            for at in range(rows)
        )

    def on_click(self, event: events.Click) -> None:
        """Say which row was clicked."""
        width = self.size.width
        at = 0 if len(self._columns) == 1 or event.x < width // 2 else 1
        for side, lines in self._draw(width)[at : at + 1]:
            if 0 <= event.y < len(lines):
                self.post_message(self.Clicked(side, lines[event.y][0]))

    def _draw(self, width: int) -> list[Drawn]:
        if width not in self._drawn:
            inner = _column_width(width, len(self._columns))
            self._drawn[width] = [(column.side, _draw(column, inner)) for column in self._columns]
        return self._drawn[width]


def _column_width(width: int, columns: int) -> int:
    if columns == 2:
        return max(1, (width - GAP) // 2)
    return max(1, min(ONE_COLUMN, width))


def _draw(column: Column, width: int) -> list[tuple[str, Content]]:
    """Draw one column as lines, each with the key of the row it belongs to."""
    lines = [("", _heading(column, width))]
    for row in column.rows:
        lines += [(row.key, line) for line in _row(row, column.is_here, width)]
    if column.field is not None:
        lines += [("", line) for line in _field(column.field, column.is_here, width)]
    if column.text:
        head = phrase((f"    {RECORDED} ", "bold"))
        lines += [("", line) for line in hanging(head, phrase(column.text), width)][:3]
    return lines


def _heading(column: Column, width: int) -> Content:
    """Draw the heading into a rule: a heavy one where the cursor is, a light one elsewhere."""
    line, style = ("━", "bold $here") if column.is_here else ("─", "$rule")
    words = "bold $here" if column.is_here else "bold $foreground"
    head = phrase((f"{line * 2} ", style), (column.heading, words), " ")
    # The rule gives way to what is said in it, but for the sign that it goes on.
    status = shortened(column.status, width - head.cell_length - 2)
    tail = phrase((f" {status}", "$foreground")) if status else Content("")
    room = width - head.cell_length - tail.cell_length
    end = 2 if status and room > 4 else 0
    rule = phrase((line * (room - end - (1 if end else 0)), style))
    return head + rule + tail + (phrase((f" {line * end}", style)) if end else Content(""))


def _row(row: Row, is_here: bool, width: int) -> Sequence[Content]:
    stands = row.mark == RECORDED
    words = "bold $foreground" if stands else "$foreground" if is_here else "$dim"
    score = (f"{row.score:>2}  ", "$dim") if row.score else ""
    head = phrase(
        (f"{POINTER if row.pointed else ' '} ", "bold $here"),
        (f"{row.mark} ", "bold $here" if row.mark != " " else ""),
        (f"{row.key or '·':>1}  ", "bold" if is_here else "$dim"),
        score,
    )
    lines = hanging(head, phrase((row.words, words)), width)
    said = say("recorded") if stands else say("ticked") if row.mark == TICKED else ""
    if said and lines[-1].cell_length + len(said) + 2 <= width:
        lines[-1] = phrase(lines[-1], (f"  {said}", "$here"))
    return lines


def _field(field: Field, is_here: bool, width: int) -> Sequence[Content]:
    lines = []
    if is_here or field.typed:
        caret = "▁" if is_here else ""
        waiting = say("not accepted yet") if field.typed and not is_here else ""
        lines.append(
            phrase(
                (f"{POINTER if is_here else TICKED}   ", "bold $here"),
                (f"{field.typed}{caret}", "bold $foreground"),
                (f" {field.unit}", "$dim"),
                (f"  {waiting}" if waiting else "", "$warn"),
            )
        )
    elif not field.recorded:
        lines.append(phrase((f"    – {field.unit}", "$dim")))
    if field.recorded:
        band = (f"  {field.band}", "$foreground") if field.band else ""
        said = phrase((field.recorded, "bold $foreground"), band, (f"  {say('recorded')}", "$here"))
        lines += hanging(phrase(("  ", ""), (f"{RECORDED} ", "bold $here")), said, width)
    return lines
