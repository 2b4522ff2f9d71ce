"""What was worked out under a protocol, kept by exactly what it was worked out from.

Each thing has the same outcome whenever its inputs are the same objects. Equal verdicts and
numbers are therefore made one object: where an answer changes and the verdict on it does not,
nothing that stands on that verdict is worked out anew. Since the inputs are the key, nothing has
ever to be struck out.
"""

from collections.abc import Callable, Hashable, Mapping, Sequence
from functools import cached_property
from itertools import count
from typing import Any, NamedTuple, TypeVar

from examwalk.language import chosen_language
from examwalk.protocol.exam_model import Test
from examwalk.protocol.model import Protocol
from examwalk.reasoning.dependence import Dependence
from examwalk.reasoning.places import places_of
from examwalk.reasoning.questions import Questions
from examwalk.session.model import Answer, Place, Side

MOST_KEPT = 60_000
"""So many things are kept at most; then the memory begins anew."""

Worked = TypeVar("Worked")


class AskedAt(NamedTuple):
    """A test where it is asked."""

    place: Place
    test: Test
    column: int
    """Where its answer stands in a row."""


class Memory:
    """Remembers what was worked out under one protocol."""

    def __init__(self, protocol: Protocol, questions: type[Questions] = Questions) -> None:
        self._protocol = protocol
        self._making = questions
        self._kept: dict[Hashable, tuple[Any, tuple[object, ...]]] = {}
        self._one_of_each: dict[Hashable, Any] = {}
        self._numbers = count()
        places = [Place(test.id, side) for test in protocol.tests for side in Side]
        self._columns = {place: column for column, place in enumerate(places)}

    @cached_property
    def places_in_order(self) -> Sequence[AskedAt]:
        """Where each test is asked, in the order of the exam, left before right."""
        tests = self._protocol.tests_in_order
        asked = [(place, test) for test in tests for place in places_of(test)]
        return [AskedAt(place, test, self._columns[place]) for place, test in asked]

    @cached_property
    def questions(self) -> Questions:
        """The conditions of the protocol, ready to be asked."""
        return self._making(self._protocol, self)

    @cached_property
    def dependence(self) -> Dependence:
        """What hangs on what."""
        return Dependence(self._protocol)

    def new_number(self) -> int:
        """Return a number that begins the keys of one thing, and of no other."""
        return next(self._numbers)

    def column(self, place: Place) -> int:
        """Return where the answer at a place stands in a row."""
        return self._columns[place]

    def row(self, answers: Mapping[Place, Answer]) -> list[Answer | None]:
        """Lay answers out in a row, so that each is quickly looked at."""
        return self.changed_row([None] * len(self._columns), answers)

    def changed_row(
        self, row: Sequence[Answer | None], changes: Mapping[Place, Answer | None]
    ) -> list[Answer | None]:
        """Return a row with some answers changed, or taken away."""
        changed = list(row)
        for place, answer in changes.items():
            column = self._columns.get(place)
            if column is not None:
                changed[column] = answer
        return changed

    def kept(self, key: Hashable, inputs: tuple[Any, ...], work: Callable[..., Worked]) -> Worked:
        """Return what is kept under a key, or work it out and keep it.

        Args:
            key: names what it is, and holds its inputs or their identities.
            inputs: kept alive with it, so that no other object can take their identities.
            work: works it out from the inputs.
        """
        found = self._kept.get(key)
        if found is not None:
            value: Worked = found[0]
            return value
        return self._keep(key, inputs, work(*inputs))

    def shared(self, key: Hashable, inputs: tuple[Any, ...], work: Callable[..., Worked]) -> Worked:
        """Do as ``kept``, and return the same object for all equal outcomes."""
        found = self._kept.get(key)
        if found is not None:
            value: Worked = found[0]
            return value
        return self._keep(key, inputs, self.one_of(work(*inputs)))

    def _keep(self, key: Hashable, inputs: tuple[Any, ...], value: Worked) -> Worked:
        if len(self._kept) >= MOST_KEPT:
            self._kept.clear()
            self._one_of_each.clear()
        self._kept[key] = value, inputs
        return value

    def one_of(self, value: Worked) -> Worked:
        """Return the first of all equal values, so that equal ones are the same object."""
        first: Worked = self._one_of_each.setdefault(value, value)
        return first


def memory_of(protocol: Protocol, questions: type[Questions] = Questions) -> Memory:
    """Return the memory of a protocol for one way of asking, in the language that is in use."""
    # Results hold words, and a program may change its language while it runs.
    key = f"memory-{questions.__name__}-{chosen_language()}"
    memory = protocol.noted.get(key)
    if not isinstance(memory, Memory):
        memory = protocol.noted[key] = Memory(protocol, questions)
    return memory
