"""The command that leads through an exam line by line, for a screen reader."""

import argparse
import sys
from pathlib import Path

from examwalk.cli_folder import folder_for_app
from examwalk.cli_parser import PROTOCOL_HELP
from examwalk.exit_codes import GOOD, INPUT_AT_FAULT
from examwalk.language import chosen_language, say
from examwalk.protocol.library import DEFAULT_PROTOCOL, find_protocol
from examwalk.settings import chosen


def add_plain_command(
    commands: "argparse._SubParsersAction[argparse.ArgumentParser]",
) -> argparse.ArgumentParser:
    """Add ``examwalk plain`` to the commands, and return its parser."""
    plain = commands.add_parser(
        "plain", help="the exam in lines of text, for a screen reader or a plain terminal"
    )
    plain.add_argument("file", type=Path, nargs="?", metavar="FILE", help="go on with this visit")
    plain.add_argument("--protocol", default="", metavar="NAME|PATH", help=PROTOCOL_HELP)
    plain.add_argument("--patient", default="", metavar="CODE", help="a code, never a name")
    plain.add_argument("--examiner", default="", metavar="INITIALS")
    plain.set_defaults(run=_plain)
    return plain


def _plain(options: argparse.Namespace) -> int:
    import random

    from examwalk.protocol.reading import read_protocol
    from examwalk.session.holding import Hold
    from examwalk.tui.clock import local_now
    from examwalk.tui.open_visit import OpenVisit
    from examwalk.tui.plain import Conversation

    if options.file is not None:
        visit = OpenVisit.open_held(options.file, local_now)
    else:
        folder = folder_for_app(options)
        wanted = options.protocol or chosen("protocol") or DEFAULT_PROTOCOL
        loaded = read_protocol(find_protocol(wanted), chosen_language())
        patient = _patient(options.patient)
        if patient is None:
            return INPUT_AT_FAULT
        examiner = options.examiner or chosen("examiner") or _asked(say("Examiner's initials"))
        visit = OpenVisit.start(folder, loaded, patient, examiner, local_now, random.SystemRandom())
        visit.hold = Hold.take(visit.path, local_now())
    try:
        Conversation(visit, input, lambda line: print(line, flush=True)).lead()
    finally:
        visit.let_go()
    return GOOD


def _patient(code: str) -> str | None:
    """Return a code for the patient; what looks like a name is asked about once."""
    from examwalk.session.folder import DoubtKind, code_doubts

    doubted = ""
    while True:
        code = code or _asked(say("Patient's code"))
        if not code:
            print(f"examwalk: {say('no visit was begun.')}", file=sys.stderr)
            return None
        doubt = code_doubts(code)
        if doubt is None or (doubt.kind is DoubtKind.ASK and code == doubted):
            return code
        print(doubt.sentence)
        if doubt.kind is DoubtKind.ASK:
            print(say("Write it once more to keep it."))
        doubted, code = code, ""


def _asked(what: str) -> str:
    try:
        return input(f"{what}: ").strip()
    except EOFError:
        return ""
