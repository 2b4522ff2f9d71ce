"""What a condition lacks to be true: its parts that stand in the way, and no others."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations, product

from attrs import frozen

from examwalk.protocol.condition_model import Condition
from examwalk.reasoning.case import Case
from examwalk.reasoning.conditions_met import SettledFeatures
from examwalk.reasoning.logic import Verdict
from examwalk.reasoning.results import Truth
from examwalk.session.model import Side


@frozen
class Unmet:
    """One question of a condition whose answer would have to be another."""

    condition: Condition
    side: Side
    """From which side it is asked."""
    wanted: bool
    """Whether it would have to hold, or to fail."""
    verdict: Verdict
    """How it stands now."""


@frozen
class Lacking:
    """Parts of which so many, or all, would have to be otherwise."""

    parts: tuple[Unmet | Lacking, ...]
    needed: int

    @property
    def all_needed(self) -> bool:
        """Whether every part would have to be otherwise."""
        return self.needed == len(self.parts)

    @property
    def size(self) -> int:
        """How many single answers would have to be otherwise, at the least."""
        sizes = sorted(part.size if isinstance(part, Lacking) else 1 for part in self.parts)
        return sum(sizes[: self.needed])

    @classmethod
    def any_of(cls, parts: Sequence[Unmet | Lacking]) -> Lacking:
        """Return that one of these would do."""
        return cls(tuple(parts), min(1, len(parts)))


def lacking(
    case: Case, condition: Condition, side: Side, features: SettledFeatures, wanted: bool = True
) -> Lacking | None:
    """Return what keeps a condition from holding (or from failing), or nothing if it does.

    Args:
        case: the findings under their protocol.
        condition: what is asked.
        side: the side that is judged.
        features: the features settled before.
        wanted: whether it should hold, or fail.
    """
    if condition.not_ is not None:
        return lacking(case, condition.not_, side, features, not wanted)
    verdict = case.verdict(condition, side, features)
    if verdict.truth is (Truth.TRUE if wanted else Truth.FALSE):
        return None
    inside = condition.all or condition.any or condition.count
    if inside is None:
        return Lacking((Unmet(condition, side, wanted, verdict),), 1)
    found = (lacking(case, part, side, features, wanted) for part in inside)
    parts = [part for part in found if part is not None]
    needed = _how_many(condition, len(inside), wanted) - (len(inside) - len(parts))
    if len(parts) == 1:
        return parts[0]
    if needed == len(parts):
        flat = _flattened(parts)
        return Lacking(flat, len(flat))
    return Lacking(tuple(one.parts[0] if len(one.parts) == 1 else one for one in parts), needed)


def _how_many(condition: Condition, parts: int, wanted: bool) -> int:
    """Return how many parts must hold (or fail) for the whole to hold (or fail)."""
    if condition.count is not None:
        assert isinstance(condition.at_least, int)
        return condition.at_least if wanted else parts - condition.at_least + 1
    return parts if (condition.all is not None) is wanted else 1


def _flattened(parts: Sequence[Lacking]) -> tuple[Unmet | Lacking, ...]:
    """Take up the parts of parts that are all needed, so that they stand side by side."""
    flat: list[Unmet | Lacking] = []
    for part in parts:
        flat.extend(part.parts if part.all_needed else [part])
    return tuple(flat)


def enough(lacks: Lacking) -> Iterator[tuple[Unmet, ...]]:
    """Yield the sets of single answers that would be enough, were they otherwise."""
    for chosen in combinations(lacks.parts, lacks.needed):
        ways = ([(part,)] if isinstance(part, Unmet) else list(enough(part)) for part in chosen)
        for together in product(*ways):
            yield tuple(unmet for unmets in together for unmet in unmets)
