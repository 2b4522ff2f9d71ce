"""A visit's signature and amendments in words and as data."""

from collections.abc import Sequence
from typing import Any

from examwalk.dates import short_date_words, time_words
from examwalk.language import later, say, say_count
from examwalk.protocol.model import Protocol
from examwalk.protocol.wording import answer_words, reason_words
from examwalk.reasoning.settling import value_words
from examwalk.report.sides import with_side
from examwalk.session.amending import amendments_at
from examwalk.session.model import Amendment, AmendmentKind, Answer, Ordered, Place, Session
from examwalk.session.signing import seal

KIND_WORDS = {
    AmendmentKind.LATE_ENTRY: later("late entry"),
    AmendmentKind.ADDENDUM: later("addendum"),
    AmendmentKind.CORRECTION: later("correction"),
    AmendmentKind.RETRACTION: later("retraction"),
}


def signature_words(session: Session) -> str:
    """Say who signed a visit and when, with its seal; an empty text where nobody did."""
    signed = signed_words(session)
    if not signed:
        return ""
    count = len(session.amendments)
    amended = (say_count(count, "{count} amendment", "{count} amendments"),) if count else ()
    return ", ".join((signed, *amended, say("seal {seal}", seal=seal(session))))


def signed_words(session: Session) -> str:
    """Say who signed a visit and when; an empty text where nobody did."""
    signature = session.signature
    if signature is None:
        return ""
    return say("Signed {time} by {by}", time=time_words(signature.at), by=signature.by)


def amended_mark(protocol: Protocol, session: Session, place: Place) -> str:
    """Say beside a finding what stood there before the last amendment; else an empty text."""
    amendments = amendments_at(session, place)
    if not amendments:
        return ""
    last = amendments[-1]
    if not last.by:  # of an anonymous visit
        old = old_words(protocol, last)
        return say("[{kind}; before: {old}]", kind=say(KIND_WORDS[last.kind]), old=old)
    return say(
        "[{kind} {day} by {by}; before: {old}; {because}]",
        kind=say(KIND_WORDS[last.kind]),
        day=short_date_words(last.at),
        by=last.by,
        old=old_words(protocol, last),
        because=last.because,
    )


def amended_words(protocol: Protocol, session: Session, path: Place | Ordered) -> str:
    """Say in a few words that something was amended, and what stood there; else nothing."""
    amendments = amendments_at(session, path)
    if not amendments:
        return ""
    return say("amended, before: {old}", old=old_words(protocol, amendments[-1]))


def amendment_words(protocol: Protocol, amendment: Amendment) -> str:
    """Say the whole of an amendment: what, from what to what, who, when and why."""
    path = amendment.path
    if isinstance(path, Place):
        test = protocol.tests_by_id.get(path.test)
        title = with_side(test.name if test else path.test, path.side)
    else:
        feature = protocol.features_by_id.get(path.feature)
        title = with_side(feature.title if feature else path.feature, path.side)
    kind = say(KIND_WORDS[amendment.kind])
    return say(
        "{title}: {new}; before: {old}. {kind} by {by}, {time}: {because}",
        title=title,
        new=_value_words(protocol, amendment, amendment.new),
        old=old_words(protocol, amendment),
        kind=kind[:1].upper() + kind[1:],
        by=amendment.by,
        time=time_words(amendment.at),
        because=amendment.because,
    )


def old_words(protocol: Protocol, amendment: Amendment) -> str:
    """Say what stood there before an amendment."""
    if amendment.old_not_done is not None:
        reason = reason_words(protocol, amendment.old_not_done)
        return say("not done ({reason})", reason=reason)
    return _value_words(protocol, amendment, amendment.old)


def _value_words(protocol: Protocol, amendment: Amendment, value: Answer | None) -> str:
    if value is None:
        return say("nothing")
    path = amendment.path
    if isinstance(path, Place):
        test = protocol.tests_by_id.get(path.test)
        return answer_words(protocol, test, value) if test else str(value)
    feature = protocol.features_by_id.get(path.feature)
    if feature is None or isinstance(value, tuple):
        return str(value)
    if isinstance(value, str) and value not in feature.options:
        return value
    return value_words(feature, value)


def record_data(session: Session) -> dict[str, Any] | None:
    """Return a visit's signature and amendments for scripts; nothing where it is not signed."""
    signature = session.signature
    if signature is None and not session.amendments:
        return None
    return {
        "signed_by": signature.by if signature else None,
        "signed_at": signature.at.isoformat() if signature else None,
        "hash": signature.hash if signature else None,
        "seal": seal(session) or None,
        "amendments": _amendments_data(session.amendments),
    }


def _amendments_data(amendments: Sequence[Amendment]) -> list[dict[str, Any]]:
    return [
        {
            "kind": one.kind.value,
            **(
                {"test": one.path.test}
                if isinstance(one.path, Place)
                else {"feature": one.path.feature}
            ),
            "side": one.path.side.value,
            "old": one.old,
            "old_not_done": one.old_not_done,
            "new": one.new,
            "because": one.because,
            "by": one.by,
            "at": one.at.isoformat(),
            "previous": one.previous,
            "hash": one.hash,
        }
        for one in amendments
    ]
