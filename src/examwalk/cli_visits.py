"""The commands that look at several visits at once: compare, agree."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from examwalk.cli_input import add_anonymous_option, say_what_is_left_out, visit_to_advise_on
from examwalk.cli_output import (
    json_text,
    output_encoding,
    output_to,
    print_json,
    refuse_to_replace,
)
from examwalk.cli_parser import VISIT_HELP
from examwalk.exit_codes import GOOD
from examwalk.language import say
from examwalk.problems import Problem, UnusableFileError

if TYPE_CHECKING:
    from examwalk.protocol.reading import LoadedProtocol
    from examwalk.reasoning.comparing import Comparison, Visit
    from examwalk.session.model import ProtocolUsed, Session


def add_visits_commands(
    commands: argparse._SubParsersAction[argparse.ArgumentParser],
) -> None:
    """Add ``examwalk compare`` and ``examwalk agree`` to the commands."""
    compare = commands.add_parser(
        "compare",
        help="print what changed between visits of one patient, against the error of each test",
    )
    compare.add_argument("earlier", type=Path, metavar="EARLIER", help=VISIT_HELP)
    compare.add_argument("later", type=Path, nargs="+", metavar="LATER", help="later ones")
    compare.add_argument("--as", dest="form", choices=("text", "html", "json"), default="text")
    compare.add_argument("--out", type=Path, metavar="PATH", help="where to, instead of stdout")
    compare.add_argument("--force", action="store_true", help="replace the file of --out")
    add_anonymous_option(compare)
    compare.set_defaults(run=_compare)
    agree = commands.add_parser(
        "agree", help="print how far two examiners agree on the same patients, test by test"
    )
    agree.add_argument(
        "files", type=Path, nargs="+", metavar="FILE", help="visits, two of each patient"
    )
    agree.add_argument("--as", dest="form", choices=("text", "json"), default="text")
    add_anonymous_option(agree)
    agree.set_defaults(run=_agree)


def _compare(options: argparse.Namespace) -> int:
    from examwalk.reasoning.comparing import compare, refusal

    refuse_to_replace(options.out, force=options.force)
    visits = _visits((options.earlier, *options.later), refusal, anonymous=options.anonymous)
    comparison = compare(visits)
    if [visit.session.id for visit in visits] != [one.session.id for one in comparison.visits]:
        told = say("the visits are compared in the order in which they began.")
        print(f"examwalk: {told}", file=sys.stderr)
    _write_comparison(comparison, options)
    return GOOD


def _write_comparison(comparison: Comparison, options: argparse.Namespace) -> None:
    """Write a comparison to stdout in its encoding, or into a file in UTF-8."""
    from examwalk.drawing.terminals import can_show_braille
    from examwalk.report.comparison_data import comparison_data
    from examwalk.report.comparison_page import comparison_page
    from examwalk.report.comparison_text import comparison_text
    from examwalk.report.document_html import page_html

    anonymous, out = options.anonymous, options.out
    if options.form == "html":
        written = page_html(comparison_page(comparison, anonymous=anonymous))
    elif options.form == "json":
        written = json_text(comparison_data(comparison, anonymous=anonymous), in_file=bool(out))
    else:
        encoding = "utf-8" if out else output_encoding()
        in_braille = can_show_braille(os.environ, encoding)
        written = comparison_text(comparison, in_braille=in_braille, anonymous=anonymous)
    if out is None and options.form != "html":
        print(written, end="")  # in the encoding of the terminal; HTML says that it is UTF-8
        return
    with output_to(out, force=options.force) as stream:
        stream.write(written.encode())
    if out is not None:
        print(f"examwalk: {say('written: {path}', path=out)}", file=sys.stderr)


def _agree(options: argparse.Namespace) -> int:
    from examwalk.reasoning.agreeing import agreement_of, agreement_refusal
    from examwalk.report.agreement_text import agreement_data, agreement_text

    visits = _visits(options.files, agreement_refusal, anonymous=options.anonymous)
    found = agreement_of(visits)
    if options.form == "json":
        print_json(agreement_data(found))
    else:
        print(agreement_text(found, anonymous=options.anonymous), end="")
    return GOOD


def _visits(
    paths: Sequence[Path], refusal: Callable[[Sequence[Session]], str], *, anonymous: bool
) -> list[Visit]:
    """Read visits, each protocol once; anonymous ones in the order in which they began.

    Raises:
        UnusableFileError: visits cannot be read or advised on, each with why, or the visits are
            refused.
    """
    from examwalk.reasoning.comparing import Visit
    from examwalk.report.anonymous import anonymous_visits

    once = _each_protocol_once()
    visits, problems = [], list[Problem]()
    for path in paths:
        try:
            protocol, session = visit_to_advise_on(path, once, anonymously=anonymous)
        except UnusableFileError as error:
            problems += error.problems
        else:
            visits.append(Visit(session, protocol))
    if problems:
        raise UnusableFileError(problems)
    if anonymous:
        say_what_is_left_out()
        visits = anonymous_visits(visits)
    why_not = refusal([visit.session for visit in visits])
    if why_not:
        raise UnusableFileError([Problem(why_not)])
    return visits


def _each_protocol_once() -> Callable[
    [Session, Path, str | None], tuple[LoadedProtocol, str | None]
]:
    """Return ``protocol_for`` with a memory: many visits are examined under the same one."""
    from examwalk.session.protocol_used import protocol_for

    known: dict[tuple[ProtocolUsed, Path], tuple[LoadedProtocol, str | None]] = {}

    def once(
        session: Session, folder: Path, language: str | None
    ) -> tuple[LoadedProtocol, str | None]:
        key = (session.protocol, folder)
        if key not in known:
            known[key] = protocol_for(session, folder, language)
        return known[key]

    return once
