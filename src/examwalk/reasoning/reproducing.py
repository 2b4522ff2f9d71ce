"""In what share of repeated examinations would each recommendation come out the same?

Every answer is drawn anew, each by itself, from what the agreement of its test says; the rest of
the reasoning is the same as for the visit. Nothing of the patient changes.
"""

import math
from collections import Counter
from collections.abc import Iterator, Mapping
from random import Random

from attrs import frozen

from examwalk.protocol.condition_model import Condition
from examwalk.protocol.feature_model import LookedUp
from examwalk.protocol.model import Protocol
from examwalk.reasoning.agreement import Agreement, agreement_at
from examwalk.reasoning.features import Ordered
from examwalk.reasoning.fitting import case_of
from examwalk.reasoning.mentions import mentions
from examwalk.reasoning.places import sides_of
from examwalk.reasoning.results import FeatureStatus, Truth
from examwalk.reasoning.settling import Value
from examwalk.reasoning.summary import ordered_values
from examwalk.reasoning.values import values_after, values_of
from examwalk.session.model import Answer, Place, Session, Side

DEFAULT_REPEATS = 2_000
DEFAULT_SEED = 1

Came = tuple[tuple[FeatureStatus, Value | None], ...]
"""What each feature came to, in the order of the protocol."""


@frozen
class Share:
    """How often something came out in so many repeats."""

    count: int
    repeats: int

    @property
    def share(self) -> float:
        """As a share of 1."""
        return self.count / self.repeats

    @property
    def standard_error(self) -> float:
        """The Monte Carlo standard error of the share, that of a binomial."""
        return math.sqrt(self.share * (1 - self.share) / self.repeats)


@frozen
class FeatureRepeated:
    """How often one feature came out as it did in the visit."""

    id: str
    side: Side
    recorded: Value | None
    status: FeatureStatus
    same: Share
    other: Value | None
    """The commonest other value; nothing where there was none, or where it had no value."""
    other_status: FeatureStatus | None
    other_share: Share | None


@frozen
class CautionRepeated:
    """How often one caution came out as it did in the visit."""

    id: str
    side: Side
    raised: bool
    """Whether it is raised in the visit."""
    same: Share


@frozen
class Reproduced:
    """What so many repeats came to."""

    repeats: int
    wanted: int
    seed: int
    same_examiner: bool
    features: tuple[FeatureRepeated, ...]
    """In the order of the protocol."""
    cautions: tuple[CautionRepeated, ...]
    agreements: tuple[Agreement, ...]
    """Of every answer that anything hangs on, in the order of the exam."""
    unanswered: int
    """How much has no answer, and therefore none in any repeat."""

    @property
    def faults(self) -> tuple[str, ...]:
        """What is wrong with published figures, each once."""
        return tuple(dict.fromkeys(fault for one in self.agreements for fault in one.faults))


@frozen
class _Outcome:
    came: Came
    raised: tuple[bool, ...]


