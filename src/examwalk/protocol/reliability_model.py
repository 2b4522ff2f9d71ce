"""What a protocol file says of published agreement, as classes like those of ``model``."""

from collections.abc import Mapping
from enum import Enum

from attrs import Factory, frozen

from examwalk.protocol.key_types import Number


class Coefficient(Enum):
    """Which measure of agreement a coefficient is."""

    ICC = "icc"
    """An intraclass correlation; of grades it is reckoned as the quadratic kappa."""
    KAPPA = "kappa"
    """Without weights: every other answer counts as equally wrong."""
    LINEAR_KAPPA = "linear-kappa"
    """Weighted by how many grades apart two answers are."""
    QUADRATIC_KAPPA = "quadratic-kappa"
    """Weighted by the square of how many grades apart two answers are."""


@frozen
class Reliability:
    """Published agreement of a test; empty fields were not found."""

    statistic: str
    """For example ``ICC(2,1) between examiners``."""
    value: str
    """As printed: one number, or a range."""
    source: str
    within_examiner: bool = False
    by_patient: bool = False
    """The patient's own answer given twice: it counts whoever asks."""
    minimal_detectable_change: Number | None = None
    """In the unit of the test, at 95 %."""
    standard_error: Number | None = None
    """The standard error of measurement, in the unit of the test."""
    standard_deviation: Number | None = None
    """Between people, in the unit of the test; with an ICC as ``coefficient`` it gives the
    standard error."""
    coefficient: Number | None = None
    """The ICC or kappa as one number; of a range its lower end."""
    coefficient_is: Coefficient = Coefficient.ICC
    prevalence: Mapping[str, Number] = Factory(dict)
    """How often each answer was found there; where nothing is given, equally often."""
    note: str = ""
