"""The session file: a visit as TOML, read strictly and written so that nothing is lost."""

import re
from collections.abc import Callable, Iterator, Mapping
from datetime import UTC, datetime
from functools import lru_cache
from pathlib import Path
from typing import Final

import tomli_w

from examwalk import __version__
from examwalk.files import SaveFailedError, decode, parse_toml, read_limited, write_atomically
from examwalk.problems import UnusableFileError
from examwalk.session.model import (
    BOTH_FEET,
    Decision,
    Finding,
    Place,
    ProtocolUsed,
    Reply,
    Session,
    Side,
    State,
)
from examwalk.session.tables import Problems, Table, clean_text, is_number
from examwalk.text import clean_line

FORMAT: Final = 1
"""The number of this form of the file."""
FILE_LIMIT_BYTES: Final = 5_000_000
ENTRIES_LIMIT: Final = 20_000
"""The most findings, decisions or replies that one file may hold."""

_SESSION_ID: Final = re.compile(r"[a-z0-9][a-z0-9-]{0,99}")
_RESERVED_ON_WINDOWS: Final = re.compile(r"con|prn|aux|nul|(?:com|lpt)[0-9]")

_Tables = dict[str, object]
_Sided = tuple[str, Side]


def read_session(path: Path) -> Session:
    """Read a session file.

    Raises:
        UnusableFileError: With every problem that was found.
    """
    return from_toml(decode(path, read_limited(path, FILE_LIMIT_BYTES)), path)


def write_session(path: Path, session: Session) -> None:
    """Save a session so that the file always holds the old or the new version, whole.

    Raises:
        SaveFailedError: The disk refused, or the session holds what could not be read back.
    """
    try:
        data = _bytes_of(session)
    except ValueError as error:
        raise SaveFailedError(path, error) from error
    write_atomically(path, data)


def _bytes_of(session: Session) -> bytes:
    data = to_toml(session).encode()
    if len(data) > FILE_LIMIT_BYTES:
        raise ValueError(
            f"the visit has {len(data):,} bytes; at most {FILE_LIMIT_BYTES:,} can be read back"
        )
    return data


def to_toml(session: Session) -> str:
    """Write a session as TOML. Texts are cleaned, and findings that say nothing are left out.

    Raises:
        ValueError: The session holds what ``from_toml`` would refuse, for example a time without
            its offset; the message is a sentence.
    """
    said = [finding for finding in session.findings if finding.is_settled or finding.note]
    if len({finding.place for finding in said}) < len(said):
        raise ValueError("There is a finding for this place before; keep one of the two.")
    if len(said) > ENTRIES_LIMIT:
        raise ValueError(f"the visit has {len(said)} findings; at most {ENTRIES_LIMIT}")
    head, orders = _head_of(session), _orders_of(session)
    _refuse_unreadable(lambda: _session_of({**head, **orders}, None))
    return "\n".join((*_blocks(head), *map(_finding_block, said), *_array_blocks(orders)))


def _refuse_unreadable(read_back: Callable[[], object]) -> None:
    try:
        read_back()
    except UnusableFileError as error:
        raise ValueError(f"the visit cannot be kept as it is: {error.problems[0]}") from error


@lru_cache(maxsize=4096)
def _finding_block(finding: Finding) -> str:
    """Write one finding, after a look whether it can be read back.

    A visit is saved after every answer, and all but one of its findings are as they were.
    """
    table = _written_finding(finding)

    def read_back() -> None:
        problems = Problems(None)
        _read_findings(Table({"finding": [table]}, "", problems))
        if problems:
            raise UnusableFileError(problems.all())

    _refuse_unreadable(read_back)
    return f"[[finding]]\n{_lines(table)}"


def from_toml(text: str, path: Path) -> Session:
    """Read a session from TOML; the path is only for telling where problems are.

    Raises:
        UnusableFileError: With every problem that was found.
    """
    return _session_of(parse_toml(path, text), path)


def session_id_fault(session_id: str) -> str | None:
    """Say what is wrong with the id of a session, which must serve as a file's name."""
    if not _SESSION_ID.fullmatch(session_id):
        return (
            "A session's id is made of small letters a-z, digits and hyphens, begins with a letter "
            "or digit, and has at most 100 characters."
        )
    if _RESERVED_ON_WINDOWS.fullmatch(session_id):
        return f"A session cannot have the id “{session_id}”: Windows keeps that name for a device."
    return None


def _blocks(tables: Mapping[str, object]) -> Iterator[str]:
    plain = {key: value for key, value in tables.items() if not isinstance(value, dict)}
    yield _lines(plain)
    for name, value in tables.items():
        if isinstance(value, dict):
            yield f"[{name}]\n{_lines(value)}"


def _array_blocks(arrays: Mapping[str, list[_Tables]]) -> Iterator[str]:
    for name, entries in arrays.items():
        for entry in entries:
            yield f"[[{name}]]\n{_lines(entry)}"


def _lines(values: Mapping[str, object]) -> str:
    """Write keys and values, times and inner tables in the short form that tomli_w has not."""
    written: list[str] = []
    waiting: _Tables = {}
    for key, value in values.items():
        if isinstance(value, datetime):
            short = value.isoformat()
        elif isinstance(value, dict):
            short = f"{{ {_lines(value).rstrip().replace(chr(10), ', ')} }}"
        else:
            waiting[key] = value
            continue
        written += (tomli_w.dumps(waiting), f"{key} = {short}\n")
        waiting = {}
    return "".join((*written, tomli_w.dumps(waiting)))


