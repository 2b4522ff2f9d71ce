"""Reading a protocol: files, then shape, then meaning, with every problem reported at once."""

from pathlib import Path

from attrs import frozen

from examwalk.problems import Problem, UnusableFileError
from examwalk.protocol.changes import Change, changes_between
from examwalk.protocol.checking import check
from examwalk.protocol.documents import Document
from examwalk.protocol.extending import read_extended
from examwalk.protocol.locating import KeyPath
from examwalk.protocol.model import Protocol
from examwalk.protocol.structuring import BROKEN, structure
from examwalk.text import clean_line


@frozen
class LoadedProtocol:
    """A protocol that passed all checks, with what identifies it."""

    protocol: Protocol
    fingerprint: str
    """SHA-256 of the content, in hex; the same content has the same fingerprint."""
    path: Path
    document: Document
    base: Document | None = None
    """The document it extends, where it extends one."""

    @property
    def changes(self) -> tuple[Change, ...]:
        """How it differs from the protocol it extends; nothing where it extends none."""
        return changes_between(self.base.data, self.document.data) if self.base else ()

    def problem_at(self, path: KeyPath, message: str) -> Problem:
        """Return a problem with the file, line and name of a key path of this protocol."""
        return _placed(self.document, path, message)

    @property
    def text(self) -> str:
        """The whole protocol as one TOML text, to be kept beside the visits examined by it."""
        return self.document.text


def read_protocol(path: Path) -> LoadedProtocol:
    """Read a protocol from a TOML file, or a folder of them read as one, with all it extends.

    Raises:
        UnusableFileError: with every problem found; where the shape of a file is wrong its
            meaning is not looked at, since most of what would be found there follows.
    """
    extended = read_extended(path)
    document = extended.document
    problems: list[tuple[KeyPath, str]] = []

    def report(key_path: KeyPath, message: str) -> None:
        problems.append((key_path, message))

    protocol = structure(Protocol, document.data, report)
    if protocol is not BROKEN:
        check(protocol, report)
    found = [*extended.problems, *(_placed(document, *problem) for problem in problems)]
    if found:
        raise UnusableFileError(found)
    return LoadedProtocol(
        protocol=protocol,
        fingerprint=document.fingerprint,
        path=path,
        document=document,
        base=extended.base,
    )


def _placed(document: Document, path: KeyPath, message: str) -> Problem:
    file, line = document.place(path)
    return Problem(message, file, line, place=_place_words(document, path))


def _place_words(document: Document, path: KeyPath) -> str:
    """Name a key path as a reader of the file would: ``test "lunge-distance", usual``."""
    words: list[str] = []
    value: object = document.data
    for key in path:
        if isinstance(key, str):
            words.append(clean_line(key))
            value = value.get(key) if isinstance(value, dict) else None
            continue
        value = value[key] if isinstance(value, list) else None
        name = value.get("id") if isinstance(value, dict) else None
        label = f'"{clean_line(name)}"' if isinstance(name, str) else f"number {key + 1}"
        words[-1] = f"{words[-1]} {label}"
    return ", ".join(words)
