"""A list to walk through with a pointer, and a text to read; both draw only what is in sight."""

from collections.abc import Sequence
from itertools import accumulate

from textual import events
from textual.content import Content
from textual.geometry import Size
from textual.message import Message
from textual.widget import Widget

from examwalk.session.model import Side
from examwalk.tui.text import phrase, shortened
from examwalk.tui.widgets.lines import (
    EMPTY,
    Columns,
    Line,
    Pointer,
    Row,
    flow,
    row_lines,
)

NOWHERE = Pointer()
FAR = 100_000
ROWS_BY_KEY = {"up": -1, "down": 1, "pageup": -10, "pagedown": 10, "home": -FAR, "end": FAR}
WHEEL_LINES = 3
SHORTEST_RULE = 3


class Window(Widget):
    """Lines of which as many are drawn as fit; the rest is scrolled to."""

    DEFAULT_CSS = """
    Window { height: 1fr; width: 1fr; }
    """

    class Moved(Message):
        """Other lines are in sight."""

        def __init__(self, window: "Window") -> None:
            super().__init__()
            self.window = window

        @property
        def control(self) -> "Window":
            """The window itself."""
            return self.window

    def __init__(self, called: str | None = None) -> None:
        super().__init__(id=called)
        self._top = 0

    def all_lines(self) -> Sequence[Content]:
        """Return every line at the present width."""
        return ()

    @property
    def lines_above(self) -> int:
        """How many lines lie above those in sight."""
        return self._top

    @property
    def lines_below(self) -> int:
        """How many lines lie below those in sight."""
        return max(0, len(self.all_lines()) - self._top - self.size.height)

    def scroll_to(self, top: int) -> None:  # type: ignore[override]
        """Bring this line to the top, as far as there are lines below it."""
        most = max(0, len(self.all_lines()) - self.size.height)
        self._top = min(max(0, top), most)
        self.refresh()
        self.post_message(self.Moved(self))

    def scroll_page(self, pages: int) -> None:
        """Scroll by whole windows, one line kept in sight."""
        self.scroll_to(self._top + pages * max(1, self.size.height - 1))

    def render(self) -> Content:
        """Draw the lines in sight."""
        return Content("\n").join(self.all_lines()[self._top : self._top + self.size.height])

    def on_resize(self) -> None:
        """Lay the lines out anew."""
        self.scroll_to(self._top)

    def on_mouse_scroll_down(self) -> None:
        """Scroll with the wheel."""
        self.scroll_to(self._top + WHEEL_LINES)

    def on_mouse_scroll_up(self) -> None:
        """Scroll with the wheel."""
        self.scroll_to(self._top - WHEEL_LINES)


class Reader(Window):
    """A text that may be longer than its room."""

    def __init__(self, called: str | None = None) -> None:
        super().__init__(called)
        self._text: tuple[Line, ...] = ()
        self._laid: tuple[int, list[Content]] = (-1, [])

    def show(self, text: Sequence[Line]) -> None:
        """Show another text from its beginning."""
        self._text = tuple(text)
        self._laid = (-1, [])
        self.scroll_to(0)

    def all_lines(self) -> Sequence[Content]:
        """Return the text broken into lines at the present width."""
        width = self.size.width
        if self._laid[0] != width:
            self._laid = (width, flow(self._text, width) if width else [])
        return self._laid[1]


