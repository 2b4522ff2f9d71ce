"""The command that writes a visit as a page: the record, the order, what the patient reads."""

from __future__ import annotations

import argparse
import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from examwalk.cli_input import add_anonymous_option, say_what_is_left_out, visit_to_advise_on
from examwalk.cli_parser import VISIT_HELP
from examwalk.exit_codes import COMMAND_AT_FAULT, GOOD, INPUT_AT_FAULT
from examwalk.language import say
from examwalk.settings import chosen, values_of

if TYPE_CHECKING:
    from examwalk.report.page_parts import Told

KINDS = ("record", "order", "patient")
FORMS = ("html", "pdf", "text", "markdown")


def add_report_command(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add ``examwalk report`` to the commands."""
    report = commands.add_parser("report", help="write a visit as a page: record, order, patient")
    report.add_argument("file", type=Path, metavar="FILE", help=VISIT_HELP)
    report.add_argument("--kind", choices=KINDS, required=True)
    report.add_argument("--as", dest="form", choices=FORMS, default="html")
    report.add_argument("--out", type=Path, metavar="PATH", help="where to, instead of stdout")
    report.add_argument("--paper", choices=values_of("paper"), help="what HTML and PDF print on")
    report.add_argument(
        "--from",
        dest="starts",
        type=_day,
        metavar="DATE",
        help="for the patient: the day the device is first worn, as 2027-01-31",
    )
    report.add_argument(
        "--force",
        action="store_true",
        help="replace an existing file; write an order although it has blanks",
    )
    add_anonymous_option(report)
    report.set_defaults(run=_report)


def _day(text: str) -> date:
    from examwalk.report.first_day import typed_day

    try:
        return typed_day(text)
    except ValueError as error:
        raise argparse.ArgumentTypeError(str(error)) from None


def _report(options: argparse.Namespace) -> int:
    from examwalk.report.first_day import unlikely_start
    from examwalk.report.page_files import in_the_way
    from examwalk.report.pages import order_blanks, told_about

    if options.starts is not None and (options.kind != "patient" or options.anonymous):
        message = say("--from is for --kind patient alone, and not with --anonymous.")
        print(f"examwalk: {message}", file=sys.stderr)
        return COMMAND_AT_FAULT
    visit = visit_to_advise_on(options.file, anonymously=options.anonymous)
    unlikely = unlikely_start(options.starts, visit[1].started.date()) if options.starts else ""
    if unlikely:
        print(f"examwalk: --from: {unlikely}", file=sys.stderr)
        return INPUT_AT_FAULT
    if options.anonymous:
        say_what_is_left_out()
    told = told_about(*visit, anonymous=options.anonymous, starts=options.starts)
    blanks = order_blanks(told) if options.kind == "order" and not options.force else ()
    if blanks:
        names = ", ".join(blanks)
        message = say(
            "the order has blanks: {features}. Answer what they wait for or decide on them;"
            " --force writes the order with its blanks.",
            features=names,
        )
        print(f"examwalk: {message}", file=sys.stderr)
        return INPUT_AT_FAULT
    if options.form == "pdf" and options.out is None and sys.stdout.isatty():
        message = say("a PDF is nothing to read in a terminal; --out PATH says where it goes.")
        print(f"examwalk: {message}", file=sys.stderr)
        return INPUT_AT_FAULT
    fault = in_the_way(options.out, options.file) if options.out is not None else ""
    if fault:
        print(f"examwalk: {options.out}: {fault}", file=sys.stderr)
        return INPUT_AT_FAULT
    return _write(told, options)


def _write(told: Told, options: argparse.Namespace) -> int:
    from examwalk.cli_output import output_to
    from examwalk.report.pages import written, written_bytes
    from examwalk.report.printing import CannotPrintError

    if options.out is None and options.form in {"text", "markdown"}:
        # In the encoding of the terminal; HTML says of itself that it is UTF-8.
        print(written(told, options.kind, options.form), end="")
        return GOOD
    paper = options.paper or chosen("paper") or values_of("paper")[0]
    try:
        with output_to(options.out, force=options.force) as stream:
            stream.write(written_bytes(told, options.kind, options.form, paper))
    except CannotPrintError as error:
        print(f"examwalk: {error}", file=sys.stderr)
        return INPUT_AT_FAULT
    if options.out is not None:
        message = say("written: {path}", path=options.out)
        print(f"examwalk: {message}", file=sys.stderr)
    return GOOD
