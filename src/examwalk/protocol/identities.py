"""Which protocols there are to choose from, by what each says of itself."""

import re
from collections.abc import Sequence
from pathlib import Path

from attrs import evolve

from examwalk.problems import Problem, UnusableFileError
from examwalk.protocol.documents import LARGEST_FILE_BYTES
from examwalk.protocol.library import shipped_protocols, translations_of
from examwalk.protocol.locating import KeyPath
from examwalk.protocol.model import Identity
from examwalk.protocol.structuring import structure
from examwalk.reading_files import decode, parse_toml, read_limited

_HEADER = re.compile(r"^\s*\[\s*protocol\s*\]", re.MULTILINE)


def read_identity(path: Path, language: str | None = None) -> Identity:
    """Read only which protocol this is, for a list to choose from.

    What it is for and how long it takes are those of a shipped protocol that it extends, where it
    says nothing else.

    Args:
        path: the file or folder of the protocol.
        language: the language of its title and of what it is for, where they are not taken as
            they are written.

    Raises:
        UnusableFileError: the file that says so cannot be read, or says it wrongly; a protocol
            may still have other problems.
    """
    identity = _told_in(path, language)
    base_path = {path.stem: path for path in shipped_protocols()}.get(identity.extends or "")
    if base_path is None or (identity.about and identity.minutes):
        return identity
    base = _told_in(base_path, language)
    return evolve(
        identity,
        about=identity.about or base.about,
        minutes=identity.minutes or base.minutes,
    )


def _told_in(path: Path, language: str | None) -> Identity:
    file, table = _identity_table(path)
    if file is None:
        raise UnusableFileError([Problem("there is no table [protocol] in it.", path)])
    identity = _identity_in(file, table)
    translation = translations_of(path).get(language) if language else None
    _, words = _identity_table(translation) if translation else (None, None)
    if not isinstance(words, dict) or identity.language == language:
        return identity
    said = {key: words[key] for key in ("title", "about") if isinstance(words.get(key), str)}
    return evolve(identity, **said)


def _identity_table(path: Path) -> tuple[Path | None, object]:
    """Find the table [protocol] in a file, or in the files of a folder, and the file it is in."""
    for file in _files_of(path):
        text = decode(file, read_limited(file, LARGEST_FILE_BYTES))
        if _HEADER.search(text):
            return file, parse_toml(file, text).get("protocol")
    return None, None


def _files_of(path: Path) -> Sequence[Path]:
    return sorted(path.glob("*.toml")) if path.is_dir() else [path]


def _identity_in(file: Path, table: object) -> Identity:
    problems: list[Problem] = []

    def report(key_path: KeyPath, message: str) -> None:
        place = ", ".join(str(key) for key in ("protocol", *key_path))
        problems.append(Problem(message, file, place=place))

    identity = structure(Identity, table, report)
    if not isinstance(identity, Identity):
        raise UnusableFileError(problems)
    return identity
