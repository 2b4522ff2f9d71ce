"""Is there any set of findings that makes a condition true? A search by the rules themselves.

The search supposes answers one at a time, only for tests that the verdict still lacks, and lets
the ordinary three-valued reasoning say whether the rest matters. Grades and options are tried one
by one; for several options each is supposed chosen or not; a number is narrowed by halves. So an
answer "none" is exact, and an example found is a small one.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from random import Random
from typing import Any

from attrs import evolve, frozen

from examwalk.protocol.condition_model import Condition
from examwalk.protocol.entry import as_recorded
from examwalk.protocol.exam_model import Kind, Test
from examwalk.protocol.model import Protocol
from examwalk.protocol.wording import answers_of
from examwalk.reasoning.contradicting import Wanted
from examwalk.reasoning.intervals import Interval, exactly
from examwalk.reasoning.logic import Verdict, conjunction, negation
from examwalk.reasoning.results import Truth
from examwalk.reasoning.supposed import Chosen, LeftOpen, Supposed, Supposition, Suppositions
from examwalk.session.model import Answer, Place, Side

MOST_STEPS = 1_000
SHORT_STEPS = 100
FEW_STEPS = 80
"""How long each order of trying is followed before the thorough search begins."""

Goal = Callable[[Supposed], Verdict]
"""What is to be made true."""


@frozen
class Together:
    """Conditions that must hold, or must fail, all at once; features count as open."""

    wanted: tuple[Wanted, ...]

    def __call__(self, case: Supposed) -> Verdict:
        """Say whether they all do so, given these suppositions."""

        def judged(condition: Condition, side: Side, holds: bool) -> Verdict:
            verdict = case.verdict(condition, side, case.open_features)
            return verdict if holds else negation(verdict)

        return conjunction(judged(*one) for one in self.wanted)


@frozen
class Example:
    """Findings that make a goal true; where nothing is said of a test, any answer will do."""

    answers: Mapping[Place, Answer]


@frozen
class Outcome:
    """What a search found."""

    example: Example | None
    undecided: bool = False
    """The search gave up, or the goal hangs on something that is not a finding."""

    @property
    def is_possible(self) -> bool:
        """Whether the goal can be made true, as far as is known."""
        return self.example is not None or self.undecided


def find_example(protocol: Protocol, goal: Goal, most_steps: int = MOST_STEPS) -> Outcome:
    """Search for findings that make a goal true.

    Args:
        protocol: what can be found.
        goal: given supposed findings, says whether what is sought holds.
        most_steps: how many sets of findings are tried before the search gives up.
    """
    for order, steps in (*((order, FEW_STEPS) for order in _orders()), (_as_listed, most_steps)):
        search = _Search(protocol, goal, steps, order)
        found = search.run({})
        if found is not None:
            return Outcome(Example(_smallest(protocol, goal, found)))
        if not search.gave_up:
            break
    return Outcome(None, undecided=search.is_undecided)


def find_shortly(protocol: Protocol, goal: Goal) -> Outcome:
    """Take the first steps of ``find_example``; what they settle it would settle the same way."""
    search = _Search(protocol, goal, SHORT_STEPS, _as_listed)
    found = search.run({})
    if found is not None:
        return Outcome(Example(_smallest(protocol, goal, found)))
    return Outcome(None, undecided=search.is_undecided)


def proves_impossible(protocol: Protocol, goal: Goal) -> bool:
    """Say whether a short search already shows that nothing makes a goal true."""
    search = _Search(protocol, goal, SHORT_STEPS, _as_listed)
    return search.run({}) is None and not search.is_undecided


Order = Callable[[Side, list[Supposition]], Sequence[Supposition]]
"""In which order the ways on are tried at a place on this side."""


def _as_listed(_: Side, ways: list[Supposition]) -> Sequence[Supposition]:
    return ways


def _last_first_on(*sides: Side) -> Order:
    def order(side: Side, ways: list[Supposition]) -> Sequence[Supposition]:
        return ways[::-1] if side in sides else ways

    return order


def _shuffled(seed: int) -> Order:
    """Return an order that differs from place to place, and is the same in every run."""
    random = Random(seed)

    def order(_: Side, ways: list[Supposition]) -> Sequence[Supposition]:
        return random.sample(ways, len(ways))

    return order


_SHUFFLES = 3


def _orders() -> Sequence[Order]:
    return (
        _as_listed,
        _last_first_on(*Side),
        _last_first_on(Side.LEFT),
        _last_first_on(Side.RIGHT),
        *(_shuffled(seed) for seed in range(_SHUFFLES)),
    )


class _Search:
    def __init__(self, protocol: Protocol, goal: Goal, most_steps: int, order: Order) -> None:
        self.protocol = protocol
        self.goal = goal
        self.steps_left = most_steps
        self.order = order
        self.gave_up = False
        self.hangs_on_features = False

    @property
    def is_undecided(self) -> bool:
        """Whether that nothing was found shows nothing."""
        return self.gave_up or self.hangs_on_features

    def run(self, supposed: Suppositions) -> Suppositions | None:
        """Return suppositions under which the goal holds, searching depth first."""
        self.steps_left -= 1
        if self.steps_left < 0:
            self.gave_up = True
            return None
        case = Supposed(self.protocol, supposed)
        asked = conjunction(
            case.indicated(self.protocol.tests_by_id[place.test], place.side) for place in supposed
        )
        verdict = conjunction((asked, self.goal(case)))
        if verdict.holds:
            return supposed
        if verdict.truth is Truth.FALSE:
            return None
        if not verdict.missing:
            self.hangs_on_features = True
            return None
        place = _deciding(case, verdict.missing[0])
        ways = list(_ways_on(self.protocol, place, supposed.get(place)))
        if place in case.asked_whether_answered:
            ways.append(LeftOpen())
        for supposition in self.order(place.side, ways):
            found = self.run({**supposed, place: supposition})
            if found is not None or self.gave_up or self.hangs_on_features:
                return found
        return None


def _deciding(case: Supposed, place: Place) -> Place:
    """Return what decides whether a place is asked at all, while that is open; else the place."""
    test = case.protocol.tests_by_id[place.test]
    asked = case.indicated(test, place.side)
    return _deciding(case, asked.missing[0]) if asked.is_unknown else place


def _ways_on(protocol: Protocol, place: Place, now: Supposition | None) -> Iterator[Supposition]:
    """Return the next suppositions about a place, which together leave nothing out."""
    if isinstance(now, LeftOpen):
        return
    test = protocol.tests_by_id[place.test]
    if test.kind is Kind.MEASURE:
        assert test.hard is not None
        interval = now if isinstance(now, Interval) else Interval(*test.hard)
        yield from _halves(interval, test)
    elif test.kind is Kind.CHOICE and test.several:
        yield from _with_next_option(protocol, test, now if isinstance(now, Chosen) else Chosen())
    else:
        yield from answers_of(protocol, test)


def _halves(interval: Interval, test: Test) -> Iterator[Interval]:
    """Split a range of a number's steps in two, the half nearer to usual numbers first.

    The last halves are single numbers.
    """
    steps = round((interval.high - interval.low) / test.step)
    if steps == 0:
        return
    middle = round(interval.low + steps // 2 * test.step, 6)
    halves = (
        Interval(interval.low, middle),
        Interval(round(middle + test.step, 6), interval.high),
    )
    usual = sum(test.usual or test.hard or (0, 0)) / 2
    yield from halves if usual <= middle else reversed(halves)


def _with_next_option(protocol: Protocol, test: Test, now: Chosen) -> Iterator[Chosen]:
    """Suppose the first open option not chosen, then chosen, which keeps examples small.

    An option that stands alone excludes all others, and they exclude it.
    """
    options = list(protocol.options_of(test))
    decided = now.included | now.excluded
    option = next(option for option in options if option not in decided)
    excluded = now.excluded | {option}
    if len(excluded) < len(options):
        yield evolve(now, excluded=excluded)
    if option not in test.alone:
        yield Chosen(now.included | {option}, now.excluded | frozenset(test.alone))
    elif not now.included:
        yield Chosen(frozenset({option}), frozenset(options) - {option})


def _smallest(protocol: Protocol, goal: Goal, found: Suppositions) -> Mapping[Place, Answer]:
    """Drop what the goal does not need, and settle what was supposed only in part."""
    supposed: dict[Place, Any] = {
        place: _settled(protocol, protocol.tests_by_id[place.test], supposition)
        for place, supposition in found.items()
    }
    for place in list(supposed):
        fewer = {other: value for other, value in supposed.items() if other != place}
        if _holds(protocol, goal, fewer):
            supposed = fewer
    return {
        place: _answer(value)
        for place, value in supposed.items()
        if not isinstance(value, LeftOpen)
    }


def _holds(protocol: Protocol, goal: Goal, supposed: Suppositions) -> bool:
    case = Supposed(protocol, supposed)
    asked = all(
        case.indicated(protocol.tests_by_id[place.test], place.side).holds for place in supposed
    )
    return asked and goal(case).holds


def _settled(protocol: Protocol, test: Test, supposition: Supposition) -> Supposition:
    if isinstance(supposition, Interval):
        low, high = supposition.low, supposition.high
        usual_low, _ = test.usual or (low, high)
        return exactly(min(max(low, usual_low), high))
    if isinstance(supposition, Chosen) and not supposition.included:
        options = [*test.alone, *protocol.options_of(test)]
        option = next(option for option in options if option not in supposition.excluded)
        return evolve(supposition, included=frozenset({option}))
    return supposition


def _answer(supposition: str | Interval | Chosen) -> Answer:
    if isinstance(supposition, Interval):
        return as_recorded(supposition.low)
    if isinstance(supposition, Chosen):
        return tuple(sorted(supposition.included))
    return supposition
