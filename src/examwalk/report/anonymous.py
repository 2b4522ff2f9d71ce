"""A visit without what tells who the patient and the examiner are."""

from attrs import evolve

from examwalk.language import say
from examwalk.protocol.model import Kind, Protocol
from examwalk.session.model import Amendment, Decision, Finding, Session


def anonymous(protocol: Protocol, session: Session) -> Session:
    """Return a visit without codes, initials and whatever was written freely.

    Answers that are grades, numbers and choices stay. A free text is replaced by the word
    ``withheld``, so that it is seen that there was one. The moments stay; a page leaves them out.
    """
    return evolve(
        session,
        id="",
        examiner="",
        patient="",
        about="",
        findings=tuple(_finding(protocol, one) for one in session.findings),
        decisions=tuple(_decision(one) for one in session.decisions),
        replies=tuple(evolve(one, says=_withheld(one.says)) for one in session.replies),
        signature=evolve(session.signature, by="") if session.signature else None,
        amendments=tuple(_amendment(protocol, one) for one in session.amendments),
        as_signed=None,
    )


def _finding(protocol: Protocol, finding: Finding) -> Finding:
    test = protocol.tests_by_id.get(finding.place.test)
    free = finding.answer is not None and (test is None or test.kind is Kind.TEXT)
    known = finding.not_done in protocol.not_done_reasons
    return evolve(
        finding,
        answer=_withheld("x") if free else finding.answer,
        not_done=finding.not_done if known else _withheld(finding.not_done or "") or None,
        note=_withheld(finding.note),
    )


def _decision(decision: Decision) -> Decision:
    return evolve(decision, because=_withheld(decision.because))


def _amendment(protocol: Protocol, amendment: Amendment) -> Amendment:
    test = protocol.tests_by_id.get(getattr(amendment.path, "test", ""))
    free = test is not None and test.kind is Kind.TEXT
    return evolve(
        amendment,
        by="",
        because=_withheld(amendment.because),
        old=_withheld("x") if free and amendment.old is not None else amendment.old,
        new=_withheld("x") if free and amendment.new is not None else amendment.new,
        old_not_done=None,
    )


def _withheld(text: str) -> str:
    return say("withheld") if text else ""
