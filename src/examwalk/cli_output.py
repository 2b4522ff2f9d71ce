"""Where the result of a command goes: to stdout, or whole into a file that was not there."""

from __future__ import annotations

import codecs
import contextlib
import json
import os
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from examwalk.files import SaveFailedError
from examwalk.language import say
from examwalk.problems import Problem, UnusableFileError
from examwalk.text import is_harmful

STEPS = 20
"""How many times progress is told."""


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


def print_json(data: object) -> None:
    """Print data as JSON."""
    print(json_text(data), end="")


def json_text(data: object, *, in_file: bool = False) -> str:
    """Write data as JSON, escaped where it could not be shown as it is: it must come out exactly.

    That is where the output is not in UTF-8, and where a character would drive the terminal.
    """
    escaped = not in_file and codecs.lookup(output_encoding()).name != "utf-8"
    text = json.dumps(data, ensure_ascii=escaped, indent=2) + "\n"
    lines = (line if line.isprintable() else _escaped(line) for line in text.split("\n"))
    return "\n".join(lines)


def _escaped(line: str) -> str:
    return "".join(json.dumps(one)[1:-1] if is_harmful(one) else one for one in line)


def output_encoding() -> str:
    """Return the name of the encoding of stdout."""
    return getattr(sys.stdout, "encoding", None) or "ascii"


def tell_progress(done: int, count: int, words: str) -> None:
    """Tell on stderr how far a long work is, some twenty times; the last time when it is done.

    On a screen each line takes the place of the one before.

    Args:
        done: how many are done, from 1 on.
        count: how many there are.
        words: what is said, with places for ``{done}`` and ``{count}``.
    """
    if done % max(1, count // STEPS) and done < count:
        return
    end = "\r" if sys.stderr.isatty() and done < count else "\n"
    told = say(words, done=done, count=count)
    print(f"examwalk: {told}", end=end, file=sys.stderr, flush=True)
