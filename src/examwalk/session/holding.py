"""One writer for each visit: a file beside it says which window may change it.

The operating system's lock on that file decides, where it knows locks; what stands in the file
is for the sentence to the other window, and decides only where there are no locks. The lock is
gone with the process that had it, so that a window that died never stands in the way.
"""

import contextlib
import getpass
import os
import platform
import secrets
import tomllib
from datetime import datetime
from pathlib import Path
from types import ModuleType
from typing import Final, Self

import tomli_w
from attrs import frozen

from examwalk.text import clean_line

fcntl: ModuleType | None
try:
    import fcntl
except ImportError:  # Windows has none
    fcntl = None

_LIMIT_BYTES: Final = 4096
_WORD_LIMIT: Final = 60
_ATTEMPTS: Final = 5
_PRIVATE_FILE: Final = 0o600


@frozen
class Holder:
    """Who has a visit open for writing, as far as the file beside it tells."""

    who: str = ""
    host: str = ""
    pid: int = 0
    started: datetime | None = None

    @property
    def is_here(self) -> bool:
        """Whether the holder was a process of this computer."""
        return self.host == _this_host()

    @property
    def may_live(self) -> bool:
        """Whether the process may still run; of another computer nobody can tell."""
        return not self.is_here or _is_running(self.pid)


class Hold:
    """What came of asking for a visit: it is ours, or ``rival`` has it.

    Where a folder lets nothing be written beside the visit, the hold is neither: whoever saves
    must compare the visit with what was read before replacing it, and does so in any case.
    """

    def __init__(
        self, lock: Path, written: bytes = b"", descriptor: int = -1, rival: Holder | None = None
    ) -> None:
        self._lock = lock
        self._written = written
        self._descriptor = descriptor
        self._rival = rival

    @classmethod
    def take(cls, path: Path, now: datetime, *, insist: bool = False) -> Self:
        """Ask for the right to change a visit.

        Args:
            path: the file of the visit.
            now: when this window began to hold it.
            insist: take it even from a holder that lives; that one notices before its next save.
        """
        lock = lock_beside(path)
        if insist:
            with contextlib.suppress(OSError):
                lock.unlink()
        for _ in range(_ATTEMPTS):
            try:
                descriptor = _opened(lock)
            except OSError:
                return cls(lock)
            rival = _rival(lock, descriptor)
            if rival is not None:
                os.close(descriptor)
                return cls(lock, rival=rival)
            # Its holder may have taken the file away between the opening and the locking.
            if _is_still(lock, descriptor):
                return cls(lock, _write_holder(descriptor, now), descriptor)
            os.close(descriptor)
        return cls(lock)

    @property
    def rival(self) -> Holder | None:
        """Who has the visit instead of us; None while it may be changed here."""
        if self._descriptor >= 0:
            try:
                stands = _read_limited(self._lock)
            except OSError:
                return None  # nobody else has put a file there
            # An empty file is one that was just made: its maker asks again before each change.
            if stands and stands != self._written:
                self.release()
                self._rival = _read_holder(stands)
        return self._rival

    def release(self) -> None:
        """Let the visit go, and take the file beside it away where it is ours."""
        if self._descriptor < 0:
            return
        with contextlib.suppress(OSError):
            if _read_limited(self._lock) == self._written:
                self._lock.unlink()
        os.close(self._descriptor)
        self._descriptor = -1


def lock_beside(path: Path) -> Path:
    """Return the file that says who holds a visit."""
    target = Path(os.path.realpath(path))
    return target.with_name(f".{target.name}.lock")


def _opened(lock: Path) -> int:
    flags = os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)
    flags |= getattr(os, "O_NONBLOCK", 0)  # a pipe of that name must not make us wait
    return os.open(lock, flags, _PRIVATE_FILE)


def _rival(lock: Path, descriptor: int) -> Holder | None:
    """Try to lock the file, and return who has it where that is somebody else."""
    try:
        told = _read_holder(_read_limited(lock))
    except OSError:
        told = Holder()
    try:
        is_locked = _lock(descriptor)
    except BlockingIOError:
        return told
    if not is_locked:
        # No locks in this folder: what the file tells is all there is to go by.
        return told if told.pid and told.may_live else None
    # A lock says nothing about another computer that shares the folder by copying files.
    return told if told.pid and not told.is_here else None


def _lock(descriptor: int) -> bool:
    """Lock an open file, and say whether locks work here at all.

    Raises:
        BlockingIOError: Somebody else has locked it.
    """
    if fcntl is None:
        return False
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        raise
    except OSError:
        return False
    return True


def _is_still(lock: Path, descriptor: int) -> bool:
    try:
        return os.path.samestat(os.fstat(descriptor), lock.stat())
    except OSError:
        return False


def _write_holder(descriptor: int, now: datetime) -> bytes:
    words = tomli_w.dumps(
        {
            "who": _this_user(),
            "host": _this_host(),
            "pid": os.getpid(),
            "started": now,
            "mark": secrets.token_hex(8),
        }
    ).encode()
    with contextlib.suppress(OSError):
        os.lseek(descriptor, 0, os.SEEK_SET)
        os.ftruncate(descriptor, 0)
        os.write(descriptor, words)
    return words


def _read_limited(lock: Path) -> bytes:
    descriptor = os.open(lock, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0))
    try:
        return os.read(descriptor, _LIMIT_BYTES)
    finally:
        os.close(descriptor)


def _read_holder(data: bytes) -> Holder:
    """Read who holds a visit; whatever is not as we write it is left out."""
    try:
        told = tomllib.loads(data.decode())
    except (ValueError, RecursionError):
        return Holder()
    pid, started = told.get("pid"), told.get("started")
    return Holder(
        who=_word(told.get("who")),
        host=_word(told.get("host")),
        pid=pid if type(pid) is int and 0 < pid < 2**31 else 0,
        started=started if isinstance(started, datetime) and started.tzinfo else None,
    )


def _word(told: object) -> str:
    return clean_line(told)[:_WORD_LIMIT] if isinstance(told, str) else ""


def _this_user() -> str:
    try:
        return _word(getpass.getuser())
    except (KeyError, OSError, ImportError):
        return ""


def _this_host() -> str:
    return _word(platform.node())


def _is_running(pid: int) -> bool:
    if os.name == "nt":
        return True  # there, asking with signal 0 would end the process
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True
    return True
