"""The sheet that goes to any test by part of its name."""

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.content import Content
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from examwalk.language import say
from examwalk.session.model import Place
from examwalk.session.walking import is_settled
from examwalk.tui.keys import bindings_of
from examwalk.tui.open_visit import OpenVisit
from examwalk.tui.screens.page import Sheet
from examwalk.tui.text import literal, phrase
from examwalk.tui.widgets.key_line import KeyLine
from examwalk.tui.widgets.line_input import LineInput


class JumpSheet(Sheet[Place]):
    """Lists the tests that are asked now; typing narrows the list."""

    NAME = "jump"
    BINDINGS: ClassVar = bindings_of(NAME)
    AUTO_FOCUS = "Input"

    def __init__(self, visit: OpenVisit, here: Place) -> None:
        super().__init__()
        self._visit = visit
        self._here = here
        self._tests = tuple(dict.fromkeys(place.test for place in visit.case.places))
        self._found: tuple[str, ...] = ()
        self._listed_for: str | None = None

    def compose_page(self) -> ComposeResult:
        """Lay out the field, the list and the keys."""
        yield Static(literal(say("Go to a test"), "bold"), classes="sheet-title")
        yield LineInput(placeholder=say("part of its name"), compact=True)
        yield OptionList(compact=True)
        yield Static(
            literal(say("No test that is asked now has this in its name."), "$warn"), id="none"
        )
        yield KeyLine(self.key_line())

    def on_mount(self) -> None:
        """List all tests with the present one at the pointer."""
        self._list("")

    @on(Input.Changed)
    def _narrow(self) -> None:
        """List what matches, unless that is listed already."""
        typed = self.query_one(Input).value
        if typed != self._listed_for:
            self._list(typed)

    @on(OptionList.OptionSelected)
    def _clicked(self) -> None:
        self.action_go()

    def action_move(self, key: str) -> None:
        """Move the pointer."""
        self._narrow()
        tests = self.query_one(OptionList)
        if key == "up":
            tests.action_cursor_up()
        else:
            tests.action_cursor_down()

    def action_go(self) -> None:
        """Return the first open place of the test at the pointer, else its first place."""
        self._narrow()
        at = self.query_one(OptionList).highlighted
        if at is None or at >= len(self._found):
            return
        places = [place for place in self._visit.case.places if place.test == self._found[at]]
        session = self._visit.session
        still_open = [place for place in places if not is_settled(session, place)]
        self.dismiss((still_open or places)[0])

    def action_close(self) -> None:
        """Return nothing."""
        self.dismiss(None)

    def _list(self, typed: str) -> None:
        self._listed_for = typed
        words = typed.casefold().split()
        ranks = {test: self._rank(test, words) for test in self._tests}
        found = [test for test, rank in ranks.items() if rank is not None]
        self._found = tuple(sorted(found, key=lambda test: ranks[test] or 0))
        tests = self.query_one(OptionList)
        tests.set_options([Option(self._line(test)) for test in self._found])
        self.query_one("#none").display = not self._found
        if self._found:
            here = self._here.test
            tests.highlighted = self._found.index(here) if here in self._found and not words else 0

    def _rank(self, test_id: str, words: list[str]) -> int | None:
        """Return how well a test fits what was typed, the best first; nothing where it does not.

        The name of a test comes before that of its position: "supin" is the supination test first,
        and then whatever is done supine.
        """
        test = self._visit.protocol.tests_by_id[test_id]
        position = self._visit.protocol.position(test.position).title
        name = f"{test.title} {test.short_title}".casefold()
        if all(f" {word}" in f" {name}" for word in words):
            return 0
        if all(word in name for word in words):
            return 1
        return 2 if all(word in f"{name} {position}".casefold() for word in words) else None

    def _line(self, test_id: str) -> Content:
        test = self._visit.protocol.tests_by_id[test_id]
        places = [place for place in self._visit.case.places if place.test == test_id]
        done = sum(is_settled(self._visit.session, place) for place in places)
        mark = "●" if done == len(places) else "◐" if done else " "
        position = self._visit.protocol.position(test.position).title
        return phrase((f"{mark} ", "$here"), test.title, (f"  {position}", "$dim"))
