"""The texts of a visit's head and entries, each put together and read back only once.

A visit is saved after every answer, and all of it but one entry and the place that was reached are
the objects they were. Equal ones are not enough: 1 equals 1.0, and a time that of another zone.
"""

from collections.abc import Callable, Hashable, Mapping, Sequence
from operator import attrgetter, is_
from typing import Any, Final

from attrs import define, field, frozen

from examwalk.language import say
from examwalk.session.model import Session
from examwalk.session.reading import ENTRIES_LIMIT, READERS, session_in
from examwalk.session.tables import Problems, Table
from examwalk.session.writing import Entry, blocks, head_of, is_written, lines, written_entry

_SUBJECTS: Final[Mapping[str, Callable[[Any], Hashable]]] = {
    "finding": attrgetter("place"),
    "decision": attrgetter("feature", "side"),
    "reply": attrgetter("crosscheck", "side"),
    "amendment": id,
}
"""What the entries of each array are about; of each subject there is one entry at most."""

_PARTS_OF_HEAD: Final = attrgetter(
    *("id", "started", "examiner", "patient", "protocol", "state", "finished", "invented"),
    *("about", "here", "signature"),
)


@frozen
class _Head:
    parts: tuple[object, ...] = ()
    texts: tuple[str, ...] = ()


@frozen
class _Array:
    entries: Sequence[Entry] = ()
    texts: Sequence[str] = ()
    subjects: frozenset[Hashable] = field(factory=frozenset)


@define
class _Last:
    """What was written last."""

    head: _Head = field(factory=_Head)
    arrays: dict[str, _Array] = field(factory=lambda: dict.fromkeys(_SUBJECTS, _Array()))


_LAST: Final = _Last()
_WRITTEN_ENTRIES: Final[dict[int, tuple[Entry, str]]] = {}
"""Entries by their identity, which is theirs alone as long as they are held here."""
_MOST_ENTRIES: Final = 4096


def head_texts(session: Session) -> tuple[str, ...]:
    """Write the head of a visit: its plain keys, then a text for each table.

    Raises:
        ValueError: It could not be read back; the message is a sentence.
    """
    parts = _PARTS_OF_HEAD(session)
    last = _LAST.head
    if not last.parts or not all(map(is_, last.parts, parts)):
        tables = head_of(session)
        _refuse_unreadable(tables, session_in)
        last = _LAST.head = _Head(parts, tuple(blocks(tables)))
    return last.texts


def entry_texts(name: str, entries: Sequence[Entry]) -> Sequence[str]:
    """Write the entries of an array; those that say nothing become an empty text.

    Raises:
        ValueError: They could not be read back; the message is a sentence.
    """
    last, subject_of = _LAST.arrays[name], _SUBJECTS[name]
    same = [*map(is_, last.entries, entries)]
    kept = same.index(False) if False in same else len(same)
    subjects = last.subjects.difference(map(subject_of, last.entries[kept:]))
    subjects = subjects.union(map(subject_of, entries[kept:]))
    if len(subjects) < len(entries) or len(entries) > ENTRIES_LIMIT:
        _refuse_crowd(name, entries)
    texts = [*last.texts[:kept], *(_entry_text(name, entry) for entry in entries[kept:])]
    _LAST.arrays[name] = _Array(entries, texts, subjects)
    return texts


def _entry_text(name: str, entry: Entry) -> str:
    known = _WRITTEN_ENTRIES.get(id(entry))
    if known is not None and known[0] is entry:
        return known[1]
    text = ""
    if is_written(entry):
        table = written_entry(entry)
        _refuse_unreadable({name: [table]}, READERS[name])
        text = f"[[{name}]]\n{lines(table)}"
    if len(_WRITTEN_ENTRIES) >= _MOST_ENTRIES:
        _WRITTEN_ENTRIES.clear()
    _WRITTEN_ENTRIES[id(entry)] = (entry, text)
    return text


def _refuse_crowd(name: str, entries: Sequence[Entry]) -> None:
    """Refuse more than can be read back, and two of what can only be there once."""
    tables = [written_entry(entry) for entry in entries if is_written(entry)]
    _refuse_unreadable({name: tables}, READERS[name])


def _refuse_unreadable(tables: Mapping[str, object], read: Callable[[Table], object]) -> None:
    problems = Problems(None)
    read(Table(tables, "", problems))
    if problems:
        fault = problems.all()[0]
        raise ValueError(say("the visit cannot be kept as it is: {fault}", fault=fault))
