"""Where protocols are found: those shipped with the program, and a clinic's own files."""

import contextlib
import re
from collections.abc import Sequence
from importlib.resources import files
from pathlib import Path

from examwalk.problems import Problem, UnusableFileError, nearest

TRANSLATIONS = "translations"
"""The folder of the translations: in the folder of a protocol, or beside its file."""
_LANGUAGE = re.compile(r"[a-z]{2,3}(-[a-z0-9]+)*")
DEFAULT_PROTOCOL = "adult"


def shipped_folder() -> Path:
    """Return the folder of the shipped protocols.

    An installed wheel holds it inside the package; in a checkout it stands at the top, where a
    change is seen at once.
    """
    inside = Path(str(files("examwalk"))) / "protocols"
    return inside if inside.is_dir() else inside.parents[2] / "protocols"


def shipped_protocols() -> tuple[Path, ...]:
    """Return the shipped protocols, the full adult one first, then by name."""
    found = [
        path
        for path in shipped_folder().iterdir()
        if path.suffix == ".toml"
        or (path.name != TRANSLATIONS and path.is_dir() and any(path.glob("*.toml")))
    ]
    return tuple(sorted(found, key=lambda path: (path.stem != DEFAULT_PROTOCOL, path.stem)))


def translations_of(path: Path) -> dict[str, Path]:
    """Return the translations of a protocol by their languages, each a file or a folder of files.

    Those of a folder are ``translations/<language>.toml`` in it; those of a file lie beside it
    as ``translations/<its name>.<language>.toml``. A folder stands for a file without ``.toml``.
    """
    start = "" if path.is_dir() else f"{path.stem}."
    found: dict[str, Path] = {}
    for entry in _in_translations(path):
        language = entry.name.removesuffix(".toml").removeprefix(start)
        if entry.name.startswith(start) and _LANGUAGE.fullmatch(language):
            found.setdefault(language, entry)
    return found


def unread_translations(path: Path) -> tuple[Path, ...]:
    """Return what lies among the translations of a protocol and has no name that is looked for."""
    beside = [path] if path.is_dir() else path.parent.glob("*.toml")
    read = {entry for protocol in beside for entry in translations_of(protocol).values()}
    return tuple(entry for entry in _in_translations(path) if entry not in read)


def _in_translations(path: Path) -> Sequence[Path]:
    folder = (path if path.is_dir() else path.parent) / TRANSLATIONS
    return [
        entry
        for entry in (sorted(folder.iterdir()) if folder.is_dir() else ())
        if (entry.suffix == ".toml" if entry.is_file() else any(entry.glob("*.toml")))
        and not entry.name.startswith(".")
    ]


def find_protocol(name_or_path: str) -> Path:
    """Return the path of a protocol given by the name of a shipped one or by its own path.

    Raises:
        UnusableFileError: neither a shipped protocol nor a file or folder has this name.
    """
    shipped = {path.stem: path for path in shipped_protocols()}
    if name_or_path in shipped:
        return shipped[name_or_path]
    path = Path(name_or_path)
    # A name that no disk could hold is no file either.
    with contextlib.suppress(OSError):
        if path.exists():
            return path
    known = ", ".join(shipped)
    raise UnusableFileError(
        [
            Problem(
                f"there is no protocol “{name_or_path}”: it is neither a shipped one ({known})"
                f" nor a file or folder.{nearest(name_or_path, shipped)}"
            )
        ]
    )
