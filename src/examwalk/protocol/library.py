"""Where protocols are found: those shipped with the program, and a clinic's own files."""

import contextlib
import re
from importlib.resources import files
from pathlib import Path

from examwalk.files import decode, parse_toml, read_limited
from examwalk.problems import Problem, UnusableFileError, nearest
from examwalk.protocol.locating import KeyPath
from examwalk.protocol.model import Identity
from examwalk.protocol.structuring import structure

LARGEST_FILE_BYTES = 2_000_000
_HEADER = re.compile(r"^\s*\[\s*protocol\s*\]", re.MULTILINE)
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
        if path.suffix == ".toml" or (path.is_dir() and any(path.glob("*.toml")))
    ]
    return tuple(sorted(found, key=lambda path: (path.stem != DEFAULT_PROTOCOL, path.stem)))


def read_identity(path: Path) -> Identity:
    """Read only which protocol this is, for a list to choose from.

    Raises:
        UnusableFileError: the file that says so cannot be read, or says it wrongly; a protocol
            may still have other problems.
    """
    for file in sorted(path.glob("*.toml")) if path.is_dir() else [path]:
        text = decode(file, read_limited(file, LARGEST_FILE_BYTES))
        if _HEADER.search(text):
            return _identity_in(file, parse_toml(file, text).get("protocol"))
    raise UnusableFileError([Problem("there is no table [protocol] in it.", path)])


def _identity_in(file: Path, table: object) -> Identity:
    problems: list[Problem] = []

    def report(key_path: KeyPath, message: str) -> None:
        place = ", ".join(str(key) for key in ("protocol", *key_path))
        problems.append(Problem(message, file, place=place))

    identity = structure(Identity, table, report)
    if not isinstance(identity, Identity):
        raise UnusableFileError(problems)
    return identity


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
