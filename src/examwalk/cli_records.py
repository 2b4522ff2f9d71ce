"""The commands about visits as records: sessions, sign, amend."""

from __future__ import annotations

import argparse
import codecs
import json
import sys
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from examwalk.cli_folder import add_folder_option, folder_of
from examwalk.exit_codes import COMMAND_AT_FAULT, GOOD, INPUT_AT_FAULT
from examwalk.language import later, say, say_count
from examwalk.problems import Problem, UnusableFileError, nearest

if TYPE_CHECKING:
    from examwalk.protocol.model import Protocol
    from examwalk.reasoning.typed_values import Typed
    from examwalk.session.checking import VisitCheck
    from examwalk.session.folder import Entry
    from examwalk.session.model import Ordered, Place, Session
    from examwalk.session.signing import RecordFault

STEPS = 20
"""How many times progress is told, and from how many visits on."""
_STATES = {
    "open": later("still open"),
    "finished": later("finished"),
    "signed": later("signed"),
    "amended": later("amended"),
}
_WEIGHTS = {"wrong": later("wrong"), "odd": later("note")}


class _NotAskedRightlyError(Exception):
    """The command line names what is not there; the message says what would be right."""


def add_records_commands(
    commands: argparse._SubParsersAction[argparse.ArgumentParser],
) -> None:
    """Add ``examwalk sessions``, ``sign`` and ``amend`` to the commands."""
    sessions = commands.add_parser("sessions", help="list the visits, or check their files")
    add_folder_option(sessions)
    sessions.add_argument(
        "--check",
        action="store_true",
        help="verify every visit: file, signature, amendments, protocol, left-over and open files",
    )
    sessions.add_argument("--as", dest="form", choices=("text", "json"), default="text")
    sessions.set_defaults(run=_sessions)

    sign = commands.add_parser(
        "sign", help="sign a finished visit; from then on it changes by amendments alone"
    )
    sign.add_argument("file", type=Path, metavar="FILE")
    sign.add_argument("--by", required=True, metavar="INITIALS")
    sign.set_defaults(run=_sign)

    amend = commands.add_parser(
        "amend", help="correct a signed visit; what stood there before stays readable"
    )
    amend.add_argument("file", type=Path, metavar="FILE")
    amend.add_argument("id", metavar="TEST", help="the id of the test, or of what was ordered")
    amend.add_argument("--side", choices=("left", "right"))
    change = amend.add_mutually_exclusive_group(required=True)
    change.add_argument("--to", metavar="VALUE", help="what stands there from now on")
    change.add_argument("--retract", action="store_true", help="take back what stands there")
    amend.add_argument("--because", required=True, metavar="TEXT")
    amend.add_argument("--by", required=True, metavar="INITIALS")
    amend.add_argument(
        "--not-known-then",
        action="store_true",
        help="what is added was not known at the visit (an addendum, not a late entry)",
    )
    amend.set_defaults(run=_amend)


def _sessions(options: argparse.Namespace) -> int:
    from examwalk.session.checking import VisitCheck, check_visit, left_over, protocol_check
    from examwalk.session.folder import read_entry, visit_files

    folder = folder_of(options)
    files = visit_files(folder)
    if not files:
        empty = say("there are no visits in {folder} yet.", folder=folder)
        print(f"examwalk: {empty}", file=sys.stderr)
    of_protocol = protocol_check()
    checks = []
    for done, (path, changed_ns) in enumerate(files, start=1):
        entry = read_entry(path, changed_ns)
        checks.append(check_visit(entry, of_protocol) if options.check else VisitCheck(entry, ()))
        if options.check:
            _tell_progress(done, len(files))
    leftovers = left_over(folder) if options.check else ()
    if options.form == "json":
        _print_json(_folder_data(folder, checks, leftovers, checked=options.check))
    elif options.check:
        _print_checks(checks, leftovers)
    else:
        _print_list([check.entry for check in checks])
    is_wrong = any(check.entry.session is None or check.is_wrong for check in checks)
    return INPUT_AT_FAULT if is_wrong or leftovers else GOOD


