"""The visit at hand and the same patient's earlier ones, read from their folder and compared."""

from collections.abc import Iterable, Iterator
from pathlib import Path

from attrs import frozen

from examwalk.language import chosen_language, say, say_count
from examwalk.problems import UnusableFileError
from examwalk.protocol.model import Protocol
from examwalk.reasoning.comparing import Comparison, Visit, compare
from examwalk.reasoning.fitting import misfits
from examwalk.session.folder import Entry, list_sessions
from examwalk.session.model import ProtocolUsed, Session
from examwalk.session.protocol_used import protocol_for


@frozen
class Compared:
    """What came of comparing a visit with the earlier ones of its patient."""

    comparison: Comparison | None
    """Nothing where there is no earlier visit that can be read."""
    notes: tuple[str, ...] = ()
    """Sentences about what could not be read, or is read in another way."""


def compared_with_earlier(
    folder: Path, session: Session, protocol: Protocol | None = None
) -> Compared:
    """Compare a visit with all earlier visits of its patient in a folder.

    Args:
        folder: where the visits are.
        session: the visit at hand.
        protocol: what it is read with; without one, that which it was examined under.
    """
    try:
        entries = list_sessions(folder)
    except UnusableFileError as error:
        return Compared(None, (str(error),))
    reading = _Reading(folder)
    earlier = [*reading.visits(earlier_of(entries, session))]
    this = [Visit(session, protocol)] if protocol else [*reading.visits([session])]
    damaged = sum(entry.session is None for entry in entries)
    if damaged:
        reading.notes.append(
            say_count(
                damaged,
                "{count} file in the folder cannot be read; it may hold a visit of this patient.",
                "{count} files in the folder cannot be read; they may hold visits of this patient.",
            )
        )
    comparison = compare([*earlier, *this]) if earlier and this else None
    return Compared(comparison, tuple(reading.notes))


def earlier_of(entries: Iterable[Entry], session: Session) -> list[Session]:
    """Return the visits of the same patient that began before one, the first one first."""
    found = [
        entry.session
        for entry in entries
        if entry.session is not None
        and entry.session.patient == session.patient
        and _began(entry.session) < _began(session)
    ]
    return sorted(found, key=_began)


def _began(session: Session) -> tuple[float, str]:
    return session.started.timestamp(), session.id


class _Reading:
    """Reads the protocols of visits, each once, and gathers what is to be said of it."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._protocols: dict[ProtocolUsed, Protocol | None] = {}
        self.notes: list[str] = []

    def visits(self, sessions: Iterable[Session]) -> Iterator[Visit]:
        for session in sessions:
            if session.protocol not in self._protocols:
                self._protocols[session.protocol] = self._protocol(session)
            protocol = self._protocols[session.protocol]
            if protocol is None:
                continue
            unfit = len(misfits(protocol, session))
            if unfit:
                self.notes.append(
                    say_count(
                        unfit,
                        "Visit {id}: {count} answer does not fit its protocol and is left out.",
                        "Visit {id}: {count} answers do not fit its protocol and are left out.",
                        id=session.id,
                    )
                )
            yield Visit(session, protocol)

    def _protocol(self, session: Session) -> Protocol | None:
        try:
            loaded, note = protocol_for(session, self._folder, chosen_language())
        except UnusableFileError as error:
            self.notes.append(
                say("Visit {id} is left out: {fault}", id=session.id, fault=error.problems[0])
            )
            return None
        if note:
            self.notes.append(note)
        return loaded.protocol
