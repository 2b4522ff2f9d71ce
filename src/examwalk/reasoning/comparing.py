"""What changed between the visits of one patient, weighed against the error of each test.

The first visit is compared with the last; the visits between are kept for their course. While
the last visit is open, nothing of an earlier one is said about what is not answered in it yet.
"""

from collections.abc import Iterator, Sequence
from datetime import datetime
from enum import Enum

from attrs import frozen

from examwalk.language import say
from examwalk.protocol.change_model import Better, ImportantChange
from examwalk.protocol.exam_model import Kind, Test
from examwalk.protocol.model import Protocol
from examwalk.protocol.reliability_model import Reliability
from examwalk.reasoning.cautions_compared import CautionChange, caution_changes
from examwalk.reasoning.detectable import Detectable, best_detectable, is_at_chance
from examwalk.reasoning.features_compared import FeatureChange, feature_changes
from examwalk.reasoning.fitting import case_of
from examwalk.reasoning.places import places_of, sides_of
from examwalk.reasoning.results import DerivedResult, Summary
from examwalk.reasoning.same_meaning import Unlike, derived_unlike, test_unlike
from examwalk.reasoning.summary import summarise
from examwalk.session.model import Answer, Place, Session, Side, State


class Judgement(Enum):
    """What a change is worth; in the order in which changes are told."""

    REAL = "real"
    OTHERWISE = "answered-differently"
    """A choice or words: there is no amount to weigh."""
    UNJUDGED = "cannot-be-judged"
    WITHIN_ERROR = "within-error"
    ONE_VISIT_ONLY = "one-visit-only"
    UNCHANGED = "unchanged"


class Ground(Enum):
    """Why a change is judged as it is."""

    NONE = "none"
    FIGURE = "published-error"
    ONE_GRADE = "one-grade"
    """No error is published; one grade counts as examiner error, a convention."""
    MORE_GRADES = "more-than-one-grade"
    AT_CHANCE = "agreement-at-chance"
    OTHER_EXAMINER = "two-examiners"
    """Two examined, and only the error within one is published."""
    ONE_INPUT = "one-input-within-error"
    """It rests on one finding whose change is within error."""
    NO_FIGURE = "no-published-error"


@frozen
class Visit:
    """One visit and the protocol it is read with."""

    session: Session
    protocol: Protocol


@frozen
class Change:
    """One finding, or one derived value, over the visits."""

    id: str
    """Of the test or of the derived value."""
    side: Side
    is_derived: bool
    values: tuple[Answer | None, ...]
    """One for each visit; none where it was not answered or meant something else."""
    judgement: Judgement
    ground: Ground = Ground.NONE
    difference: float | None = None
    """Last minus first, in the unit or in grades."""
    detectable: Detectable | None = None
    important: ImportantChange | None = None

    @property
    def is_better(self) -> bool | None:
        """Whether the patient fares better, where the protocol says which way that is."""
        if self.important is None or not self.difference:
            return None
        return (self.difference < 0) is (self.important.better is Better.LOWER)

    @property
    def matters(self) -> bool | None:
        """Whether the change is one that matters to patients, where that is known."""
        if self.important is None or self.difference is None:
            return None
        return _reaches(self.difference, self.important.change)


@frozen
class Incomparable:
    """A test or derived value that is not the same in both protocols, and was answered."""

    title: str
    unlike: Unlike


@frozen
class Comparison:
    """The visits of one patient from first to last, and what changed."""

    visits: tuple[Visit, ...]
    summaries: tuple[Summary, ...]
    same_examiner: bool | None
    """Whether the first and the last visit name the same examiner; none where one names nobody."""
    cautions: tuple[CautionChange, ...]
    """New ones first."""
    changes: tuple[Change, ...]
    """Sorted by their judgement, then in the order of the exam, findings before derived values."""
    incomparable: tuple[Incomparable, ...]
    features: tuple[FeatureChange, ...]
    held_back: int
    """Answers of earlier visits that are not told, because the last visit has none yet."""

    def judged(self, judgement: Judgement) -> tuple[Change, ...]:
        """Return the changes with one judgement."""
        return tuple(change for change in self.changes if change.judgement is judgement)


def refusal(sessions: Sequence[Session]) -> str:
    """Say in a sentence why sessions cannot be compared; an empty text where they can."""
    if len(sessions) < 2:
        return say("Two visits or more are needed to compare.")
    codes = list(dict.fromkeys(session.patient for session in sessions))
    if len(codes) > 1:
        return say(
            "These are visits of different patients ({codes}); only visits of one patient can be "
            "compared.",
            codes=", ".join(codes),
        )
    ids = [session.id for session in sessions]
    twice = next((one for one in ids if ids.count(one) > 1), None)
    if twice is not None:
        return say("The visit {id} is named twice.", id=twice)
    return ""


