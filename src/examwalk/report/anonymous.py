"""Visits without what tells who the patient and the examiner are; every report takes them here.

What is left out follows the safe harbor rule of 45 CFR 164.514(b)(2): codes, names and whatever may
hold one, every part of a date but its year, and ages over 89, which become "90 or older".
"""

from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, datetime, timedelta
from typing import Final

from attrs import evolve

from examwalk.language import say
from examwalk.protocol.exam_model import Kind
from examwalk.protocol.model import Protocol
from examwalk.reasoning.comparing import Visit
from examwalk.session.model import Amendment, Answer, Decision, Finding, Session

OLDEST_AGE_TOLD: Final = 89
"""In years; ages above it are rare enough to tell who somebody is."""


def anonymous(protocol: Protocol, session: Session) -> tuple[Protocol, Session]:
    """Return a visit without codes, initials, days, high ages and whatever was written freely.

    Answers that are grades, numbers and choices stay. A free text is replaced by the word
    ``withheld``, so that it is seen that there was one. Each moment becomes the first one of its
    year, for pages to tell the year alone.

    Returns:
        The protocol, which differs where an age over 89 stands as ``90``, in ``years or older``;
        and the visit, to be read with it.
    """
    older = _is_older(protocol, session)
    hidden = say("withheld")
    signature = session.signature
    shown = evolve(
        session,
        id=hidden,
        examiner=hidden,
        patient=hidden,
        about="",
        started=_year(session.started),
        finished=_year(session.finished) if session.finished else None,
        findings=tuple(_finding(protocol, one) for one in session.findings),
        decisions=tuple(_decision(one) for one in session.decisions),
        replies=tuple(
            evolve(one, says=_withheld(one.says), at=_year(one.at)) for one in session.replies
        ),
        signature=evolve(signature, by="", at=_year(signature.at)) if signature else None,
        amendments=tuple(_amendment(protocol, one) for one in session.amendments),
        as_signed=None,
    )
    return (_or_older(protocol) if older else protocol), shown


def anonymous_visits(visits: Sequence[Visit]) -> list[Visit]:
    """Return visits to be set side by side, in the order in which they began.

    Patients, examiners and visits are numbered, so that it is seen which are the same. The days
    between the visits of one patient stay: the first is put on the first day of its year.
    """
    ordered = sorted(visits, key=lambda visit: visit.session.started)
    patients = _numbered(sorted(visit.session.patient for visit in visits))
    examiners = _numbered(sorted(_initials(visit.session) for visit in visits))
    ids = _numbered(visit.session.id for visit in ordered)
    first = {visit.session.patient: visit.session.started for visit in reversed(ordered)}
    found = []
    for visit in ordered:
        told = visit.session
        began = first[told.patient]
        protocol, session = anonymous(visit.protocol, told)
        named = evolve(
            session,
            id=ids[told.id],
            patient=patients[told.patient],
            examiner=examiners[_initials(told)] if told.examiner.strip() else "",
            started=_year(began) + timedelta(days=(told.started.date() - began.date()).days),
        )
        found.append(Visit(named, protocol))
    return found


def _numbered(names: Iterable[str]) -> Mapping[str, str]:
    return {name: str(number) for number, name in enumerate(dict.fromkeys(names), 1)}


def _initials(session: Session) -> str:
    return session.examiner.strip().casefold()


def _year(moment: datetime) -> datetime:
    return datetime(moment.year, 1, 1, tzinfo=UTC)


def _is_older(protocol: Protocol, session: Session) -> bool:
    age = protocol.identity.age
    told = [finding.answer for finding in session.findings if finding.place.test == age]
    for amendment in session.amendments:
        if getattr(amendment.path, "test", None) == age:
            told += [amendment.old, amendment.new]
    return any(isinstance(one, int | float) and one > OLDEST_AGE_TOLD for one in told)


def _or_older(protocol: Protocol) -> Protocol:
    age = protocol.identity.age
    tests = tuple(
        evolve(test, unit=say("{unit} or older", unit=test.unit)) if test.id == age else test
        for test in protocol.tests
    )
    return evolve(protocol, tests=tests)


def _in_range(age: Answer | None) -> Answer | None:
    if isinstance(age, int | float) and age > OLDEST_AGE_TOLD:
        return OLDEST_AGE_TOLD + 1
    return age


def _finding(protocol: Protocol, finding: Finding) -> Finding:
    known = finding.not_done in protocol.not_done_reasons
    return evolve(
        finding,
        at=_year(finding.at),
        answer=_answer(protocol, finding.place.test, finding.answer),
        not_done=finding.not_done if known else _withheld(finding.not_done or "") or None,
        note=_withheld(finding.note),
    )


def _answer(protocol: Protocol, test_id: str, answer: Answer | None) -> Answer | None:
    test = protocol.tests_by_id.get(test_id)
    if answer is not None and (test is None or test.kind is Kind.TEXT):
        return say("withheld")
    return _in_range(answer) if test_id == protocol.identity.age else answer


def _decision(decision: Decision) -> Decision:
    return evolve(decision, because=_withheld(decision.because), at=_year(decision.at))


def _amendment(protocol: Protocol, amendment: Amendment) -> Amendment:
    test_id = getattr(amendment.path, "test", None)
    old, new = amendment.old, amendment.new
    if test_id is not None:
        old, new = (_answer(protocol, test_id, one) for one in (old, new))
    return evolve(
        amendment,
        by="",
        at=_year(amendment.at),
        because=_withheld(amendment.because),
        old=old,
        new=new,
        old_not_done=None,
    )


def _withheld(text: str) -> str:
    return say("withheld") if text else ""
