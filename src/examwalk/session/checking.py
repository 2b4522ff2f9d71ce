"""A folder of visits looked through: what is damaged, changed, missing, left over or unguarded."""

import os
import re
import stat
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Final

from attrs import frozen

from examwalk.dates import time_words
from examwalk.language import later, say, say_count
from examwalk.problems import UnusableFileError
from examwalk.protocol.reading import read_protocol
from examwalk.reading_files import read_limited
from examwalk.session.folder import Entry, kept_protocol
from examwalk.session.model import ProtocolUsed, Session
from examwalk.session.protocol_used import protocol_for
from examwalk.session.recovering import EarlierCopy, earlier_copies
from examwalk.session.signing import RecordFault, Weight, hashes_of, verify
from examwalk.session.storing import FILE_LIMIT_BYTES, read_session

_CHECKSUM: Final = re.compile(rb'^checksum = "', re.MULTILINE)
_LEFT_OVER: Final = re.compile(r"\.(.+\.toml)\.(?:writing|keeping)")
_SET_ASIDE: Final = re.compile(r"(.+\.toml)\.(damaged|conflict)-\d{8}-\d{6}(?:-\d+)?")
_BY_OTHERS: Final = 0o077

ProtocolFaults = Callable[[Session, Path], tuple[RecordFault, ...]]


@frozen
class VisitCheck:
    """A visit's file and what is not as it should be with it."""

    entry: Entry
    faults: tuple[RecordFault, ...]

    @property
    def is_wrong(self) -> bool:
        """Whether anything counts as wrong, and not merely as odd."""
        return any(fault.weight is Weight.WRONG for fault in self.faults)


def check_visit(entry: Entry, protocol_faults: ProtocolFaults) -> VisitCheck:
    """Check one visit: its file, its signature and amendments, its protocol and its copies.

    Args:
        entry: The visit as it was read.
        protocol_faults: What finds the faults of its protocol; :func:`protocol_check` makes one.
    """
    copies = earlier_copies(entry.path)
    session = entry.session
    if session is None:
        faults = [RecordFault(entry.problem or ""), *(_whole_copy(copy) for copy in copies)]
        return VisitCheck(entry, (*faults, *_others_can_read(entry.path)))
    return VisitCheck(
        entry,
        (
            *_without_checksum(entry.path),
            *verify(session),
            *_lost_records(session, copies),
            *protocol_faults(session, entry.path.parent),
            *(() if session.invented else _others_can_read(entry.path)),
        ),
    )


def protocol_check() -> ProtocolFaults:
    """Return a check of the protocols of visits that looks at each protocol once."""
    known: dict[tuple[ProtocolUsed, Path], tuple[RecordFault, ...]] = {}

    def check(session: Session, folder: Path) -> tuple[RecordFault, ...]:
        key = (session.protocol, folder)
        if key not in known:
            known[key] = tuple(_protocol_faults(session, folder))
        return known[key]

    return check


def left_over(folder: Path) -> tuple[RecordFault, ...]:
    """Return what saves that were interrupted, and files set aside, have left in a folder.

    Raises:
        OSError: The folder cannot be read.
    """
    names = sorted(folder.iterdir()) if folder.is_dir() else []
    left = (_LEFT_OVER.fullmatch(path.name) for path in names)
    aside = (_SET_ASIDE.fullmatch(path.name) for path in names)
    return (
        *(_left_over_words(folder / match[0], match[1]) for match in left if match),
        *(RecordFault(_set_aside_words(match), Weight.ODD) for match in aside if match),
    )


def _set_aside_words(match: re.Match[str]) -> str:
    words = _DAMAGED_ASIDE if match[2] == "damaged" else _CONFLICT_ASIDE
    return say(words, file=match[0], visit=match[1])


_DAMAGED_ASIDE = later(
    "{file} is a damaged file of {visit}, kept when a copy was brought back. Delete it when nothing"
    " in it is wanted any more."
)
_CONFLICT_ASIDE = later(
    "{file} is what a command could not write into {visit}, which another window had changed."
    " Compare the two, then delete it."
)


def _left_over_words(path: Path, visit_name: str) -> RecordFault:
    words = say(
        "{file} was left by a save of {visit} that was interrupted.",
        file=path.name,
        visit=visit_name,
    )
    try:
        left = read_session(path)
    except UnusableFileError:
        return RecordFault(f"{words} {say('It is not whole and can be deleted.')}")
    count = len(left.answers)
    holds = say_count(
        count, "It is whole and holds {count} answer.", "It is whole and holds {count} answers."
    )
    compare = say("Compare it with the visit before it is deleted.")
    return RecordFault(f"{words} {holds} {compare}")


def _whole_copy(copy: EarlierCopy) -> RecordFault:
    return RecordFault(
        say_count(
            len(copy.session.answers),
            "An earlier copy is whole: {file}, written {time}, with {count} answer.",
            "An earlier copy is whole: {file}, written {time}, with {count} answers.",
            file=copy.path.name,
            time=time_words(copy.changed.astimezone()),
        ),
        Weight.ODD,
    )


def _without_checksum(path: Path) -> Iterator[RecordFault]:
    if not _CHECKSUM.search(read_limited(path, FILE_LIMIT_BYTES)):
        words = say("The file has no checksum, so damage to it would not show.")
        yield RecordFault(words, Weight.ODD)


def _lost_records(session: Session, copies: tuple[EarlierCopy, ...]) -> Iterator[RecordFault]:
    """Find copies that hold a signature or amendments which the visit has no more."""
    here = hashes_of(session)
    for copy in copies:
        there = hashes_of(copy.session)
        if here[: len(there)] != there:
            words = say(
                "The earlier copy {file} holds a signature or amendments that are not in the"
                " visit any more.",
                file=copy.path.name,
            )
            yield RecordFault(words)


def _protocol_faults(session: Session, folder: Path) -> Iterator[RecordFault]:
    used = session.protocol
    kept = kept_protocol(folder, used.fingerprint) if used.fingerprint else None
    if kept is not None:
        try:
            if read_protocol(kept).fingerprint != used.fingerprint:
                yield RecordFault(say(_COPY_CHANGED, file=kept.name))
                return
        except UnusableFileError as error:
            yield RecordFault(say(_COPY_UNUSABLE, file=kept.name, fault=error.problems[0].message))
            return
    try:
        _, note = protocol_for(session, folder)
    except UnusableFileError as error:
        yield RecordFault(
            say("Its protocol cannot be read: {fault}", fault=error.problems[0].message)
        )
        return
    if note:
        yield RecordFault(note)
    elif used.fingerprint and kept is None:
        yield RecordFault(say(_NO_COPY), Weight.ODD)


_COPY_CHANGED = later("The copy of its protocol, {file}, was changed after the visit.")
_COPY_UNUSABLE = later("The copy of its protocol, {file}, cannot be read: {fault}")
_NO_COPY = later(
    "No copy of its protocol is kept beside it; the shipped one is still the same today."
)


def _others_can_read(path: Path) -> Iterator[RecordFault]:
    """Find what of a visit other users of the computer can read; Windows guards the folder."""
    if os.name == "nt":
        return
    for one in (path, *path.parent.glob(f"{path.name}.*")):
        if stat.S_IMODE(one.stat().st_mode) & _BY_OTHERS:
            words = say(
                "Other users of this computer may open {file}; make it private: chmod 600.",
                file=one.name,
            )
            yield RecordFault(words)
