"""Agreement of two raters on the same targets: kappa, intraclass correlation, limits of agreement.

Sources: Cohen 1960 and 1968, and Cicchetti and Allison 1971 for the linear weights of kappa (from
memory); Shrout and Fleiss 1979, doi 10.1037/0033-2909.86.2.420, for ICC(2,1); Bland and Altman
1986, doi 10.1016/S0140-6736(86)90837-8, for the limits of agreement, here with 1.96 SD.
"""

import math
from collections import Counter
from collections.abc import Callable, Hashable, Sequence
from statistics import fmean, stdev

from attrs import frozen

Pair = tuple[Hashable, Hashable]


def exact_share(pairs: Sequence[Pair]) -> float:
    """Return the share of pairs, at least one, in which both raters said the same."""
    return sum(one == other for one, other in pairs) / len(pairs)


def within_one_share(pairs: Sequence[tuple[int, int]]) -> float:
    """Return the share of pairs, at least one, of grades at most one apart."""
    return sum(abs(one - other) <= 1 for one, other in pairs) / len(pairs)


def kappa(pairs: Sequence[Pair]) -> float | None:
    """Return Cohen's kappa without weights; none where chance alone would agree always."""
    return _kappa(pairs, lambda one, other: float(one != other))


def linear_kappa(pairs: Sequence[tuple[int, int]]) -> float | None:
    """Return kappa of grades, weighted by how many grades apart they are; none as above."""
    return _kappa(pairs, _apart)


def quadratic_kappa(pairs: Sequence[tuple[int, int]]) -> float | None:
    """Return kappa of grades, weighted by the square of how many they are apart; none as above."""
    return _kappa(pairs, lambda one, other: _apart(one, other) ** 2)


def _apart(one: Hashable, other: Hashable) -> float:
    assert isinstance(one, int)
    assert isinstance(other, int)
    return float(abs(one - other))


def _kappa(
    pairs: Sequence[Pair], disagreement: Callable[[Hashable, Hashable], float]
) -> float | None:
    """Return 1 − observed / expected disagreement; a scale factor of the weights cancels out."""
    if not pairs:
        return None
    firsts, seconds = (Counter(pair[rater] for pair in pairs) for rater in (0, 1))
    observed = sum(disagreement(*pair) for pair in pairs) / len(pairs)
    expected = (
        sum(
            count * other_count * disagreement(one, other)
            for one, count in firsts.items()
            for other, other_count in seconds.items()
        )
        / len(pairs) ** 2
    )
    return 1 - observed / expected if expected else None


def icc_2_1(ratings: Sequence[Sequence[float]]) -> float | None:
    """Return ICC(2,1): two-way random effects, absolute agreement, one rating.

    Args:
        ratings: one row for each target, one number for each rater.

    Returns:
        None for fewer than two targets or raters, or where nothing varies.
    """
    targets = len(ratings)
    raters = len(ratings[0]) if ratings else 0
    if targets < 2 or raters < 2:
        return None
    mean = fmean(number for row in ratings for number in row)
    rows = [fmean(row) for row in ratings]
    columns = [fmean(column) for column in zip(*ratings, strict=True)]
    between_targets = raters * sum((one - mean) ** 2 for one in rows)
    between_raters = targets * sum((one - mean) ** 2 for one in columns)
    total = sum((number - mean) ** 2 for row in ratings for number in row)
    error = total - between_targets - between_raters
    targets_square = between_targets / (targets - 1)
    raters_square = between_raters / (raters - 1)
    error_square = error / ((targets - 1) * (raters - 1))
    spread = (
        targets_square
        + (raters - 1) * error_square
        + raters * (raters_square - error_square) / targets
    )
    return (targets_square - error_square) / spread if spread > 1e-12 else None


@frozen
class Limits:
    """How far the second of two raters lies from the first, in the unit of the test."""

    bias: float
    """Mean of first minus second."""
    deviation: float
    """Standard deviation of the differences."""

    @property
    def low(self) -> float:
        """The lower 95 % limit of agreement."""
        return self.bias - 1.96 * self.deviation

    @property
    def high(self) -> float:
        """The upper 95 % limit of agreement."""
        return self.bias + 1.96 * self.deviation


def limits_of_agreement(pairs: Sequence[tuple[float, float]]) -> Limits | None:
    """Return the limits of agreement; none for fewer than two pairs."""
    if len(pairs) < 2:
        return None
    differences = [first - second for first, second in pairs]
    deviation = stdev(differences)
    return Limits(fmean(differences), 0.0 if math.isclose(deviation, 0) else deviation)
