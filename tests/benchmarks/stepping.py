"""How long it takes to find what hangs on what, beside starting an empty Python.

An empty Python starts in 8 ms, so that the budgets are 3 ms for one evaluation, 150 ms for every
single move and 10 s for every pair of moves.
"""

import subprocess
import sys
from itertools import cycle, islice

from attrs import evolve

from examwalk.reasoning.fitting import case_of
from examwalk.reasoning.nudging import nudges
from examwalk.reasoning.robustness import Trial
from examwalk.reasoning.summary import summarise, summarise_case

from .a_visit import adult, full_visit
from .exporting import varied
from .figures import Figure
from .timing import in_turns

ANCHOR = "an empty Python"
EVALUATION_BUDGET = 0.375
SINGLE_BUDGET = 18.75
PAIRS_BUDGET = 1250
MOST_PAIRS = None
"""So many pairs are tried; none stands for all of them."""


def evaluating(rounds: int) -> list[Figure]:
    """All that follows, with reasons, after one finding of a full visit has changed.

    Each round changes another finding by a grade or an error, most of them for the first time.
    Another visit is one whose answers were all drawn anew, under a protocol already in use.
    """
    protocol, visit = adult(), full_visit()
    case = case_of(protocol, visit)
    summarise_case(case, {})
    changes = cycle(nudges(case))

    def evaluate() -> None:
        nudge = next(changes)
        summarise_case(case.with_changes({nudge.place: nudge.after}), {})

    def evaluate_first() -> None:
        summarise_case(case_of(evolve(protocol), visit), {})

    unseen = iter([varied(protocol, visit, number) for number in range(rounds)])

    def evaluate_unseen() -> None:
        summarise(protocol, next(unseen))

    first, bare_first = in_turns(rounds, evaluate_first, _start)
    other, bare_other = in_turns(rounds, evaluate_unseen, _start)
    taken, bare = in_turns(rounds, evaluate, _start)
    again, bare_again = in_turns(rounds, lambda: summarise_case(case, {}), _start)
    return [
        Figure("evaluation, nothing remembered", first, ANCHOR, bare_first, EVALUATION_BUDGET),
        Figure("evaluation of another visit", other, ANCHOR, bare_other, EVALUATION_BUDGET),
        Figure("evaluation after one change", taken, ANCHOR, bare, EVALUATION_BUDGET),
        Figure("evaluation, nothing changed", again, ANCHOR, bare_again, EVALUATION_BUDGET),
    ]


def stepping(rounds: int) -> list[Figure]:
    """Every single move of a full visit, when nothing of any move is remembered."""
    protocol, visit = adult(), full_visit()

    def step() -> None:
        for _ in Trial(case_of(evolve(protocol), visit)).single():
            pass

    taken, bare = in_turns(rounds, step, _start)
    return [Figure("every single move", taken, ANCHOR, bare, SINGLE_BUDGET)]


def pairing(rounds: int) -> list[Figure]:
    """Every two moves of a full visit, when nothing of any move is remembered."""
    protocol, visit = adult(), full_visit()

    def pair() -> None:
        for _ in islice(Trial(case_of(evolve(protocol), visit)).pairs(), MOST_PAIRS):
            pass

    taken, bare = in_turns(rounds, pair, _start)
    return [Figure("every two moves", taken, ANCHOR, bare, PAIRS_BUDGET)]


def _start() -> None:
    subprocess.run([sys.executable, "-c", "pass"], check=True, timeout=60)
