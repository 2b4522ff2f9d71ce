"""Reading a protocol: files, then shape, then meaning, with every problem reported at once."""

from pathlib import Path

from attrs import frozen

from examwalk.problems import Problem, UnusableFileError
from examwalk.protocol.checking import check
from examwalk.protocol.documents import Document, read_document
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

    @property
    def text(self) -> str:
        """The whole protocol as one TOML text, to be kept beside the visits examined by it."""
        return self.document.text


def read_protocol(path: Path) -> LoadedProtocol:
    """Read a protocol from a TOML file, or from a folder of them read as one.

    Raises:
        UnusableFileError: with every problem found; where the shape of a file is wrong its
            meaning is not looked at, since most of what would be found there follows.
    """
    document = read_document(path)
    problems: list[tuple[KeyPath, str]] = []

    def report(key_path: KeyPath, message: str) -> None:
        problems.append((key_path, message))

    protocol = structure(Protocol, document.data, report)
    if protocol is not BROKEN:
        check(protocol, report)
    if problems:
        raise UnusableFileError([_placed(document, *problem) for problem in problems])
    return LoadedProtocol(
        protocol=protocol,
        fingerprint=document.fingerprint,
        path=path,
        document=document,
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
