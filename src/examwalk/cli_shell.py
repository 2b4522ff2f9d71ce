"""The command that says how stiff the shells of a visit are."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from examwalk.exit_codes import GOOD, INPUT_AT_FAULT
from examwalk.language import chosen_language, say

if TYPE_CHECKING:
    from collections.abc import Callable

    from examwalk.protocol.model import Protocol
    from examwalk.protocol.reading import LoadedProtocol
    from examwalk.session.model import Session


def add_shell_commands(
    commands: argparse._SubParsersAction[argparse.ArgumentParser],
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
    from examwalk.reasoning.summary import summarise
    from examwalk.report.shell_text import shell_text, shells_data

    visit = visit_to_advise_on(options.file)
    if visit is None:
        return INPUT_AT_FAULT
    protocol, session = visit
    summary = summarise(protocol, session)
    if options.form == "json":
        data = shells_data(protocol, session, summary, absolute=options.absolute)
        print(json.dumps(data, indent=2))
    else:
        text = shell_text(protocol, session, summary, absolute=options.absolute)
        print(text, end="")
    return GOOD


def visit_to_advise_on(
    path: Path,
    find: Callable[[Session, Path, str | None], tuple[LoadedProtocol, str | None]] | None = None,
) -> tuple[Protocol, Session] | None:
    """Read a visit and its protocol; nothing where findings cannot be, which is said.

    Args:
        path: the file of the visit.
        find: finds the protocol, where ``protocol_for`` itself is not to.

    Raises:
        UnusableFileError: the visit or its protocol cannot be read.
    """
    from examwalk.reasoning.fitting import misfits
    from examwalk.session.protocol_used import protocol_for
    from examwalk.session.signing import verify
    from examwalk.session.storing import read_session

    session = read_session(path)
    for fault in verify(session):
        print(f"examwalk: {path}: {fault.says}", file=sys.stderr)
    loaded, note = (find or protocol_for)(session, path.parent, chosen_language())
    if note:
        print(f"examwalk: {note}", file=sys.stderr)
    unfit = misfits(loaded.protocol, session)
    for misfit in unfit:
        where = say("finding {place}", place=misfit.place)
        print(f"examwalk: {path}: {where}: {misfit.says}", file=sys.stderr)
    if any(not misfit.unknown_test for misfit in unfit):
        message = say("nothing is advised from findings that cannot be.")
        print(f"examwalk: {message}", file=sys.stderr)
        return None
    return loaded.protocol, session