def _tell_progress(done: int, count: int) -> None:
    if count < STEPS or (done % (count // STEPS) and done < count):
        return
    end = "\r" if sys.stderr.isatty() and done < count else "\n"
    told = say("{done} of {count} visits", done=done, count=count)
    print(f"examwalk: {told}", end=end, file=sys.stderr, flush=True)


def _state(session: Session) -> str:
    if session.amendments:
        return "amended"
    return "signed" if session.signature else session.state.value


def _print_list(entries: list[Entry]) -> None:
    width = max(len(say(word)) for word in _STATES.values())
    for entry in entries:
        if entry.session is None:
            print(f"examwalk: {entry.path}: {entry.problem}", file=sys.stderr)
            continue
        session = entry.session
        answers = say_count(len(session.answers), "{count} answer", "{count} answers")
        print(
            f"{session.started:%Y-%m-%d %H:%M}  {session.patient:<14}"
            f" {say(_STATES[_state(session)]):<{width}} {session.protocol.id:<10}"
            f" {answers:>13}  {entry.path}"
        )


def _print_checks(checks: list[VisitCheck], leftovers: tuple[RecordFault, ...]) -> None:
    """Print what is not as it should be, visit by visit, and how many visits are whole."""
    for check in checks:
        if check.faults:
            print(check.entry.path)
            _print_faults(check.faults)
    if leftovers:
        print(say("Left over"))
        _print_faults(leftovers)
    wrong = sum(check.is_wrong for check in checks)
    count = say_count(len(checks), "{count} visit checked", "{count} visits checked")
    result = say("nothing is wrong")
    if wrong:
        result = say_count(wrong, "{count} has something wrong", "{count} have something wrong")
    elif leftovers:
        result = say("only what is left over has to be looked at")
    print(f"{count}: {result}.")


def _print_faults(faults: tuple[RecordFault, ...]) -> None:
    for fault in faults:
        print(f"  {say(_WEIGHTS[fault.weight.value])}: {fault.says}")


def _folder_data(
    folder: Path,
    checks: list[VisitCheck],
    leftovers: tuple[RecordFault, ...],
    *,
    checked: bool,
) -> dict[str, Any]:
    visits = []
    for check in checks:
        visit = _visit_data(check.entry)
        if checked:
            visit["faults"] = _faults_data(check.faults)
        visits.append(visit)
    data: dict[str, Any] = {"folder": str(folder), "visits": visits}
    if checked:
        data["left_over"] = _faults_data(leftovers)
    return data


def _visit_data(entry: Entry) -> dict[str, Any]:
    from examwalk.session.signing import seal

    session = entry.session
    if session is None:
        return {"file": str(entry.path), "problem": entry.problem}
    signature = session.signature
    return {
        "file": str(entry.path),
        "problem": None,
        "id": session.id,
        "patient": session.patient,
        "examiner": session.examiner,
        "invented": session.invented,
        "started": session.started.isoformat(),
        "finished": session.finished.isoformat() if session.finished else None,
        "state": session.state.value,
        "signed_by": signature.by if signature else None,
        "signed_at": signature.at.isoformat() if signature else None,
        "amendments": len(session.amendments),
        "seal": seal(session) or None,
        "protocol": session.protocol.id,
        "protocol_version": session.protocol.version,
        "answers": len(session.answers),
    }


def _faults_data(faults: tuple[RecordFault, ...]) -> list[dict[str, str]]:
    return [{"weight": fault.weight.value, "says": fault.says} for fault in faults]


def _print_json(data: dict[str, Any]) -> None:
    # Escaped where the output is not in UTF-8: JSON must come out exactly.
    encoding = getattr(sys.stdout, "encoding", None) or "ascii"
    escaped = codecs.lookup(encoding).name != "utf-8"
    print(json.dumps(data, ensure_ascii=escaped, indent=2))


def _now() -> datetime:
    return datetime.now().astimezone().replace(microsecond=0)


def _sign(options: argparse.Namespace) -> int:
    from examwalk.session.signing import seal, sign
    from examwalk.session.storing import read_session

    session = _changed_file(
        options.file, read_session(options.file), lambda visit: sign(visit, options.by, _now())
    )
    print(say("Signed by {by}; seal {seal}.", by=options.by.strip(), seal=seal(session)))
    return GOOD


def _amend(options: argparse.Namespace) -> int:
    from examwalk.report.record_words import KIND_WORDS
    from examwalk.session.protocol_used import protocol_for
    from examwalk.session.signing import Grounds, amend, seal
    from examwalk.session.storing import read_session

    session = read_session(options.file)
    loaded, note = protocol_for(session, options.file.parent)
    if note:
        print(f"examwalk: {note}", file=sys.stderr)
    try:
        path, typed = _subject(loaded.protocol, options)
    except _NotAskedRightlyError as error:
        print(f"examwalk: {error}", file=sys.stderr)
        return COMMAND_AT_FAULT
    if typed.refusal:
        raise UnusableFileError([Problem(typed.refusal, place=str(path))])
    grounds = Grounds(options.by, _now(), options.because, was_known=not options.not_known_then)
    session = _changed_file(
        options.file, session, lambda visit: amend(visit, path, typed.value, grounds)
    )
    number = len(session.amendments)
    print(
        say(
            "Amendment {number}, {place}: {kind}; seal {seal}.",
            number=number,
            place=path,
            kind=say(KIND_WORDS[session.amendments[-1].kind]),
            seal=seal(session),
        )
    )
    return GOOD


def _changed_file(path: Path, session: Session, change: Callable[[Session], Session]) -> Session:
    """Change a visit whose record is in order, and save it."""
    from examwalk.report.held import held_words
    from examwalk.session.holding import Hold
    from examwalk.session.signing import RecordRefusedError, Weight, verify
    from examwalk.session.storing import read_session, write_session

    broken = [fault.says for fault in verify(session) if fault.weight is Weight.WRONG]
    if broken:
        stands = say("Nothing is added to a record that is not as it was signed.")
        raise UnusableFileError(
            [*(Problem(words, path) for words in broken), Problem(stands, path)]
        )
    try:
        changed = change(session)
    except RecordRefusedError as error:
        raise UnusableFileError([Problem(str(error), path)]) from error
    hold = Hold.take(path, datetime.now().astimezone())
    try:
        if hold.rival is not None:
            raise UnusableFileError([Problem(held_words(hold.rival), path)])
        if read_session(path) != session:
            meanwhile = say("The visit was changed by another window meanwhile. Try again.")
            raise UnusableFileError([Problem(meanwhile, path)])
        write_session(path, changed)
    finally:
        hold.release()
    return changed


def _subject(protocol: Protocol, options: argparse.Namespace) -> tuple[Place | Ordered, Typed]:
    """Find what is amended, and read what shall stand there."""
    from examwalk.reasoning.typed_values import Typed, read_answer, read_order
    from examwalk.session.model import Ordered, Place, Side

    side = Side(options.side) if options.side else Side.WHOLE
    test = protocol.tests_by_id.get(options.id)
    feature = protocol.features_by_id.get(options.id)
    if test is None and feature is None:
        known = (*protocol.tests_by_id, *protocol.features_by_id)
        message = say(
            "The protocol “{protocol}” has neither a test nor a feature “{id}”.",
            protocol=protocol.identity.id,
            id=options.id,
        )
        raise _NotAskedRightlyError(message + nearest(options.id, known))
    subject = test or feature
    assert subject is not None
    is_sided = subject.sides.value == "each"
    if is_sided is (side is Side.WHOLE):
        needs = say("“{id}” is told apart by side: add --side left or --side right.", id=options.id)
        once = say("“{id}” is one for both sides: leave --side out.", id=options.id)
        raise _NotAskedRightlyError(needs if is_sided else once)
    path = Place(options.id, side) if test else Ordered(options.id, side)
    if options.retract:
        return path, Typed()
    if test:
        return path, read_answer(protocol, test, options.to)
    assert feature is not None
    return path, read_order(feature, options.to)
