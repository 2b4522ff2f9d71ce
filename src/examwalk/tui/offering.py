"""Which actions can do something in a visit as it is now."""

from collections.abc import Iterable

from examwalk.tui.action import Action, Needs
from examwalk.tui.open_visit import OpenVisit


def offered(visit: OpenVisit, actions: Iterable[Action]) -> tuple[Action, ...]:
    """Return those of some actions that would not be refused."""
    met = _met_needs(visit)
    return tuple(action for action in actions if action.needs in met)


def _met_needs(visit: OpenVisit) -> frozenset[Needs]:
    if visit.held_elsewhere:
        return frozenset({Needs.NOTHING})
    if visit.is_signed:
        return frozenset({Needs.NOTHING, Needs.SIGNED})
    how_far = Needs.FINISHED if visit.is_finished else Needs.OPEN
    return frozenset({Needs.NOTHING, Needs.UNSIGNED, how_far})
