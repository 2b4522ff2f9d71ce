"""One patient's findings under one protocol, and what can be said of them.

A ``Case`` is a value: it never changes, and it remembers what it has worked out.
"""

from collections.abc import Callable, Hashable, Mapping, Sequence
from functools import cached_property, lru_cache
from typing import Self, TypeVar

from examwalk.protocol.model import (
    Caution,
    CheckSeverity,
    CheckStage,
    Condition,
    Crosscheck,
    Derived,
    Kind,
    Protocol,
    Sides,
    SideScope,
    Test,
)
from examwalk.reasoning.conditions_met import (
    NO_FEATURES,
    SettledFeatures,
    ask_feature,
    choice_meets,
    compared,
    is_among,
)
from examwalk.reasoning.dependence import Reads
from examwalk.reasoning.derived import DerivedValue, calculate
from examwalk.reasoning.intervals import Interval, compare, distance, exactly, monotone
from examwalk.reasoning.logic import (
    ALWAYS,
    Verdict,
    at_least,
    conjunction,
    disjunction,
    known,
    merged,
    negation,
)
from examwalk.reasoning.memory import Memory, memory_of
from examwalk.reasoning.results import (
    CautionRaised,
    CrosscheckFired,
    Truth,
)
from examwalk.session.model import BOTH_FEET, Answer, Place, Side

_SEVERITIES = list(CheckSeverity)
Worked = TypeVar("Worked")


