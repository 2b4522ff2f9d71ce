"""A visit read from the tables of its file, strictly: every problem is noted with its place."""

import re
from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Final, TypeVar

from examwalk import __version__
from examwalk.language import say
from examwalk.session.amending import with_amendments
from examwalk.session.model import (
    BOTH_FEET,
    Amendment,
    AmendmentKind,
    Decision,
    Finding,
    Ordered,
    Place,
    ProtocolUsed,
    Reply,
    Session,
    Side,
    Signature,
    State,
)
from examwalk.session.tables import FORMAT, Table, is_number
from examwalk.text import names_a_device

ENTRIES_LIMIT: Final = 20_000
"""The most findings, decisions or replies that one file may hold."""

_SESSION_ID: Final = re.compile(r"[a-z0-9][a-z0-9-]{0,99}")

_HASH: Final = re.compile(r"[0-9a-f]{64}")

_Sided = tuple[str, Side]
_Entry = TypeVar("_Entry")


def session_id_fault(session_id: str) -> str | None:
    """Say what is wrong with the id of a session, which must serve as a file's name."""
    if not _SESSION_ID.fullmatch(session_id):
        return say(
            "A session's id is made of small letters a-z, digits and hyphens, begins with a letter "
            "or digit, and has at most 100 characters."
        )
    if names_a_device(session_id):
        return say(
            "A session cannot have the id “{id}”: Windows keeps that name for a device.",
            id=session_id,
        )
    return None


def is_of_a_later_format(root: Table) -> bool:
    """Note what is wrong with the format number; under a later one nothing else can be told."""
    number = root.raw("format")
    if number is None:
        missing = say("This key is missing; it should be {wanted}.", wanted=FORMAT)
        root.problem(missing, "format")
    elif not isinstance(number, int) or isinstance(number, bool) or number < 1:
        root.problem(say("This should be the number {number}.", number=FORMAT), "format")
    elif number > FORMAT:
        later_one = say(
            "This file has the format {found} and needs a later examwalk; "
            "this is examwalk {version}, which reads format {format}.",
            found=number if is_number(number) else say("of many digits"),
            version=__version__,
            format=FORMAT,
        )
        root.problem(later_one, "format")
        return True
    return False


def session_in(root: Table) -> Session:
    """Read the whole visit, but for the format and the checksum."""
    head = root.table("session")
    patient = root.table("patient")
    protocol = root.table("protocol")
    session_id = head.id("id")
    if session_id and (fault := session_id_fault(session_id)):
        head.problem(fault, "id")
    here = head.table_or_none("here")
    signature = root.table_or_none("signature")
    session = Session(
        id=session_id,
        started=head.time("started"),
        examiner=head.line("examiner"),
        patient=patient.id("code"),
        protocol=ProtocolUsed(
            id=protocol.id("id"),
            version=protocol.id("version"),
            fingerprint=protocol.id("fingerprint") if protocol.has("fingerprint") else "",
        ),
        state=head.word("state", tuple(State)),
        finished=_read_finished(head),
        invented=head.flag("invented"),
        about=head.text("about"),
        findings=findings_in(root),
        decisions=decisions_in(root),
        replies=replies_in(root),
        here=_read_here(here) if here else None,
        signature=_read_signature(signature) if signature else None,
    )
    for table in (head, patient, protocol):
        table.close()
    return with_amendments(session, amendments_in(root))


def _read_finished(head: Table) -> datetime | None:
    told = head.raw("state")
    if told == State.FINISHED.value:
        return head.time("finished")
    if head.has("finished") and told == State.OPEN.value:
        head.problem(say("Only a session with state “finished” has this key."), "finished")
    return None


def _read_here(table: Table) -> Place:
    place = Place(table.id("test"), _read_side(table))
    table.close()
    return place


def _read_sided(table: Table, key: str) -> _Sided:
    table.name_after(key, "side")
    return table.id(key), _read_side(table)


def _read_side(table: Table) -> Side:
    return table.word("side", BOTH_FEET, default=Side.WHOLE)


def findings_in(root: Table) -> tuple[Finding, ...]:
    """Read the findings, in the order in which they were made."""
    twice = say("There is a finding for this place before; keep one of the two.")
    return _once_each(root, "finding", "test", _read_finding, twice)


