"""A program on a pseudo-terminal of its own, and the moment at which a text is painted on it."""

import contextlib
import fcntl
import os
import pty
import re
import select
import signal
import struct
import sys
import termios
import time
from collections.abc import Iterator, Mapping

from .timing import as_installed

PATIENCE_SECONDS = 30
COLUMNS, ROWS = 80, 24
_CODES = re.compile(rb"\x1b\[[0-?]*[ -/]*[@-~]")


class NothingPaintedError(Exception):
    """A text that was waited for has not been painted."""


class PseudoTerminal:
    """A Python program whose input, output and errors are one pseudo-terminal.

    Textual paints on the standard error, so all three must be the terminal.
    """

    def __init__(self, arguments: list[str], environment: Mapping[str, str]) -> None:
        self.began = time.perf_counter()
        self.pid, self._terminal = pty.fork()
        if self.pid == 0:
            fcntl.ioctl(0, termios.TIOCSWINSZ, struct.pack("HHHH", ROWS, COLUMNS, 0, 0))
            os.execve(sys.executable, [sys.executable, *arguments], dict(environment))
        self._painted = b""

    def press(self, key: str) -> float:
        """Press a key and return the time at which it was pressed."""
        self._painted = b""
        now = time.perf_counter()
        os.write(self._terminal, key.encode())
        return now

    def wait_for(self, text: str) -> float:
        """Return the time at which a text has been painted since the last key."""
        wanted = text.encode()
        deadline = time.perf_counter() + PATIENCE_SECONDS
        while wanted not in _CODES.sub(b"", self._painted):
            ready, _, _ = select.select([self._terminal], [], [], deadline - time.perf_counter())
            if not ready:
                raise NothingPaintedError(f"“{text}” was not painted")
            try:
                self._painted += os.read(self._terminal, 65536)
            except OSError as error:
                raise NothingPaintedError(f"the program ended before “{text}”") from error
        return time.perf_counter()

    def rest(self, seconds: float) -> None:
        """Let the program finish what it does after painting, and read it."""
        until = time.perf_counter() + seconds
        while (left := until - time.perf_counter()) > 0:
            if select.select([self._terminal], [], [], left)[0]:
                self._painted += os.read(self._terminal, 65536)

    def end(self) -> None:
        """End the program and wait for it."""
        with contextlib.suppress(ProcessLookupError):
            os.kill(self.pid, signal.SIGKILL)
        os.waitpid(self.pid, 0)
        os.close(self._terminal)


@contextlib.contextmanager
def on_a_terminal(arguments: list[str], **environment: str) -> Iterator[PseudoTerminal]:
    """Run a Python program on a pseudo-terminal."""
    everything = {**as_installed(), "TERM": "xterm-256color", "LANG": "C.UTF-8", **environment}
    for name in ("NO_COLOR", "COLORTERM", "COLUMNS", "LINES"):
        everything.pop(name, None)
    terminal = PseudoTerminal(arguments, everything)
    try:
        yield terminal
    finally:
        terminal.end()
