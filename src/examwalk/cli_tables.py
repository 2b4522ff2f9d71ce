"""Many visits made into one table, on every core, whatever their number."""

from __future__ import annotations

import csv
import os
import shutil
import sys
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from functools import partial
from io import TextIOWrapper
from itertools import islice
from pathlib import Path
from tempfile import SpooledTemporaryFile
from typing import IO, TYPE_CHECKING, BinaryIO, Final, TypeVar, cast

from attrs import define, evolve, field, frozen

from examwalk.catalogues import choose_language
from examwalk.language import chosen_language, say, say_count
from examwalk.problems import Problem, UnusableFileError
from examwalk.report.anonymous import anonymous as without_names
from examwalk.report.csv_text import line
from examwalk.report.table_dictionary import dictionary
from examwalk.report.tables import NOT_IN_PROTOCOL, TIDY_COLUMNS, TableWriter
from examwalk.session.folder import session_files
from examwalk.session.protocol_used import protocol_for
from examwalk.session.quick_reading import read_session_quickly

if TYPE_CHECKING:
    from examwalk.protocol.model import Protocol
    from examwalk.session.model import ProtocolUsed, Session

BYTE_ORDER_MARK: Final = b"\xef\xbb\xbf"
FILES_AT_ONCE: Final = 25
"""How many visits one process makes into rows before it hands them over."""
STEPS: Final = 20
"""How many times progress is told."""
_IN_MEMORY_BYTES: Final = 4_000_000

Columns = tuple[str, ...]
Numbered = tuple[int, Path]
"""A visit's file, and its number among those of a table."""
Result = TypeVar("Result")


@frozen
class Rows:
    """What some files gave: rows by their columns, and sentences about the rest."""

    by_columns: tuple[tuple[Columns, str], ...]
    damaged: tuple[str, ...]
    """Why a file is left out."""
    notes: tuple[str, ...]
    count: int
    """How many files were looked at."""


@define
class Told:
    """What was said on stderr so far."""

    total: int
    anonymous: bool
    """No file is named: its name may hold a code."""
    done: int = 0
    left_out: int = 0
    _notes: set[str] = field(factory=set)

    def tell(self, rows: Rows) -> None:
        """Say what is wrong with files, each note once, and how far the work has come."""
        damaged = () if self.anonymous else rows.damaged
        for note in (*damaged, *(one for one in rows.notes if one not in self._notes)):
            print(f"examwalk: {note}", file=sys.stderr)
        self._notes.update(rows.notes)
        self.left_out += len(rows.damaged)
        before, self.done = self.done, self.done + rows.count
        many = self.total > 4 * FILES_AT_ONCE
        if many and before * STEPS // self.total < self.done * STEPS // self.total:
            told = say("{done} of {count} visits", done=self.done, count=self.total)
            on_screen = sys.stderr.isatty() and self.done < self.total
            print(f"examwalk: {told}", end="\r" if on_screen else "\n", file=sys.stderr)

    def conclude(self) -> bool:
        """Say how many files were left out; whether all are in the table."""
        if self.left_out:
            message = say_count(
                self.left_out,
                "one file is not in the table.",
                "{count} files are not in the table.",
            )
            if self.anonymous:
                message += " " + say("Without --anonymous they are named.")
            print(f"examwalk: {message}", file=sys.stderr)
        return not self.left_out


def files_of(path: Path) -> tuple[Path, ...]:
    """Return the visits of a folder, or the one file.

    Raises:
        UnusableFileError: there is nothing of that name, or no visit in the folder.
    """
    if not path.is_dir():
        return (path,)
    files = session_files(path)
    if not files:
        raise UnusableFileError([Problem(say("There are no visits in this folder."), file=path)])
    return files


def write_tidy(
    paths: Sequence[Path], stream: BinaryIO, *, mark: bool, anonymous: bool = False
) -> bool:
    """Write one finding a row as each visit is read; whether every visit is in it."""
    told = Told(len(paths), anonymous)
    stream.write((BYTE_ORDER_MARK if mark else b"") + line(TIDY_COLUMNS).encode())
    for rows in _worked_off(partial(tidy_rows, anonymous=anonymous), list(enumerate(paths, 1))):
        for _, text in rows.by_columns:
            stream.write(text.encode())
        told.tell(rows)
    return told.conclude()


def write_wide(
    paths: Sequence[Path], stream: BinaryIO, *, mark: bool, anonymous: bool = False
) -> bool:
    """Write one visit a row, those of one protocol together; whether every visit is in it."""
    told = Told(len(paths), anonymous)
    kept: dict[Columns, IO[bytes]] = {}
    for rows in _worked_off(partial(wide_rows, anonymous=anonymous), list(enumerate(paths, 1))):
        for columns, text in rows.by_columns:
            if columns not in kept:
                kept[columns] = SpooledTemporaryFile(_IN_MEMORY_BYTES)  # noqa: SIM115 — closed below
            kept[columns].write(text.encode())
        told.tell(rows)
    columns = tuple(dict.fromkeys(name for names in kept for name in names))
    stream.write((BYTE_ORDER_MARK if mark else b"") + line(columns).encode())
    for names, rows_of_names in kept.items():
        with rows_of_names:
            rows_of_names.seek(0)
            if names == columns:
                shutil.copyfileobj(rows_of_names, stream)
            else:
                _write_among(columns, names, rows_of_names, stream)
    return told.conclude()