def compare(visits: Sequence[Visit]) -> Comparison:
    """Compare the visits of one patient, whatever order they are given in.

    Raises:
        ValueError: they cannot be compared; see :func:`refusal`.
    """
    why_not = refusal([visit.session for visit in visits])
    if why_not:
        raise ValueError(why_not)
    ordered = tuple(sorted(visits, key=_began))
    comparing = _Comparing(ordered)
    found = [*comparing.findings(), *comparing.derived_values()]
    order = list(Judgement)
    cautions, cautions_held = caution_changes(
        [visit.protocol for visit in ordered], comparing.summaries, is_open=comparing.is_open
    )
    features, features_held = feature_changes(comparing.summaries, is_open=comparing.is_open)
    return Comparison(
        visits=ordered,
        summaries=comparing.summaries,
        same_examiner=comparing.same_examiner,
        cautions=cautions,
        changes=tuple(sorted(found, key=lambda change: order.index(change.judgement))),
        incomparable=tuple(comparing.incomparable),
        features=features,
        held_back=comparing.held_back + cautions_held + features_held,
    )


def _began(visit: Visit) -> tuple[datetime, str]:
    return visit.session.started, visit.session.id


class _Comparing:
    """The work of one comparison, with what it gathers on the way."""

    def __init__(self, visits: tuple[Visit, ...]) -> None:
        self.protocols = [visit.protocol for visit in visits]
        self.answers = [case_of(visit.protocol, visit.session).answers for visit in visits]
        self.summaries = tuple(summarise(visit.protocol, visit.session) for visit in visits)
        self.is_open = visits[-1].session.state is State.OPEN
        self.same_examiner = same_examiner(visits[0].session, visits[-1].session)
        self.incomparable: list[Incomparable] = []
        self.held_back = 0
        self._judged: dict[Place, Change] = {}

    def findings(self) -> Iterator[Change]:
        first, last = self.protocols[0], self.protocols[-1]
        for test in _united(last.tests_in_order, first.tests_in_order):
            unlike = None
            if test.id in first.tests_by_id and test.id in last.tests_by_id:
                unlike = test_unlike(first, last, test.id)
            if unlike is not None:
                if any(place.test == test.id for answers in self.answers for place in answers):
                    self.incomparable.append(Incomparable(test.name, unlike))
                continue
            for place in places_of(test):
                change = self._finding(test, place)
                if change is not None:
                    self._judged[place] = change
                    yield change

    def _finding(self, test: Test, place: Place) -> Change | None:
        values = tuple(
            answers.get(place) if self._means_the_same(protocol, test) else None
            for protocol, answers in zip(self.protocols, self.answers, strict=True)
        )
        if self._is_untold(values):
            return None
        if values[0] is None or values[-1] is None:
            return Change(place.test, place.side, False, values, Judgement.ONE_VISIT_ONLY)
        difference = self._difference(test, values[0], values[-1])
        if difference is None:
            same = _unordered(values[0]) == _unordered(values[-1])
            judgement = Judgement.UNCHANGED if same else Judgement.OTHERWISE
            return Change(place.test, place.side, False, values, judgement)
        judgement, ground, detectable = judge(
            difference,
            test.reliability,
            same_examiner=self.same_examiner,
            in_grades=test.kind is Kind.GRADE,
        )
        return Change(
            place.test,
            place.side,
            False,
            values,
            judgement,
            ground,
            difference,
            detectable,
            test.important_change,
        )

    def _means_the_same(self, protocol: Protocol, test: Test) -> bool:
        last = self.protocols[-1]
        if test.id not in last.tests_by_id or test.id not in protocol.tests_by_id:
            return test.id in protocol.tests_by_id
        return test_unlike(protocol, last, test.id) is None

    def _is_untold(self, values: tuple[Answer | None, ...]) -> bool:
        """Whether nothing is there, or an earlier answer must wait for that of an open visit."""
        if all(value is None for value in values):
            return True
        if self.is_open and values[-1] is None:
            self.held_back += 1
            return True
        return values[0] is None and values[-1] is None

    def _difference(self, test: Test, first: Answer, last: Answer) -> float | None:
        if test.kind is Kind.GRADE:
            grades = self.protocols[-1].scale_of(test).grades
            return grades.index(str(last)) - grades.index(str(first))
        if isinstance(first, int | float) and isinstance(last, int | float):
            return round(last - first, 9)
        return None

    def derived_values(self) -> Iterator[Change]:
        first, last = self.protocols[0], self.protocols[-1]
        for derived in last.derived:
            if derived.internal or derived.id not in first.derived_by_id:
                continue
            unlike = derived_unlike(first, last, derived.id)
            if unlike is not None:
                self.incomparable.append(Incomparable(derived.title, unlike))
                continue
            for side in sides_of(derived.sides):
                change = self._derived_value(derived.id, side)
                if change is not None:
                    yield change

    def _derived_value(self, derived_id: str, side: Side) -> Change | None:
        last = self.protocols[-1]
        results = [
            _result(summary, derived_id, side)
            if derived_id in protocol.derived_by_id
            and derived_unlike(protocol, last, derived_id) is None
            else None
            for protocol, summary in zip(self.protocols, self.summaries, strict=True)
        ]
        values = tuple(result.value if result else None for result in results)
        if self._is_untold(values):
            return None
        if values[0] is None or values[-1] is None:
            return Change(derived_id, side, True, values, Judgement.ONE_VISIT_ONLY)
        difference = round(values[-1] - values[0], 9)
        figures = last.derived_by_id[derived_id].reliability
        judgement, ground, detectable = judge(
            difference, figures, same_examiner=self.same_examiner, in_grades=False
        )
        if ground is Ground.NO_FIGURE and self._rests_on_one_error(results):
            judgement, ground = Judgement.WITHIN_ERROR, Ground.ONE_INPUT
        return Change(derived_id, side, True, values, judgement, ground, difference, detectable)

    def _rests_on_one_error(self, results: Sequence[DerivedResult | None]) -> bool:
        """Whether all that moved among the inputs is one finding, by no more than error."""
        inputs = {
            place for result in (results[0], results[-1]) if result for place in result.inputs
        }
        moved = [
            change
            for place, change in self._judged.items()
            if place in inputs and change.judgement is not Judgement.UNCHANGED
        ]
        return len(moved) == 1 and moved[0].judgement is Judgement.WITHIN_ERROR


