"""Two examiners on the same patients: how far they agree, test by test.

Each patient has two finished visits. The answers of both at the same place make a pair; left and
right, and several patients, are put together for a test.
"""

from collections.abc import Iterator, Sequence

from attrs import field, frozen

from examwalk.language import say
from examwalk.protocol.exam_model import Kind, Test
from examwalk.protocol.model import Protocol
from examwalk.reasoning.comparing import Visit, same_examiner
from examwalk.reasoning.fitting import case_of
from examwalk.reasoning.places import places_of
from examwalk.reasoning.rater_statistics import (
    Limits,
    exact_share,
    icc_2_1,
    kappa,
    limits_of_agreement,
    linear_kappa,
    within_one_share,
)
from examwalk.reasoning.same_meaning import test_unlike
from examwalk.session.model import Answer, Place, Session, State

FEWEST_PAIRS = 10
"""A coefficient of fewer pairs says nothing and is not given: a convention of this program."""


@frozen
class PairOfAnswers:
    """What both examiners answered at one place of one patient."""

    patient: str
    place: Place
    first: Answer
    second: Answer


@frozen
class TestAgreement:
    """How far two examiners agree on one test."""

    __test__ = False

    protocol: Protocol = field(repr=False)
    """In whose words the answers are."""
    test: Test
    pairs: tuple[PairOfAnswers, ...]
    exact: float
    """Share of pairs with the same answer."""
    within_one: float | None
    """For grades: share of pairs at most one grade apart."""
    kappa: float | None
    """For grades with linear weights, for one option of several without; none where too few."""
    icc: float | None
    """ICC(2,1) of grades and numbers; none where too few."""
    limits: Limits | None
    """For numbers, first minus second; none where too few."""
    furthest: float
    """The largest difference in grades or in the unit; 1 for other answers that differ."""


@frozen
class AgreementOfTwo:
    """All tests that both examiners answered."""

    pairs_of_visits: tuple[tuple[Visit, Visit], ...]
    same_examiner: bool | None
    tests: tuple[TestAgreement, ...]
    """Furthest apart first, in grades; then numbers; then other answers that differ."""


def agreement_refusal(sessions: Sequence[Session]) -> str:
    """Say in a sentence why agreement cannot be worked out; an empty text where it can."""
    if not sessions:
        return say("Two visits of one patient are needed.")
    ids = [session.id for session in sessions]
    twice = next((one for one in ids if ids.count(one) > 1), None)
    if twice is not None:
        return say("The visit {id} is named twice.", id=twice)
    codes = [session.patient for session in sessions]
    for code in dict.fromkeys(codes):
        if codes.count(code) != 2:
            return say(
                "Patient {code} has {count} of the visits named here; each patient needs two, one "
                "by each examiner.",
                code=code,
                count=codes.count(code),
            )
    is_open = next((one for one in sessions if one.state is State.OPEN), None)
    if is_open is not None:
        return say(
            "The visit {id} is still open; agreement is looked at once both examiners have "
            "finished, so that neither sees the other's answers before.",
            id=is_open.id,
        )
    return ""


def agreement_of(visits: Sequence[Visit]) -> AgreementOfTwo:
    """Work out how far two examiners agree.

    Args:
        visits: two of each patient. Of a pair, the one of the examiner who comes first by
            initials is the first; of the same examiner, the earlier one.

    Raises:
        ValueError: see :func:`agreement_refusal`.
    """
    why_not = agreement_refusal([visit.session for visit in visits])
    if why_not:
        raise ValueError(why_not)
    by_patient: dict[str, list[Visit]] = {}
    for visit in sorted(visits, key=_examiner_and_time):
        by_patient.setdefault(visit.session.patient, []).append(visit)
    pairs = tuple((one, other) for one, other in by_patient.values())
    same = {same_examiner(one.session, other.session) for one, other in pairs}
    return AgreementOfTwo(
        pairs_of_visits=pairs,
        same_examiner=same.pop() if len(same) == 1 else None,
        tests=tuple(sorted(_tests(pairs), key=_rank)),
    )


def _examiner_and_time(visit: Visit) -> tuple[str, float]:
    return visit.session.examiner.strip().casefold(), visit.session.started.timestamp()


def _rank(one: TestAgreement) -> tuple[bool, int, float]:
    kinds = (Kind.GRADE, Kind.MEASURE, Kind.CHOICE)
    return not one.furthest, kinds.index(one.test.kind), -one.furthest


def _tests(pairs: Sequence[tuple[Visit, Visit]]) -> Iterator[TestAgreement]:
    answered = [
        [case_of(visit.protocol, visit.session).answers for visit in pair] for pair in pairs
    ]
    seen: dict[str, tuple[Protocol, Test]] = {}
    for pair in pairs:
        for visit in pair:
            for test in visit.protocol.tests_in_order:
                seen.setdefault(test.id, (visit.protocol, test))
    for protocol, test in seen.values():
        if test.kind is Kind.TEXT:
            continue
        found = [
            PairOfAnswers(pair[0].session.patient, place, *(one[place] for one in answers))
            for pair, answers in zip(pairs, answered, strict=True)
            if all(_is_same(protocol, visit.protocol, test) for visit in pair)
            for place in places_of(test)
            if all(place in one for one in answers)
        ]
        if found:
            yield _judged(protocol, test, tuple(found))


def _is_same(protocol: Protocol, other: Protocol, test: Test) -> bool:
    return test.id in other.tests_by_id and test_unlike(protocol, other, test.id) is None


def _judged(protocol: Protocol, test: Test, pairs: tuple[PairOfAnswers, ...]) -> TestAgreement:
    is_enough = len(pairs) >= FEWEST_PAIRS
    if test.kind is Kind.CHOICE:
        answers = [(_unordered(pair.first), _unordered(pair.second)) for pair in pairs]
        exact = exact_share(answers)
        agreed = kappa(answers) if is_enough and not test.several else None
        return TestAgreement(
            protocol, test, pairs, exact, None, agreed, None, None, float(exact < 1)
        )
    if test.kind is Kind.GRADE:
        ranks = protocol.scale_of(test).grades.index
        graded = [(ranks(str(pair.first)), ranks(str(pair.second))) for pair in pairs]
        return TestAgreement(
            protocol=protocol,
            test=test,
            pairs=pairs,
            exact=exact_share(graded),
            within_one=within_one_share(graded),
            kappa=linear_kappa(graded) if is_enough else None,
            icc=icc_2_1(graded) if is_enough else None,
            limits=None,
            furthest=max(abs(one - other) for one, other in graded),
        )
    numbers = [(_number(pair.first), _number(pair.second)) for pair in pairs]
    return TestAgreement(
        protocol=protocol,
        test=test,
        pairs=pairs,
        exact=exact_share(numbers),
        within_one=None,
        kappa=None,
        icc=icc_2_1(numbers) if is_enough else None,
        limits=limits_of_agreement(numbers) if is_enough else None,
        furthest=round(max(abs(one - other) for one, other in numbers), 9),
    )


def _number(answer: Answer) -> float:
    assert isinstance(answer, int | float)
    return float(answer)


def _unordered(answer: Answer) -> Answer | frozenset[str]:
    return frozenset(answer) if isinstance(answer, tuple) else answer
