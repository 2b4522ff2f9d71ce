"""From published agreement to how an answer may come out when the examination is repeated.

Grades and choices. Two examinations of one patient are two looks at one state, so their answers
have a joint table whose margins are the prevalence: as published, else every answer equally often.
The table is the one in which

- an error goes to a neighbouring grade, as often to the one as to the other where both are equally
  common, as long as that can explain the disagreement;
- what neighbours cannot explain is a guess by prevalence. Options have no neighbours, so there all
  of it is.

Its weighted kappa is the published one, exactly, and what an answer may turn into is its row of
the table. An intraclass correlation of grades is taken as the kappa with quadratic weights: with
equal margins both are 1 less the mean squared difference over that expected by chance.

Measures. Both readings have a normal error with the standard error of measurement, so the second
lies around the first with √2 times that error; it is rounded to the step of the test and kept
within its limits. The error is the printed one, else the minimal detectable change over 1.96 √2,
else SD √(1 − ICC); Weir 2005, doi 10.1519/15184.1.
"""

import math
from collections.abc import Callable, Sequence
from itertools import accumulate
from random import Random

from attrs import frozen

from examwalk.protocol.reliability_model import Coefficient
from examwalk.session.model import Answer

Weights = Callable[[int, int], float]
"""How bad it is that one examiner finds this and the other that, by their numbers."""
Table = tuple[tuple[float, ...], ...]

_POWERS = {Coefficient.LINEAR_KAPPA: 1, Coefficient.QUADRATIC_KAPPA: 2, Coefficient.ICC: 2}


def weights_for(coefficient: Coefficient) -> Weights:
    """Return the disagreement weights that belong to a measure of agreement."""
    power = _POWERS.get(coefficient)
    if power is None:
        return lambda first, second: float(first != second)
    return lambda first, second: float(abs(first - second) ** power)


def joint_table(
    prevalence: Sequence[float], kappa: float, weights: Weights, *, ordered: bool
) -> Table:
    """Return how often each pair of answers is found in two examinations.

    Args:
        prevalence: how common each answer is; they add up to 1.
        kappa: the weighted kappa of the table, 0 to 1.
        weights: the disagreement weights of that kappa.
        ordered: whether the answers are grades, so that an error goes to a neighbour first.

    Raises:
        ValueError: only one answer is ever found, so that no agreement can be told from chance.
    """
    agreed = _diagonal(prevalence)
    guessed = tuple(tuple(one * other for other in prevalence) for one in prevalence)
    by_chance = _disagreement(guessed, weights)
    if not by_chance:
        raise ValueError("only one answer is ever found")
    if not ordered:
        return _mixed(agreed, guessed, 1 - kappa)
    next_door = _neighbours(prevalence)
    least = 1 - _disagreement(next_door, weights) / by_chance
    if kappa >= least:
        return _mixed(agreed, next_door, (1 - kappa) / (1 - least))
    return _mixed(next_door, guessed, 1 - kappa / least)


def _diagonal(prevalence: Sequence[float]) -> Table:
    numbers = range(len(prevalence))
    return tuple(tuple(prevalence[i] if i == j else 0.0 for j in numbers) for i in numbers)


def _neighbours(prevalence: Sequence[float]) -> Table:
    """Return the table in which half of what two neighbours share is mistaken for the other."""
    count = len(prevalence)
    table = [[0.0] * count for _ in range(count)]
    for i in range(count - 1):
        table[i][i + 1] = table[i + 1][i] = min(prevalence[i], prevalence[i + 1]) / 2
    for i, row in enumerate(table):
        row[i] = prevalence[i] - sum(row)
    return tuple(map(tuple, table))


def _mixed(first: Table, second: Table, share_of_second: float) -> Table:
    return tuple(
        tuple(
            (1 - share_of_second) * one + share_of_second * other
            for one, other in zip(row, other_row, strict=True)
        )
        for row, other_row in zip(first, second, strict=True)
    )


def _disagreement(table: Table, weights: Weights) -> float:
    return sum(share * weights(i, j) for i, row in enumerate(table) for j, share in enumerate(row))


@frozen
class Regraded:
    """What a grade or option may turn into: each answer with its share, in the file's order."""

    answers: tuple[str, ...]
    shares: tuple[float, ...]

    def draw(self, random: Random) -> Answer:
        """Return one repeated answer."""
        at = random.random() * sum(self.shares)
        for answer, reached in zip(self.answers, accumulate(self.shares), strict=True):
            if at < reached:
                return answer
        return self.answers[-1]


@frozen
class Remeasured:
    """How a measure may come out again."""

    recorded: float
    error: float
    """The standard error of measurement, in the unit of the test."""
    step: float
    low: float
    high: float

    @property
    def spread(self) -> float:
        """The standard deviation of the second reading around the first."""
        return math.sqrt(2) * self.error

    def draw(self, random: Random) -> Answer:
        """Return one repeated reading."""
        reading = random.gauss(self.recorded, self.spread)
        rounded = round(round(reading / self.step) * self.step, 6)
        return min(max(rounded, self.low), self.high)


Repeat = Regraded | Remeasured
