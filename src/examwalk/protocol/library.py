"""Where protocols are found: those shipped with the program, and a clinic's own files."""

import contextlib
from importlib.resources import files
from pathlib import Path

from examwalk.problems import Problem, UnusableFileError, nearest

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
