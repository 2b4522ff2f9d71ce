"""Reading files with care, and writing them so that nothing is ever lost."""

import contextlib
import errno
import os
import re
import stat
import sys
import tomllib
from pathlib import Path
from typing import Final

from examwalk.language import later, say, say_number
from examwalk.problems import Problem, UnusableFileError
from examwalk.text import clean_line
from examwalk.toml_causes import likely_cause

_PRIVATE_FILE: Final = 0o600
_PRIVATE_FOLDER: Final = 0o700
_NO_LINKS_HERE: Final = frozenset(
    {errno.EPERM, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS, errno.EMLINK, errno.EXDEV}
)
_CANNOT_SYNC: Final = frozenset({errno.EINVAL, errno.ENOTSUP, errno.EOPNOTSUPP})

_MOST_DOTS_IN_A_LINE: Final = 100
_STRINGS_AND_COMMENTS: Final = re.compile(
    r'"""[^\\]*?(?:\\.[^\\]*?)*?"""'
    r"|'''.*?'''"
    r'|"[^"\\\n]*(?:\\.[^"\\\n]*)*"'
    r"|'[^'\n]*'"
    r"|\#[^\n]*",
    re.DOTALL,
)
_PLACE_IN_TOML: Final = re.compile(r"\(at line (\d+), column \d+\)")

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
        self, path: Path, cause: OSError | ValueError, *, new_version_stands: bool = False
    ) -> None:
        self.path = path
        self.cause = cause
        self.new_version_stands = new_version_stands
        """Only the last step failed: the file is new, but may not outlive a loss of power."""
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
    target = Path(os.path.realpath(path))
    copy = target.with_name(target.name + suffix)
    try:
        _keep(target, copy)
        _sync_folder(target.parent)
    except OSError as error:
        raise SaveFailedError(copy, error) from error
    return copy


def write_atomically(path: Path, data: bytes, *, keep_previous: bool = True) -> None:
    """Replace a file by these bytes, so that at every moment the old or the new one is whole.

    The file is private to the user, as are folders that are made on the way. A symbolic link is
    followed. One writer at a time is assumed for each file.

    Args:
        path: The file to write.
        data: Its whole content.
        keep_previous: Keep the version that is replaced, see ``previous_version``.

    Raises:
        SaveFailedError: The operating system refused a step. The old version stands (the new
            one where only the last step failed: writing the folder's entry through to the disk).
    """
    target = Path(os.path.realpath(path))
    writing = target.with_name(f".{target.name}.writing")
    try:
        _make_folder(target.parent)
        try:
            _write_new(writing, data)
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
        raise SaveFailedError(path, error, new_version_stands=True) from error


def _make_folder(folder: Path) -> None:
    if folder.is_dir():
        return
    _make_folder(folder.parent)
    with contextlib.suppress(FileExistsError):
        folder.mkdir(_PRIVATE_FOLDER)
    if not folder.is_dir():
        raise NotADirectoryError(errno.ENOTDIR, os.strerror(errno.ENOTDIR), str(folder))
    _sync_folder(folder.parent)


def _write_new(path: Path, data: bytes) -> None:
    """Write a file that must not exist, and write it through to the disk."""
    path.unlink(missing_ok=True)
    flags = os.O_CREAT | os.O_EXCL | os.O_WRONLY | getattr(os, "O_BINARY", 0)
    descriptor = os.open(path, flags, _PRIVATE_FILE)
    try:
        rest = memoryview(data)
        while rest:
            rest = rest[os.write(descriptor, rest) :]
        _sync(descriptor)
    finally:
        os.close(descriptor)


def _keep(target: Path, kept: Path) -> None:
    """Give the present version a second name; its own name stays in place throughout."""
    if not target.exists():
        return
    keeping = target.with_name(f".{target.name}.keeping")
    _remove(keeping)
    try:
        try:
            keeping.hardlink_to(target)
        except OSError as error:
            if error.errno not in _NO_LINKS_HERE:
                raise
            _write_new(keeping, target.read_bytes())
        keeping.replace(kept)
    finally:
        # Renaming one link onto another link of the same file does nothing and leaves both.
        _remove(keeping)


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