def judge(
    difference: float,
    figures: Sequence[Reliability],
    *,
    same_examiner: bool | None,
    in_grades: bool,
) -> tuple[Judgement, Ground, Detectable | None]:
    """Weigh a difference against the error of its test.

    A difference as large as the detectable change counts as real. Where no figure is published,
    one grade counts as examiner error, a convention; a number cannot be judged.
    """
    if not difference:
        return Judgement.UNCHANGED, Ground.NONE, None
    if in_grades and is_at_chance(figures):
        within = abs(difference) <= 1
        judgement = Judgement.WITHIN_ERROR if within else Judgement.UNJUDGED
        return judgement, Ground.AT_CHANCE, None
    detectable = best_detectable(figures, same_examiner=same_examiner)
    if detectable is not None:
        if not _reaches(difference, detectable.change):
            return Judgement.WITHIN_ERROR, Ground.FIGURE, detectable
        if detectable.is_too_small_for(same_examiner):
            return Judgement.UNJUDGED, Ground.OTHER_EXAMINER, detectable
        return Judgement.REAL, Ground.FIGURE, detectable
    if not in_grades:
        return Judgement.UNJUDGED, Ground.NO_FIGURE, None
    if abs(difference) <= 1:
        return Judgement.WITHIN_ERROR, Ground.ONE_GRADE, None
    return Judgement.REAL, Ground.MORE_GRADES, None


def same_examiner(first: Session, last: Session) -> bool | None:
    """Say whether two visits name the same examiner; none where one of them names nobody."""
    one, other = (session.examiner.strip().casefold() for session in (first, last))
    return one == other if one and other else None


def _reaches(difference: float, least: float) -> bool:
    # 9.9 − 8 is 1.9000000000000004, and 10 − 8.1 a little less than 1.9 in some orders.
    return round(abs(difference), 6) >= round(least, 6)


def _unordered(answer: Answer) -> Answer | frozenset[str]:
    return frozenset(answer) if isinstance(answer, tuple) else answer


def _united(later: Sequence[Test], earlier: Sequence[Test]) -> tuple[Test, ...]:
    known = {test.id for test in later}
    return (*later, *(test for test in earlier if test.id not in known))


def _result(summary: Summary, derived_id: str, side: Side) -> DerivedResult | None:
    for result in summary.derived:
        if (result.id, result.side) == (derived_id, side):
            return result
    return None
