"""What a protocol file asks about findings, as a class like those of ``model``."""

from attrs import frozen

from examwalk.protocol.key_types import Number, OneOfEach, Scalar, key_field


class SideScope(OneOfEach):
    """Which side a condition looks at, seen from the side that is being judged."""

    SAME = "same"
    OTHER = "other"
    EITHER = "either"
    BOTH = "both"
    DIFFERENCE = "difference"
    """The amount by which left and right differ, never negative."""
    EXCESS = "excess"
    """This side minus the other side."""


class DeviceEffect(OneOfEach):
    """What a caution does to a device: stop it, change it, or leave it."""

    STOP = "stop"
    MODIFY = "modify"
    ALLOW = "allow"


@frozen(cache_hash=True)
class Condition:
    """A question about findings, answered true, false or unknown.

    Exactly one subject is given: ``test``, ``derived``, ``feature``, ``caution``,
    ``any_caution``, ``all``, ``any``, ``not`` or ``count``. The comparisons that stand beside it
    must all hold.
    """

    test: str | None = None
    derived: str | None = None
    feature: str | None = None
    caution: str | None = None
    any_caution: DeviceEffect | None = None
    """True when any caution with this effect on a device is raised."""
    all: tuple["Condition", ...] | None = None
    any: tuple["Condition", ...] | None = None
    not_: "Condition | None" = key_field("not", default=None)
    count: tuple["Condition", ...] | None = None
    """True when at least ``at_least`` of these conditions hold."""

    side: SideScope = SideScope.SAME
    is_: Scalar | None = key_field("is", default=None)
    is_not: Scalar | None = None
    one_of: tuple[Scalar, ...] | None = None
    at_least: Scalar | None = None
    at_most: Scalar | None = None
    above: Scalar | None = None
    below: Scalar | None = None
    includes: str | None = None
    """For a choice of several: this option is among those chosen."""
    includes_any: tuple[str, ...] | None = None
    is_this_side: bool | None = None
    """For a choice of ``left``, ``right`` and ``both``: it names the side being judged."""
    answered: bool | None = None
    """Whether the test has an answer; the only comparison that is never unknown."""
    cut_at_least: Number | None = None
    """For a feature: upper bounds took at least this much off its value."""


def both_of(one: Condition | None, other: Condition | None) -> Condition | None:
    """Return what holds where two conditions hold; none is one that always does."""
    if one is None or other is None:
        return one or other
    return Condition(all=(one, other))


SUBJECTS = ("test", "derived", "feature", "caution", "any_caution", "all", "any", "not_", "count")
COMPARISONS = (
    "is_",
    "is_not",
    "one_of",
    "at_least",
    "at_most",
    "above",
    "below",
    "includes",
    "includes_any",
    "is_this_side",
    "answered",
    "cut_at_least",
)
