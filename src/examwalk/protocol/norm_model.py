"""What a protocol file says of reference values, as immutable classes like those of ``model``."""

from attrs import frozen

from examwalk.protocol.key_types import Number


@frozen
class Norm:
    """What was found in one population: a mean with its spread, a middle value, or limits."""

    population: str
    """Who was examined and how, in a few words: ``50 healthy adults``."""
    source: str
    age_from: Number | None = None
    """For people of this age in years or more."""
    age_to: Number | None = None
    """For people of this age in whole years or less: 29 holds until the thirtieth birthday."""
    sex: str | None = None
    """For people of this sex only: an option of the test that ``[protocol]`` names as ``sex``."""
    mean: Number | None = None
    """Stands with ``sd``; both together give a z score and a percentile."""
    sd: Number | None = None
    """The standard deviation between people."""
    middle: Number | None = None
    """A mean or median that was published without its spread; nothing is worked out from it."""
    low: Number | None = None
    """The lower limit of what the authors call normal."""
    high: Number | None = None
    """The upper limit of what the authors call normal."""
    limits: str = ""
    """What the limits are, where they have a name: ``68 % interval``."""
    note: str = ""