class RowList(Window):
    """Rows with a pointer that stands on one of them, and on a side where the row has sides."""

    class Pointed(Message):
        """The pointer stands somewhere else."""

        def __init__(self, rows: "RowList", *, chosen: bool = False) -> None:
            super().__init__()
            self.rows = rows
            self.chosen = chosen
            """The row that the pointer stands on was clicked."""

        @property
        def control(self) -> "RowList":
            """The list itself."""
            return self.rows

    def __init__(self, called: str | None = None, *, points_at_once: bool = True) -> None:
        super().__init__(called)
        self._points_at_once = points_at_once
        self._rows: tuple[Row, ...] = ()
        self._width = -1
        self._plain: list[list[Content]] = []
        self._tops: list[int] = [0]
        self.pointer = NOWHERE

    def show(self, rows: Sequence[Row]) -> None:
        """Show other rows; the pointer stays on its row, or goes to the nearest one."""
        before = self._index
        self._rows = tuple(rows)
        self._width = -1
        if self._index is None and (self._points_at_once or before is not None):
            self._point_near(before or 0)
        self._keep_in_sight()

    def point_at(self, pointer: Pointer) -> None:
        """Put the pointer on a row, if it is there."""
        if any(row.key == pointer.key for row in self._rows if row.key is not None):
            self._set(pointer)

    def move(self, rows: int) -> None:
        """Move the pointer by this many rows, over those it cannot stand on."""
        stops = [number for number, row in enumerate(self._rows) if row.key is not None]
        if not stops:
            self.scroll_to(self._top + rows)
            return
        index = self._index
        at = stops.index(index) if index in stops else -1 if rows > 0 else 1
        new = min(max(0, at + rows), len(stops) - 1)
        if new == at and rows < 0:
            self.scroll_to(0)
        self._set(Pointer(self._rows[stops[new]].key, self.pointer.side))

    def move_by_key(self, key: str) -> None:
        """Move the pointer by one of the keys for moving, as Textual names them."""
        self.move(ROWS_BY_KEY[key])

    def move_to_side(self, side: Side) -> None:
        """Move the pointer to the left or right column."""
        self._set(Pointer(self.pointer.key, side))

    def all_lines(self) -> Sequence[Content]:
        """Return the lines of all rows, the pointed one marked."""
        self._lay_out()
        parts = list(self._plain)
        index = self._index
        if index is not None and self._width:
            parts[index] = row_lines(self._rows[index], self._width, self.pointer)
        return [line for part in parts for line in part]

    def on_resize(self) -> None:
        """Lay the rows out anew, the pointer in sight."""
        self._keep_in_sight()

    def on_click(self, event: events.Click) -> None:
        """Put the pointer on the row that was clicked, and on the side."""
        self._lay_out()
        line = event.y + self._top
        index = next((n for n, top in enumerate(self._tops[1:]) if line < top), None)
        if index is None or self._rows[index].key is None:
            return
        columns = Columns.for_width(self._width)
        is_right = event.x >= columns.label + columns.column
        side = Side.RIGHT if is_right else Side.LEFT
        self._set(Pointer(self._rows[index].key, side), chosen=True)

    @property
    def _index(self) -> int | None:
        if self.pointer.key is None:
            return None
        return next((n for n, row in enumerate(self._rows) if row.key == self.pointer.key), None)

    def _point_near(self, index: int) -> None:
        stops = [number for number, row in enumerate(self._rows) if row.key is not None]
        nearest = min(stops, key=lambda stop: abs(stop - index), default=None)
        key = None if nearest is None else self._rows[nearest].key
        self._set(Pointer(key, self.pointer.side))

    def _set(self, pointer: Pointer, *, chosen: bool = False) -> None:
        if pointer != self.pointer or chosen:
            self.pointer = pointer
            self._keep_in_sight()
            self.post_message(self.Pointed(self, chosen=chosen))

    def _lay_out(self) -> None:
        if self._width == self.size.width and self._plain:
            return
        self._width = self.size.width
        if not self._width:
            self._plain = [[] for _ in self._rows]
        else:
            self._plain = [row_lines(row, self._width, NOWHERE) for row in self._rows]
        self._tops = [0, *accumulate(len(lines) for lines in self._plain)]

    def _keep_in_sight(self) -> None:
        """Scroll as little as needed to show the pointed row with the heading above it."""
        self._lay_out()
        index = self._index
        if index is None:
            self.scroll_to(self._top)
            return
        first = index
        while first > 0 and self._rows[first - 1].key is None:
            first -= 1
        top, bottom = self._tops[first], self._tops[index + 1]
        if bottom - top > self.size.height:
            top = self._tops[index]
        if bottom > self._top + self.size.height:
            self.scroll_to(bottom - self.size.height)
        if top < self._top:
            self.scroll_to(top)
        self.scroll_to(self._top)


class Divider(Widget):
    """A rule across the window with a few words at its beginning and at its end."""

    DEFAULT_CSS = """
    Divider { height: auto; max-height: 3; width: 1fr; }
    """

    def __init__(self, called: str | None = None) -> None:
        super().__init__(id=called)
        self._words = ("", "")
        self._style = "$dim"

    def show(self, begins: str = "", ends: str = "", style: str = "$dim") -> None:
        """Show other words; those at the end give way where the rule is short."""
        before = len(self._sentence(self.size.width))
        self._words = (begins, ends)
        self._style = style
        self.refresh(layout=before != len(self._sentence(self.size.width)))

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """Say how many lines are needed: a rule is one, a long sentence takes more."""
        return max(1, len(self._sentence(width)))

    def _sentence(self, width: int) -> list[Content]:
        """Return the lines of a sentence that is too long for the rule; a legend is cut."""
        begin = phrase((self._words[0], self._style))
        if self._style == "$dim" or begin.cell_length <= max(1, width - 2):
            return []
        return begin.wrap(max(1, width))

    def render(self) -> Content:
        """Draw the rule, or the sentence in its place."""
        width = self.size.width
        sentence = self._sentence(width)
        if sentence:
            return Content("\n").join(sentence)
        begins, ends = self._words
        begin = phrase((f"{shortened(begins, width - 2)} ", self._style)) if begins else EMPTY
        end = phrase((f" {ends}", "$dim")) if ends else EMPTY
        if begin.cell_length + end.cell_length + SHORTEST_RULE > width:
            end = EMPTY
        rule = "─" * max(0, width - begin.cell_length - end.cell_length)
        return begin + phrase((rule, "$rule")) + end
