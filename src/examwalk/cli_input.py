"""What a command is given: a visit with its protocol, or the reason why nothing can be said."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from examwalk.language import chosen_language, say
from examwalk.problems import Problem, UnusableFileError

if TYPE_CHECKING:
    from collections.abc import Callable

    from examwalk.protocol.model import Protocol
    from examwalk.protocol.reading import LoadedProtocol
    from examwalk.session.model import Session


class NotAskedRightlyError(Exception):
    """What was asked cannot be answered; the message says what would be right."""


def visit_to_advise_on(
    path: Path,
    find: Callable[[Session, Path, str | None], tuple[LoadedProtocol, str | None]] | None = None,
    *,
    anonymously: bool = False,
) -> tuple[Protocol, Session]:
    """Read a visit and its protocol, and tell what is odd about them.

    Args:
        path: the file of the visit.
        find: finds the protocol, where ``protocol_for`` itself is not to.
        anonymously: what is said names neither the file nor an answer.

    Raises:
        UnusableFileError: the visit or its protocol cannot be read, or it has findings that
            cannot be.
    """
    from examwalk.reasoning.fitting import misfits
    from examwalk.session.protocol_used import protocol_for
    from examwalk.session.signing import verify
    from examwalk.session.storing import read_session

    session = read_session(path)
    name = say("the visit") if anonymously else str(path)
    for fault in verify(session):
        says = say("it was changed after signing.") if anonymously else fault.says
        print(f"examwalk: {name}: {says}", file=sys.stderr)
    loaded, note = (find or protocol_for)(session, path.parent, chosen_language())
    if note:
        print(f"examwalk: {note}", file=sys.stderr)
    unfit = misfits(loaded.protocol, session)
    for misfit in unfit:
        where = say("finding {place}", place=misfit.place)
        says = say("it does not fit the protocol.") if anonymously else misfit.says
        print(f"examwalk: {name}: {where}: {says}", file=sys.stderr)
    if any(not misfit.unknown_test for misfit in unfit):
        raise UnusableFileError([Problem(say("nothing is advised from findings that cannot be."))])
    return loaded.protocol, session


def add_anonymous_option(parser: argparse.ArgumentParser) -> None:
    """Add ``--anonymous`` to a command."""
    parser.add_argument(
        "--anonymous",
        action="store_true",
        help="leave out codes, initials, notes and free answers, give the year of each date alone"
        " and ages over 89 as 90 or older",
    )


def visit_to_tell(options: argparse.Namespace) -> tuple[Protocol, Session]:
    """Read the visit of a command, made anonymous where that is asked for.

    Raises:
        UnusableFileError: the visit or its protocol cannot be read, or it has findings that
            cannot be.
    """
    from examwalk.report.anonymous import anonymous

    visit = visit_to_advise_on(options.file, anonymously=options.anonymous)
    if not options.anonymous:
        return visit
    say_what_is_left_out()
    return anonymous(*visit)


def say_what_is_left_out() -> None:
    """Say on stderr what an anonymous result lacks, and what it cannot promise."""
    told = say(
        "anonymous: codes, initials, notes and free answers are left out, dates are cut to the"
        " year, and ages over 89 stand as 90 or older. Rare findings can still tell who it is."
    )
    print(f"examwalk: {told}", file=sys.stderr)
