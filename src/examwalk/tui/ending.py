"""When the app must end: the system wants it, or nobody can type any more."""

import asyncio
import os
import signal
import sys
from collections.abc import Callable
from functools import partial

HUNG_UP = 129
"""Exit code after the window was closed, as shells count it."""


def has_terminal() -> bool:
    """Say whether somebody may still be typing: the window can be closed without a signal."""
    try:
        return sys.__stdin__ is not None and os.isatty(sys.__stdin__.fileno())
    except (OSError, ValueError):
        return False


def end_on_signals(end: Callable[[int], None]) -> None:
    """Call with the exit code, from the running loop, when the system wants the app to end."""
    loop = asyncio.get_running_loop()
    for name in ("SIGTERM", "SIGHUP"):
        number = getattr(signal, name, None)
        if number is None:
            continue
        try:
            loop.add_signal_handler(number, partial(end, 128 + number))
        except (NotImplementedError, RuntimeError, ValueError):
            # Windows has no such handlers, nor has a loop outside the main thread.
            return
