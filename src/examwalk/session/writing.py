"""A visit as the tables of its file, and those as lines of TOML."""

from collections.abc import Iterator, Mapping
from datetime import UTC, datetime

import tomli_w

from examwalk.session.model import Decision, Finding, ProtocolUsed, Reply, Session, Side
from examwalk.session.tables import FORMAT, clean_text
from examwalk.text import clean_line

Tables = dict[str, object]


def head_of(session: Session) -> Tables:
    """Return what stands before the findings."""
    return {
        "format": FORMAT,
        "session": _written_head(session),
        "patient": {"code": session.patient},
        "protocol": _written_protocol(session.protocol),
    }


def orders_of(session: Session) -> dict[str, list[Tables]]:
    """Return the arrays that stand after the findings."""
    return {
        "decision": [_written_decision(decision) for decision in session.decisions],
        "reply": [_written_reply(reply) for reply in session.replies],
    }


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
    answer: object = finding.answer
    if isinstance(answer, tuple):
        answer = list(answer)
    elif isinstance(answer, str):
        answer = clean_text(answer)
    table = _written_place("test", finding.place.test, finding.place.side)
    if answer is not None:
        table["answer"] = answer
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


def array_blocks(arrays: Mapping[str, list[Tables]]) -> Iterator[str]:
    """Write each table of the arrays."""
    for name, entries in arrays.items():
        for entry in entries:
            yield f"[[{name}]]\n{lines(entry)}"


def lines(values: Mapping[str, object]) -> str:
    """Write keys and values, times and inner tables in the short form that tomli_w has not."""
    written: list[str] = []
    waiting: Tables = {}
    for key, value in values.items():
        if isinstance(value, datetime):
            short = value.isoformat()
        elif isinstance(value, dict):
            short = f"{{ {lines(value).rstrip().replace(chr(10), ', ')} }}"
        else:
            waiting[key] = value
            continue
        written += (tomli_w.dumps(waiting), f"{key} = {short}\n")
        waiting = {}
    return "".join((*written, tomli_w.dumps(waiting)))
