"""What a protocol file says of changes that matter, as classes like those of ``model``."""

from enum import Enum

from attrs import frozen

from examwalk.protocol.key_types import Number


class Better(Enum):
    """Which way a number moves when the patient gets better."""

    LOWER = "lower"
    HIGHER = "higher"


@frozen
class ImportantChange:
    """The smallest change of an outcome that matters to patients (minimal important change)."""

    change: Number
    """In the unit of the test."""
    better: Better
    source: str
    note: str = ""
