"""The sheet for a note, and for any other line of free text."""

from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Input, Static

from examwalk.text import clean_line
from examwalk.tui.keys import bindings_of
from examwalk.tui.screens.page import Sheet
from examwalk.tui.text import phrase
from examwalk.tui.widgets.key_line import KeyLine
from examwalk.tui.widgets.line_input import LineInput

LONGEST = 2000
"""Characters of a note."""


class NoteSheet(Sheet[str]):
    """Asks for a line of text; returns it cleaned, or nothing when it was closed."""

    NAME = "note"
    BINDINGS: ClassVar = bindings_of(NAME)
    AUTO_FOCUS = "Input"

    def __init__(self, title: str, text: str = "", about: str = "") -> None:
        super().__init__()
        self._title = title
        self._text = clean_line(text)
        self._about = about

    def compose_page(self) -> ComposeResult:
        """Lay out the title, the field and the keys."""
        about = f"   {self._about}" if self._about else ""
        yield Static(phrase((self._title, "bold"), (about, "$dim")), classes="sheet-title")
        yield LineInput(self._text, max_length=LONGEST, select_on_focus=False, compact=True)
        yield KeyLine(self.key_line())

    def action_keep(self) -> None:
        """Return what is written."""
        self.dismiss(clean_line(self.query_one(Input).value))

    def action_close(self) -> None:
        """Return nothing."""
        self.dismiss(None)
