"""An exam on a disk of which one call fails: what was acknowledged is there, and nothing else."""

import contextlib
import errno
import itertools
import os
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

from attrs import field, mutable

from examwalk.protocol.model import Protocol
from examwalk.protocol.reading import LoadedProtocol
from examwalk.reasoning.places import places_of
from examwalk.session.model import Answer, Place, Session, State
from examwalk.session.storing import read_session
from examwalk.tui.open_visit import OpenVisit

CALLS = ("open", "write", "fsync", "close", "link", "replace")
"""What a save asks of the operating system."""
FAULTS = (errno.ENOSPC, errno.EIO, errno.EROFS, errno.EACCES, errno.EDQUOT)
BEGUN = datetime(2026, 11, 25, 9, 12, tzinfo=UTC)


@mutable
class FailingCalls:
    """Calls into the operating system of which the n-th fails, or that one and all after it."""

    nth: int
    fault: int
    for_good: bool
    count: int = 0
    failed: int = 0
    _kept: dict[str, Callable[..., object]] = field(factory=dict)

    @contextlib.contextmanager
    def installed(self) -> Iterator[None]:
        """Put the failing calls in the place of the real ones."""
        for name in CALLS:
            self._kept[name] = getattr(os, name)
            setattr(os, name, self._failing(name))
        try:
            yield
        finally:
            for name, function in self._kept.items():
                setattr(os, name, function)

    def _failing(self, name: str) -> Callable[..., object]:
        function = self._kept[name]

        def called(*arguments: object, **options: object) -> object:
            self.count += 1
            if self.count == self.nth or (self.for_good and self.count > self.nth):
                self.failed += 1
                if name == "close":  # a failing close has closed all the same
                    function(*arguments, **options)
                raise OSError(self.fault, os.strerror(self.fault))
            return function(*arguments, **options)

        return called


def answers_to(protocol: Protocol, count: int) -> list[tuple[Place, Answer]]:
    """Return so many places of a protocol that are graded, each with its first grade."""
    graded = [test for test in protocol.tests_in_order if test.kind.value == "grade"]
    answers = [
        (place, protocol.scales[test.scale].grades[0])
        for test in graded
        for place in places_of(test)
    ]
    return answers[:count]


def examine(folder: Path, loaded: LoadedProtocol, count: int, calls: FailingCalls) -> None:
    """Begin a visit, answer and finish it while one call fails, and look at what is there.

    Half-way the visit is opened anew, as the first save of a sitting does more than the others.

    Raises:
        AssertionError: An acknowledged change is missing, or the file is no state of this visit.
    """
    clock = itertools.count()

    def now() -> datetime:
        return BEGUN + timedelta(seconds=next(clock))

    states: list[Session] = []
    acknowledged = -1

    def note(visit: OpenVisit) -> None:
        nonlocal acknowledged
        states.append(visit.session)
        if visit.unsaved is None:
            acknowledged = len(states) - 1

    with calls.installed():
        visit = OpenVisit.start(folder, loaded, "P-0042", "AB", now, Random(1))
        note(visit)
        for number, (place, answer) in enumerate(answers_to(loaded.protocol, count)):
            if number == count // 2 and visit.unsaved is None:
                visit = OpenVisit.open(visit.path, now)
            visit.answer(place, answer)
            note(visit)
        visit.finish()
        note(visit)
    where = f"call {calls.nth} with {errno.errorcode[calls.fault]}"
    if acknowledged >= 0 or visit.path.exists():
        stored = read_session(visit.path)
        assert stored in states[max(acknowledged, 0) :], f"{where}: an answer is lost"
    assert visit.save(), f"{where}: {visit.unsaved}"
    assert read_session(visit.path).state is State.FINISHED
    left = {path.name for path in folder.iterdir() if path.name.endswith((".writing", ".keeping"))}
    assert not left, f"{where}: {left} is left behind"


def every_fault(
    folder: Path, loaded: LoadedProtocol, *, answers: int, faults: tuple[int, ...], for_good: bool
) -> int:
    """Let each call of an exam fail once in turn, with each fault, and return how many failed."""
    injected = 0
    for fault in faults:
        nth = 0
        while True:
            nth += 1
            calls = FailingCalls(nth, fault, for_good)
            examine(folder / f"{fault}-{nth}-{for_good}", loaded, answers, calls)
            if not calls.failed:
                break
            injected += calls.failed
    return injected
