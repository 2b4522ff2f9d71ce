"""The shipped protocols, each read once for as long as nothing in their folder changes."""

from pathlib import Path

from examwalk.files import Stamps, stamps_of
from examwalk.protocol.reading import LoadedProtocol, read_protocol

_read: dict[tuple[Path, str | None], tuple[Stamps, LoadedProtocol]] = {}


def read_shipped(path: Path, language: str | None = None) -> LoadedProtocol:
    """Read a shipped protocol as ``read_protocol`` does, or return it as it was read before.

    Args:
        path: its file or folder; all that it can extend lies beside it.
        language: the language of its words, where they are not taken as they are written.

    Raises:
        UnusableFileError: with every problem found.
    """
    # Looked at before the files are read: one that is saved meanwhile is read once more.
    now = stamps_of(path.parent.rglob("*"))
    known = _read.get((path, language))
    if known is None or known[0] != now:
        known = _read[path, language] = now, read_protocol(path, language)
    return known[1]
