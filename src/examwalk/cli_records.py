"""The command that lists the visits of a folder, or checks their files."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from examwalk.cli_folder import add_folder_option, folder_of
from examwalk.cli_output import print_json, tell_progress
from examwalk.exit_codes import GOOD, INPUT_AT_FAULT
from examwalk.language import later, say, say_count

if TYPE_CHECKING:
    from examwalk.session.checking import VisitCheck
    from examwalk.session.folder import Entry
    from examwalk.session.model import Session
    from examwalk.session.signing import RecordFault

FEW = 20
"""From how many visits on progress is told."""
_STATES = {
    "open": later("still open"),
    "finished": later("finished"),
    "signed": later("signed"),
    "amended": later("amended"),
}
_WEIGHTS = {"wrong": later("wrong"), "odd": later("note")}


def add_records_commands(
    commands: argparse._SubParsersAction[argparse.ArgumentParser],
) -> None:
    """Add ``examwalk sessions`` to the commands."""
    sessions = commands.add_parser("sessions", help="list the visits, or check their files")
    add_folder_option(sessions)
    sessions.add_argument(
        "--check",
        action="store_true",
        help="verify every visit: file, signature, amendments, protocol, left-over and open files",
    )
    sessions.add_argument("--as", dest="form", choices=("text", "json"), default="text")
    sessions.set_defaults(run=_sessions)


def _sessions(options: argparse.Namespace) -> int:
    from examwalk.session.checking import VisitCheck, check_visit, left_over, protocol_check
    from examwalk.session.folder import read_entry, visit_files
    from examwalk.session.signing import Weight

    folder = folder_of(options)
    files = visit_files(folder)
    if not files:
        empty = say("there are no visits in {folder} yet.", folder=folder)
        if not folder.exists():
            empty = say("there is no folder {folder} yet; the first visit makes it.", folder=folder)
        print(f"examwalk: {empty}", file=sys.stderr)
    of_protocol = protocol_check()
    checks = []
    for done, (path, changed_ns) in enumerate(files, start=1):
        entry = read_entry(path, changed_ns)
        checks.append(check_visit(entry, of_protocol) if options.check else VisitCheck(entry, ()))
        if options.check and len(files) >= FEW:
            tell_progress(done, len(files), later("{done} of {count} visits"))
    leftovers = left_over(folder) if options.check else ()
    if options.form == "json":
        print_json(_folder_data(folder, checks, leftovers, checked=options.check))
    elif options.check:
        _print_checks(checks, leftovers)
    else:
        _print_list([check.entry for check in checks])
    is_wrong = any(check.entry.session is None or check.is_wrong for check in checks)
    is_left = any(fault.weight is Weight.WRONG for fault in leftovers)
    return INPUT_AT_FAULT if is_wrong or is_left else GOOD


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