def write_dictionary(
    paths: Sequence[Path], stream: BinaryIO, *, mark: bool, anonymous: bool = False
) -> bool:
    """Write what each column of both tables means; whether every visit could be looked at."""
    told = Told(len(paths), anonymous)
    found: list[TableWriter] = []

    def keep(_: Session, writer: TableWriter) -> None:
        if writer not in found:
            found.append(writer)

    for numbered in enumerate(paths, 1):
        damaged, notes = _each((numbered,), keep, anonymous=False)
        told.tell(Rows((), damaged, notes, 1))
    text = dictionary([writer.protocol for writer in found], anonymous=anonymous)
    stream.write((BYTE_ORDER_MARK if mark else b"") + text.encode())
    return told.conclude()


def _write_among(columns: Columns, names: Columns, rows: IO[bytes], stream: BinaryIO) -> None:
    """Write rows that lack some of the columns, which the word for that fills."""
    reader = csv.reader(TextIOWrapper(cast("BinaryIO", rows), encoding="utf-8", newline=""))
    text = TextIOWrapper(stream, encoding="utf-8", newline="", write_through=True)
    writer = csv.writer(text)
    for row in reader:
        cells = dict(zip(names, row, strict=True))
        writer.writerow([cells.get(name, NOT_IN_PROTOCOL) for name in columns])
    text.detach()


def tidy_rows(visits: Sequence[Numbered], *, anonymous: bool) -> Rows:
    """Read visits and write a row for each of their findings; what one process does at once."""
    texts: list[str] = []

    def keep(session: Session, writer: TableWriter) -> None:
        texts.append(writer.tidy(session))

    damaged, notes = _each(visits, keep, anonymous=anonymous)
    return Rows(((TIDY_COLUMNS, "".join(texts)),), damaged, notes, len(visits))


def wide_rows(visits: Sequence[Numbered], *, anonymous: bool) -> Rows:
    """Read visits and write one row for each."""
    texts: dict[Columns, str] = {}

    def keep(session: Session, writer: TableWriter) -> None:
        columns, text = writer.wide(session)
        texts[columns] = texts.get(columns, "") + text

    damaged, notes = _each(visits, keep, anonymous=anonymous)
    return Rows(tuple(texts.items()), damaged, notes, len(visits))


def _each(
    visits: Iterable[Numbered], use: Callable[[Session, TableWriter], object], *, anonymous: bool
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Use each visit that can be read; return why others cannot be, and notes."""
    damaged, notes = [], []
    for number, path in visits:
        try:
            session = read_session_quickly(path)
            writer, note = _writer_for(session, path.parent)
        except UnusableFileError as error:
            damaged.append(_why(path, error))
            continue
        if note:
            notes.append(note)
        if anonymous:
            protocol, session = without_names(writer.protocol, session)
            session = evolve(session, id=str(number))
            writer = _anonymous_writer(writer, protocol)
        use(session, writer)
    return tuple(damaged), tuple(notes)


def _why(path: Path, error: UnusableFileError) -> str:
    first = error.problems[0]
    return str(first) if first.file is not None else f"{path}: {first}"


_known_writers: dict[tuple[ProtocolUsed, Path, str], tuple[TableWriter, str | None]] = {}
"""Of this process: a protocol is read once, not for each of a thousand visits."""


def _writer_for(session: Session, folder: Path) -> tuple[TableWriter, str | None]:
    key = (session.protocol, folder, chosen_language())
    if key not in _known_writers:
        loaded, note = protocol_for(session, folder, chosen_language())
        _known_writers[key] = (TableWriter(loaded.protocol), note)
    return _known_writers[key]


_anonymous_writers: dict[tuple[int, bool], TableWriter] = {}
"""By writers of ``_known_writers`` and whether an age is one of those not told."""


def _anonymous_writer(writer: TableWriter, protocol: Protocol) -> TableWriter:
    key = (id(writer), protocol is writer.protocol)
    if key not in _anonymous_writers:
        _anonymous_writers[key] = TableWriter(protocol, anonymous=True)
    return _anonymous_writers[key]


def _worked_off(
    work: Callable[[Sequence[Numbered]], Result], visits: Sequence[Numbered]
) -> Iterator[Result]:
    """Do a piece of work at a time, in order; many on all cores, few of them waiting at once."""
    waiting = iter(range(0, len(visits), FILES_AT_ONCE))
    pieces = (visits[start : start + FILES_AT_ONCE] for start in waiting)
    cores = cores_to_use()
    if cores < 2 or len(visits) <= 4 * FILES_AT_ONCE:
        yield from map(work, pieces)
        return
    language = (chosen_language(),)
    with ProcessPoolExecutor(cores, initializer=choose_language, initargs=language) as pool:
        begun: deque[Future[Result]] = deque()
        try:
            begun.extend(pool.submit(work, piece) for piece in islice(pieces, 3 * cores))
            while begun:
                result = begun.popleft().result()
                begun.extend(pool.submit(work, piece) for piece in islice(pieces, 1))
                yield result
        finally:
            for future in begun:
                future.cancel()


def cores_to_use() -> int:
    """Return on how many cores this process may work."""
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:  # only Linux tells which cores this process may use
        return os.cpu_count() or 1
