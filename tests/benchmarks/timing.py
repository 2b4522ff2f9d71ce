"""Taking the time of two things in turns, so that a busy moment hits both."""

import os
import time
from collections.abc import Callable


def as_installed() -> dict[str, str]:
    """Return the environment for a program that keeps its compiled code, as installed ones do.

    Else it would compile its own modules anew at each start, and Textual's not.
    """
    return {key: said for key, said in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}


def in_turns(
    rounds: int, action: Callable[[], object], anchor: Callable[[], object]
) -> tuple[list[float], list[float]]:
    """Return how many seconds an action and its anchor took in each round."""
    taken: list[float] = []
    bare: list[float] = []
    for _ in range(rounds):
        taken.append(seconds(action))
        bare.append(seconds(anchor))
    return taken, bare


def seconds(action: Callable[[], object]) -> float:
    """Return how many seconds an action takes."""
    began = time.perf_counter()
    action()
    return time.perf_counter() - began
