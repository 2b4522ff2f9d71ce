"""Findings that are only supposed, numbers and several options of a choice only in part."""

from collections.abc import Mapping
from functools import cached_property
from typing import cast

from attrs import frozen

from examwalk.protocol.condition_model import Condition
from examwalk.protocol.exam_model import Test
from examwalk.protocol.model import Protocol
from examwalk.reasoning.case import Case
from examwalk.reasoning.conditions_met import SettledFeatures
from examwalk.reasoning.derived import DerivedValue
from examwalk.reasoning.intervals import Interval, compare
from examwalk.reasoning.logic import NEVER, Verdict, known
from examwalk.reasoning.memory import Memory, memory_of
from examwalk.reasoning.places import place_of, sides_of
from examwalk.reasoning.questions import Number, Question, Questions, asking
from examwalk.reasoning.results import FeatureResult, FeatureStatus, Truth
from examwalk.session.model import Place, Side


@frozen
class Chosen:
    """What is supposed of a choice of several: some options chosen, some not, the rest open."""

    included: frozenset[str] = frozenset()
    excluded: frozenset[str] = frozenset()


@frozen
class LeftOpen:
    """A test is supposed to be left unanswered."""


Supposition = str | Interval | Chosen | LeftOpen
Suppositions = Mapping[Place, Supposition]


class Supposed(Case):
    """A case in which answers are supposed, numbers and several options only in part."""

    def __init__(self, protocol: Protocol, supposed: Suppositions) -> None:
        answers = {place: value for place, value in supposed.items() if isinstance(value, str)}
        super().__init__(protocol, answers)
        self.supposed = supposed
        self.asked_whether_answered: set[Place] = set()
        """Where a condition asked whether there is an answer at all."""

    @cached_property
    def memory(self) -> Memory:
        """What was worked out for suppositions under this protocol."""
        return memory_of(self.protocol, _QuestionsOfSuppositions)

    @cached_property
    def open_features(self) -> SettledFeatures:
        """Every feature, as not settled: what a condition asks of one stays unknown."""
        found = self.protocol.noted.get("open-features")
        if found is None:
            found = self.protocol.noted["open-features"] = _open_features(self.protocol)
        return cast(SettledFeatures, found)

    def number_at(self, test: Test, place: Place) -> DerivedValue | None:
        """Return a number within the bounds that are supposed of it, if any are."""
        interval = self.supposed.get(place)
        if not isinstance(interval, Interval) or not self._may_be_asked(test, place.side):
            return None
        return DerivedValue(interval, (place,), () if interval.is_settled else (place,))

    def meets(self, test: Test, place: Place, condition: Condition) -> Verdict | None:
        """Answer a condition on what is supposed, unless that is one answer, or nothing."""
        supposition = self.supposed.get(place)
        if isinstance(supposition, LeftOpen) and condition.answered is not None:
            return known(not condition.answered, place)
        if supposition is None and condition.answered is not None:
            # An exam would know it; a search may still suppose an answer here, or none.
            self.asked_whether_answered.add(place)
            return Verdict(Truth.UNKNOWN, missing=(place,))
        if not isinstance(supposition, Interval | Chosen):
            return None
        if not self._may_be_asked(test, place.side):
            return NEVER
        if condition.answered is not None:
            return known(condition.answered, place)
        truth = (
            compare(supposition, condition)
            if isinstance(supposition, Interval)
            else _among(supposition, condition)
        )
        missing = (place,) if truth is Truth.UNKNOWN else ()
        return Verdict(truth, (place,), missing)

    def _may_be_asked(self, test: Test, side: Side) -> bool:
        return self.indicated(test, side).truth is not Truth.FALSE


class _QuestionsOfSuppositions(Questions):
    """Asks what is supposed of a test before what is answered."""

    def on_test(self, test: Test, condition: Condition, side: Side) -> Question:
        """Return whether what is supposed of a test is what a condition asks for."""
        of_answer = super().on_test(test, condition, side).verdict
        place = place_of(test, side)

        def ask(case: Case, features: SettledFeatures) -> Verdict:
            assert isinstance(case, Supposed)
            verdict = case.meets(test, place, condition)
            return of_answer(case, features) if verdict is None else case.memory.one_of(verdict)

        return asking(ask)

    def number_of_test(self, test: Test, side: Side) -> Number:
        """Return the number that is supposed of a test."""
        of_answer = super().number_of_test(test, side)
        place = place_of(test, side)

        def look(case: Case, features: SettledFeatures) -> DerivedValue:
            assert isinstance(case, Supposed)
            number = case.number_at(test, place)
            return of_answer(case, features) if number is None else case.memory.one_of(number)

        return look


def _open_features(protocol: Protocol) -> SettledFeatures:
    return {
        (feature.id, side): FeatureResult(
            id=feature.id,
            title=feature.id,
            group="",
            side=side,
            status=FeatureStatus.WAITING,
            value=None,
            unit="",
            words="",
            standing=None,
            cut=0,
            trace=(),
            findings=(),
            missing=(),
        )
        for feature in protocol.features
        for side in sides_of(feature.sides)
    }


def _among(chosen: Chosen, condition: Condition) -> Truth:
    wanted = set(condition.includes_any or ())
    if condition.includes is not None:
        wanted.add(condition.includes)
    if wanted & chosen.included:
        return Truth.TRUE
    return Truth.FALSE if wanted <= chosen.excluded else Truth.UNKNOWN
