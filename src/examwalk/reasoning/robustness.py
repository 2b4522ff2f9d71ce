"""Does a recommendation stand if one finding were one grade off?

Every finding that a recommendation or a caution looks at is moved by one grade, or by one error
of measurement, up and down, and everything is reasoned anew. What no such move changes stands;
the rest hangs on the findings that are named.
"""

from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations

from attrs import evolve, frozen

from examwalk.protocol.exam_model import Test
from examwalk.protocol.model import Protocol
from examwalk.reasoning.case import Case
from examwalk.reasoning.consequences import (
    CautionShift,
    Consequences,
    FeatureShift,
    Rank,
    consequences,
    rank_of,
)
from examwalk.reasoning.features import NOTHING_ORDERED, Ordered
from examwalk.reasoning.nudging import Nudge, nudges
from examwalk.reasoning.results import Truth
from examwalk.reasoning.settling import Value
from examwalk.reasoning.values import Values, reached_from, values_after, values_of
from examwalk.session.model import Place, Side

UNKNOWN_AGREEMENT = 0.5
"""Where a test without published agreement is ranked among those with one."""


@frozen
class Tried:
    """One finding, or two, moved, and what then comes out otherwise."""

    nudges: tuple[Nudge, ...]
    found: Consequences

    @property
    def places(self) -> tuple[Place, ...]:
        """Where the findings were moved."""
        return tuple(nudge.place for nudge in self.nudges)


@frozen
class Repeat:
    """A finding that something hangs on, and so one to repeat."""

    place: Place
    tried: tuple[Tried, ...]
    """What each way of moving it does; only those that do anything."""
    rank: Rank
    agreement: float | None
    """The least published agreement of the test (an ICC or a kappa), if any is known."""


@frozen
class Robustness:
    """What the recommendations of one case hang on."""

    tried: tuple[Tried, ...]
    """The moves that change anything, in the order of the exam."""
    moves: int
    """How many moves were tried."""
    repeat_first: tuple[Repeat, ...]
    """The gravest first; of equally grave ones, first the test on which examiners agree least."""
    pairs: tuple[Tried, ...] | None = None
    """What two findings do that neither does alone, the gravest first; nothing if not tried."""

    def on_feature(self, name: str, side: Side) -> tuple[tuple[Tried, FeatureShift], ...]:
        """Return the moves that change a feature on a side, and to what; none if it stands."""
        return tuple(
            (tried, change)
            for tried in self.tried
            for change in tried.found.features
            if (change.id, change.side) == (name, side)
        )

    def hangs_on(self, name: str, side: Side) -> tuple[Place, ...]:
        """Return the findings that a feature hangs on, each once."""
        places = (tried.places for tried, _ in self.on_feature(name, side))
        return tuple(dict.fromkeys(place for several in places for place in several))

    @property
    def would_raise(self) -> tuple[tuple[Tried, CautionShift], ...]:
        """The moves that would raise a caution."""
        return tuple(pair for pair in self._on_cautions() if pair[1].is_raised)

    @property
    def would_take_away(self) -> tuple[tuple[Tried, CautionShift], ...]:
        """The moves that would take a raised caution away."""
        return tuple(pair for pair in self._on_cautions() if pair[1].is_taken_away)

    def _on_cautions(self) -> Iterator[tuple[Tried, CautionShift]]:
        return ((tried, change) for tried in self.tried for change in tried.found.cautions)


