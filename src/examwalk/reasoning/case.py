"""One patient's findings under one protocol, and what can be said of them.

A ``Case`` is a value: it never changes, and it remembers what it has worked out.
"""

from collections.abc import Mapping, Sequence
from functools import cached_property
from typing import Any, Self

from examwalk.protocol.caution_model import Caution, CheckSeverity, CheckStage, Crosscheck
from examwalk.protocol.condition_model import Condition
from examwalk.protocol.derived_model import Derived
from examwalk.protocol.exam_model import Test
from examwalk.protocol.model import Protocol
from examwalk.reasoning.conditions_met import NO_FEATURES, SettledFeatures
from examwalk.reasoning.derived import DerivedValue
from examwalk.reasoning.logic import ALWAYS, Verdict, conjunction
from examwalk.reasoning.memory import AskedAt, Memory, memory_of
from examwalk.reasoning.places import places_of
from examwalk.reasoning.results import CautionRaised, CrosscheckFired, Truth
from examwalk.session.model import Answer, Place, Side

_SEVERITIES = list(CheckSeverity)


class Case:
    """Findings under a protocol.

    Args:
        protocol: what may be asked and what follows from it.
        answers: the answers alone, by place; a test that was not done has none.
    """

    def __init__(self, protocol: Protocol, answers: Mapping[Place, Answer]) -> None:
        self.protocol = protocol
        self.answers = answers
        self.asked: dict[int, Any] = {}
        """What questions came to that need to be asked only once, by the questions' numbers."""
        self._needs: dict[tuple[str, ...], Verdict] = {}

    def with_changes(self, changes: Mapping[Place, Answer | None]) -> Self:
        """Return the case with some answers changed; nothing stands for no answer."""
        answers = dict(self.answers)
        for place, answer in changes.items():
            if answer is None:
                answers.pop(place, None)
            else:
                answers[place] = answer
        case = type(self)(self.protocol, answers)
        case.row = self.memory.changed_row(self.row, changes)
        return case

    @cached_property
    def memory(self) -> Memory:
        """What was worked out for cases under this protocol."""
        return memory_of(self.protocol)

    @cached_property
    def row(self) -> Sequence[Answer | None]:
        """The answers as the memory looks at them."""
        return self.memory.row(self.answers)

    @cached_property
    def places(self) -> tuple[Place, ...]:
        """What is to be examined now, in the order of the exam, left before right.

        A test of which it is still unknown whether it is asked is among them.
        """
        return self._to_be_examined(self.memory.places_in_order)

    @cached_property
    def unanswered(self) -> tuple[Place, ...]:
        """Those of the places that have no answer."""
        row, in_order = self.row, self.memory.places_in_order
        return self._to_be_examined([one for one in in_order if row[one.column] is None])

    def _to_be_examined(self, asked_at: Sequence[AskedAt]) -> tuple[Place, ...]:
        return tuple(
            place
            for place, test, _ in asked_at
            if self.indicated(test, place.side).truth is not Truth.FALSE
        )

    @cached_property
    def live_crosschecks(self) -> tuple[CrosscheckFired, ...]:
        """The cross-checks that speak during the exam and fire now, worst first."""
        return tuple(check for check in self.crosschecks if not check.review_only)

    @cached_property
    def crosschecks(self) -> tuple[CrosscheckFired, ...]:
        """All cross-checks on findings that fire now, worst first."""
        return self.crosschecks_at((CheckStage.LIVE, CheckStage.REVIEW))

    def crosschecks_at(
        self, stages: tuple[CheckStage, ...], features: SettledFeatures = NO_FEATURES
    ) -> tuple[CrosscheckFired, ...]:
        """Return the cross-checks of these stages that fire now, worst first."""
        questions = self.memory.questions
        fired = [
            self._fired(crosscheck, side, verdict)
            for crosscheck, side, question in questions.of_each(self.protocol.crosschecks)
            if crosscheck.stage in stages
            and question.certainty(self, features) is not False
            and (verdict := question.verdict(self, features)).holds
        ]
        return tuple(sorted(fired, key=lambda check: _SEVERITIES.index(check.severity)))

    @cached_property
    def cautions(self) -> tuple[CautionRaised, ...]:
        """The cautions that hold, most urgent first."""
        return self._cautions_that_are(Truth.TRUE)

    @cached_property
    def open_cautions(self) -> tuple[CautionRaised, ...]:
        """The cautions that missing answers keep from being excluded, most urgent first."""
        return self._cautions_that_are(Truth.UNKNOWN)

    def indicated(self, test: Test, side: Side) -> Verdict:
        """Say whether a test is asked on a side."""
        ask_when = self.protocol.asked_when(test)
        return ALWAYS if ask_when is None else self.verdict(ask_when, side)

    def caution(self, caution: Caution, side: Side) -> Verdict:
        """Say whether a caution holds on a side."""
        return self.verdict(caution.when, side)

    def derived_value(self, derived: Derived, side: Side) -> DerivedValue:
        """Return a derived value on a side; one of the whole person serves both."""
        return self.number(derived.id, side)

    def number(self, name: str, side: Side) -> DerivedValue:
        """Return a test's answer or a derived value as a number known within bounds."""
        return self.memory.questions.number(name, side)(self, NO_FEATURES)

    def verdict(
        self, condition: Condition, side: Side, features: SettledFeatures = NO_FEATURES
    ) -> Verdict:
        """Answer a condition from the point of view of one side.

        Args:
            condition: what is asked.
            side: the side being judged, or the whole person.
            features: the features settled so far, which the condition may ask about.
        """
        return self.memory.questions.of(condition, side).verdict(self, features)

    def certainty(
        self, condition: Condition, side: Side, features: SettledFeatures = NO_FEATURES
    ) -> bool | None:
        """Say whether a condition surely holds or surely does not; sooner than its verdict.

        Nothing is said where a missing answer might turn it; its verdict knows better.
        """
        return self.memory.questions.of(condition, side).certainty(self, features)

    def needs_answered(self, needs: tuple[str, ...]) -> Verdict:
        """Say whether all of these tests are answered, as far as they are asked."""
        verdict = self._needs.get(needs)
        if verdict is None:
            verdict = self._needs[needs] = self.memory.one_of(self._needs_answered(needs))
        return verdict

    def _needs_answered(self, needs: tuple[str, ...]) -> Verdict:
        tests = (self.protocol.tests_by_id[name] for name in needs)
        return conjunction(
            ALWAYS if place in self.answers else Verdict(Truth.UNKNOWN, (), (place,))
            for test in tests
            for place in places_of(test)
            if self.indicated(test, place.side).truth is not Truth.FALSE
        )

    def _cautions_that_are(self, truth: Truth) -> tuple[CautionRaised, ...]:
        urgencies = list(self.protocol.urgencies)
        questions = self.memory.questions
        found = [
            self._caution_result(caution, side, verdict)
            for caution, side, question in questions.of_each(self.protocol.cautions)
            if question.certainty(self, NO_FEATURES) is not False
            and (verdict := question.verdict(self, NO_FEATURES)).truth is truth
        ]
        return tuple(sorted(found, key=lambda caution: urgencies.index(caution.urgency)))

    def _caution_result(self, caution: Caution, side: Side, verdict: Verdict) -> CautionRaised:
        return CautionRaised(
            id=caution.id,
            title=caution.title,
            side=side,
            urgency=caution.urgency,
            urgency_words=self.protocol.urgencies[caution.urgency],
            device=caution.device,
            says=caution.says,
            refer_to=caution.refer_to,
            findings=verdict.findings,
            missing=() if verdict.holds else verdict.missing,
            basis=caution.basis,
        )

    def _fired(self, crosscheck: Crosscheck, side: Side, verdict: Verdict) -> CrosscheckFired:
        recheck = (
            place
            for name in crosscheck.recheck
            for place in places_of(self.protocol.tests_by_id[name])
            if place.side in (side, Side.WHOLE) or side is Side.WHOLE
        )
        return CrosscheckFired(
            id=crosscheck.id,
            severity=crosscheck.severity,
            side=side,
            says=crosscheck.says,
            why=crosscheck.why,
            recheck=tuple(recheck),
            findings=verdict.findings,
            basis=crosscheck.basis,
            review_only=crosscheck.stage is not CheckStage.LIVE,
        )
