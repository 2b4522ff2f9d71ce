"""Writing files so that nothing is ever lost."""

import contextlib
import errno
import os
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import Final

from examwalk.language import later, say
from examwalk.text import clean_line

Stamps = dict[Path, tuple[int, int]]
"""When each file was last changed, in nanoseconds, and its size in bytes."""

_NEW_FILE: Final = os.O_CREAT | os.O_EXCL | os.O_WRONLY | getattr(os, "O_BINARY", 0)
_PRIVATE_FILE: Final = 0o600
_PRIVATE_FOLDER: Final = 0o700
_NO_LINKS_HERE: Final = frozenset(
    {errno.EPERM, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS, errno.EMLINK, errno.EXDEV}
)
_CANNOT_SYNC: Final = frozenset({errno.EINVAL, errno.ENOTSUP, errno.EOPNOTSUPP})

_REMEDIES: Final = {
    errno.ENOSPC: (later("the disk is full"), later("Free some space, then save again.")),
    errno.EFBIG: (
        later("the file would grow larger than is allowed here"),
        later("Raise the limit or choose another folder, then save again."),
    ),
    errno.EROFS: (
        later("the folder is on a disk that is read-only"),
        later("Make it writable or choose another folder, then save again."),
    ),
    errno.EACCES: (
        later("you are not permitted to write there"),
        later("Ask for the right to write in this folder or choose another one, then save again."),
    ),
    errno.EIO: (
        later("the disk reported a fault while writing"),
        later("Save again; if it fails once more, choose a folder on another disk."),
    ),
    errno.ENOTDIR: (
        later("a part of the path is a file, not a folder"),
        later("Choose another folder, then save again."),
    ),
    errno.EISDIR: (
        later("a folder of this name stands in the way"),
        later("Move it away or choose another name, then save again."),
    ),
    errno.EEXIST: (
        later("another program is saving this file at the same moment"),
        later("Save again."),
    ),
    errno.ENAMETOOLONG: (
        later("the name is too long for this disk"),
        later("Choose a shorter name."),
    ),
}
_SAME_REMEDY: Final = {
    errno.EDQUOT: errno.ENOSPC,
    errno.EPERM: errno.EACCES,
}


class SaveFailedError(Exception):
    """A file could not be saved; what was saved before still stands.

    Its message is a sentence for the user. A ``ValueError`` as the cause says that the content
    itself cannot be saved, and why.
    """

    def __init__(
        self, path: Path, cause: OSError | ValueError, *, written: os.stat_result | None = None
    ) -> None:
        self.path = path
        self.cause = cause
        self.written = written
        """The status of the new file where only the last step failed: it stands, but may not
        outlive a loss of power."""
        what, remedy = _what_failed(cause)
        super().__init__(
            say(
                "Could not save {path}: {what}. Nothing that was saved before is lost. {remedy}",
                path=clean_line(str(path)),
                what=what,
                remedy=remedy,
            )
        )


def _what_failed(cause: OSError | ValueError) -> tuple[str, str]:
    if isinstance(cause, OSError):
        number = cause.errno or 0
        known = _REMEDIES.get(_SAME_REMEDY.get(number, number))
        if known:
            return say(known[0]), say(known[1])
        return (
            clean_line(cause.strerror or str(cause) or say("an unknown fault")),
            say("Save again; if it fails once more, choose another folder."),
        )
    return clean_line(str(cause)).rstrip("."), say("Change that, then save again.")


def previous_version(path: Path) -> Path:
    """Return where ``write_atomically`` keeps the version before the present one."""
    return path.with_name(f"{path.name}.previous")


def set_aside_copy(path: Path, suffix: str) -> Path:
    """Give the present version of a file a second name, which later saves leave alone.

    Args:
        path: The file.
        suffix: What is added to its name; a version that has this name already is replaced.

    Raises:
        SaveFailedError: The operating system refused. The file itself is as it was.
    """
    target = _followed(path)
    copy = target.with_name(target.name + suffix)
    try:
        _keep(target, copy)
        _sync_folder(target.parent)
    except OSError as error:
        raise SaveFailedError(copy, error) from error
    return copy


