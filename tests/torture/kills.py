"""The app in a real terminal, killed at random moments in the middle of an exam."""

import signal
import time
from pathlib import Path
from random import Random

from attrs import frozen
from examination import Examination
from terminal import terminals_in

from examwalk.reasoning.case import Case
from examwalk.session.model import Answer, Finding, Place
from examwalk.session.walking import left_over

LONGEST_BURST = 8
LONGEST_WAIT_SECONDS = 0.4
ENOUGH = 60
"""Answers after which the next visit is begun, so that every part of an exam comes in turn."""


@frozen
class Kills:
    """What was killed, and what was there afterwards."""

    kills: int
    typed: int
    """Answers that were typed, accepted or not."""
    kept: int
    """Answers that were on disk when all was over; none of them was lost on the way."""


def kill_at_random(folder: Path, kills: int, random: Random) -> Kills:
    """Kill the app so many times while it is typed into, and look at the disk each time.

    Raises:
        AssertionError: An answer that the screen had gone past is missing, or there is one that
            nobody gave.
    """
    done = typed = kept = visit = 0
    while done < kills:
        visit += 1
        with terminals_in(folder / str(visit)) as terminals:
            examination = Examination(terminals)
            examination.begin()
            while done < kills and len(examination.typed) < ENOUGH:
                typed += _one_kill(examination, random)
                done += 1
            kept += len(examination.typed)
    return Kills(done, typed, kept)


def _one_kill(examination: Examination, random: Random) -> int:
    """Type a burst, kill the app, compare the disk with what was typed, and open it again."""
    terminal = examination.terminal
    places = _next_places(examination, random.randint(1, LONGEST_BURST))
    replies = [examination.reply_at(place) for place in places]
    terminal.wait_for(*examination.signs_of(places[0]))
    terminal.press(*(key for reply in replies for key in reply.keys))
    time.sleep(random.uniform(0, LONGEST_WAIT_SECONDS))
    screen = terminal.screen()
    terminal.signal(signal.SIGKILL)
    assert terminal.exit_status() == 128 + signal.SIGKILL

    acknowledged = max(
        (
            number
            for number, place in enumerate(places)
            if all(sign in screen for sign in examination.signs_of(place))
        ),
        default=0,
    )
    given = [(place, reply.answer) for place, reply in zip(places, replies, strict=True)]
    stored = dict(examination.stored.answers)
    allowed = _states(examination.typed, given, acknowledged)
    assert stored in allowed, f"{stored} is none of the states since {acknowledged} of {given}"
    examination.typed = stored
    examination.open_again()
    return len(given)


def _next_places(examination: Examination, count: int) -> list[Place]:
    """Return the places the exam leads to, one after the other, if each is answered."""
    visit, places = examination.stored, list[Place]()
    while len(places) < count:
        asked = Case(examination.protocol, visit.answers).places
        place = next(iter(left_over(asked, visit)), None)
        if place is None:
            break
        places.append(place)
        reply = examination.reply_at(place)
        visit = visit.with_finding(Finding(place, visit.started, answer=reply.answer))
    return places


def _states(
    before: dict[Place, Answer], given: list[tuple[Place, Answer]], acknowledged: int
) -> list[dict[Place, Answer]]:
    """Return what may be on disk: all that is acknowledged, and any of the next, in order."""
    return [before | dict(given[:count]) for count in range(acknowledged, len(given) + 1)]
