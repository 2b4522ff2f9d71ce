"""A visit after its amendments: what stands, and what stood there first."""

from collections.abc import Iterable
from functools import reduce

from attrs import evolve

from examwalk.language import say
from examwalk.session.model import Amendment, Decision, Finding, Ordered, Place, Session


def with_amendments(session: Session, amendments: Iterable[Amendment]) -> Session:
    """Return a visit with more amendments, what it was before them kept beside.

    Whether the amendments are genuine is not asked here.
    """
    added = tuple(amendments)
    if not added:
        return session
    after = reduce(_amended, added, session)
    return evolve(
        after,
        amendments=(*session.amendments, *added),
        as_signed=session.as_signed or session,
    )


def amendments_at(session: Session, path: Place | Ordered) -> tuple[Amendment, ...]:
    """Return the amendments of one finding or order, the first made first."""
    return tuple(amendment for amendment in session.amendments if amendment.path == path)


def standing_at(session: Session, path: Place | Ordered) -> Finding | Decision | None:
    """Return what stands at a place or as an order now, if anything does."""
    if isinstance(path, Place):
        finding = session.finding(path)
        return finding if finding is not None and finding.is_settled else None
    return session.decision(path.feature, path.side)


def first_written(session: Session) -> Session:
    """Return a visit as its file holds it: as it was signed, with the amendments behind it.

    Raises:
        ValueError: The visit holds changes that are not among its amendments.
    """
    if session.as_signed is None:
        return session
    signed = session.as_signed
    expected = with_amendments(signed, session.amendments)
    if (expected.findings, expected.decisions) != (session.findings, session.decisions):
        raise ValueError(say("what was changed after signing is not among the amendments"))
    return evolve(
        signed,
        here=session.here,
        signature=session.signature,
        amendments=session.amendments,
    )


def _amended(session: Session, amendment: Amendment) -> Session:
    if isinstance(amendment.path, Place):
        return _with_finding_amended(session, amendment.path, amendment)
    return _with_order_amended(session, amendment.path, amendment)


def _with_finding_amended(session: Session, place: Place, amendment: Amendment) -> Session:
    before = session.finding(place)
    if before is None and amendment.new is None:
        return session
    base = before or Finding(place, amendment.at)
    after = evolve(base, answer=amendment.new, not_done=None, at=amendment.at)
    if not (after.is_settled or after.note):
        return session.without_finding(place)
    if before is None:
        return session.with_finding(after)
    # In its place, so that the findings stay in the order in which they were made.
    findings = tuple(after if one is before else one for one in session.findings)
    return evolve(session, findings=findings)


def _with_order_amended(session: Session, path: Ordered, amendment: Amendment) -> Session:
    if amendment.new is None or isinstance(amendment.new, tuple):
        return session.without_decision(path.feature, path.side)
    before = standing_at(session, path)
    recommended = before.recommended if isinstance(before, Decision) else None
    return session.with_decision(
        Decision(
            path.feature,
            path.side,
            amendment.new,
            recommended,
            amendment.at,
            amendment.because,
        )
    )
