"""The command that says how stiff the shells of a visit are."""

from __future__ import annotations

import argparse
from pathlib import Path

from examwalk.cli_input import add_anonymous_option, visit_to_tell
from examwalk.cli_output import print_json
from examwalk.cli_parser import VISIT_HELP
from examwalk.exit_codes import GOOD


def add_shell_commands(
    commands: argparse._SubParsersAction[argparse.ArgumentParser],
) -> None:
    """Add ``examwalk shell`` to the commands."""
    shell = commands.add_parser("shell", help="print how stiff each shell is for its patient")
    shell.add_argument("file", type=Path, metavar="FILE", help=VISIT_HELP)
    shell.add_argument(
        "--absolute", action="store_true", help="also forces and stresses, which are not exact"
    )
    shell.add_argument("--as", dest="form", choices=("text", "json"), default="text")
    add_anonymous_option(shell)
    shell.set_defaults(run=_shell)


def _shell(options: argparse.Namespace) -> int:
    from examwalk.reasoning.summary import summarise
    from examwalk.report.shell_text import shell_text, shells_data

    protocol, session = visit_to_tell(options)
    summary = summarise(protocol, session)
    if options.form == "json":
        data = shells_data(protocol, session, summary, absolute=options.absolute)
        print_json(data)
    else:
        text = shell_text(protocol, session, summary, absolute=options.absolute)
        print(text, end="")
    return GOOD