def read_limited(path: Path, limit_bytes: int) -> bytes:
    """Return the content of a file that is not larger than the limit.

    Raises:
        UnusableFileError: The file is missing, a folder, not an ordinary file, unreadable, too
            large or empty; one problem says which.
    """
    try:
        about = path.stat()
        if stat.S_ISDIR(about.st_mode):
            raise _unusable(path, say("This is a folder; a file is needed here."))
        if not stat.S_ISREG(about.st_mode):
            raise _unusable(path, say("This is not an ordinary file, so it is not read."))
        with path.open("rb") as stream:
            data = stream.read(limit_bytes + 1)
    except (FileNotFoundError, NotADirectoryError):
        raise _unusable(path, say("There is no such file.")) from None
    except PermissionError:
        raise _unusable(path, say("You are not permitted to read this file.")) from None
    except (OSError, ValueError) as error:
        words = getattr(error, "strerror", None) or str(error)
        message = say("The file cannot be read: {fault}.", fault=clean_line(words))
        raise _unusable(path, message) from None
    if len(data) > limit_bytes:
        message = say(
            "The file has {size} bytes; at most {limit} bytes are read.",
            size=say_number(max(about.st_size, len(data))),
            limit=say_number(limit_bytes),
        )
        raise _unusable(path, message)
    if not data:
        raise _unusable(path, say("The file is empty."))
    return data


def decode(path: Path, data: bytes) -> str:
    """Return the text of a file in UTF-8, without a byte order mark.

    Raises:
        UnusableFileError: The bytes are not UTF-8 text; the problem says where they stop being
            that, and which encoding they look like.
    """
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        reason = say("The text is in UTF-16, not in UTF-8, from byte offset 0 on.")
        raise _unusable(path, f"{reason} {say(_SAVE_AS_UTF8)}", 1)
    data = data.removeprefix(b"\xef\xbb\xbf")
    zero = data.find(b"\0")
    if zero >= 0:
        even, odd = data[::2].count(0), data[1::2].count(0)
        if max(even, odd) > len(data) // 4 and min(even, odd) * 4 < max(even, odd):
            reason = f"{say('The text looks like UTF-16, not UTF-8.')} {say(_SAVE_AS_UTF8)}"
        else:
            reason = say(
                "The file is damaged: it holds zero bytes, the first at byte offset {offset}.",
                offset=zero,
            )
        raise _unusable(path, reason, data.count(b"\n", 0, zero) + 1)
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise _unusable(path, _not_utf8(data, error), line) from None


_SAVE_AS_UTF8: Final = later("Save it as UTF-8.")


def _not_utf8(data: bytes, error: UnicodeDecodeError) -> str:
    if error.reason == "unexpected end of data":
        return say(
            "The file is cut off in the middle of a character, at byte offset {offset}.",
            offset=error.start,
        )
    found = say(
        "The text is not UTF-8: byte {byte} at byte offset {offset} does not belong.",
        byte=f"0x{data[error.start]:02X}",
        offset=error.start,
    )
    neighbours = data[error.start + 1 : error.start + 2]
    if not neighbours or neighbours.isascii():
        found = f"{found} {say('It looks like Latin-1 or Windows-1252.')}"
    return f"{found} {say(_SAVE_AS_UTF8)}"


def parse_toml(path: Path, text: str) -> dict[str, object]:
    """Return the tables of a TOML text.

    Raises:
        UnusableFileError: The text is not valid TOML, or nested beyond all use; the problem has
            the line.
    """
    _refuse_long_keys(path, text)
    try:
        return tomllib.loads(text)
    except RecursionError:
        message = say("The lists or tables in this file are nested too deeply.")
        raise _unusable(path, message) from None
    except ValueError as error:
        place = _PLACE_IN_TOML.search(str(error))
        line = int(place[1]) if place else None
        message = say("This is not valid TOML: {fault}.", fault=clean_line(str(error)))
        cause = likely_cause(text, str(error), line)
        if cause:
            message = f"{message} {say('Likely {cause}.', cause=clean_line(cause))}"
        raise _unusable(path, message, line) from None


def _refuse_long_keys(path: Path, text: str) -> None:
    """Refuse keys of very many parts, on which the parser would take minutes."""
    if max(line.count(".") for line in text.split("\n")) <= _MOST_DOTS_IN_A_LINE:
        return
    bare = _STRINGS_AND_COMMENTS.sub(lambda match: "\n" * match[0].count("\n"), text)
    for number, line in enumerate(bare.split("\n"), start=1):
        if line.count(".") > _MOST_DOTS_IN_A_LINE:
            message = say(
                "This line has more than {count} dots outside of texts; "
                "no key has that many parts.",
                count=_MOST_DOTS_IN_A_LINE,
            )
            raise _unusable(path, message, number)


def _unusable(path: Path, message: str, line: int | None = None) -> UnusableFileError:
    return UnusableFileError([Problem(message, file=path, line=line)])
