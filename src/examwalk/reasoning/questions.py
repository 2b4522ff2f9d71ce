"""The conditions of a protocol made ready to be asked, each a function of a case.

That is done once for a condition and the side from which it is asked. The function first gets what
the condition stands on: an answer, a number, a settled feature, what its own parts came to. If
these are what they were once before, so is the verdict; else it is worked out from them alone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, Any, TypeVar

from examwalk.protocol.model import Caution, Condition, Derived, Protocol, Sides, SideScope, Test
from examwalk.reasoning.conditions_met import (
    NO_FEATURES,
    SettledFeatures,
    answer_meets,
    between_sides,
    compared,
    feature_meets,
)
from examwalk.reasoning.derived import DerivedValue, calculate, number_of
from examwalk.reasoning.logic import ALWAYS, Verdict, at_least, conjunction, disjunction, negation
from examwalk.reasoning.mentions import conditions_of, looks_at_features
from examwalk.reasoning.places import feature_seen_from, place_of, sides_of, sides_seen_from
from examwalk.session.model import BOTH_FEET, Answer, Side

if TYPE_CHECKING:
    from examwalk.reasoning.case import Case
    from examwalk.reasoning.memory import Memory

Worked = TypeVar("Worked")
Look = Callable[["Case", SettledFeatures], Worked]
Question = Look[Verdict]
Number = Look[DerivedValue]


class Questions:
    """Makes the questions of one protocol, each once.

    Args:
        protocol: where the conditions stand.
        memory: remembers the questions, and what they came to.
    """

    def __init__(self, protocol: Protocol, memory: Memory) -> None:
        self._protocol = protocol
        self._memory = memory

    def of(self, condition: Condition, side: Side) -> Question:
        """Return a condition as it is asked from one side, or for the whole person."""
        key = ("question", id(condition), side)
        return self._memory.kept(key, (condition, side), self._whole)

    def from_either_foot(self, condition: Condition) -> Question:
        """Return whether a condition holds as it is asked from the left or from the right."""
        key = ("from-either-foot", id(condition))
        return self._memory.kept(key, (condition,), self._from_either_foot)

    def number(self, name: str, side: Side) -> Number:
        """Return the answer to a test, or a derived value, as a number on one side."""
        return self._memory.kept(("number", name, side), (name, side), self._number)

    def _whole(self, condition: Condition, side: Side) -> Question:
        ask = self._of(condition, side)
        return ask if looks_at_features(condition) else self._once_a_case(ask)

    def _once_a_case(self, ask: Look[Worked]) -> Look[Worked]:
        """Ask only once of each case what does not hang on the features settled so far."""
        number = self._memory.new_number()

        def ask_once(case: Case, _: SettledFeatures = NO_FEATURES) -> Worked:
            found = case.asked.get(number)
            if found is None:
                found = case.asked[number] = ask(case, NO_FEATURES)
            worked: Worked = found
            return worked

        return ask_once

    def _of(self, condition: Condition, side: Side) -> Question:
        if condition.all is not None:
            return self._joined(self._parts(condition.all, side), conjunction)
        if condition.any is not None:
            return self._joined(self._parts(condition.any, side), disjunction)
        if condition.not_ is not None:
            return self._joined(self._parts((condition.not_,), side), _negated)
        if condition.count is not None:
            wanted = condition.at_least
            assert isinstance(wanted, int)
            parts = self._parts(condition.count, side)
            return self._joined(parts, lambda verdicts: at_least(wanted, verdicts))
        return self._on_sides(condition, side)

    def _parts(self, conditions: Iterable[Condition], side: Side) -> Sequence[Question]:
        return [self._of(condition, side) for condition in conditions]

    def _from_either_foot(self, condition: Condition) -> Question:
        return self._joined([self.of(condition, foot) for foot in BOTH_FEET], disjunction)

    def _joined(
        self, parts: Sequence[Question], join: Callable[[Iterable[Verdict]], Verdict]
    ) -> Question:
        number, kept = self._memory.new_number(), self._memory.kept

        def work(*verdicts: Verdict) -> Verdict:
            return join(verdicts)

        def ask(case: Case, features: SettledFeatures) -> Verdict:
            verdicts = tuple([part(case, features) for part in parts])
            return kept((number, *map(id, verdicts)), verdicts, work)

        return ask

    def _on_sides(self, condition: Condition, side: Side) -> Question:
        match condition.side:
            case SideScope.EITHER:
                return self._joined([self._on(condition, foot) for foot in BOTH_FEET], disjunction)
            case SideScope.BOTH:
                return self._joined([self._on(condition, foot) for foot in BOTH_FEET], conjunction)
            case SideScope.DIFFERENCE:
                return self._between(condition, BOTH_FEET)
            case SideScope.EXCESS:
                return self._between(condition, (side, side.other))
            case SideScope.OTHER:
                return self._on(condition, side.other)
        return self._on(condition, side)

    def _on(self, condition: Condition, side: Side) -> Question:
        if condition.test is not None:
            return self.on_test(self._protocol.tests_by_id[condition.test], condition, side)
        if condition.derived is not None:
            numbers = (self.number(condition.derived, side),)
            return self._on_numbers(numbers, lambda value: compared(value, condition))
        if condition.feature is not None:
            return self._on_feature(condition, side)
        return self._on_cautions(condition, side)

    def on_test(self, test: Test, condition: Condition, side: Side) -> Question:
        """Return whether the answer to a test is what a condition asks for."""

        def work(answer: Answer | None, asked: Verdict) -> Verdict:
            return answer_meets(self._protocol, test, condition, side, answer, asked)

        return self._of_answer(test, side, work)

    def number_of_test(self, test: Test, side: Side) -> Number:
        """Return the answer to a test as a number."""
        place = place_of(test, side)

        def work(answer: Answer | None, asked: Verdict) -> DerivedValue:
            return number_of(self._protocol, test, place, answer, asked)

        return self._of_answer(test, side, work)

    def _of_answer(
        self, test: Test, side: Side, work: Callable[[Answer | None, Verdict], Worked]
    ) -> Look[Worked]:
        """Return what follows from the answer to a test, and from whether it is asked at all."""
        place = place_of(test, side)
        column = self._memory.column(place)
        if test.ask_when is not None:
            is_asked = self.of(test.ask_when, place.side)
            number, kept = self._memory.new_number(), self._memory.kept

            def look(case: Case, _: SettledFeatures = NO_FEATURES) -> Worked:
                answer, asked = case.row[column], is_asked(case, NO_FEATURES)
                return kept((number, answer, id(asked)), (answer, asked), work)

            return look
        by_answer: dict[Answer | None, Worked] = {}

        def look_at_once(case: Case, _: SettledFeatures = NO_FEATURES) -> Worked:
            answer = case.row[column]
            found = by_answer.get(answer)
            if found is None:
                found = by_answer[answer] = work(answer, ALWAYS)
            return found

        return look_at_once

    def _on_numbers(self, numbers: Sequence[Number], work: Callable[..., Verdict]) -> Question:
        own, shared = self._memory.new_number(), self._memory.shared

        def ask(case: Case, _: SettledFeatures) -> Verdict:
            values = tuple([number(case, NO_FEATURES) for number in numbers])
            return shared((own, *map(id, values)), values, work)

        return ask

    def _between(self, condition: Condition, feet: Sequence[Side]) -> Question:
        name = condition.test or condition.derived or ""
        numbers = [self.number(name, foot) for foot in feet]
        return self._on_numbers(numbers, lambda here, there: between_sides(here, there, condition))

    def _on_feature(self, condition: Condition, side: Side) -> Question:
        number, shared = self._memory.new_number(), self._memory.shared
        feature = self._protocol.features_by_id[condition.feature or ""]
        at = feature_seen_from(feature, side)

        def work(*results: Any) -> Verdict:
            return disjunction(feature_meets(result, condition) for result in results)

        def ask(_: Case, features: SettledFeatures) -> Verdict:
            results = tuple([features[one] for one in at])
            return shared((number, *map(id, results)), results, work)

        return ask

    def _on_cautions(self, condition: Condition, side: Side) -> Question:
        if condition.caution is not None:
            one = self._protocol.cautions_by_id[condition.caution]
            raised = [self._raised(one, foot) for foot in sides_seen_from(one.sides, side)]
        else:
            raised = [
                self._raised(caution, foot)
                for caution in self._protocol.cautions
                if caution.device is condition.any_caution
                for foot in sides_of(caution.sides)
            ]
        return self._joined(raised, disjunction)

    def _raised(self, caution: Caution, side: Side) -> Question:
        return self.of(caution.when, side)

    def _number(self, name: str, side: Side) -> Number:
        derived = self._protocol.derived_by_id.get(name)
        if derived is None:
            return self.number_of_test(self._protocol.tests_by_id[name], side)
        if derived.sides is Sides.ONCE and side is not Side.WHOLE:
            return self.number(name, Side.WHOLE)
        return self._once_a_case(self._calculation(derived, side))

    def _calculation(self, derived: Derived, side: Side) -> Number:
        own, shared = self._memory.new_number(), self._memory.shared
        feet = BOTH_FEET if derived.calculation == "side-difference" else (side,)
        looks = (
            *[self.number(name, foot) for name in derived.inputs for foot in feet],
            *[self.of(condition, side) for condition in conditions_of(derived)],
        )

        def calculation(case: Case, _: SettledFeatures = NO_FEATURES) -> DerivedValue:
            grounds = tuple([look(case, NO_FEATURES) for look in looks])
            key = (own, *map(id, grounds))
            return shared(key, grounds, lambda *_: calculate(case, derived, side))

        return calculation


def _negated(verdicts: Iterable[Verdict]) -> Verdict:
    (verdict,) = verdicts
    return negation(verdict)
