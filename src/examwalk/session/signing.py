"""Signing a visit, amending a signed one, and telling whether a signed one is as it was.

Each amendment holds the hash of the one before it, the first one that of the signature, so that
a line that was changed, removed, put in or moved shows. This makes a change evident and does not
prevent it: whoever can rewrite the whole file can sign it anew under the same name. What cannot
be rewritten is a seal that was printed before (:func:`seal`).
"""

import hashlib
import json
from collections.abc import Mapping
from datetime import datetime
from enum import Enum

from attrs import evolve, frozen

from examwalk.dates import time_words
from examwalk.language import later, say
from examwalk.session.amending import standing_at, with_amendments
from examwalk.session.model import (
    Amendment,
    AmendmentKind,
    Answer,
    Decision,
    Finding,
    Ordered,
    Place,
    Session,
    Signature,
    State,
)
from examwalk.session.tables import clean_text
from examwalk.session.writing import (
    entries_of,
    head_of,
    is_written,
    written_amendment,
    written_entry,
    written_signer,
)
from examwalk.text import clean_line

SEAL_DIGITS = 12
"""How many digits of the last hash are printed."""


class Weight(Enum):
    """How much a fault in a record counts."""

    WRONG = "wrong"
    """The record is not what was signed."""
    ODD = "odd"
    """Worth a look, and may be harmless, such as a clock that was set back."""


@frozen
class RecordFault:
    """What is not as it should be with a signature or an amendment, as a sentence."""

    says: str
    weight: Weight = Weight.WRONG


class RecordRefusedError(ValueError):
    """Why a visit cannot be signed, or not be amended like this; the message is a sentence."""


@frozen
class Grounds:
    """Who amends, when and why."""

    by: str
    """Initials."""
    at: datetime
    because: str
    was_known: bool = True
    """What is added was found at the visit and left out (a late entry); otherwise it was not
    known yet (an addendum). Without meaning where something stands there already."""


def sign(session: Session, by: str, at: datetime) -> Session:
    """Return the visit signed: from now on it changes by amendments alone.

    Args:
        session: A finished visit that is not signed yet.
        by: The initials of who stands for it.
        at: When.

    Raises:
        RecordRefusedError: The visit is not finished, or signed already, or nobody signs.
    """
    by = clean_line(by)
    if session.signature is not None:
        signature = session.signature
        raise RecordRefusedError(
            say(
                "This visit is signed already, by {by} on {time}.",
                by=signature.by,
                time=time_words(signature.at),
            )
        )
    if session.state is not State.FINISHED:
        raise RecordRefusedError(say("This visit is still open; finish it before it is signed."))
    if not by:
        raise RecordRefusedError(say("A signature needs the initials of who signs."))
    signature = Signature(by, at, "")
    return evolve(session, signature=evolve(signature, hash=_signed_hash(session, signature)))


def amend(session: Session, path: Place | Ordered, new: Answer | None, grounds: Grounds) -> Session:
    """Return a signed visit with one more amendment.

    Args:
        session: A signed visit.
        path: The finding or the order that is amended.
        new: What stands there from now on; None takes back what stands there.
        grounds: Who, when and why.

    Raises:
        RecordRefusedError: The visit is not signed, nothing would change, or who or why is
            missing.
    """
    by, because = clean_line(grounds.by), clean_text(grounds.because).strip()
    if session.signature is None:
        raise RecordRefusedError(
            say("This visit is not signed; while it is not, findings are changed in the exam.")
        )
    if not by:
        raise RecordRefusedError(say("An amendment needs the initials of who makes it."))
    if not because:
        raise RecordRefusedError(say("An amendment needs a reason."))
    old, reason = _standing_value(standing_at(session, path))
    kind = _kind_of(old, reason, new, was_known=grounds.was_known)
    last = session.amendments[-1].hash if session.amendments else session.signature.hash
    amendment = Amendment(kind, by, grounds.at, path, old, new, because, last, old_not_done=reason)
    amendment = evolve(amendment, hash=_amendment_hash(amendment))
    count = len(session.amendments) + 1
    signature = evolve(session.signature, amendments=count)
    return evolve(with_amendments(session, (amendment,)), signature=signature)


def seal(session: Session) -> str:
    """Return a short seal of a signed visit, to be printed and compared later.

    It is the number of amendments and the first digits of the last hash. An empty text stands
    for a visit that is not signed.
    """
    return next(reversed(seals(session)), "")


def seals(session: Session) -> tuple[str, ...]:
    """Return every seal that a visit has had: at signing, and after each amendment."""
    return tuple(f"{count}-{one[:SEAL_DIGITS]}" for count, one in enumerate(hashes_of(session)))


def hashes_of(session: Session) -> tuple[str, ...]:
    """Return the hash of the signature and those of the amendments; none where nobody signed."""
    if session.signature is None:
        return ()
    return (session.signature.hash, *(amendment.hash for amendment in session.amendments))


def seal_number(session: Session, noted: str) -> int | None:
    """Return after how many amendments a visit had a seal; None where it never had it.

    Args:
        session: A visit whose record is in order, see :func:`verify`.
        noted: A seal as it was noted, or a whole hash.
    """
    noted = noted.strip().casefold()
    known = zip(seals(session), hashes_of(session), strict=True)
    return next((count for count, ways in enumerate(known) if noted in ways), None)


