"""Which findings would bring something about if they were others: one, else a few together.

Every set of answers that is returned has been tried. For each place it is the nearest answer that
does it. A number is tried where conditions cut and over its whole range, and then brought as near
to what was found as it still does it.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import islice, product

from attrs import frozen

from examwalk.protocol.condition_model import COMPARISONS, Condition
from examwalk.protocol.entry import as_recorded
from examwalk.protocol.exam_model import Kind, Test
from examwalk.protocol.model import Protocol
from examwalk.protocol.wording import answers_of
from examwalk.reasoning.case import Case
from examwalk.reasoning.mentions import conditions_in, mentions, parts_of
from examwalk.reasoning.places import places_of
from examwalk.reasoning.results import Truth
from examwalk.session.model import Answer, Place, Side

Replaced = Mapping[Place, Answer]
Try = Callable[[Replaced], bool]

MOST_TRIES = 400
"""How many answers are tried one at a time before the search is given up."""
MOST_TOGETHER = 3
"""How many findings are replaced at once."""
MOST_SETS = 60
"""How many sets of findings are tried for one way."""
STEPS_OF_A_RANGE = 12


@frozen
class Wanted:
    """A condition that would have to turn, with what says whether it does."""

    condition: Condition
    turns_with: Try


def one_replaced(
    case: Case, conditions: Sequence[Condition], side: Side, does_it: Try
) -> Iterator[Replaced]:
    """Yield every single finding that would do it if it were another.

    Args:
        case: the findings under their protocol.
        conditions: where to look: the tests that they mention, through derived values too.
        side: the side that is judged; its tests are tried before those of the other.
        does_it: says whether what is sought comes about with findings replaced.
    """
    search = _Search(case, does_it)
    for place in _places(case, conditions, side):
        answer = search.nearest(place)
        if answer is not None:
            yield {place: answer}


def few_replaced(
    case: Case, wanted: Sequence[Wanted], side: Side, does_it: Try
) -> Iterator[Replaced]:
    """Yield sets of a few findings that would do it together, each set turning every condition.

    Args:
        case: the findings under their protocol.
        wanted: the conditions that have to turn, each of which one finding can turn.
        side: the side that is judged.
        does_it: says whether what is sought comes about with findings replaced.
    """
    turning = [list(one_replaced(case, (one.condition,), side, one.turns_with)) for one in wanted]
    sets: dict[frozenset[tuple[Place, Answer]], Replaced] = {}
    for parts in islice(product(*turning), MOST_SETS):
        joined: dict[Place, Answer] = {}
        for part in parts:
            joined = {**part, **joined}
        if 1 < len(joined) <= MOST_TOGETHER:
            sets[frozenset(joined.items())] = joined
    yield from (one for one in sorted(sets.values(), key=len) if does_it(one))


def _places(case: Case, conditions: Sequence[Condition], side: Side) -> list[Place]:
    """Return the places that conditions look at: this side and the whole person's first."""
    names: set[str] = set()
    for condition in conditions:
        names |= mentions(case.protocol, condition).tests
    places = [
        place
        for test in case.protocol.tests_in_order
        if test.id in names and test.kind is not Kind.TEXT
        for place in places_of(test)
        if case.indicated(test, place.side).truth is not Truth.FALSE
    ]
    return sorted(places, key=lambda place: side is not Side.WHOLE and place.side is side.other)


class _Search:
    def __init__(self, case: Case, does_it: Try) -> None:
        self.case = case
        self.does_it = does_it
        self.tries_left = MOST_TRIES

    def _try(self, replaced: Replaced) -> bool:
        self.tries_left -= 1
        return self.tries_left >= 0 and self.does_it(replaced)

    def nearest(self, place: Place) -> Answer | None:
        """Return the answer nearest to the one found that does it alone."""
        test = self.case.protocol.tests_by_id[place.test]
        now = self.case.answers.get(place)
        for answer in possible_answers(self.case.protocol, test, now):
            if self._try({place: answer}):
                return self._nearer(test, place, now, answer)
        return None

    def _nearer(self, test: Test, place: Place, now: Answer | None, answer: Answer) -> Answer:
        """Halve the way from what was found to a number that does it, as long as it does."""
        if not isinstance(now, int | float) or not isinstance(answer, int | float):
            return answer
        failing, doing = float(now), float(answer)
        while abs(round((doing - failing) / test.step)) > 1:
            steps = round((doing - failing) / test.step) // 2
            middle = round(failing + steps * test.step, 6)
            if self._try({place: as_recorded(middle)}):
                doing = middle
            else:
                failing = middle
            if self.tries_left <= 0:
                break
        return as_recorded(doing)


def possible_answers(protocol: Protocol, test: Test, now: Answer | None) -> Iterator[Answer]:
    """Yield the other answers a test can have, the nearest to the present one first."""
    if test.kind is Kind.MEASURE:
        yield from _numbers(protocol, test, now)
        return
    known = list(answers_of(protocol, test))
    if test.kind is Kind.GRADE and now in known:
        ranks = {grade: rank for rank, grade in enumerate(known)}
        known.sort(key=lambda grade: abs(ranks[grade] - ranks[str(now)]))
    if test.several:
        yield from _with_one_changed(test, known, now)
        return
    yield from (answer for answer in known if answer != now)


def _with_one_changed(test: Test, known: Sequence[str], now: Answer | None) -> Iterator[Answer]:
    chosen = tuple(one for one in now if one not in test.alone) if isinstance(now, tuple) else ()
    for option in known:
        if option in test.alone:
            changed: tuple[str, ...] = (option,)
        elif option in chosen:
            changed = tuple(one for one in chosen if one != option)
        else:
            changed = (*chosen, option)
        if changed and changed != now:
            yield changed


def _numbers(protocol: Protocol, test: Test, now: Answer | None) -> Iterator[int | float]:
    """Yield numbers on both sides of every cut, and some over the whole range."""
    assert test.hard is not None
    low, high = test.hard
    cuts = {limit for limit in _limits(protocol, test.id) if low <= limit <= high}
    near = {value for cut in cuts for value in (cut - test.step, cut, cut + test.step)}
    spread = (high - low) / STEPS_OF_A_RANGE
    steps = (round(number * spread / test.step) * test.step for number in range(STEPS_OF_A_RANGE))
    near |= {low + step for step in steps} | {high}
    values = {as_recorded(round(value, 6)) for value in near if low <= value <= high}
    here = now if isinstance(now, int | float) else sum(test.usual or test.hard) / 2
    yield from sorted(values - {now}, key=lambda value: (abs(value - here), value))


def _limits(protocol: Protocol, name: str) -> Iterator[float]:
    for whole in conditions_in(protocol):
        for part in parts_of(whole):
            if part.test == name:
                for comparison in COMPARISONS:
                    limit = getattr(part, comparison)
                    if isinstance(limit, int | float) and not isinstance(limit, bool):
                        yield limit
