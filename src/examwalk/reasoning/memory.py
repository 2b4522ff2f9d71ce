"""What was worked out under a protocol, kept by exactly what it hangs on.

Two cases that agree in all that a verdict can look at have the same verdict. So when one finding
changes, only what looks at it is worked out anew; everything else is found here. The answers are
the key, so nothing has ever to be struck out.
"""

from collections.abc import Callable, Hashable, Mapping, Sequence
from operator import itemgetter
from typing import Any, TypeVar

from attrs import frozen

from examwalk.language import chosen_language
from examwalk.protocol.model import Protocol
from examwalk.reasoning.dependence import Dependence, FeatureAt, Reads
from examwalk.session.model import Place, Side

MOST_KEPT = 60_000
"""So many things are kept at most; then the memory begins anew."""

Worked = TypeVar("Worked")
Inputs = Mapping[FeatureAt, Any]


@frozen(eq=False)
class _Watched:
    """Where to look whether something is known already."""

    subject: object
    """Kept alive, since its identity is part of the key."""
    answers: Callable[[Sequence[Hashable]], Hashable]
    features: tuple[FeatureAt, ...]


class Memory:
    """Remembers what was worked out under one protocol."""

    def __init__(self, protocol: Protocol) -> None:
        self.dependence = Dependence(protocol)
        places = [Place(test.id, side) for test in protocol.tests for side in Side]
        self._index = {place: number for number, place in enumerate(places)}
        self._watched: dict[Hashable, _Watched] = {}
        self._kept: dict[Hashable, tuple[Any, tuple[object, ...]]] = {}
        self._one_of_each: dict[Hashable, Any] = {}

    def row(self, answers: Mapping[Place, Hashable]) -> list[Hashable]:
        """Lay answers out in a row, so that a few of them are quickly looked at."""
        row: list[Hashable] = [None] * len(self._index)
        for place, answer in answers.items():
            number = self._index.get(place)
            if number is not None:
                row[number] = answer
        return row

    def changed_row(
        self, row: Sequence[Hashable], changes: Mapping[Place, Hashable]
    ) -> list[Hashable]:
        """Return a row with some answers changed, or taken away."""
        changed = list(row)
        for place, answer in changes.items():
            number = self._index.get(place)
            if number is not None:
                changed[number] = answer
        return changed

    def recalled(
        self,
        about: tuple[str, object, Side],
        reads: Callable[[], Reads],
        row: Sequence[Hashable],
        features: Inputs,
        work: Callable[[], Worked],
    ) -> Worked:
        """Return what was worked out for the same answers and features, or work it out.

        Args:
            about: what kind of thing it is, of which part of the protocol, on which side.
            reads: says what it can hang on; asked once for each thing.
            row: the answers, from ``row``.
            features: the features settled so far, one object for each; equal ones that are not
                the same object are taken for different.
            work: works it out.
        """
        kind, subject, side = about
        key = (kind, id(subject), side)
        watched = self._watched.get(key)
        if watched is None:
            watched = self._watched[key] = self._watch(subject, reads())
        inputs = tuple([features[at] for at in watched.features])
        return self.kept((key, watched.answers(row), *map(id, inputs)), inputs, work)

    def kept(self, key: Hashable, inputs: tuple[object, ...], work: Callable[[], Worked]) -> Worked:
        """Return what is kept under a key, or work it out and keep it.

        Args:
            key: holds the identities of the inputs.
            inputs: kept alive with it, so that no other object can take their identities.
            work: works it out.
        """
        found = self._kept.get(key)
        if found is None:
            if len(self._kept) >= MOST_KEPT:
                self._kept.clear()
                self._one_of_each.clear()
            found = self._kept[key] = (work(), inputs)
        value: Worked = found[0]
        return value

    def one_of(self, value: Worked) -> Worked:
        """Return the first of all equal values, so that equal ones are the same object."""
        first: Worked = self._one_of_each.setdefault(value, value)
        return first

    def _watch(self, subject: object, reads: Reads) -> _Watched:
        numbers = sorted(self._index[place] for place in reads.places)
        getter = itemgetter(*numbers) if numbers else _nothing
        return _Watched(subject, getter, tuple(sorted(reads.features, key=str)))


def _nothing(_: Sequence[Hashable]) -> Hashable:
    return None


def memory_of(protocol: Protocol, about: str = "answers") -> Memory:
    """Return the memory of a protocol, in the language that is in use.

    Args:
        protocol: under which things were worked out.
        about: what they were worked out from; what is supposed is kept apart from what was found.
    """
    # Results hold words, and a program may change its language while it runs.
    key = f"memory-{about}-{chosen_language()}"
    memory = protocol.noted.get(key)
    if not isinstance(memory, Memory):
        memory = protocol.noted[key] = Memory(protocol)
    return memory
