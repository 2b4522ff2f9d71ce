"""An examiner who goes through the adult protocol in a terminal, with the keyboard alone.

She waits for the session file, not for the screen: an answer is on disk before the next key is
handled.
"""

from pathlib import Path

from grown_up import Reply, reply_of
from terminal import Terminal, Terminals, wait_until

from examwalk.protocol.exam_model import Test
from examwalk.protocol.library import DEFAULT_PROTOCOL, find_protocol
from examwalk.protocol.model import Protocol
from examwalk.protocol.shipped import read_shipped
from examwalk.reasoning.case import Case
from examwalk.reasoning.places import places_of
from examwalk.session.model import Answer, Place, Session, Side
from examwalk.session.storing import read_session
from examwalk.session.walking import is_settled

PATIENT = "P-0042"
EXAMINER = "AB"
SEEN_OF_A_TITLE = 40
"""Characters of a title that stand in one line at 80 columns."""


class Examination:
    """One visit, and what has been typed in it."""

    def __init__(self, terminals: Terminals) -> None:
        self.terminals = terminals
        self.protocol = adult()
        self.typed: dict[Place, Answer] = {}
        """Every answer that was typed, in the order of typing."""
        self.terminal: Terminal

    def begin(self, *arguments: str, **environment: str) -> None:
        """Open the app on an empty folder and begin a visit."""
        self.terminal = self.terminals.open(*arguments, **environment)
        self.terminal.wait_for("There is no visit here yet.", "n new visit")
        self.fill_in_the_form()
        wait_until(lambda: self.path and self.stored, lambda: "there is no session file")

    def fill_in_the_form(self) -> None:
        """Go from the start to the first test of a new visit."""
        self.terminal.press("n")
        self.terminal.wait_for("New visit", "Patient's code")
        self.terminal.type(PATIENT)
        self.terminal.wait_for(PATIENT)
        first_field = self.terminal.mode("cursor_y")
        self.terminal.press("Enter")
        wait_until(
            lambda: self.terminal.mode("cursor_y") != first_field,
            lambda: f"the cursor stays in the first field:\n{self.terminal.screen()}",
        )
        self.terminal.type(EXAMINER)
        self.terminal.press("Enter", "Enter")  # the second takes the protocol at the pointer
        self.terminal.wait_for(*self.signs_of(Place("consent", Side.WHOLE)))

    def open_again(self) -> None:
        """Open the app in a new window, and go on with the visit."""
        self.terminal = self.terminals.open()
        self.terminal.wait_for(f"goes on with {PATIENT}", "r go on")
        self.terminal.press("r")

    @property
    def path(self) -> Path | None:
        """The session file; none as long as there is none."""
        return next(self.terminals.sessions.glob("[!.]*.toml"), None)

    @property
    def stored(self) -> Session:
        """The visit as it is on disk now."""
        assert self.path is not None
        return read_session(self.path)

    @property
    def case(self) -> Case:
        """What the findings on disk say under the protocol."""
        return Case(self.protocol, self.stored.answers)

    @property
    def here(self) -> Place:
        """Where the exam is, as the disk says."""
        place = self.stored.here
        assert place is not None
        return place

    def reply_at(self, place: Place) -> Reply:
        """Return what is answered at a place, and with which keys."""
        return reply_of(self.protocol, place)

    def places_of(self, test: str) -> tuple[Place, ...]:
        """Return where a test is answered, left before right."""
        return places_of(self.protocol.tests_by_id[test])

    def signs_of(self, place: Place) -> tuple[str, ...]:
        """Return what the screen shows while the exam is at a place."""
        side = "Whole person" if place.side is Side.WHOLE else place.side.value.capitalize()
        return (self.title(place)[:SEEN_OF_A_TITLE], f"━━ {side} ")

    def title(self, place: Place) -> str:
        """Return the title of the test at a place."""
        return self.protocol.tests_by_id[place.test].title

    def answer_next(self) -> Place:
        """Answer the place under the cursor, wait until that is on disk, and return the place."""
        place = self.here
        reply = self.reply_at(place)
        self.give(reply, place)
        self.typed[place] = reply.answer
        self.wait_for_answer_at(place)
        return place

    def give(self, reply: Reply, place: Place) -> None:
        """Press the keys of a reply, as one who looks at what she types before she accepts it."""
        *draft, last = reply.keys
        if draft:
            self.terminal.wait_for(*self.signs_of(place))
            self.terminal.press(*draft)
            self.terminal.wait_for(reply.draft)
        self.terminal.press(last)

    def wait_for_answer_at(self, place: Place) -> None:
        """Wait until an answer is on disk, with the place that comes after it."""
        seen: tuple[int, int] | None = None

        def is_stored() -> bool:
            nonlocal seen
            assert self.path is not None
            about = self.path.stat()
            stamp = (about.st_ino, about.st_mtime_ns)
            if stamp == seen:
                return False
            seen = stamp
            return is_settled(self.stored, place)

        wait_until(is_stored, lambda: f"{place} is not on disk; shown is\n{self.terminal.screen()}")

    def answer(self, count: int) -> None:
        """Answer so many places, one after the other."""
        for _ in range(count):
            self.answer_next()

    def answer_up_to(self, test: str) -> None:
        """Answer all that comes before a test."""
        while self.here.test != test:
            self.answer_next()

    def leave(self) -> int:
        """Leave the visit and the app, and return its exit status."""
        self.terminal.press("q")
        self.terminal.wait_for("r go on", "q quit")
        self.terminal.press("q")
        return self.terminal.exit_status()


def adult() -> Protocol:
    """Return the shipped protocol for adults."""
    return read_shipped(find_protocol(DEFAULT_PROTOCOL)).protocol


def two_sided_grades(protocol: Protocol) -> list[Test]:
    """Return the tests that are graded on each side."""
    return [
        test
        for test in protocol.tests_in_order
        if test.kind.value == "grade" and test.sides.value == "each"
    ]
