"""Earlier copies of a visit whose file is damaged or contested, and bringing one of them back."""

import itertools
import os
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from attrs import frozen

from examwalk.files import previous_version, put_in_place, set_aside_copy, write_atomically
from examwalk.language import say
from examwalk.problems import Problem, UnusableFileError
from examwalk.reading_files import decode, read_limited
from examwalk.session.model import Session
from examwalk.session.storing import FILE_LIMIT_BYTES, from_toml, read_session, write_session

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
    path = Path(os.path.realpath(path))  # the copies lie beside the file itself, not beside a link
    copies = []
    for candidate in (_interrupted(path), previous_version(path), version_at_opening(path)):
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
        UnusableFileError: The copy cannot be read any more, or the file can be read again.
    """
    path = Path(os.path.realpath(path))
    content = read_limited(copy.path, FILE_LIMIT_BYTES)
    from_toml(decode(copy.path, content), copy.path)
    if _is_whole(path):
        again = say("The visit can be read again, so nothing was changed.")
        raise UnusableFileError([Problem(again, file=path)])
    damaged = set_aside_copy(path, _free_suffix(path, "damaged", now))
    if copy.path == _interrupted(path):
        # A save would begin by clearing away what may be the only whole copy.
        put_in_place(copy.path, path)
    else:
        write_atomically(path, content, keep_previous=False)
    return damaged


def keep_beside(path: Path, session: Session, now: datetime) -> Path:
    """Keep a visit under another name where its file was changed meanwhile.

    Returns:
        Where it is kept.

    Raises:
        SaveFailedError: The disk refused.
    """
    target = Path(os.path.realpath(path))
    kept = target.with_name(target.name + _free_suffix(target, "conflict", now))
    write_session(kept, session)
    return kept


def _interrupted(path: Path) -> Path:
    """Return where an interrupted save of a visit has left what it wrote."""
    return path.with_name(f".{path.name}.writing")


def _is_whole(path: Path) -> bool:
    try:
        read_session(path)
    except UnusableFileError:
        return False
    return True


def _free_suffix(path: Path, word: str, now: datetime) -> str:
    """Return a suffix with the time, and a number where one of that second is taken already."""
    suffix = f".{word}-{now:%Y%m%d-%H%M%S}"
    numbered = (f"{suffix}-{number}" for number in itertools.count(2))
    return next(
        free
        for free in (suffix, *itertools.islice(numbered, 1000))
        if not os.path.lexists(path.with_name(path.name + free))
    )
