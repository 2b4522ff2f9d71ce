"""The visit at hand against the same patient's earlier ones: what changed, and by how much."""

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, ClassVar, cast

from textual import on, work
from textual.app import ComposeResult
from textual.containers import Container, Vertical
from textual.widgets import Static

from examwalk.language import say
from examwalk.tui.keys import SCREEN_TITLES, Action, bindings_of
from examwalk.tui.screens.comparing_text import (
    FOLD,
    about_comparison,
    about_row,
    comparison_rows,
    nothing_lines,
    visits_words,
)
from examwalk.tui.screens.earlier_visits import Compared
from examwalk.tui.screens.page import Page
from examwalk.tui.screens.reading import help_page
from examwalk.tui.screens.words import lines_words
from examwalk.tui.text import literal, phrase
from examwalk.tui.widgets.key_line import KeyLine
from examwalk.tui.widgets.lines import Line
from examwalk.tui.widgets.row_list import Divider, Reader, RowList, Window

if TYPE_CHECKING:
    from examwalk.tui.app import ExamwalkApp

_WITH_ROWS = {"row", "fold", "read-on", "reading"}
"""Actions that need something to act on."""


class ComparingPage(Page[None]):
    """Rows of what changed above, or beside, what is known of the row at the pointer."""

    NAME = "compare"
    BINDINGS: ClassVar = bindings_of(NAME)
    CSS_PATH: ClassVar = "comparing.tcss"

    def __init__(self, patient: str, read: Callable[[], Compared]) -> None:
        """Show the comparison that ``read`` makes; it is called beside the screen."""
        super().__init__()
        self._patient = patient
        self._compare = read
        self._compared: Compared | None = None
        self._unfolded: set[str] = set()

    def compose_page(self) -> ComposeResult:
        """Lay out the page."""
        yield Static(id="compared")
        yield Static(id="disclaimer")
        yield Reader("nothing")
        with Container(id="comparing"):
            with Vertical(id="walked"):
                yield RowList("rows")
                yield Divider("below-rows")
            with Vertical(id="told"):
                yield Reader("about-row")
                yield Divider("below-about")
        yield KeyLine(self.key_line())

    def on_mount(self) -> None:
        """Read the visits beside the screen, which stays usable."""
        self.query_one("#comparing").display = False
        self._show_title("")
        reading = phrase((say("Reading the visits …"), "$dim"))
        self.query_one("#nothing", Reader).show([Line(reading)])
        self._read()

    @work(thread=True, exclusive=True)
    def _read(self) -> None:
        compared = self._compare()
        self.app.call_from_thread(self._has_read, compared)

    def _has_read(self, compared: Compared) -> None:
        if not self.is_attached:
            return
        self._compared = compared
        comparison = compared.comparison
        nothing = self.query_one("#nothing", Reader)
        self.query_one("#comparing").display = comparison is not None
        nothing.display = comparison is None
        if comparison is None:
            nothing.show(nothing_lines(compared, self._patient))
        else:
            disclaimer = comparison.visits[-1].protocol.identity.disclaimer
            self.query_one("#disclaimer", Static).update(literal(disclaimer))
            self._show_title(visits_words(compared))
        self.query_one(KeyLine).show(self.key_line())
        self._show_rows()

    def _show_title(self, visits: str) -> None:
        title = phrase(
            (self._patient, "bold"), f"  {say(SCREEN_TITLES[self.NAME])}", (f"  {visits}", "$dim")
        )
        self.query_one("#compared", Static).update(title)

    def key_line(self) -> Sequence[Action]:  # type: ignore[override]
        """Return the actions for the line of keys; without rows none that acts on them."""
        has_rows = self._compared is not None and self._compared.comparison is not None
        line = super().key_line()
        return tuple(one for one in line if has_rows or one.id not in _WITH_ROWS)

    @property
    def _rows(self) -> RowList:
        return self.query_one("#rows", RowList)

    def _show_rows(self) -> None:
        if self._compared is not None and self._compared.comparison is not None:
            self._rows.show(comparison_rows(self._compared, self._unfolded))
            self._show_about()

    def _show_about(self) -> None:
        if self._compared is None:
            return
        pointer = self._rows.pointer
        in_braille = cast("ExamwalkApp", self.app).shows_braille
        lines = about_row(self._compared, pointer, in_braille=in_braille)
        general = about_comparison(self._compared)
        shown = [*lines, Line(), *general] if lines else general
        self.query_one("#about-row", Reader).show(shown)

    def refresh_visit(self) -> None:
        """What is compared was read when the page was opened."""

    @on(RowList.Pointed)
    def _pointed(self, event: RowList.Pointed) -> None:
        event.stop()
        self._show_about()
        if event.chosen:
            self.action_fold()

    @on(Window.Moved)
    def _moved(self, event: Window.Moved) -> None:
        event.stop()
        rows, reader = self._rows, self.query_one("#about-row", Reader)
        below = lines_words(rows.lines_below) if rows.lines_below else ""
        self.query_one("#below-rows", Divider).show("", below)
        more = ""
        if reader.lines_below:
            more = say("Space: {lines}", lines=lines_words(reader.lines_below))
        elif reader.lines_above:
            more = say("Space: from the beginning")
        self.query_one("#below-about", Divider).show("", more)

    def action_row(self, key: str) -> None:
        """Move the pointer through the rows."""
        self._rows.move_by_key(key)

    def action_fold(self) -> None:
        """Show the rows under the heading at the pointer, or put them away."""
        match self._rows.pointer.key:
            case (str(kind), str(fold)) if kind == FOLD:
                self._unfolded ^= {fold}
                self._show_rows()

    def action_read_on(self) -> None:
        """Scroll what is known of the row; after its end begin again."""
        reader = self.query_one("#about-row", Reader)
        if reader.lines_below:
            reader.scroll_page(1)
        else:
            reader.scroll_to(0)

    def action_reading(self) -> None:
        """Give what is known of the row the whole page, or its place again."""
        self.query_one("#comparing").toggle_class("-reading")

    def action_back(self) -> None:
        """Go back to the screen beneath."""
        self.dismiss(None)

    def action_help(self) -> None:
        """Show the keys of this screen."""
        self.app.push_screen(help_page(self.NAME))