def _head_of(session: Session) -> _Tables:
    return {
        "format": FORMAT,
        "session": _written_head(session),
        "patient": {"code": session.patient},
        "protocol": _written_protocol(session.protocol),
    }


def _orders_of(session: Session) -> dict[str, list[_Tables]]:
    """Return the arrays that stand after the findings."""
    return {
        "decision": [_written_decision(decision) for decision in session.decisions],
        "reply": [_written_reply(reply) for reply in session.replies],
    }


def _written_head(session: Session) -> _Tables:
    table: _Tables = {
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


def _written_protocol(used: ProtocolUsed) -> _Tables:
    table: _Tables = {"id": used.id, "version": used.version}
    if used.fingerprint:
        table["fingerprint"] = used.fingerprint
    return table


def _written_finding(finding: Finding) -> _Tables:
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


def _written_decision(decision: Decision) -> _Tables:
    table = _written_place("feature", decision.feature, decision.side)
    table["value"] = decision.value
    if decision.recommended is not None:
        table["recommended"] = decision.recommended
    if decision.because:
        table["because"] = clean_text(decision.because)
    table["at"] = _written_time(decision.at)
    return table


def _written_reply(reply: Reply) -> _Tables:
    table = _written_place("crosscheck", reply.crosscheck, reply.side)
    table["says"] = clean_text(reply.says)
    table["at"] = _written_time(reply.at)
    return table


def _written_place(key: str, name: str, side: Side) -> _Tables:
    return {key: name} if side is Side.WHOLE else {key: name, "side": side.value}


def _written_time(time: datetime) -> datetime:
    """Return the time with an offset of whole minutes, as TOML has no finer one."""
    offset = time.utcoffset()
    if offset is not None and offset.total_seconds() % 60:
        return time.astimezone(UTC)
    return time


def _session_of(tables: Mapping[str, object], file: Path | None) -> Session:
    problems = Problems(file)
    root = Table(tables, "", problems)
    if _is_of_a_later_format(root):
        raise UnusableFileError(problems.all())
    session = _read_session(root)
    root.close()
    if problems:
        raise UnusableFileError(problems.all())
    return session


def _is_of_a_later_format(root: Table) -> bool:
    """Note what is wrong with the format number; under a later one nothing else can be told."""
    number = root.raw("format")
    if number is None:
        root.problem(f"This key is missing; it should be {FORMAT} in a session file.", "format")
    elif not isinstance(number, int) or isinstance(number, bool) or number < 1:
        root.problem(f"This should be the number {FORMAT}.", "format")
    elif number > FORMAT:
        shown = number if is_number(number) else "of many digits"
        root.problem(
            f"This file has the format {shown} and needs a later examwalk; "
            f"this is examwalk {__version__}, which reads format {FORMAT}.",
            "format",
        )
        return True
    return False


def _read_session(root: Table) -> Session:
    head = root.table("session")
    patient = root.table("patient")
    protocol = root.table("protocol")
    session_id = head.id("id")
    if session_id and (fault := session_id_fault(session_id)):
        head.problem(fault, "id")
    here = head.table_or_none("here")
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
        findings=_read_findings(root),
        decisions=_read_decisions(root),
        replies=_read_replies(root),
        here=_read_here(here) if here else None,
    )
    for table in (head, patient, protocol):
        table.close()
    return session


def _read_finished(head: Table) -> datetime | None:
    told = head.raw("state")
    if told == State.FINISHED.value:
        return head.time("finished")
    if head.has("finished") and told == State.OPEN.value:
        head.problem("Only a session with state “finished” has this key.", "finished")
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


def _read_findings(root: Table) -> tuple[Finding, ...]:
    findings: dict[Place, Finding] = {}
    for table in root.tables("finding", ENTRIES_LIMIT):
        place = Place(*_read_sided(table, "test"))
        if table.is_sound and place in findings:
            table.problem("There is a finding for this place before; keep one of the two.")
        findings[place] = _read_finding(table, place)
        table.close()
    return tuple(findings.values())


def _read_finding(table: Table, place: Place) -> Finding:
    finding = Finding(
        place=place,
        answer=table.answer("answer"),
        not_done=table.spoken("not_done") if table.has("not_done") else None,
        note=table.text("note"),
        at=table.time("at"),
    )
    if table.has("answer") and table.has("not_done"):
        table.problem("A finding has an answer or a reason not_done, never both.")
    elif table.is_sound and not finding.is_settled and not finding.note:
        table.problem("A finding needs an answer, a reason not_done or a note.")
    return finding


def _read_decisions(root: Table) -> tuple[Decision, ...]:
    decisions: dict[_Sided, Decision] = {}
    for table in root.tables("decision", ENTRIES_LIMIT):
        feature, side = _read_sided(table, "feature")
        if table.is_sound and (feature, side) in decisions:
            table.problem("There is a decision on this feature before; keep one of the two.")
        decisions[feature, side] = Decision(
            feature=feature,
            side=side,
            value=table.value("value"),
            recommended=table.value("recommended") if table.has("recommended") else None,
            because=table.text("because"),
            at=table.time("at"),
        )
        table.close()
    return tuple(decisions.values())


def _read_replies(root: Table) -> tuple[Reply, ...]:
    replies: dict[_Sided, Reply] = {}
    for table in root.tables("reply", ENTRIES_LIMIT):
        crosscheck, side = _read_sided(table, "crosscheck")
        if table.is_sound and (crosscheck, side) in replies:
            table.problem("There is a reply to this cross-check before; keep one of the two.")
        replies[crosscheck, side] = Reply(
            crosscheck=crosscheck,
            side=side,
            says=table.spoken("says"),
            at=table.time("at"),
        )
        table.close()
    return tuple(replies.values())