class Simulation:
    """Repeats of one visit; it can be stopped at any time and told what it has so far.

    Args:
        protocol: what the visit is read with.
        session: the visit.
        seed: where chance begins; the same seed gives the same repeats in every run.
        same_examiner: whether the same examiner repeats the visit, rather than another.
    """

    def __init__(
        self, protocol: Protocol, session: Session, *, seed: int, same_examiner: bool = False
    ) -> None:
        self._protocol = protocol
        self._seed = seed
        self._same_examiner = same_examiner
        self._ordered: Ordered = ordered_values(protocol, session)
        self._case = case_of(protocol, session)
        self._values = values_of(self._case, self._ordered)
        self._random = Random(seed)
        self._remembered: dict[tuple[Answer, ...], _Outcome] = {}
        self._outcomes: list[_Outcome] = []
        self._wanted = 0
        bearing = bearing_tests(protocol)
        self.agreements = tuple(
            agreement_at(protocol, place, self._case.answers[place], same_examiner=same_examiner)
            for place in self._case.places
            if place in self._case.answers and place.test in bearing
        )
        self._turning = [
            (one.place, one.repeat) for one in self.agreements if one.repeat is not None
        ]

    def run(self, repeats: int) -> Iterator[int]:
        """Repeat the examination so often; after each yield how many there are."""
        self._wanted += repeats
        while len(self._outcomes) < self._wanted:
            drawn = tuple(repeat.draw(self._random) for _, repeat in self._turning)
            outcome = self._remembered.get(drawn)
            if outcome is None:
                turned = {
                    place: answer for (place, _), answer in zip(self._turning, drawn, strict=True)
                }
                outcome = self._outcome({**self._case.answers, **turned})
                self._remembered[drawn] = outcome
            self._outcomes.append(outcome)
            yield len(self._outcomes)

    def result(self) -> Reproduced:
        """Return what has come out so far; at least one repeat must be done.

        Raises:
            ValueError: nothing was repeated yet.
        """
        if not self._outcomes:
            raise ValueError("nothing was repeated yet")
        recorded = self._outcome(self._case.answers)
        return Reproduced(
            repeats=len(self._outcomes),
            wanted=self._wanted,
            seed=self._seed,
            same_examiner=self._same_examiner,
            features=tuple(self._features(recorded)),
            cautions=tuple(self._cautions(recorded)),
            agreements=self.agreements,
            unanswered=len(self._case.unanswered),
        )

    def _outcome(self, answers: Mapping[Place, Answer]) -> _Outcome:
        changes = {
            place: answer
            for place, answer in answers.items()
            if answer != self._case.answers.get(place)
        }
        case = self._case.with_changes(changes)
        values = values_after(self._values, case, changes, self._ordered)
        came = tuple((result.status, result.value) for result in values.features.values())
        raised = tuple(truth is Truth.TRUE for truth in values.cautions.values())
        return _Outcome(came, raised)

    def _features(self, recorded: _Outcome) -> Iterator[FeatureRepeated]:
        repeats = len(self._outcomes)
        names = (
            (feature.id, side)
            for feature in self._protocol.features
            for side in sides_of(feature.sides)
        )
        for number, (name, side) in enumerate(names):
            status, value = recorded.came[number]
            counts = Counter(outcome.came[number] for outcome in self._outcomes)
            same = counts.pop((status, value), 0)
            commonest = counts.most_common(1)
            (other_status, other), count = commonest[0] if commonest else ((None, None), 0)
            yield FeatureRepeated(
                id=name,
                side=side,
                recorded=value,
                status=status,
                same=Share(same, repeats),
                other=other,
                other_status=other_status,
                other_share=Share(count, repeats) if commonest else None,
            )

    def _cautions(self, recorded: _Outcome) -> Iterator[CautionRepeated]:
        names = (
            (caution.id, side)
            for caution in self._protocol.cautions
            for side in sides_of(caution.sides)
        )
        for number, (name, side) in enumerate(names):
            is_raised = recorded.raised[number]
            same = sum(outcome.raised[number] is is_raised for outcome in self._outcomes)
            yield CautionRepeated(name, side, is_raised, Share(same, len(self._outcomes)))


def bearing_tests(protocol: Protocol) -> frozenset[str]:
    """Return the tests that a feature or a caution hangs on, directly or through others."""
    conditions = [
        *(rule.when for rule in protocol.rules),
        *(caution.when for caution in protocol.cautions),
        *(feature.applies_when for feature in protocol.features),
        *(protocol.asked_when(test) for test in protocol.tests),
        *(
            Condition(derived=value.derived)
            for rule in protocol.rules
            for effect in rule.effects
            for value in (effect.start, effect.add, effect.at_least, effect.at_most)
            if isinstance(value, LookedUp) and value.derived is not None
        ),
    ]
    found = {name for feature in protocol.features for name in feature.needs}
    for condition in conditions:
        if condition is not None:
            found |= mentions(protocol, condition).tests
    return frozenset(found)
