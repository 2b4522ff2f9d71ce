"""The cautions of several visits side by side: what is new, what stays, what has gone."""

from collections.abc import Sequence
from enum import Enum

from attrs import frozen

from examwalk.protocol.caution_model import Caution
from examwalk.protocol.model import Protocol
from examwalk.reasoning.places import sides_of
from examwalk.reasoning.results import CautionRaised, Summary
from examwalk.session.model import Side


class CautionState(Enum):
    """How a caution stood at one visit."""

    RAISED = "raised"
    OPEN = "not-excluded"
    EXCLUDED = "excluded"
    NOT_ASKED = "not-asked"
    """Its protocol has no such caution."""


class CautionCourse(Enum):
    """How a caution went from the first visit to the last; in the order in which it is told."""

    NEW = "new"
    STILL = "still"
    OPEN = "not-excluded-now"
    NOT_ASKED = "not-looked-for-now"
    GONE = "excluded-now"


@frozen
class CautionChange:
    """A caution that was raised at one of the visits."""

    raised: CautionRaised
    """As raised at the latest visit that raised it."""
    course: CautionCourse
    states: tuple[CautionState, ...]
    """One for each visit."""


def caution_changes(
    protocols: Sequence[Protocol], summaries: Sequence[Summary], *, is_open: bool
) -> tuple[tuple[CautionChange, ...], int]:
    """Return the cautions raised at any visit, new ones first, and how many are held back.

    Args:
        protocols: of each visit, first to last.
        summaries: of each visit.
        is_open: whether the last visit is still open: what an earlier visit raised is then
            told only once the last one has raised or excluded it.
    """
    found: list[CautionChange] = []
    held_back = 0
    for caution in _united(protocols):
        for side in sides_of(caution.sides):
            pairs = zip(protocols, summaries, strict=True)
            states = tuple(_state(*pair, caution.id, side) for pair in pairs)
            if CautionState.RAISED not in states:
                continue
            if is_open and states[-1] in (CautionState.OPEN, CautionState.NOT_ASKED):
                held_back += 1
                continue
            raised = next(
                one
                for summary in reversed(summaries)
                for one in summary.cautions
                if (one.id, one.side) == (caution.id, side)
            )
            found.append(CautionChange(raised, _course(states), states))
    return _gravest_first(found, protocols[-1]), held_back


def _gravest_first(found: Sequence[CautionChange], protocol: Protocol) -> tuple[CautionChange, ...]:
    courses, urgencies = list(CautionCourse), list(protocol.urgencies)

    def rank(change: CautionChange) -> tuple[int, int]:
        urgency = change.raised.urgency
        known = urgencies.index(urgency) if urgency in urgencies else len(urgencies)
        return courses.index(change.course), known

    return tuple(sorted(found, key=rank))


def _united(protocols: Sequence[Protocol]) -> tuple[Caution, ...]:
    united: dict[str, Caution] = {}
    for protocol in reversed(protocols):
        for caution in protocol.cautions:
            united.setdefault(caution.id, caution)
    return tuple(united.values())


def _state(protocol: Protocol, summary: Summary, caution_id: str, side: Side) -> CautionState:
    if caution_id not in protocol.cautions_by_id:
        return CautionState.NOT_ASKED
    if any((one.id, one.side) == (caution_id, side) for one in summary.cautions):
        return CautionState.RAISED
    if any((one.id, one.side) == (caution_id, side) for one in summary.open_cautions):
        return CautionState.OPEN
    return CautionState.EXCLUDED


def _course(states: Sequence[CautionState]) -> CautionCourse:
    match states[-1]:
        case CautionState.RAISED:
            was_there = states[0] is CautionState.RAISED
            return CautionCourse.STILL if was_there else CautionCourse.NEW
        case CautionState.OPEN:
            return CautionCourse.OPEN
        case CautionState.NOT_ASKED:
            return CautionCourse.NOT_ASKED
    return CautionCourse.GONE
