"""Whether an answer is certain, without its reasons.

Most rules of a protocol do not hold for a patient, and of these nothing is said. A verdict asks
every part of a condition, to name the findings of each; to know that a rule surely does not hold
the first part that decides is enough. So this is asked first, and the verdict where it is needed.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from examwalk.reasoning.conditions_met import SettledFeatures

if TYPE_CHECKING:
    from examwalk.reasoning.case import Case

Certainty = Callable[["Case", SettledFeatures], bool | None]
"""Says whether a verdict is final, and true or false; nothing says that it may not be final."""


def all_certain(parts: Sequence[Certainty]) -> Certainty:
    """Return whether it is certain that all parts hold: one that surely does not decides."""
    return _decided_by(parts, decisive=False)


def any_certain(parts: Sequence[Certainty]) -> Certainty:
    """Return whether it is certain that any part holds: one that surely does decides."""
    return _decided_by(parts, decisive=True)


def _decided_by(parts: Sequence[Certainty], *, decisive: bool) -> Certainty:
    otherwise = not decisive

    def certainty(case: Case, features: SettledFeatures) -> bool | None:
        outcome: bool | None = otherwise
        for part in parts:
            found = part(case, features)
            if found is decisive:
                return decisive
            if found is None:
                outcome = None
        return outcome

    return certainty


def none_certain(parts: Sequence[Certainty]) -> Certainty:
    """Return whether it is certain that no part holds: the opposite of whether any does."""
    any_holds = any_certain(parts)

    def certainty(case: Case, features: SettledFeatures) -> bool | None:
        found = any_holds(case, features)
        return None if found is None else not found

    return certainty


def count_certain(count: int, parts: Sequence[Certainty]) -> Certainty:
    """Return whether it is certain that this many parts hold."""

    def certainty(case: Case, features: SettledFeatures) -> bool | None:
        found = [part(case, features) for part in parts]
        if found.count(True) >= count:
            return True
        return False if len(found) - found.count(False) < count else None

    return certainty
