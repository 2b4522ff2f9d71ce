"""How long it takes until something is on the screen, beside a bare app of Textual."""

import tempfile
from collections.abc import Iterator
from itertools import islice
from pathlib import Path

from examwalk.protocol.entry import keys_of
from examwalk.protocol.model import Protocol
from examwalk.protocol.wording import choices_of
from examwalk.reasoning.case import Case
from examwalk.session.model import Place, Session
from examwalk.session.storing import read_session, write_session
from examwalk.session.walking import left_over

from .a_visit import adult, full_visit, visit_without_grades
from .bare_app import READY, pressed_words
from .figures import Figure
from .pseudo_terminal import PseudoTerminal, on_a_terminal
from .timing import in_turns

BARE_APP = [str(Path(__file__).with_name("bare_app.py"))]
FIRST_PAINT_BUDGET = 1.6
KEY_BUDGET = 8
SLOW_KEY_BUDGET = 16
BETWEEN_KEYS_SECONDS = 0.03
"""Still faster than anybody types, and long enough for what is done after painting."""


def first_paint(rounds: int) -> list[Figure]:
    """From the start of the process to the first words of its screen."""
    protocol = adult()
    with tempfile.TemporaryDirectory() as folder:
        visit = Path(folder) / "visit.toml"
        write_session(visit, full_visit())
        here = read_session(visit).here
        assert here is not None
        title = protocol.tests_by_id[here.test].title
        starting, bare = in_turns(
            rounds,
            lambda: _paint(["-m", "examwalk", "--sessions", folder], "goes on with"),
            lambda: _paint(BARE_APP, READY),
        )
        opening, bare_too = in_turns(
            rounds,
            lambda: _paint(["-m", "examwalk", "open", str(visit)], title),
            lambda: _paint(BARE_APP, READY),
        )
    anchor = ("bare app to first paint", [*bare, *bare_too], FIRST_PAINT_BUDGET)
    return [
        Figure("start to the painted list of visits", starting, *anchor),
        Figure("start to the painted exam", opening, *anchor),
    ]


def _paint(arguments: list[str], text: str) -> None:
    with on_a_terminal(arguments) as terminal:
        terminal.wait_for(text)


def grade_keys(rounds: int) -> list[Figure]:
    """From the key of a grade to the next test painted, with the visit saved in between."""
    taken: list[float] = []
    bare: list[float] = []
    while len(taken) < rounds:
        taken += _walk_through_grades(rounds - len(taken))
        bare += _press_in_bare_app(len(taken) - len(bare))
    anchor = ("bare key to paint", bare)
    return [
        Figure("grade key to next test painted, median", taken, *anchor, KEY_BUDGET),
        Figure("grade key to next test painted, p95", taken, *anchor, SLOW_KEY_BUDGET, 0.95),
    ]


def _walk_through_grades(most: int) -> list[float]:
    protocol = adult()
    with tempfile.TemporaryDirectory() as folder:
        visit = Path(folder) / "visit.toml"
        write_session(visit, visit_without_grades(protocol))
        with on_a_terminal(["-m", "examwalk", "open", str(visit)]) as terminal:
            return list(islice(_grade_all(terminal, protocol, visit), most))


def _grade_all(terminal: PseudoTerminal, protocol: Protocol, visit: Path) -> Iterator[float]:
    """Give the middle grade wherever one is missing, and yield how long each key takes."""
    session = read_session(visit)
    place = session.here or _first_open(protocol, session)
    terminal.wait_for(protocol.tests_by_id[place.test].title)
    while True:
        terminal.rest(BETWEEN_KEYS_SECONDS)
        test = protocol.tests_by_id[place.test]
        keys = keys_of(choices_of(protocol, test))
        pressed = terminal.press(keys[len(keys) // 2])
        # The echo stands below the answers, and is made after the answer has been saved.
        painted = terminal.wait_for(f"Recorded: {test.name}, {place.side.value}:")
        session = read_session(visit)
        assert place in session.answers, f"{place} is painted and not saved"
        yield painted - pressed
        assert session.here is not None
        if session.here == place or len(left_over(_places(protocol, session), session)) < 2:
            return  # the last key leads to the review
        place = session.here


def _places(protocol: Protocol, session: Session) -> tuple[Place, ...]:
    return Case(protocol, session.answers).places


def _first_open(protocol: Protocol, session: Session) -> Place:
    return left_over(_places(protocol, session), session)[0]


def _press_in_bare_app(count: int) -> list[float]:
    taken = []
    with on_a_terminal(BARE_APP) as terminal:
        terminal.wait_for(READY)
        for number in range(1, count + 1):
            terminal.rest(BETWEEN_KEYS_SECONDS)
            pressed = terminal.press("3")
            taken.append(terminal.wait_for(pressed_words(number)) - pressed)
    return taken
