"""A page of text to read and scroll: the keys of a screen, or everything about a test."""

from collections.abc import Callable
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from examwalk.language import later, say
from examwalk.protocol.exam_model import Test
from examwalk.protocol.model import Protocol
from examwalk.session.model import Side
from examwalk.tui.keys import EVERYWHERE, SCREEN_TITLES, actions_of, bindings_of
from examwalk.tui.pictures import Pictures
from examwalk.tui.screens.figure_text import figures_of
from examwalk.tui.screens.page import Page
from examwalk.tui.screens.teaching_text import everything_about
from examwalk.tui.text import hanging, literal, phrase
from examwalk.tui.widgets.key_line import KeyLine

LINE_LENGTH = 96
"""Cells; longer lines are hard to read."""

INTRODUCTIONS = {
    "exam": later(
        "Left stands left and right stands right, as seen from behind the patient. Nothing is "
        "filled in beforehand, and every answer is saved at once."
    ),
}
"""What is told above the keys of a screen."""

Write = Callable[[int], list[Content]]
"""Writes a text in lines of a width."""


class ReadingPage(Page[None]):
    """Shows a text that may be longer than the window."""

    NAME = "reading"
    BINDINGS: ClassVar = bindings_of(NAME)

    def __init__(self, title: str, write: Write) -> None:
        super().__init__()
        self._title = title
        self._write = write

    def compose_page(self) -> ComposeResult:
        """Lay out the title, the text and the keys."""
        yield Static(literal(self._title, "bold $here"), classes="reading-title")
        with VerticalScroll(can_focus=False):
            yield Static(id="reading-text")
        yield KeyLine(self.key_line())

    def on_resize(self) -> None:
        """Write the text for the width there is."""
        width = max(1, min(LINE_LENGTH, self.size.width - 6))
        text = Content("\n").join(self._write(width))
        self.query_one("#reading-text", Static).update(text)

    def action_scroll(self, key: str) -> None:
        """Scroll the text."""
        text = self.query_one(VerticalScroll)
        scrolls = {
            "up": text.scroll_up,
            "down": text.scroll_down,
            "pageup": text.scroll_page_up,
            "pagedown": text.scroll_page_down,
            "home": text.scroll_home,
            "end": text.scroll_end,
        }
        scrolls[key](animate=False)

    def action_close(self) -> None:
        """Go back to the screen beneath."""
        self.dismiss(None)


def help_page(screen: str) -> ReadingPage:
    """Return the page that tells what every key of a screen does."""

    def write(width: int) -> list[Content]:
        lines = _keys_lines(screen, width)
        if screen in INTRODUCTIONS:
            lines = [*literal(say(INTRODUCTIONS[screen]) + "\n").wrap(width), *lines]
        everywhere = literal(say(SCREEN_TITLES[EVERYWHERE]), "bold")
        return [*lines, Content(""), everywhere, *_keys_lines(EVERYWHERE, width)]

    return ReadingPage(say("Keys: {screen}", screen=say(SCREEN_TITLES[screen])), write)


def teaching_page(
    protocol: Protocol, test: Test, pictures: Pictures, side: Side | None
) -> ReadingPage:
    """Return the page with everything a protocol says about a test, drawn for a side if any."""

    def write(width: int) -> list[Content]:
        drawn = figures_of(protocol, test, pictures, side, width)
        return everything_about(protocol, test, width, drawn)

    return ReadingPage(test.title, write)


def _keys_lines(screen: str, width: int) -> list[Content]:
    lines: list[Content] = []
    for action in actions_of(screen):
        lines += hanging(
            phrase((f"{action.key_words:<11}", "bold")), literal(say(action.sentence)), width
        )
    return lines
