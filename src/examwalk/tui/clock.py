"""The clock that visits are dated by, which tests replace."""

from collections.abc import Callable
from datetime import datetime

Clock = Callable[[], datetime]


def local_now() -> datetime:
    """Return the time of the clock, with its zone and without fractions of a second."""
    return datetime.now().astimezone().replace(microsecond=0)
