"""How long simulated repeat examinations take, beside starting an empty Python."""

import subprocess
import sys

from examwalk.reasoning.reproducing import DEFAULT_SEED, Simulation

from .a_visit import adult, full_visit
from .figures import Figure
from .timing import in_turns

REPEATS = 100
BUDGET = 37.5
"""6 s for 2,000 repeats, where an empty Python starts in 8 ms: 300 ms for 100."""


def repeating(rounds: int) -> list[Figure]:
    """The first repeats of a full visit; what is remembered makes later ones no slower."""
    protocol, visit = adult(), full_visit()

    def repeat() -> None:
        simulation = Simulation(protocol, visit, seed=DEFAULT_SEED)
        for _ in simulation.run(REPEATS):
            pass

    def start() -> None:
        subprocess.run([sys.executable, "-c", "pass"], check=True, timeout=60)

    taken, bare = in_turns(rounds, repeat, start)
    return [Figure(f"{REPEATS} repeat examinations", taken, "an empty Python", bare, BUDGET)]
