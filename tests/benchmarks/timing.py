"""Taking the time of two things in turns, so that a busy moment hits both."""

import time
from collections.abc import Callable


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
