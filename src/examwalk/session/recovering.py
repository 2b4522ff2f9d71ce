"""Earlier copies of a visit whose file is damaged, and bringing one of them back."""

from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from attrs import frozen

from examwalk.files import previous_version, read_limited, set_aside_copy, write_atomically
from examwalk.problems import UnusableFileError
from examwalk.session.model import Session
from examwalk.session.storing import FILE_LIMIT_BYTES, read_session

_OPENED: Final = ".opened"


@frozen
class EarlierCopy:
    """A whole copy of a visit that lies beside its file."""

    path: Path
    session: Session
    changed: datetime
    """When it was written."""


def version_at_opening(path: Path) -> Path:
    """Return where the version is kept that a visit had when it was last opened."""
    return path.with_name(f"{path.name}{_OPENED}")


def keep_version_at_opening(path: Path) -> None:
    """Keep the present version of a visit through all the saves of one sitting.

    Raises:
        SaveFailedError: The disk refused.
    """
    if path.exists():
        set_aside_copy(path, _OPENED)


def earlier_copies(path: Path) -> tuple[EarlierCopy, ...]:
    """Return the copies beside a visit's file that can be read, the one written last first.

    A save that was interrupted has left its file too; it counts only where it is whole.
    """
    interrupted = path.with_name(f".{path.name}.writing")
    copies = []
    for candidate in (interrupted, previous_version(path), version_at_opening(path)):
        try:
            changed = datetime.fromtimestamp(candidate.stat().st_mtime, UTC)
            copies.append(EarlierCopy(candidate, read_session(candidate), changed))
        except (UnusableFileError, OSError):
            continue
    return tuple(sorted(copies, key=lambda copy: copy.changed, reverse=True))


def bring_back(path: Path, copy: EarlierCopy, now: datetime) -> Path:
    """Put an earlier copy in the place of a damaged file, which is kept under another name.

    Returns:
        Where the damaged file is now.

    Raises:
        SaveFailedError: The disk refused; the damaged file and the copies are all still there.
        UnusableFileError: The copy cannot be read any more.
    """
    content = read_limited(copy.path, FILE_LIMIT_BYTES)
    damaged = set_aside_copy(path, _free_suffix(path, f".damaged-{now:%Y%m%d-%H%M%S}"))
    write_atomically(path, content, keep_previous=False)
    return damaged


def _free_suffix(path: Path, suffix: str) -> str:
    """Return the suffix, with a number where a file set aside before has the same name."""
    numbered = (f"{suffix}-{number}" for number in range(2, 1000))
    return next(
        free for free in (suffix, *numbered) if not path.with_name(path.name + free).exists()
    )
