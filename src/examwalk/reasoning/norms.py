"""Where a measured or worked-out number lies among the people of its references.

A z score is the distance from the mean in standard deviations, (x - mean) / SD; the percentile is
the share of the normal curve below it (a textbook formula, from memory). A reference is used only
for the ages and the sex it was made in: nothing is carried on beyond them.
"""

from enum import Enum
from statistics import NormalDist

from attrs import frozen

from examwalk.protocol.derived_model import Derived
from examwalk.protocol.exam_model import Kind, Test
from examwalk.protocol.model import Protocol
from examwalk.protocol.norm_model import Norm
from examwalk.reasoning.case import Case
from examwalk.reasoning.places import sides_of
from examwalk.session.model import Answer, Place, Side

UNUSUAL_FROM_SD = 2
"""A population whose centre lies further from another's mean than this disagrees with it; a
convention."""


class NoReference(Enum):
    """Why a number is set against no reference."""

    AGE = "age-not-covered"
    SEX = "sex-not-covered"
    AGE_UNKNOWN = "age-unknown"
    SEX_UNKNOWN = "sex-unknown"


@frozen
class Placed:
    """A number set against one reference."""

    norm: Norm
    z: float | None = None
    """Standard deviations above the mean; nothing without a mean and a spread above 0."""
    percentile: float | None = None
    """How many of 100 such people have less, from 0 to 100."""
    is_within: bool | None = None
    """Whether it lies within the limits; nothing where none are given."""

    @property
    def lacks_spread(self) -> bool:
        """Whether a mean is given from which no score can be worked out."""
        return self.norm.mean is not None and self.z is None


@frozen
class Referenced:
    """A number with every reference that is for this person."""

    id: str
    """The test or the derived value."""
    side: Side
    value: float
    placed: tuple[Placed, ...]
    none_because: NoReference | None = None
    """Why there is no reference, though the protocol has some."""

    @property
    def disagree(self) -> bool:
        """Whether some authors call normal what others do not, for this number or at all."""
        verdicts = {one.is_within for one in self.placed if one.is_within is not None}
        norms = [one.norm for one in self.placed]
        return len(verdicts) > 1 or any(_is_far_off(one, other) for one in norms for other in norms)


def _is_far_off(norm: Norm, other: Norm) -> bool:
    """Say whether the centre of one population is unusual in another."""
    centre = norm.mean if norm.mean is not None else norm.middle
    if centre is None or other.mean is None or other.sd is None or other.sd <= 0:
        return False
    return abs(centre - other.mean) > UNUSUAL_FROM_SD * other.sd


def references_of(case: Case) -> tuple[Referenced, ...]:
    """Return every settled number that the protocol has references for, in the exam's order."""
    found = [
        _referenced(case, item, side, float(answer))
        for item in case.protocol.tests_in_order
        if item.norms
        for side in sides_of(item.sides)
        if isinstance(answer := case.answers.get(Place(item.id, side)), int | float)
        and item.kind is Kind.MEASURE
    ]
    for derived in case.protocol.derived:
        for side in sides_of(derived.sides) if derived.norms else ():
            value = case.derived_value(derived, side)
            if value.interval is not None and value.is_settled:
                found.append(_referenced(case, derived, side, value.interval.low))
    return tuple(found)


def place(value: float, norm: Norm) -> Placed:
    """Set a number against a reference."""
    is_within = None
    if norm.low is not None or norm.high is not None:
        is_within = (norm.low is None or value >= norm.low) and (
            norm.high is None or value <= norm.high
        )
    if norm.mean is None or norm.sd is None or norm.sd <= 0:
        return Placed(norm, is_within=is_within)
    people = NormalDist(norm.mean, norm.sd)
    return Placed(norm, people.zscore(value), 100 * people.cdf(value), is_within)


def _referenced(case: Case, item: Test | Derived, side: Side, value: float) -> Referenced:
    protocol = case.protocol
    age = _asked_once(protocol, protocol.identity.age, case)
    sex = _asked_once(protocol, protocol.identity.sex, case)
    sexes = _sexes(protocol)
    # Who would rather not say is set against the tables of both.
    any_sex = sex is not None and sex not in sexes and len(sexes) > 1
    fitting = [
        norm
        for norm in item.norms
        if (any_sex or norm.sex in (None, sex)) and _is_of_age(norm, age)
    ]
    placed = tuple(place(value, norm) for norm in fitting)
    if placed:
        return Referenced(item.id, side, value, placed)
    return Referenced(item.id, side, value, (), _why_none(item.norms, age, sex))


def _sexes(protocol: Protocol) -> set[str]:
    """Return every sex that some reference is for."""
    items: tuple[Test | Derived, ...] = (*protocol.tests, *protocol.derived)
    return {norm.sex for item in items for norm in item.norms if norm.sex is not None}


def _why_none(norms: tuple[Norm, ...], age: Answer | None, sex: Answer | None) -> NoReference:
    if age is None and any(_has_ages(norm) for norm in norms):
        return NoReference.AGE_UNKNOWN
    if not any(_is_of_age(norm, age) for norm in norms):
        return NoReference.AGE
    return NoReference.SEX_UNKNOWN if sex is None else NoReference.SEX


def _asked_once(protocol: Protocol, name: str | None, case: Case) -> Answer | None:
    if name is None or name not in protocol.tests_by_id:
        return None
    return case.answers.get(Place(name, Side.WHOLE))


def _has_ages(norm: Norm) -> bool:
    return norm.age_from is not None or norm.age_to is not None


def _is_of_age(norm: Norm, age: Answer | None) -> bool:
    """Say whether a reference is for an age; one that names no ages is for every age."""
    if not _has_ages(norm):
        return True
    if not isinstance(age, int | float):
        return False
    # Ages are whole years lived: 29 holds until the thirtieth birthday.
    above = norm.age_from is None or age >= norm.age_from
    return above and (norm.age_to is None or age < norm.age_to + 1)
