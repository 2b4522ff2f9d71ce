"""Where the result of a command goes: to stdout, or whole into a file that was not there."""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from examwalk.files import SaveFailedError
from examwalk.language import say
from examwalk.problems import Problem, UnusableFileError


def refuse_to_replace(path: Path | None, *, force: bool) -> None:
    """Refuse a path at which there is something already, unless it may be replaced.

    Raises:
        UnusableFileError: there is something, and ``force`` is not set.
    """
    if path is not None and not force and os.path.lexists(path):
        taken = say("This exists already and was left as it is; --force replaces it.")
        raise UnusableFileError([Problem(taken, file=path)])


@contextlib.contextmanager
def output_to(path: Path | None, *, force: bool = False) -> Iterator[BinaryIO]:
    """Give a stream of bytes that becomes the file only once everything is written.

    Args:
        path: the file, or nothing for stdout.
        force: replace a file that is there already.

    Raises:
        UnusableFileError: there is a file already.
        SaveFailedError: the operating system refused; the file is not there, or as it was.
    """
    refuse_to_replace(path, force=force)
    if path is None:
        sys.stdout.flush()
        yield sys.stdout.buffer
        sys.stdout.buffer.flush()
        return
    target = Path(os.path.realpath(path))
    writing = target.with_name(f".{target.name}.{os.getpid()}.writing")
    try:
        flags = os.O_CREAT | os.O_EXCL | os.O_WRONLY | getattr(os, "O_BINARY", 0)
        # Readable by the user alone, as the visits themselves are.
        with os.fdopen(os.open(writing, flags, 0o600), "wb") as stream:
            yield stream
            stream.flush()
            os.fsync(stream.fileno())
        refuse_to_replace(path, force=force)
        writing.replace(target)
    except OSError as error:
        raise SaveFailedError(path, error) from error
    finally:
        with contextlib.suppress(OSError):
            writing.unlink(missing_ok=True)