def verify(session: Session) -> tuple[RecordFault, ...]:
    """Return what is wrong with a visit's signature and amendments; nothing where all is well.

    The last amendments can be cut off so that no trace stays in the file; only an earlier copy
    or a printed seal tells that.
    """
    signature = session.signature
    if signature is None:
        if not session.amendments:
            return ()
        return (RecordFault(say("There are amendments but no signature: it was taken away.")),)
    return (
        *_signature_faults(session, signature),
        *_chain_faults(session, signature),
        *_value_faults(session),
        *_time_faults(session, signature),
    )


def _kind_of(
    old: Answer | None, reason: str | None, new: Answer | None, *, was_known: bool
) -> AmendmentKind:
    if new is None:
        if old is None and reason is None:
            raise RecordRefusedError(say("Nothing stands there that could be taken back."))
        return AmendmentKind.RETRACTION
    if old is None:
        return AmendmentKind.LATE_ENTRY if was_known else AmendmentKind.ADDENDUM
    if old == new:
        raise RecordRefusedError(say("That is what stands there already."))
    return AmendmentKind.CORRECTION


def _standing_value(standing: Finding | Decision | None) -> tuple[Answer | None, str | None]:
    """Return the answer or order that stands, and the reason where a test was not done."""
    if isinstance(standing, Decision):
        return standing.value, None
    return (standing.answer, standing.not_done) if standing else (None, None)


def _signature_faults(session: Session, signature: Signature) -> tuple[RecordFault, ...]:
    signed = session.as_signed or session
    faults = []
    if _signed_hash(signed, signature) != signature.hash:
        faults.append(
            say(
                "The visit is not what {by} signed on {time}: something in it was changed,"
                " added or removed since.",
                by=signature.by,
                time=time_words(signature.at),
            )
        )
    found = len(session.amendments)
    if found != signature.amendments:
        faults.append(
            say(
                "{told} amendments were made, and {found} are there: some were removed or put in.",
                told=signature.amendments,
                found=found,
            )
        )
    return tuple(RecordFault(words) for words in faults)


def _chain_faults(session: Session, signature: Signature) -> tuple[RecordFault, ...]:
    hashes = hashes_of(session)
    faults = []
    for number, amendment in enumerate(session.amendments, start=1):
        if _amendment_hash(amendment) != amendment.hash:
            faults.append(say(_CHANGED, number=number))
        if amendment.previous == hashes[number - 1]:
            continue
        if amendment.previous in hashes[: number - 1]:
            faults.append(say(_PUT_IN, number=number))
        elif amendment.previous in hashes[number:]:
            faults.append(say(_SWAPPED, number=number))
        else:
            faults.append(say(_GAP, number=number))
    return tuple(RecordFault(words) for words in faults)


_CHANGED = later("Amendment {number} is not as it was made: it was changed afterwards.")
_PUT_IN = later(
    "Amendment {number} follows on an earlier one than stands before it: a line was put in"
    " between, or the order was changed."
)
_SWAPPED = later(
    "Amendment {number} follows on one that stands after it: the order of the amendments was"
    " changed."
)
_GAP = later(
    "Amendment {number} does not follow on what stands before it: a line between was removed,"
    " or the one before was replaced."
)


def _value_faults(session: Session) -> tuple[RecordFault, ...]:
    """Find amendments that tell another old value than the one that stood there."""
    faults = []
    before = session.as_signed or session
    for number, amendment in enumerate(session.amendments, start=1):
        stood = _standing_value(standing_at(before, amendment.path))
        if stood != (amendment.old, amendment.old_not_done):
            faults.append(
                say(
                    "Amendment {number} tells another earlier value of {place} than stood there.",
                    number=number,
                    place=amendment.path,
                )
            )
        before = with_amendments(before, (amendment,))
    return tuple(RecordFault(words) for words in faults)


def _time_faults(session: Session, signature: Signature) -> tuple[RecordFault, ...]:
    faults = []
    before = signature.at
    if session.finished is not None and signature.at < session.finished:
        faults.append(say("The signature is dated before the visit was finished."))
    for number, amendment in enumerate(session.amendments, start=1):
        if amendment.at < before:
            faults.append(say("Amendment {number} is dated before what it follows.", number=number))
        before = amendment.at
    return tuple(RecordFault(words, Weight.ODD) for words in faults)


def _signed_hash(session: Session, signature: Signature) -> str:
    """Hash a visit with who signs it and when; where the exam was left is no part of it."""
    head = head_of(evolve(session, here=None, signature=None))
    entries = entries_of(evolve(session, amendments=()))
    return _hash(
        {
            **{key: table for key, table in head.items() if key != "format"},
            **{
                name: [written_entry(one) for one in ones if is_written(one)]
                for name, ones in entries.items()
                if name != "amendment"
            },
            "signature": written_signer(signature),
        }
    )


def _amendment_hash(amendment: Amendment) -> str:
    table = written_amendment(amendment)
    return _hash({key: value for key, value in table.items() if key != "hash"})


def _hash(tables: Mapping[str, object]) -> str:
    """Return the SHA-256 in hex of tables as JSON: keys sorted, no spaces, times in ISO form."""
    text = json.dumps(
        tables,
        ensure_ascii=False,
        sort_keys=True,
        separators=(",", ":"),
        default=lambda value: value.isoformat(),
    )
    return hashlib.sha256(text.encode()).hexdigest()
