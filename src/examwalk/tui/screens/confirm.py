"""A sheet that asks yes or no, and one that tells something."""

from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from examwalk.tui.keys import bindings_of
from examwalk.tui.screens.page import Sheet
from examwalk.tui.text import literal
from examwalk.tui.widgets.key_line import KeyLine


class ConfirmSheet(Sheet[bool]):
    """Asks a question and returns whether the answer was yes."""

    NAME = "confirm"
    BINDINGS: ClassVar = bindings_of(NAME)

    def __init__(self, question: str) -> None:
        super().__init__()
        self._question = question

    def compose_page(self) -> ComposeResult:
        """Lay out the question and its keys."""
        yield Static(literal(self._question), classes="sheet-text")
        yield KeyLine(self.key_line())

    def action_yes(self) -> None:
        """Answer yes."""
        self.dismiss(True)

    def action_no(self) -> None:
        """Answer no."""
        self.dismiss(False)


class TellSheet(Sheet[None]):
    """Tells something that must be read before going on."""

    NAME = "tell"
    BINDINGS: ClassVar = bindings_of(NAME)

    def __init__(self, sentence: str) -> None:
        super().__init__()
        self._sentence = sentence

    def compose_page(self) -> ComposeResult:
        """Lay out the sentence and its key."""
        yield Static(literal(self._sentence), classes="sheet-text")
        yield KeyLine(self.key_line())

    def action_read(self) -> None:
        """Close the sheet."""
        self.dismiss(None)
