"""The option that every command has which tells of visits: ``--anonymous``."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING

from examwalk.language import say

if TYPE_CHECKING:
    from examwalk.protocol.model import Protocol
    from examwalk.session.model import Session


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
    from examwalk.cli_input import visit_to_advise_on
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
