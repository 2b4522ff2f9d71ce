"""The sheet that goes to any test by part of its name."""

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.content import Content
from textual.widgets import Input, Static

from examwalk.language import say
from examwalk.session.model import Place
from examwalk.session.walking import is_settled
from examwalk.tui.keys import bindings_of
from examwalk.tui.open_visit import OpenVisit
from examwalk.tui.screens.page import Sheet
from examwalk.tui.text import literal, phrase
from examwalk.tui.widgets.key_line import KeyLine
from examwalk.tui.widgets.line_input import LineInput
from examwalk.tui.widgets.lines import Pointer, Row
from examwalk.tui.widgets.row_list import RowList

ALL_DONE, ONE_SIDE_DONE = "●", "◐"


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
        self._listed_for: str | None = None

    def compose_page(self) -> ComposeResult:
        """Lay out the field, the list and the keys."""
        signs = f"{ALL_DONE} {say('answered')}  {ONE_SIDE_DONE} {say('one side answered')}"
        yield Static(
            phrase((say("Go to a test"), "bold"), "   ", (signs, "$dim")), classes="sheet-title"
        )
        yield LineInput(placeholder=say("part of its name"), compact=True)
        yield RowList("tests")
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

    @on(RowList.Pointed)
    def _clicked(self, event: RowList.Pointed) -> None:
        if event.chosen:
            self.action_go()

    def action_move(self, key: str) -> None:
        """Move the pointer."""
        self._narrow()
        self.query_one(RowList).move_by_key(key)

    def action_go(self) -> None:
        """Return the first open place of the test at the pointer, else its first place."""
        self._narrow()
        test = self.query_one(RowList).pointer.key
        places = [place for place in self._visit.case.places if place.test == test]
        if not places:
            return
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
        found.sort(key=lambda test: ranks[test] or 0)
        tests = self.query_one(RowList)
        tests.show([Row(self._line(test), key=test, hang=2) for test in found])
        tests.display = bool(found)
        self.query_one("#none").display = not found
        if found:
            here = self._here.test
            tests.point_at(Pointer(here if here in found and not words else found[0]))

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
        mark = ALL_DONE if done == len(places) else ONE_SIDE_DONE if done else " "
        position = self._visit.protocol.position(test.position).title
        return phrase((f"{mark} ", "$here"), test.title, (f"  {position}", "$dim"))
