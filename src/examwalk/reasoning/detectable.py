"""How much must an answer change before the change is more than error?

The minimal detectable change at 95 % is 1.96 · √2 · SEM, and SEM = SD · √(1 − ICC) (Weir 2005,
J Strength Cond Res 19:231-240, doi 10.1519/15184.1).
"""

import math
from collections.abc import Sequence
from enum import Enum

from attrs import frozen

from examwalk.protocol.reliability_model import Coefficient, Reliability

FROM_ERROR_TO_CHANGE = 1.96 * math.sqrt(2)
CHANCE = 0.20
"""Agreement up to here is hardly better than chance ("slight": Landis and Koch 1977, from
memory), so no change of grade can be told from error."""


class ErrorOf(Enum):
    """Whose error a figure describes."""

    WITHIN = "within-examiner"
    BETWEEN = "between-examiners"
    PATIENT = "patient"


@frozen
class Detectable:
    """The smallest change that is more than error."""

    change: float
    """In the unit of the test, in steps of its scale for a grade."""
    error_of: ErrorOf
    worked_out: bool
    """Whether it was worked out from a standard error, or printed as such."""
    source: str
    """The id of the source of the figure."""

    def is_too_small_for(self, same_examiner: bool | None) -> bool:
        """Whether the error of two examiners, which is not known, may be larger."""
        return self.error_of is ErrorOf.WITHIN and not same_examiner


def detectable_change(figure: Reliability) -> float | None:
    """Return the minimal detectable change of a figure: as printed, else worked out."""
    if figure.minimal_detectable_change is not None:
        return figure.minimal_detectable_change
    error = standard_error(figure)
    return None if error is None else FROM_ERROR_TO_CHANGE * error


def standard_error(figure: Reliability) -> float | None:
    """Return the standard error of measurement: as printed, else from spread and ICC."""
    if figure.standard_error is not None:
        return figure.standard_error
    is_icc = figure.coefficient is not None and figure.coefficient_is is Coefficient.ICC
    if figure.standard_deviation is None or not is_icc:
        return None
    # An ICC below 0 is possible and gives an error larger than the spread.
    return figure.standard_deviation * math.sqrt(1 - (figure.coefficient or 0))


def best_detectable(
    figures: Sequence[Reliability], *, same_examiner: bool | None
) -> Detectable | None:
    """Choose the figure for two answers; of several that fit, the largest.

    Args:
        figures: what is published on the test.
        same_examiner: whether one examiner found both; none where that is not known, which
            is taken as two examiners.
    """
    wanted = ErrorOf.WITHIN if same_examiner else ErrorOf.BETWEEN
    found = [
        Detectable(
            change=change,
            error_of=error_of(figure),
            worked_out=figure.minimal_detectable_change is None,
            source=figure.source,
        )
        for figure in figures
        if (change := detectable_change(figure)) is not None
    ]
    fitting = [one for one in found if one.error_of in (wanted, ErrorOf.PATIENT)]
    return max(fitting or found, key=lambda one: one.change, default=None)


def error_of(figure: Reliability) -> ErrorOf:
    """Say whose error a figure describes."""
    if figure.by_patient:
        return ErrorOf.PATIENT
    return ErrorOf.WITHIN if figure.within_examiner else ErrorOf.BETWEEN


def is_at_chance(figures: Sequence[Reliability]) -> bool:
    """Say whether all that is published of agreement is hardly better than chance."""
    known = [figure.coefficient for figure in figures if figure.coefficient is not None]
    return bool(known) and max(known) <= CHANCE
