"""The session file: a visit as TOML, read strictly and written so that nothing is lost."""

import hashlib
import re
from collections.abc import Mapping
from itertools import chain
from pathlib import Path
from typing import Final

from examwalk.files import SaveFailedError, write_atomically
from examwalk.language import say, say_number
from examwalk.problems import UnusableFileError
from examwalk.reading_files import decode, parse_toml, read_with_status
from examwalk.session.amending import first_written
from examwalk.session.model import Session
from examwalk.session.reading import is_of_a_later_format, session_in
from examwalk.session.tables import Problems, Table
from examwalk.session.version import Version
from examwalk.session.writing import entries_of
from examwalk.session.written_texts import entry_texts, head_texts

FILE_LIMIT_BYTES: Final = 5_000_000
_CHECKSUM_LINE: Final = re.compile(r'^checksum = "([0-9a-f]{64})"\n', re.MULTILINE)


def read_session(path: Path) -> Session:
    """Read a session file.

    Raises:
        UnusableFileError: With every problem that was found.
    """
    return read_version(path)[0]


def read_version(path: Path) -> tuple[Session, Version]:
    """Read a session file, and return also which version of it was read.

    Raises:
        UnusableFileError: With every problem that was found.
    """
    status, data = read_with_status(path, FILE_LIMIT_BYTES)
    return from_toml(decode(path, data), path), Version.of(status, data)


def write_session(path: Path, session: Session) -> Version:
    """Save a session so that the file always holds the old or the new version, whole.

    Returns:
        The version that stands in the file from now on.

    Raises:
        SaveFailedError: The disk refused, or the session holds what could not be read back.
    """
    try:
        data = _bytes_of(session)
    except ValueError as error:
        raise SaveFailedError(path, error) from error
    return Version.of(write_atomically(path, data), data)


def _bytes_of(session: Session) -> bytes:
    data = to_toml(session).encode()
    if len(data) > FILE_LIMIT_BYTES:
        raise ValueError(
            say(
                "the visit has {count} bytes; at most {limit} can be read back",
                count=say_number(len(data)),
                limit=say_number(FILE_LIMIT_BYTES),
            )
        )
    return data


def to_toml(session: Session) -> str:
    """Write a session as TOML. Texts are cleaned, and findings that say nothing are left out.

    Raises:
        ValueError: The session holds what ``from_toml`` would refuse, for example a time without
            its offset; the message is a sentence.
    """
    session = first_written(session)
    number, *rest_of_head = head_texts(session)
    arrays = (entry_texts(name, entries) for name, entries in entries_of(session).items())
    rest = "\n".join(("", *rest_of_head, *filter(None, chain.from_iterable(arrays))))
    return f'{number}checksum = "{_checksum(rest)}"\n{rest}'


def from_toml(text: str, path: Path) -> Session:
    """Read a session from TOML; the path is only for telling where problems are.

    Raises:
        UnusableFileError: With every problem that was found.
    """
    return _session_of(parse_toml(path, text), path, text)


def _checksum(rest: str) -> str:
    """Return the SHA-256 in hex of what follows the line with the checksum."""
    return hashlib.sha256(rest.encode()).hexdigest()


def check_checksum(root: Table, text: str) -> None:
    """Note where a file does not hold what was written; a file without a checksum is taken."""
    told = root.raw("checksum")
    if told is None:
        return
    line = _CHECKSUM_LINE.search(text.replace("\r\n", "\n"))
    if line is None or line[1] != told:
        malformed = say(
            "This should be 64 of the digits 0-9 and a-f in quotes, on a line of its own "
            "near the top."
        )
        root.problem(malformed, "checksum")
    elif line[1] != _checksum(line.string[line.end() :]):
        changed = say(
            "The rest of the file is not what was written together with this checksum: it was "
            "damaged, or changed by hand. Take this line away to use it as it is."
        )
        root.problem(changed, "checksum")


def _session_of(
    tables: Mapping[str, object], file: Path | None, text: str | None = None
) -> Session:
    problems = Problems(file)
    root = Table(tables, "", problems)
    if text is not None:
        check_checksum(root, text)
    if "format" not in tables and "session" not in tables and "protocol" in tables:
        root.problem(say("This is a protocol, not a visit; examwalk sessions lists the visits."))
        raise UnusableFileError(problems.all())
    if is_of_a_later_format(root):
        raise UnusableFileError(problems.all())
    session = session_in(root)
    root.close()
    if problems:
        raise UnusableFileError(problems.all())
    return session
