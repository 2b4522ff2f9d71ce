"""How far one finding may be off: a grade by one grade, a number by one error of measurement.

Choices are left as they are: their options have no order, so that none is one grade away.
"""

from collections.abc import Iterator
from enum import Enum

from attrs import frozen

from examwalk.protocol.entry import as_recorded
from examwalk.protocol.exam_model import Kind, Test
from examwalk.protocol.model import Protocol
from examwalk.reasoning.agreement import Origin, agreement_at
from examwalk.reasoning.case import Case
from examwalk.reasoning.misgrading import Remeasured
from examwalk.reasoning.values import touched_by
from examwalk.session.model import Answer, Place


class Size(Enum):
    """What says how far an answer is moved."""

    GRADE = "grade"
    """One grade."""
    PUBLISHED = "published"
    """The error of measurement that was published."""
    ASSUMED = "assumed"
    """The error that the protocol assumes."""
    STEP = "step"
    """One step of the test, for want of an error."""


@frozen
class Nudge:
    """One finding as it would be if it were off by one grade or by one error."""

    place: Place
    before: Answer
    after: Answer
    size: Size
    amount: float
    """In grades, or in the unit of the test; rounded to its step, and one step at the least."""
    is_up: bool
    """Whether it is moved towards the higher grades or numbers."""


def nudges(case: Case) -> tuple[Nudge, ...]:
    """Return both ways of every finding that a feature or a caution looks at, in exam order."""
    return tuple(
        nudge
        for place in case.places
        if place in case.answers and not touched_by(case.protocol, place).is_nothing
        for nudge in nudges_at(case.protocol, place, case.answers[place])
    )


def nudges_at(protocol: Protocol, place: Place, answer: Answer) -> Iterator[Nudge]:
    """Yield an answer one lower and one higher, as far as its scale or limits reach."""
    test = protocol.tests_by_id[place.test]
    if test.kind is Kind.GRADE:
        grades = protocol.scale_of(test).grades
        rank = grades.index(str(answer))
        for step in (-1, 1):
            if 0 <= rank + step < len(grades):
                yield Nudge(place, answer, grades[rank + step], Size.GRADE, 1, step > 0)
    elif test.kind is Kind.MEASURE:
        assert isinstance(answer, int | float)
        yield from _moved_numbers(protocol, test, place, answer)


def _moved_numbers(
    protocol: Protocol, test: Test, place: Place, answer: int | float
) -> Iterator[Nudge]:
    found = _error(protocol, test, place, answer)
    if found is None:
        return
    size, error = found
    amount = max(1, round(error / test.step)) * test.step
    assert test.hard is not None
    low, high = test.hard
    for direction in (-1, 1):
        moved = round(min(max(answer + direction * amount, low), high), 6)
        if moved != answer:
            after = as_recorded(moved)
            yield Nudge(place, answer, after, size, round(amount, 6), direction > 0)


def _error(
    protocol: Protocol, test: Test, place: Place, answer: Answer
) -> tuple[Size, float] | None:
    """Return the standard error of measurement of a test, or nothing where it is only asked.

    A published error of two examiners comes first, as anyone may repeat the test; else the one
    that the protocol assumes, else one step. A position for which the protocol assumes no error
    of any kind, such as the interview, is asked and not measured.
    """
    agreement = agreement_at(protocol, place, answer, same_examiner=False)
    if isinstance(agreement.repeat, Remeasured):
        assumed = agreement.origin is Origin.ASSUMED
        return Size.ASSUMED if assumed else Size.PUBLISHED, agreement.repeat.error
    assumptions = protocol.assumed_agreement.values()
    if assumptions and all(test.position in one.except_in for one in assumptions):
        return None
    return Size.STEP, float(test.step)
