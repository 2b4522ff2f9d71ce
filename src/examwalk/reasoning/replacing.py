"""Which single findings, or two together, would bring something about if they were others.

Every answer that is returned has been tried; the nearest one that does it is returned for each
place. A number is tried where conditions cut and over its whole range, and then brought as near
to what was found as it still does it.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import combinations, product

from examwalk.protocol.model import COMPARISONS, Condition, Kind, Protocol, Test
from examwalk.protocol.wording import choices_of
from examwalk.reasoning.case import Case, places_of
from examwalk.reasoning.mentions import conditions_in, mentions, parts_of
from examwalk.reasoning.results import Truth
from examwalk.session.model import Answer, Place, Side

Replaced = Mapping[Place, Answer]
Try = Callable[[Replaced], bool]

MOST_TRIES = 300
"""How many replacements are tried before the search is given up."""
STEPS_OF_A_RANGE = 12


def replacements(
    case: Case, conditions: Sequence[Condition], side: Side, does_it: Try
) -> Iterator[Replaced]:
    """Yield the findings that would do it if they were others: one at a time, else two.

    Args:
        case: the findings under their protocol.
        conditions: where to look: the tests that they mention, through derived values too.
        side: the side that is judged; its tests are tried before those of the other.
        does_it: says whether what is sought comes about with findings replaced.
    """
    search = _Search(case, does_it)
    places = _places(case, conditions, side)
    found = False
    for place in places:
        answer = search.nearest(place)
        if answer is not None:
            found = True
            yield {place: answer}
    if not found:
        yield from search.pairs(places)


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
            if self._try({place: _plain(middle)}):
                doing = middle
            else:
                failing = middle
            if self.tries_left <= 0:
                break
        return _plain(doing)

    def pairs(self, places: Sequence[Place]) -> Iterator[Replaced]:
        """Yield pairs of places that do it together."""
        protocol = self.case.protocol
        answers = {
            place: list(
                possible_answers(
                    protocol, protocol.tests_by_id[place.test], self.case.answers.get(place)
                )
            )
            for place in places
        }
        for pair in combinations(places, 2):
            for given in product(*(answers[place] for place in pair)):
                if self.tries_left <= 0:
                    return
                if self._try(replaced := dict(zip(pair, given, strict=True))):
                    yield replaced
                    break


def possible_answers(protocol: Protocol, test: Test, now: Answer | None) -> Iterator[Answer]:
    """Yield the other answers a test can have, the nearest to the present one first."""
    if test.kind is Kind.MEASURE:
        yield from _numbers(protocol, test, now)
        return
    known = [choice.id for choice in choices_of(protocol, test)]
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
    values = {_plain(round(value, 6)) for value in near if low <= value <= high}
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


def _plain(value: float) -> int | float:
    return int(value) if value == int(value) else value