class Trial:
    """Moves the findings of one case; it can be stopped at any time, and told what it has.

    Args:
        case: the findings under their protocol.
        ordered: what the clinician has ordered; later features follow it.
    """

    def __init__(self, case: Case, ordered: Ordered = NOTHING_ORDERED) -> None:
        self.protocol = case.protocol
        self._case = case
        self._ordered = ordered
        self._before = values_of(case, ordered)
        self.nudges = nudges(case)
        """What is moved, one after the other."""
        self._after: list[_Moved] = []

    def single(self) -> Iterator[Tried]:
        """Yield what each move does, also where that is nothing, as far as not done before."""
        for nudge in self.nudges[len(self._after) :]:
            case = self._case.with_changes({nudge.place: nudge.after})
            values = values_after(self._before, case, (nudge.place,), self._ordered)
            self._after.append(_Moved(nudge, case, values))
            yield Tried((nudge,), consequences(self.protocol, self._before, values))

    def pairs(self) -> Iterator[Tried]:
        """Yield for every two moves of different findings what neither of them does alone.

        Two findings that lead to no feature and no caution in common do nothing together.
        """
        for _ in self.single():
            pass
        protocol = self.protocol
        reach = {nudge.place: reached_from(protocol, nudge.place) for nudge in self.nudges}
        for one, other in combinations(self._after, 2):
            pair = (one.nudge, other.nudge)
            first, second = (nudge.place for nudge in pair)
            if first == second:
                continue
            found = Consequences()
            if not reach[first].isdisjoint(reach[second]):
                found = self._together(one, other)
            yield Tried(pair, found)

    def count_pairs(self) -> int:
        """Return how many pairs there are."""
        places = [nudge.place for nudge in self.nudges]
        return sum(first != second for first, second in combinations(places, 2))

    def _together(self, one: "_Moved", other: "_Moved") -> Consequences:
        nudge = other.nudge
        case = one.case.with_changes({nudge.place: nudge.after})
        values = values_after(one.values, case, (nudge.place,), self._ordered)
        found = consequences(self.protocol, self._before, values)
        if found.is_nothing:
            return found
        return evolve(
            found,
            features=tuple(
                change
                for change in found.features
                if change.value_after not in (one.value_of(change), other.value_of(change))
            ),
            cautions=tuple(
                change
                for change in found.cautions
                if change.after not in (one.truth_of(change), other.truth_of(change))
            ),
        )


@frozen(eq=False)
class _Moved:
    """One finding moved, and the values that then come out."""

    nudge: Nudge
    case: Case
    values: Values

    def value_of(self, change: FeatureShift) -> Value | None:
        return self.values.features[change.id, change.side].value

    def truth_of(self, change: CautionShift) -> Truth:
        return self.values.cautions[change.id, change.side]


def robustness_of(case: Case, ordered: Ordered = NOTHING_ORDERED) -> Robustness:
    """Return what the recommendations of a case hang on."""
    trial = Trial(case, ordered)
    return gathered(case.protocol, tuple(trial.single()))


def gathered(protocol: Protocol, tried: Sequence[Tried]) -> Robustness:
    """Put together what single moves did, all of them or as many as were tried."""
    telling = tuple(one for one in tried if not one.found.is_nothing)
    return Robustness(telling, len(tried), _repeat_first(protocol, telling))


def _repeat_first(protocol: Protocol, telling: Iterable[Tried]) -> tuple[Repeat, ...]:
    by_place: dict[Place, list[Tried]] = {}
    for one in telling:
        for place in one.places:
            by_place.setdefault(place, []).append(one)
    repeats = [
        Repeat(
            place=place,
            tried=tuple(several),
            rank=rank_of(one.found for one in several),
            agreement=least_agreement(protocol.tests_by_id[place.test]),
        )
        for place, several in by_place.items()
    ]
    return tuple(sorted(repeats, key=_order))


def _order(repeat: Repeat) -> tuple[Rank, float]:
    agreement = UNKNOWN_AGREEMENT if repeat.agreement is None else repeat.agreement
    return repeat.rank, agreement


def least_agreement(test: Test) -> float | None:
    """Return the least agreement that is published of a test; nothing where none is."""
    known = [
        float(figure.coefficient) for figure in test.reliability if figure.coefficient is not None
    ]
    return min(known, default=None)


def with_pairs(robustness: Robustness, tried: Iterable[Tried]) -> Robustness:
    """Add what was found by moving two findings at once."""
    telling = (one for one in tried if not one.found.is_nothing)
    ranked = sorted(telling, key=lambda one: rank_of((one.found,)))
    return evolve(robustness, pairs=tuple(ranked))
