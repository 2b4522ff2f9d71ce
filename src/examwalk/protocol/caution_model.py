"""What a protocol file warns of: findings that disagree and findings that stop or refer.

The classes are like those of ``model``.
"""

from enum import Enum

from attrs import frozen

from examwalk.protocol.condition_model import Condition, DeviceEffect
from examwalk.protocol.key_types import Sides


class CheckSeverity(Enum):
    """How badly findings disagree, worst first."""

    IMPOSSIBLE = "impossible"
    UNLIKELY = "unlikely"
    LOOK_AGAIN = "look again"


class CheckStage(Enum):
    """When a cross-check speaks."""

    LIVE = "live"
    """As soon as its findings are in."""
    REVIEW = "review"
    """Once the exam is reviewed: it asks about what is still unanswered, or counts findings."""
    SUMMARY = "summary"
    """Once the features are settled, which it may ask about."""


@frozen
class Crosscheck:
    """Findings that do not fit together."""

    id: str
    severity: CheckSeverity
    when: Condition
    says: str
    recheck: tuple[str, ...]
    """Tests to look at again, the first one first."""
    basis: tuple[str, ...]
    sides: Sides = Sides.EACH
    stage: CheckStage = CheckStage.LIVE
    why: str = ""


@frozen
class Caution:
    """A finding that stops, changes or refers."""

    id: str
    title: str
    when: Condition
    urgency: str
    device: DeviceEffect
    says: str
    basis: tuple[str, ...]
    refer_to: str = ""
    sides: Sides = Sides.EACH
    for_patient: str = ""
    """What the patient must know, in words for the patient; left out, the title stands there."""
