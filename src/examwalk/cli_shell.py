"""The command that says how stiff the shells of a visit are."""

import argparse
import json
import sys
from pathlib import Path

from examwalk.exit_codes import GOOD, INPUT_AT_FAULT
from examwalk.language import say


def add_shell_commands(
    commands: "argparse._SubParsersAction[argparse.ArgumentParser]",
) -> None:
    """Add ``examwalk shell`` to the commands."""
    shell = commands.add_parser("shell", help="print how stiff each shell is for its patient")
    shell.add_argument("file", type=Path, metavar="FILE")
    shell.add_argument(
        "--absolute", action="store_true", help="also forces and stresses, which are not exact"
    )
    shell.add_argument("--as", dest="form", choices=("text", "json"), default="text")
    shell.set_defaults(run=_shell)


def _shell(options: argparse.Namespace) -> int:
    from examwalk.reasoning.fitting import misfits
    from examwalk.reasoning.summary import summarise
    from examwalk.report.shell_text import shell_text, shells_data
    from examwalk.session.protocol_used import protocol_for
    from examwalk.session.storing import read_session

    session = read_session(options.file)
    loaded, note = protocol_for(session, options.file.parent)
    if note:
        print(f"examwalk: {note}", file=sys.stderr)
    unfit = misfits(loaded.protocol, session)
    for misfit in unfit:
        where = say("finding {place}", place=misfit.place)
        print(f"examwalk: {options.file}: {where}: {misfit.says}", file=sys.stderr)
    if any(not misfit.unknown_test for misfit in unfit):
        message = say("nothing is advised from findings that cannot be.")
        print(f"examwalk: {message}", file=sys.stderr)
        return INPUT_AT_FAULT
    summary = summarise(loaded.protocol, session)
    if options.form == "json":
        data = shells_data(loaded.protocol, session, summary, absolute=options.absolute)
        print(json.dumps(data, indent=2))
    else:
        text = shell_text(loaded.protocol, session, summary, absolute=options.absolute)
        print(text, end="")
    return GOOD
