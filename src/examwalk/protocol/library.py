"""Where protocols are found: those shipped with the program, and a clinic's own files."""

import contextlib
import re
from collections.abc import Sequence
from importlib.resources import files
from pathlib import Path

import platformdirs

from examwalk.language import say
from examwalk.problems import Problem, UnusableFileError, nearest
from examwalk.settings import chosen_path

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
    found = _protocols_in(shipped_folder())
    return tuple(sorted(found, key=lambda path: (path.stem != DEFAULT_PROTOCOL, path.stem)))


def own_folder() -> Path:
    """Return the folder of a clinic's own protocols, whether it is there or not.

    Raises:
        UnusableFileError: the file of settings is at fault.
    """
    chosen = chosen_path("protocols")
    return chosen or platformdirs.user_data_path("examwalk", appauthor=False) / "protocols"


def own_protocols() -> tuple[Path, ...]:
    """Return the protocols in the clinic's own folder, by name; none where there is no folder.

    One that has the name of a shipped protocol is among them, though the name leads to that.
    """
    try:
        return tuple(sorted(_protocols_in(own_folder()), key=lambda path: path.stem))
    except OSError:
        return ()


def is_shipped(path: Path) -> bool:
    """Say whether a protocol is one of the shipped ones."""
    return path.parent == shipped_folder()


def takes_a_shipped_name(path: Path) -> bool:
    """Say whether another protocol has the name of a shipped one, which then leads to that."""
    return not is_shipped(path) and path.stem in {one.stem for one in shipped_protocols()}


def refuse_taken_name(path: Path) -> None:
    """Refuse a protocol whose name leads to a shipped one.

    Raises:
        UnusableFileError: it has such a name.
    """
    if takes_a_shipped_name(path):
        message = say(
            "A shipped protocol has the name “{name}”, which leads there; give this one another.",
            name=path.stem,
        )
        raise UnusableFileError([Problem(message, path)])


def named_protocols() -> dict[str, Path]:
    """Return the protocols that have a name: the shipped ones, then the clinic's own."""
    shipped = {path.stem: path for path in shipped_protocols()}
    return shipped | {path.stem: path for path in own_protocols() if path.stem not in shipped}


def _protocols_in(folder: Path) -> list[Path]:
    return [
        path
        for path in folder.iterdir()
        if not path.name.startswith(".")
        and (
            path.suffix == ".toml"
            or (path.name != TRANSLATIONS and path.is_dir() and any(path.glob("*.toml")))
        )
    ]


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
    """Return the path of a protocol given by its name or by its own path.

    Raises:
        UnusableFileError: no shipped or own protocol, and neither a file nor a folder, has this
            name.
    """
    named = named_protocols()
    if name_or_path in named:
        return named[name_or_path]
    path = Path(name_or_path)
    # A name that no disk could hold is no file either.
    with contextlib.suppress(OSError):
        if path.exists():
            return path
    known = ", ".join(named)
    raise UnusableFileError(
        [
            Problem(
                f"there is no protocol “{name_or_path}”: it is neither one that is known by name"
                f" ({known}) nor a file or folder.{nearest(name_or_path, named)}"
            )
        ]
    )
