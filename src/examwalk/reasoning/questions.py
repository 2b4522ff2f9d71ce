"""The conditions of a protocol made ready to be asked, each a function of a case.

That is done once for a condition and the side from which it is asked. The function first gets what
the condition stands on: an answer, a number, a settled feature, what its own parts came to. If
these are what they were once before, so is the verdict; else it is worked out from them alone.
Beside its verdict each question says whether that is certain, which is found sooner.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any, TypeVar

from attrs import frozen

from examwalk.protocol.caution_model import Caution, Crosscheck
from examwalk.protocol.condition_model import Condition, SideScope
from examwalk.protocol.derived_model import Derived
from examwalk.protocol.exam_model import Kind, Test
from examwalk.protocol.feature_model import Advice
from examwalk.protocol.key_types import Sides
from examwalk.protocol.model import Protocol
from examwalk.reasoning.certainty import (
    Certainty,
    all_certain,
    any_certain,
    count_certain,
    none_certain,
)
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
Judged = TypeVar("Judged", Advice, Caution, Crosscheck)
Look = Callable[["Case", SettledFeatures], Worked]
Number = Look[DerivedValue]


@frozen(eq=False)
class Question:
    """A condition as it is asked from one side, or for the whole person."""

    verdict: Look[Verdict]
    """Answers it, with the reasons."""
    certainty: Certainty
    """Says of its verdict whether it is final, and true or false."""


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

    def of_foot(self, condition: Condition | None, side: Side) -> Question:
        """Return whether a condition holds for a foot, or for either foot of the pair.

        Where there is no condition it always does.
        """
        if condition is None:
            return _ASKED_OF_NOTHING
        if side is not Side.WHOLE:
            return self.of(condition, side)
        return self._memory.kept(("of-pair", id(condition)), (condition,), self._of_pair)

    def of_each(
        self, judged: Sequence[Judged], *, on_feet: bool = False
    ) -> Sequence[tuple[Judged, Side, Question]]:
        """Return when each of these holds, on every side that it is judged on.

        Args:
            judged: the cautions, the cross-checks or the advice of the protocol.
            on_feet: what is of the whole person holds when it does for either foot.
        """

        def work(judged: Sequence[Judged]) -> Sequence[tuple[Judged, Side, Question]]:
            ask: Callable[[Any, Side], Question] = self.of_foot if on_feet else self.of
            sides = [(one, side) for one in judged for side in sides_of(one.sides)]
            return [(one, side, ask(one.when, side)) for one, side in sides]

        return self._memory.kept(("of-each", on_feet, id(judged)), (judged,), work)

    def numbers(self) -> Sequence[tuple[Derived, Side, Number]]:
        """Return every derived value of the protocol on each of its sides."""
        return self._memory.kept(("numbers",), (), self._numbers)

    def number(self, name: str, side: Side) -> Number:
        """Return the answer to a test, or a derived value, as a number on one side."""
        return self._memory.kept(("number", name, side), (name, side), self._number)

    def _numbers(self) -> Sequence[tuple[Derived, Side, Number]]:
        derived = self._protocol.derived
        sides = [(one, side) for one in derived for side in sides_of(one.sides)]
        return [(one, side, self.number(one.id, side)) for one, side in sides]

    def _whole(self, condition: Condition, side: Side) -> Question:
        question = self._part(condition, side)
        if looks_at_features(condition):
            return question
        once = self._once_a_case
        return Question(once(question.verdict), once(question.certainty))

    def _once_a_case(self, ask: Look[Worked]) -> Look[Worked]:
        """Ask only once of each case what does not hang on the features settled so far."""
        number = self._memory.new_number()

        def ask_once(case: Case, _: SettledFeatures = NO_FEATURES) -> Worked:
            found = case.asked.get(number, case)
            if found is case:
                found = case.asked[number] = ask(case, NO_FEATURES)
            worked: Worked = found
            return worked

        return ask_once

    def _part(self, condition: Condition, side: Side) -> Question:
        """Return a condition, or a part of one; those that are equal are one question."""
        return self._memory.kept(("part", condition, side), (condition, side), self._made)

    def _made(self, condition: Condition, side: Side) -> Question:
        if condition.all is not None:
            return self._joined(self._parts(condition.all, side), conjunction, all_certain)
        if condition.any is not None:
            return self._joined(self._parts(condition.any, side), disjunction, any_certain)
        if condition.not_ is not None:
            return self._joined(self._parts((condition.not_,), side), _negated, none_certain)
        if condition.count is not None:
            wanted = condition.at_least
            assert isinstance(wanted, int)
            parts = self._parts(condition.count, side)
            return self._joined(parts, partial(at_least, wanted), partial(count_certain, wanted))
        return self._on_sides(condition, side)

    def _parts(self, conditions: Iterable[Condition], side: Side) -> Sequence[Question]:
        return [self._part(condition, side) for condition in conditions]

    def _of_pair(self, condition: Condition) -> Question:
        feet = [self.of(condition, foot) for foot in BOTH_FEET]
        return self._joined(feet, disjunction, any_certain)

    def _joined(
        self,
        parts: Sequence[Question],
        join: Callable[[Iterable[Verdict]], Verdict],
        join_certainty: Callable[[Sequence[Certainty]], Certainty],
    ) -> Question:
        number, kept = self._memory.new_number(), self._memory.kept
        asks = [part.verdict for part in parts]

        def ask(case: Case, features: SettledFeatures) -> Verdict:
            verdicts = tuple([ask_part(case, features) for ask_part in asks])
            return kept((number, *map(id, verdicts)), (verdicts,), join)

        return Question(ask, join_certainty([part.certainty for part in parts]))

    def _on_sides(self, condition: Condition, side: Side) -> Question:
        match condition.side:
            case SideScope.EITHER:
                feet = [self._on(condition, foot) for foot in BOTH_FEET]
                return self._joined(feet, disjunction, any_certain)
            case SideScope.BOTH:
                feet = [self._on(condition, foot) for foot in BOTH_FEET]
                return self._joined(feet, conjunction, all_certain)
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
            number = self.number(condition.derived, side)
            return self._on_number(number, lambda value: compared(value, condition))
        if condition.feature is not None:
            return self._on_feature(condition, side)
        return self._on_cautions(condition, side)

    def on_test(self, test: Test, condition: Condition, side: Side) -> Question:
        """Return whether the answer to a test is what a condition asks for."""
        place = place_of(test, side)
        grades = self._protocol.scale_of(test).grades if test.kind is Kind.GRADE else ()

        def work(answer: Answer | None, asked: Verdict) -> Verdict:
            return answer_meets(grades, condition, place, side, answer, asked)

        ask = self._of_answer(test, side, work)
        if self._protocol.asked_when(test) is not None:
            return asking(ask)
        return self._asking_once_of_each_answer(ask, test, side)

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
        ask_when = self._protocol.asked_when(test)
        if ask_when is not None:
            is_asked = self.of(ask_when, place.side).verdict
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

    def _asking_once_of_each_answer(self, ask: Look[Verdict], test: Test, side: Side) -> Question:
        column = self._memory.column(place_of(test, side))
        by_answer: dict[Answer | None, bool | None] = {}

        def certainty(case: Case, features: SettledFeatures) -> bool | None:
            answer = case.row[column]
            if answer not in by_answer:
                by_answer[answer] = ask(case, features).certainty
            return by_answer[answer]

        return Question(ask, certainty)

    def _on_number(self, number: Number, work: Callable[[DerivedValue], Verdict]) -> Question:
        own, shared = self._memory.new_number(), self._memory.shared

        def ask(case: Case, _: SettledFeatures) -> Verdict:
            value = number(case, NO_FEATURES)
            return shared((own, id(value)), (value,), work)

        return asking(ask)

    def _between(self, condition: Condition, feet: tuple[Side, Side]) -> Question:
        own, shared = self._memory.new_number(), self._memory.shared
        name = condition.test or condition.derived or ""
        numbers = [self.number(name, foot) for foot in feet]

        def work(here: DerivedValue, there: DerivedValue) -> Verdict:
            return between_sides(here, there, condition)

        def ask(case: Case, _: SettledFeatures) -> Verdict:
            here, there = [number(case, NO_FEATURES) for number in numbers]
            return shared((own, id(here), id(there)), (here, there), work)

        return asking(ask)

    def _on_feature(self, condition: Condition, side: Side) -> Question:
        number, shared = self._memory.new_number(), self._memory.shared
        feature = self._protocol.features_by_id[condition.feature or ""]
        at = feature_seen_from(feature, side)

        def work(*results: Any) -> Verdict:
            return disjunction(feature_meets(result, condition) for result in results)

        def ask(_: Case, features: SettledFeatures) -> Verdict:
            results = tuple([features[one] for one in at])
            return shared((number, *map(id, results)), results, work)

        return asking(ask)

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
        return self._joined(raised, disjunction, any_certain)

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
        numbers = [self.number(name, foot) for name in derived.inputs for foot in feet]
        asks = [self.of(condition, side).verdict for condition in conditions_of(derived)]

        def work(inputs: Sequence[DerivedValue], verdicts: Sequence[Verdict]) -> DerivedValue:
            return calculate(derived, side, inputs, verdicts)

        def calculation(case: Case, _: SettledFeatures = NO_FEATURES) -> DerivedValue:
            inputs = tuple([number(case, NO_FEATURES) for number in numbers])
            verdicts = tuple([ask(case, NO_FEATURES) for ask in asks])
            return shared((own, *map(id, inputs), *map(id, verdicts)), (inputs, verdicts), work)

        return calculation


def asking(ask: Look[Verdict]) -> Question:
    """Return the question of which nothing is known before its verdict."""
    return Question(ask, lambda case, features: ask(case, features).certainty)


_ASKED_OF_NOTHING = Question(lambda *_: ALWAYS, lambda *_: True)


def _negated(verdicts: Iterable[Verdict]) -> Verdict:
    (verdict,) = verdicts
    return negation(verdict)