def write_atomically(path: Path, data: bytes, *, keep_previous: bool = True) -> os.stat_result:
    """Replace a file by these bytes, so that at every moment the old or the new one is whole.

    The file is private to the user, as are folders that are made on the way. A symbolic link is
    followed. One writer at a time is assumed for each file.

    Args:
        path: The file to write.
        data: Its whole content.
        keep_previous: Keep the version that is replaced, see ``previous_version``.

    Returns:
        The status of the file that was written, whatever another writer has put there since.

    Raises:
        SaveFailedError: The operating system refused a step. The old version stands (the new
            one where only the last step failed: writing the folder's entry through to the disk).
    """
    target = _followed(path)
    writing = target.with_name(f".{target.name}.writing")
    try:
        try:
            written = _write_new(writing, data)
            if keep_previous:
                _keep(target, previous_version(target))
            writing.replace(target)
        except OSError:
            _remove(writing)
            raise
    except OSError as error:
        raise SaveFailedError(path, error) from error
    try:
        _sync_folder(target.parent)
    except OSError as error:
        raise SaveFailedError(path, error, written=written) from error
    return written


def put_in_place(source: Path, path: Path) -> None:
    """Give a whole file in the same folder the name of another, and write both through.

    Raises:
        SaveFailedError: The operating system refused a step; one of the two names holds it.
    """
    try:
        with source.open("rb+") as stream:
            _sync(stream.fileno())
        source.replace(path)
        _sync_folder(path.parent)
    except OSError as error:
        raise SaveFailedError(path, error) from error


def _followed(path: Path) -> Path:
    """Return the file that a symbolic link stands for, and any other path as it is."""
    return Path(os.path.realpath(path)) if path.is_symlink() else path


def _make_folder(folder: Path) -> None:
    if folder.is_dir():
        return
    _make_folder(folder.parent)
    with contextlib.suppress(FileExistsError):
        folder.mkdir(_PRIVATE_FOLDER)
    if not folder.is_dir():
        raise NotADirectoryError(errno.ENOTDIR, os.strerror(errno.ENOTDIR), str(folder))
    _sync_folder(folder.parent)


def _write_new(path: Path, data: bytes) -> os.stat_result:
    """Write a file in place of any that was left half-written, through to the disk."""
    try:
        descriptor = os.open(path, _NEW_FILE, _PRIVATE_FILE)
    except FileExistsError:
        path.unlink(missing_ok=True)
        descriptor = os.open(path, _NEW_FILE, _PRIVATE_FILE)
    except FileNotFoundError:
        _make_folder(path.parent)
        descriptor = os.open(path, _NEW_FILE, _PRIVATE_FILE)
    try:
        rest = memoryview(data)
        while rest:
            rest = rest[os.write(descriptor, rest) :]
        _sync(descriptor)
        return os.fstat(descriptor)
    finally:
        os.close(descriptor)


def _keep(target: Path, kept: Path) -> None:
    """Give the present version a second name; its own name stays in place throughout."""
    keeping = target.with_name(f".{target.name}.keeping")
    try:
        try:
            _link(target, keeping)
        except FileNotFoundError:
            return  # there is no version before
        except OSError as error:
            if error.errno not in _NO_LINKS_HERE:
                raise
            _write_new(keeping, target.read_bytes())
        keeping.replace(kept)
    finally:
        # Renaming one link onto another link of the same file does nothing and leaves both.
        _remove(keeping)


def _link(target: Path, link: Path) -> None:
    """Give a file a second name, in place of one that was left over."""
    try:
        link.hardlink_to(target)
    except FileExistsError:
        _remove(link)
        link.hardlink_to(target)


def _remove(path: Path) -> None:
    with contextlib.suppress(OSError):
        path.unlink(missing_ok=True)


def _sync(descriptor: int) -> None:
    if sys.platform == "darwin":
        import fcntl  # noqa: PLC0415 — not there on Windows

        # Only this reaches past the drive's own cache; network disks may not know it.
        with contextlib.suppress(OSError):
            fcntl.fcntl(descriptor, fcntl.F_FULLFSYNC)
            return
    os.fsync(descriptor)


def _sync_folder(folder: Path) -> None:
    if os.name == "nt":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        _sync(descriptor)
    except OSError as error:
        if error.errno not in _CANNOT_SYNC:
            raise
    finally:
        os.close(descriptor)


def stamps_of(paths: Iterable[Path]) -> Stamps:
    """Say when each file or folder was last changed and how large it is; zeros where there is none.

    A file that was changed has another stamp; for a folder that is one with another list of files.
    """
    found: Stamps = {}
    for path in paths:
        try:
            status = path.stat()
        except OSError:
            found[path] = (0, 0)
        else:
            found[path] = (status.st_mtime_ns, status.st_size)
    return found
