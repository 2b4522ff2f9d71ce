"""The streams that commands print on: no character of theirs drives a terminal or fails to print.

The text of a file is cleaned when it is read. The name of a file, and what stands on the command
line, come from others as well, and reach the terminal by this way alone.
"""

from __future__ import annotations

import codecs
import contextlib
import sys
from collections.abc import Iterator
from io import TextIOWrapper
from typing import Any, TextIO, cast

from examwalk.text import clean

_PLAIN_SIGNS = {
    "„": '"',
    "−": "-",
    "→": "->",
    "–": "-",
    "—": "-",
    "…": "...",
    "“": '"',
    "”": '"',
    "’": "'",
    "°": " deg",
    "²": "2",
    "±": "+/-",
    "≥": ">=",
    "≤": "<=",
}


class _Harmless:
    """A stream of text on which no character drives the terminal; else it is the stream itself."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream

    def write(self, text: str) -> int:
        """Write a text cleaned. A carriage return alone takes progress to the line's beginning."""
        self._stream.write(text if text == "\r" else clean(text))
        return len(text)

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)


@contextlib.contextmanager
def harmless_streams() -> Iterator[None]:
    """Let stdout and stderr take any text until the end of the block, and none do harm."""
    codecs.register_error("examwalk-plain", _in_plain_signs)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="examwalk-plain")
    with (
        contextlib.redirect_stdout(_cleaning(sys.stdout)),
        contextlib.redirect_stderr(_cleaning(sys.stderr)),
    ):
        yield


def _cleaning(stream: TextIO | None) -> TextIO:
    # A program without a console has no streams.
    return cast("TextIO", _Harmless(stream) if stream is not None else None)


def _in_plain_signs(error: UnicodeError) -> tuple[str | bytes, int]:
    if isinstance(error, UnicodeEncodeError) and error.object[error.start] in _PLAIN_SIGNS:
        return _PLAIN_SIGNS[error.object[error.start]], error.start + 1
    return codecs.backslashreplace_errors(error)
