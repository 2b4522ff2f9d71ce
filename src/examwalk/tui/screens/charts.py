"""The page with the profile of both feet and the charts that the protocol names."""

from typing import ClassVar

from textual.containers import VerticalScroll
from textual.content import Content

from examwalk.language import say
from examwalk.report.text import picture_lines
from examwalk.tui.keys import bindings_of
from examwalk.tui.screens.reading import ReadingPage
from examwalk.tui.screens.words import Outcome
from examwalk.tui.text import literal

STEP_CELLS = 8


class ChartsPage(ReadingPage):
    """Shows what the printed summary draws in characters; it is scrolled both ways."""

    NAME = "charts"
    BINDINGS: ClassVar = bindings_of(NAME)

    DEFAULT_CSS = """
    ChartsPage VerticalScroll { overflow-x: auto; scrollbar-size-horizontal: 1; }
    ChartsPage #reading-text { width: auto; text-wrap: nowrap; }
    """

    def __init__(self, outcome: Outcome) -> None:
        super().__init__(say("Profile and charts"), self._lines)
        self._outcome = outcome

    def _lines(self, width: int) -> list[Content]:
        outcome = self._outcome
        drawn = list(picture_lines(outcome.protocol, outcome.session, outcome.summary))
        if drawn:
            return [literal(line) for line in drawn[1:]]  # the title has its own space below
        nothing = say("No test of a foot is graded yet, so nothing is drawn.")
        return literal(nothing).wrap(width)

    def action_scroll_across(self, key: str) -> None:
        """Scroll what is wider than the window."""
        text = self.query_one(VerticalScroll)
        text.scroll_relative(x=-STEP_CELLS if key == "left" else STEP_CELLS, animate=False)