def _read_finding(table: Table, test: str, side: Side) -> Finding:
    finding = Finding(
        place=Place(test, side),
        answer=table.answer("answer"),
        not_done=table.spoken("not_done") if table.has("not_done") else None,
        note=table.text("note"),
        at=table.time("at"),
    )
    if table.has("answer") and table.has("not_done"):
        table.problem(say("A finding has an answer or a reason not_done, never both."))
    elif table.is_sound and not finding.is_settled and not finding.note:
        table.problem(say("A finding needs an answer, a reason not_done or a note."))
    return finding


def decisions_in(root: Table) -> tuple[Decision, ...]:
    """Read what is ordered."""
    twice = say("There is a decision on this feature before; keep one of the two.")
    return _once_each(root, "decision", "feature", _read_decision, twice)


def _read_decision(table: Table, feature: str, side: Side) -> Decision:
    return Decision(
        feature=feature,
        side=side,
        value=table.value("value"),
        recommended=table.value("recommended") if table.has("recommended") else None,
        because=table.text("because"),
        at=table.time("at"),
    )


def replies_in(root: Table) -> tuple[Reply, ...]:
    """Read the replies to cross-checks."""
    twice = say("There is a reply to this cross-check before; keep one of the two.")
    return _once_each(root, "reply", "crosscheck", _read_reply, twice)


def _read_reply(table: Table, crosscheck: str, side: Side) -> Reply:
    return Reply(crosscheck=crosscheck, side=side, says=table.spoken("says"), at=table.time("at"))


def _once_each(
    root: Table, name: str, key: str, read: Callable[[Table, str, Side], _Entry], twice: str
) -> tuple[_Entry, ...]:
    """Read tables of which each subject and side has one at most; ``twice`` says so of another."""
    entries: dict[_Sided, _Entry] = {}
    for table in root.tables(name, ENTRIES_LIMIT):
        subject, side = _read_sided(table, key)
        if table.is_sound and (subject, side) in entries:
            table.problem(twice)
        entries[subject, side] = read(table, subject, side)
        table.close()
    return tuple(entries.values())


def _read_signature(table: Table) -> Signature:
    count = table.raw("amendments")
    if count is not None and (isinstance(count, bool) or not isinstance(count, int) or count < 0):
        table.problem(
            say("This should be a whole number, how many amendments follow."), "amendments"
        )
        count = None
    signature = Signature(
        by=table.line("by"),
        at=table.time("at"),
        hash=_read_hash(table, "hash"),
        amendments=count or 0,
    )
    table.close()
    return signature


def _read_hash(table: Table, key: str) -> str:
    text = table.id(key)
    if text and not _HASH.fullmatch(text):
        table.problem(say("This should be 64 of the digits 0-9 and a-f in quotes."), key)
    return text


def amendments_in(root: Table) -> tuple[Amendment, ...]:
    """Read the amendments, whatever they are worth."""
    return tuple(_read_amendment(table) for table in root.tables("amendment", ENTRIES_LIMIT))


def _read_amendment(table: Table) -> Amendment:
    if table.has("feature") and table.has("test"):
        table.problem(say("An amendment is about a test or a feature, never both."))
    path: Place | Ordered
    if table.has("feature"):
        path = Ordered(*_read_sided(table, "feature"))
    else:
        path = Place(*_read_sided(table, "test"))
    amendment = Amendment(
        kind=table.word("kind", tuple(AmendmentKind)),
        by=table.line("by"),
        at=table.time("at"),
        path=path,
        old=table.answer("old"),
        old_not_done=table.spoken("old_not_done") if table.has("old_not_done") else None,
        new=table.answer("new"),
        because=table.spoken("because"),
        previous=_read_hash(table, "previous"),
        hash=_read_hash(table, "hash"),
    )
    if table.is_sound and (amendment.new is None) is not (
        amendment.kind is AmendmentKind.RETRACTION
    ):
        table.problem(say("An amendment says what is new; only a retraction does not."))
    table.close()
    return amendment


READERS: Final[Mapping[str, Callable[[Table], tuple[object, ...]]]] = {
    "finding": findings_in,
    "decision": decisions_in,
    "reply": replies_in,
    "amendment": amendments_in,
}
"""What reads the tables of each array of a file."""