class Case:
    """Findings under a protocol.

    Args:
        protocol: what may be asked and what follows from it.
        answers: the answers alone, by place; a test that was not done has none.
    """

    def __init__(self, protocol: Protocol, answers: Mapping[Place, Answer]) -> None:
        self.protocol = protocol
        self.answers = answers
        self._indicated: dict[Place, Verdict] = {}
        self._derived: dict[tuple[str, Side], DerivedValue] = {}
        self._cautions: dict[tuple[str, Side], Verdict] = {}

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
    def row(self) -> Sequence[Hashable]:
        """The answers as the memory looks at them."""
        return self.memory.row(self.answers)

    @cached_property
    def places(self) -> tuple[Place, ...]:
        """What is to be examined now, in the order of the exam, left before right.

        A test whose ``ask_when`` is still unknown is among them; one for which it is false is
        not.
        """
        return tuple(
            place
            for test in self.protocol.tests_in_order
            for place in places_of(test)
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
        fired = [
            self._fired(crosscheck, side, verdict)
            for crosscheck in self.protocol.crosschecks
            if crosscheck.stage in stages
            for side in sides_of(crosscheck.sides)
            if (verdict := self.judged(crosscheck.when, side, features)).holds
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
        if test.ask_when is None:
            return ALWAYS
        place = Place(test.id, side)
        if place not in self._indicated:
            self._indicated[place] = self.judged(test.ask_when, side)
        return self._indicated[place]

    def caution(self, caution: Caution, side: Side) -> Verdict:
        """Say whether a caution holds on a side."""
        key = (caution.id, side)
        if key not in self._cautions:
            self._cautions[key] = self.judged(caution.when, side)
        return self._cautions[key]

    def derived_value(self, derived: Derived, side: Side) -> DerivedValue:
        """Return a derived value on a side; one of the whole person serves both."""
        key = (derived.id, Side.WHOLE if derived.sides is Sides.ONCE else side)
        if key not in self._derived:
            self._derived[key] = self.recalled(
                ("derived", derived, key[1]),
                lambda: self.memory.dependence.of_derived(derived, key[1]),
                lambda: calculate(self, derived, key[1]),
            )
        return self._derived[key]

    def recalled(
        self,
        about: tuple[str, object, Side],
        reads: Callable[[], Reads],
        work: Callable[[], Worked],
        features: SettledFeatures = NO_FEATURES,
    ) -> Worked:
        """Return what was worked out for any case that agrees in all that counts, or work it out.

        Args:
            about: what kind of thing it is, of which part of the protocol, on which side.
            reads: says what it can hang on.
            work: works it out.
            features: the features settled so far.
        """
        return self.memory.recalled(about, reads, self.row, features, work)

    def judged(
        self, condition: Condition, side: Side, features: SettledFeatures = NO_FEATURES
    ) -> Verdict:
        """Answer a condition that stands in the protocol, as ``verdict`` does; it is remembered."""
        return self.recalled(
            ("condition", condition, side),
            lambda: self.memory.dependence.of_condition(condition, side),
            lambda: self.memory.one_of(self.verdict(condition, side, features)),
            features,
        )

    def verdict(
        self, condition: Condition, side: Side, features: SettledFeatures = NO_FEATURES
    ) -> Verdict:
        """Answer a condition from the point of view of one side.

        Args:
            condition: what is asked.
            side: the side being judged, or the whole person.
            features: the features settled so far, which the condition may ask about.
        """
        if condition.all is not None:
            return conjunction(self.verdict(part, side, features) for part in condition.all)
        if condition.any is not None:
            return disjunction(self.verdict(part, side, features) for part in condition.any)
        if condition.not_ is not None:
            return negation(self.verdict(condition.not_, side, features))
        if condition.count is not None:
            assert isinstance(condition.at_least, int)
            parts = (self.verdict(part, side, features) for part in condition.count)
            return at_least(condition.at_least, parts)
        return self._leaf(condition, side, features)

    def number(self, name: str, side: Side) -> DerivedValue:
        """Return a test's answer or a derived value as a number known within bounds."""
        derived = self.protocol.derived_by_id.get(name)
        if derived is not None:
            return self.derived_value(derived, side)
        test = self.protocol.tests_by_id[name]
        place = place_of(test, side)
        asked = self.indicated(test, place.side)
        if asked.truth is Truth.FALSE:
            return DerivedValue(None, missing=asked.missing)
        answer = self.answers.get(place)
        if answer is None:
            missing = (place, *asked.missing)
            return DerivedValue(self._bounds_of(test), missing=missing, may_lapse=asked.is_unknown)
        if test.kind is Kind.GRADE:
            number: float = self.protocol.scale_of(test).score(str(answer))
        else:
            assert isinstance(answer, int | float)
            number = answer
        return DerivedValue(exactly(number), findings=(place,))

    def _leaf(self, condition: Condition, side: Side, features: SettledFeatures) -> Verdict:
        match condition.side:
            case SideScope.EITHER:
                return disjunction(self._ask(condition, foot, features) for foot in BOTH_FEET)
            case SideScope.BOTH:
                return conjunction(self._ask(condition, foot, features) for foot in BOTH_FEET)
            case SideScope.DIFFERENCE | SideScope.EXCESS:
                return self._ask_between_sides(condition, side)
            case SideScope.OTHER:
                return self._ask(condition, side.other, features)
        return self._ask(condition, side, features)

    def _ask(self, condition: Condition, side: Side, features: SettledFeatures) -> Verdict:
        if condition.test is not None:
            return self._ask_test(self.protocol.tests_by_id[condition.test], condition, side)
        if condition.derived is not None:
            return compared(self.number(condition.derived, side), condition)
        if condition.feature is not None:
            return ask_feature(condition, side, features)
        if condition.caution is not None:
            caution = self.protocol.cautions_by_id[condition.caution]
            return disjunction(
                self.caution(caution, foot) for foot in _sides_seen_from(caution.sides, side)
            )
        return disjunction(
            self.caution(caution, foot)
            for caution in self.protocol.cautions
            if caution.device is condition.any_caution
            for foot in sides_of(caution.sides)
        )

    def _ask_test(self, test: Test, condition: Condition, side: Side) -> Verdict:
        place = place_of(test, side)
        asked = self.indicated(test, place.side)
        if asked.truth is Truth.FALSE:
            return Verdict(Truth.FALSE, missing=asked.missing)
        answer = self.answers.get(place)
        missing = () if answer is not None else (place, *asked.missing)
        if condition.answered is not None:
            is_met = (answer is not None) is condition.answered
            return Verdict(Truth.TRUE if is_met else Truth.FALSE, (place,), missing)
        if answer is None:
            return Verdict(Truth.UNKNOWN, missing=missing)
        if test.kind is Kind.GRADE:
            return known(self._grade_meets(test, str(answer), condition), place)
        if isinstance(answer, int | float):
            return Verdict(compare(exactly(answer), condition), (place,))
        return known(choice_meets(answer, condition, side), place)

    def _grade_meets(self, test: Test, grade: str, condition: Condition) -> bool:
        rank = self.protocol.scale_of(test).grades.index
        return (
            is_among(grade, condition)
            and (condition.at_least is None or rank(grade) >= rank(str(condition.at_least)))
            and (condition.at_most is None or rank(grade) <= rank(str(condition.at_most)))
            and (condition.above is None or rank(grade) > rank(str(condition.above)))
            and (condition.below is None or rank(grade) < rank(str(condition.below)))
        )

    def _ask_between_sides(self, condition: Condition, side: Side) -> Verdict:
        name = condition.test or condition.derived or ""
        if condition.side is SideScope.DIFFERENCE:
            here, there = (self.number(name, foot) for foot in BOTH_FEET)
        else:
            here, there = self.number(name, side), self.number(name, side.other)
        if here.interval is None or there.interval is None:
            missing = merged((here.missing, there.missing))
            return Verdict(Truth.FALSE, missing=missing)
        between = (
            distance(here.interval, there.interval)
            if condition.side is SideScope.DIFFERENCE
            else monotone(lambda this, other: this - other, here.interval, there.interval)
        )
        value = DerivedValue(
            between,
            findings=here.findings + there.findings,
            missing=here.missing + there.missing,
            through=here.through + there.through,
            may_lapse=here.may_lapse or there.may_lapse,
        )
        return compared(value, condition)

    def _bounds_of(self, test: Test) -> Interval:
        if test.kind is Kind.GRADE:
            scale = self.protocol.scale_of(test)
            return Interval(scale.first_score, scale.first_score + len(scale.grades) - 1)
        assert test.hard is not None
        return Interval(*test.hard)

    def _cautions_that_are(self, truth: Truth) -> tuple[CautionRaised, ...]:
        urgencies = list(self.protocol.urgencies)
        found = [
            self._caution_result(caution, side, verdict)
            for caution in self.protocol.cautions
            for side in sides_of(caution.sides)
            if (verdict := self.caution(caution, side)).truth is truth
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


def place_of(test: Test, side: Side) -> Place:
    """Return where a test is answered for a side."""
    return _place(test.id, Side.WHOLE if test.sides is Sides.ONCE else side)


@lru_cache(maxsize=10_000)
def _place(test_id: str, side: Side) -> Place:
    return Place(test_id, side)


def places_of(test: Test) -> tuple[Place, ...]:
    """Return all places of a test, left before right."""
    return tuple(_place(test.id, side) for side in sides_of(test.sides))


def sides_of(sides: Sides) -> tuple[Side, ...]:
    """Return the sides on which something is judged."""
    return (Side.WHOLE,) if sides is Sides.ONCE else BOTH_FEET


def _sides_seen_from(sides: Sides, side: Side) -> tuple[Side, ...]:
    """Return the sides that count for one side; for the whole person either foot counts."""
    if sides is Sides.ONCE:
        return (Side.WHOLE,)
    return BOTH_FEET if side is Side.WHOLE else (side,)
