"""What a protocol file says to the patient beside its words, as classes like those of ``model``."""

from enum import Enum

from attrs import frozen


class PatientSection(Enum):
    """Under which heading of the page for the patient an advice stands."""

    CALL = "call"
    """When to stop and call at once."""
    DEVICE = "device"
    """What the device is and does."""
    WEARING = "wearing"
    """How to wear the device in."""
    HURTS = "hurts"
    """What to do if it hurts."""
    SKIN = "skin"
    """Looking after the feet."""
    EXERCISE = "exercise"
    SHOES = "shoes"
    CARE = "care"
    """Looking after the device."""
    REVIEW = "review"
    """The next visits."""
    MORE = "more"
    """Other advice."""


@frozen
class WearingIn:
    """How long a new device is worn on each day, until it is worn in."""

    first_minutes: int
    """On the first day."""
    add_minutes: int
    """So much longer on each following day."""
    full_minutes: int
    """On the last day of the plan, and at most on any."""
    tick: str = ""
    """What the patient ticks off on each day, as the heading of a column."""

    @property
    def minutes_by_day(self) -> tuple[int, ...]:
        """The minutes of the first day, the second, and so on to the last."""
        grown = range(self.first_minutes, self.full_minutes, self.add_minutes)
        return (*grown, self.full_minutes)
