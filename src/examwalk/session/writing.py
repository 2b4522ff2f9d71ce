"""A visit as the tables of its file, and those as lines of TOML."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, datetime
from functools import lru_cache

import tomli_w

from examwalk.session.model import (
    Amendment,
    Answer,
    Decision,
    Finding,
    Place,
    ProtocolUsed,
    Reply,
    Session,
    Side,
    Signature,
)
from examwalk.session.tables import FORMAT, clean_text
from examwalk.text import clean_line

Tables = dict[str, object]
Entry = Finding | Decision | Reply | Amendment
Entries = Mapping[str, Sequence[Entry]]


def head_of(session: Session) -> Tables:
    """Return what stands before the findings."""
    head: Tables = {
        "format": FORMAT,
        "session": _written_head(session),
        "patient": {"code": session.patient},
        "protocol": _written_protocol(session.protocol),
    }
    if session.signature is not None:
        head["signature"] = _written_signature(session.signature)
    return head


def is_written(entry: Entry) -> bool:
    """Whether an entry says something; a finding that does not is left out."""
    return not isinstance(entry, Finding) or entry.is_settled or bool(entry.note)


def entries_of(session: Session) -> Entries:
    """Return what stands behind the head, by the names of the arrays."""
    return {
        "finding": session.findings,
        "decision": session.decisions,
        "reply": session.replies,
        "amendment": session.amendments,
    }


def written_entry(entry: Entry) -> Tables:
    """Return the table of a finding, decision, reply or amendment, its texts cleaned."""
    match entry:
        case Finding():
            return written_finding(entry)
        case Decision():
            return _written_decision(entry)
        case Reply():
            return _written_reply(entry)
        case Amendment():
            return written_amendment(entry)


def _written_head(session: Session) -> Tables:
    table: Tables = {
        "id": session.id,
        "started": _written_time(session.started),
        "examiner": clean_line(session.examiner),
        "state": session.state.value,
    }
    if session.finished is not None:
        table["finished"] = _written_time(session.finished)
    if session.invented:
        table["invented"] = True
    if session.about:
        table["about"] = clean_text(session.about)
    if session.here is not None:
        table["here"] = _written_place("test", session.here.test, session.here.side)
    return table


def _written_protocol(used: ProtocolUsed) -> Tables:
    table: Tables = {"id": used.id, "version": used.version}
    if used.fingerprint:
        table["fingerprint"] = used.fingerprint
    return table


def written_finding(finding: Finding) -> Tables:
    """Return the table of one finding, its texts cleaned."""
    table = _written_place("test", finding.place.test, finding.place.side)
    if finding.answer is not None:
        table["answer"] = _written_answer(finding.answer)
    if finding.not_done is not None:
        table["not_done"] = clean_text(finding.not_done)
    if finding.note:
        table["note"] = clean_text(finding.note)
    table["at"] = _written_time(finding.at)
    return table


def _written_decision(decision: Decision) -> Tables:
    table = _written_place("feature", decision.feature, decision.side)
    table["value"] = decision.value
    if decision.recommended is not None:
        table["recommended"] = decision.recommended
    if decision.because:
        table["because"] = clean_text(decision.because)
    table["at"] = _written_time(decision.at)
    return table


def _written_reply(reply: Reply) -> Tables:
    table = _written_place("crosscheck", reply.crosscheck, reply.side)
    table["says"] = clean_text(reply.says)
    table["at"] = _written_time(reply.at)
    return table


def written_signer(signature: Signature) -> Tables:
    """Return who signed and when."""
    return {"by": clean_line(signature.by), "at": _written_time(signature.at)}


def _written_signature(signature: Signature) -> Tables:
    table = {**written_signer(signature), "hash": signature.hash}
    if signature.amendments:
        table["amendments"] = signature.amendments
    return table


def written_amendment(amendment: Amendment) -> Tables:
    """Return the table of one amendment, its texts cleaned."""
    path = amendment.path
    table: Tables = {"kind": amendment.kind.value}
    if isinstance(path, Place):
        table |= _written_place("test", path.test, path.side)
    else:
        table |= _written_place("feature", path.feature, path.side)
    if amendment.old is not None:
        table["old"] = _written_answer(amendment.old)
    if amendment.old_not_done is not None:
        table["old_not_done"] = clean_text(amendment.old_not_done)
    if amendment.new is not None:
        table["new"] = _written_answer(amendment.new)
    table["because"] = clean_text(amendment.because)
    table["by"] = clean_line(amendment.by)
    table["at"] = _written_time(amendment.at)
    table["previous"] = amendment.previous
    table["hash"] = amendment.hash
    return table


def _written_answer(answer: Answer) -> object:
    if isinstance(answer, tuple):
        return list(answer)
    return clean_text(answer) if isinstance(answer, str) else answer


def _written_place(key: str, name: str, side: Side) -> Tables:
    return {key: name} if side is Side.WHOLE else {key: name, "side": side.value}


def _written_time(time: datetime) -> datetime:
    """Return the time with an offset of whole minutes, as TOML has no finer one."""
    offset = time.utcoffset()
    if offset is not None and offset.total_seconds() % 60:
        return time.astimezone(UTC)
    return time


def blocks(tables: Mapping[str, object]) -> Iterator[str]:
    """Write the plain keys, then each table."""
    plain = {key: value for key, value in tables.items() if not isinstance(value, dict)}
    yield lines(plain)
    for name, value in tables.items():
        if isinstance(value, dict):
            yield f"[{name}]\n{lines(value)}"


def lines(values: Mapping[str, object]) -> str:
    """Write keys and values, times and inner tables in the short form that tomli_w has not."""
    written: list[str] = []
    waiting: Tables = {}
    for key, value in values.items():
        if isinstance(value, datetime):
            short = value.isoformat()
        elif isinstance(value, dict):
            short = f"{{ {lines(value).rstrip().replace(chr(10), ', ')} }}"
        elif isinstance(value, str):
            short = _quoted(value)
        else:
            waiting[key] = value
            continue
        if waiting:
            written.append(tomli_w.dumps(waiting))
            waiting = {}
        written.append(f"{key} = {short}\n")
    if waiting:
        written.append(tomli_w.dumps(waiting))
    return "".join(written)


@lru_cache(maxsize=256)
def _quoted(text: str) -> str:
    return tomli_w.dumps({"a": text}).removeprefix("a = ").removesuffix("\n")
