"""What each possible answer to an unanswered test would do by itself.

The rest of the exam is taken as it is. Grades and options are tried one by one; of several
options each alone; numbers on both sides of every cut and over their whole range, and where two of
them differ it is found out at which step. What only several answers together would do is not
found here: the summary names it as what a test could change.
"""

from collections.abc import Iterator, Sequence

from attrs import frozen

from examwalk.protocol.entry import as_recorded
from examwalk.protocol.exam_model import Kind, Test
from examwalk.reasoning.case import Case
from examwalk.reasoning.consequences import Consequences, Rank, consequences, rank_of
from examwalk.reasoning.features import NOTHING_ORDERED, Ordered
from examwalk.reasoning.replacing import possible_answers
from examwalk.reasoning.results import MissingFinding
from examwalk.reasoning.values import touched_by, values_after, values_of
from examwalk.session.model import Answer, Place


@frozen
class Possible:
    """Answers that do the same: several grades or options, or the numbers from first to last."""

    answers: tuple[Answer, ...]
    is_range: bool
    """Whether the answers are the least and the greatest of a range of numbers."""
    found: Consequences


@frozen
class Worth:
    """What an unanswered test could tell."""

    place: Place
    possible: tuple[Possible, ...]
    """In the order of the answers; those that change nothing are among them."""
    rank: Rank

    @property
    def telling(self) -> tuple[Possible, ...]:
        """Those answers that would change something by themselves."""
        return tuple(one for one in self.possible if not one.found.is_nothing)


class Unanswered:
    """Tries the possible answers of places without one; it can be stopped at any time.

    Args:
        case: the findings under their protocol.
        places: the places without an answer.
        ordered: what the clinician has ordered.
    """

    def __init__(
        self, case: Case, places: Sequence[Place], ordered: Ordered = NOTHING_ORDERED
    ) -> None:
        self._case = case
        self._ordered = ordered
        self._before = values_of(case, ordered)
        self.places = tuple(
            place
            for place in places
            if place.test in case.protocol.tests_by_id
            and case.protocol.tests_by_id[place.test].kind is not Kind.TEXT
        )

    def run(self) -> Iterator[Worth]:
        """Yield what each place could tell, in the order in which they were given."""
        for place in self.places:
            test = self._case.protocol.tests_by_id[place.test]
            possible = tuple(self._possible(test, place))
            yield Worth(place, possible, rank_of(one.found for one in possible))

    def _possible(self, test: Test, place: Place) -> Iterator[Possible]:
        if touched_by(self._case.protocol, place).is_nothing:
            return
        answers = list(possible_answers(self._case.protocol, test, None))
        if test.kind is Kind.MEASURE:
            yield from self._ranges(test, place, sorted(_numbers(answers)))
            return
        together: dict[Consequences, list[Answer]] = {}
        for answer in answers:
            together.setdefault(self._with(place, answer), []).append(answer)
        for found, same in together.items():
            yield Possible(tuple(same), is_range=False, found=found)

    def _ranges(self, test: Test, place: Place, numbers: Sequence[float]) -> Iterator[Possible]:
        first = numbers[0]
        for number, following in zip(numbers, [*numbers[1:], None], strict=True):
            found = self._with(place, number)
            if following is None:
                yield Possible((first, number), is_range=True, found=found)
            elif self._with(place, following) != found:
                last, after = self._border(test, place, (number, following), found)
                yield Possible((first, last), is_range=True, found=found)
                first = after

    def _border(
        self, test: Test, place: Place, between: tuple[float, float], found: Consequences
    ) -> tuple[float, float]:
        """Return the last number that does the same as the first one, and the next."""
        low, high = between
        while (steps := round((high - low) / test.step)) > 1:
            middle = as_recorded(round(low + steps // 2 * test.step, 6))
            if self._with(place, middle) == found:
                low = middle
            else:
                high = middle
        return low, high

    def _with(self, place: Place, answer: Answer) -> Consequences:
        case = self._case.with_changes({place: answer})
        values = values_after(self._before, case, (place,), self._ordered)
        return consequences(self._case.protocol, self._before, values)


def most_telling_first(worth: Sequence[Worth]) -> tuple[Worth, ...]:
    """Put first what could tell the gravest; of equals the order they have."""
    return tuple(sorted(worth, key=lambda one: one.rank))


def in_order_of_worth(
    missing: Sequence[MissingFinding], worth: Sequence[Worth]
) -> list[MissingFinding]:
    """Put what is missing in the order of what it could tell; what was not tried stays last."""
    order = {one.place: number for number, one in enumerate(worth)}
    return sorted(missing, key=lambda one: order.get(one.place, len(order)))


def _numbers(answers: Sequence[Answer]) -> Iterator[float]:
    return (answer for answer in answers if isinstance(answer, int | float))
