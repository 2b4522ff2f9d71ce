"""The day on which a device is first worn: as it is typed, and whether it can be."""

from datetime import date, timedelta
from typing import Final

from examwalk.language import say

LATEST_START_DAYS: Final = 2 * 366
"""So long after the visit a device may first be worn; a later day is a slip of the keyboard."""


def typed_day(text: str) -> date:
    """Return a day that was typed as 2027-01-31.

    Raises:
        ValueError: this is no day; the message says how one is written.
    """
    try:
        return date.fromisoformat(text)
    except ValueError:
        message = say("“{text}” is no day; write it as 2027-01-31, year, month, day.", text=text)
        raise ValueError(message) from None


def unlikely_start(starts: date, visited: date) -> str:
    """Say why a device cannot be first worn on a day, or nothing where it can."""
    if timedelta(0) <= starts - visited <= timedelta(days=LATEST_START_DAYS):
        return ""
    return say(
        "{date} cannot be the first day of wear: it lies before the visit of {visit} or more than"
        " two years after it.",
        date=starts.isoformat(),
        visit=visited.isoformat(),
    )
