"""The command that writes a visit as a page: the record, the order."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from examwalk.exit_codes import GOOD, INPUT_AT_FAULT
from examwalk.language import say

KINDS = ("record", "order")
PAPERS = ("A4", "letter")


def add_report_command(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add ``examwalk report`` to the commands."""
    report = commands.add_parser("report", help="write a visit as a page: its record, its order")
    report.add_argument("file", type=Path, metavar="FILE")
    report.add_argument("--kind", choices=KINDS, required=True)
    report.add_argument("--as", dest="form", choices=("html", "text", "markdown"), default="html")
    report.add_argument("--out", type=Path, metavar="PATH", help="where to, instead of stdout")
    report.add_argument("--paper", choices=PAPERS, default="A4", help="what the HTML prints on")
    report.add_argument(
        "--force",
        action="store_true",
        help="replace an existing file; write an order although it has blanks",
    )
    report.add_argument(
        "--anonymous",
        action="store_true",
        help="without codes, initials, days and whatever was written freely",
    )
    report.set_defaults(run=_report)


def _report(options: argparse.Namespace) -> int:
    from examwalk.cli_output import output_to
    from examwalk.cli_shell import visit_to_advise_on
    from examwalk.report.pages import order_blanks, told_about, written

    visit = visit_to_advise_on(options.file)
    if visit is None:
        return INPUT_AT_FAULT
    told = told_about(*visit, anonymous=options.anonymous)
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
    text = written(told, options.kind, options.form, options.paper)
    if options.out is None and options.form != "html":
        print(text, end="")  # in the encoding of the terminal; HTML says that it is UTF-8
        return GOOD
    if options.out is not None and _is_in_the_way(options.out, options.file):
        return INPUT_AT_FAULT
    with output_to(options.out, force=options.force) as stream:
        stream.write(text.encode())
    if options.out is not None:
        message = say("written: {path}", path=options.out)
        print(f"examwalk: {message}", file=sys.stderr)
    return GOOD


def _is_in_the_way(target: Path, visit: Path) -> bool:
    """Say what stands where a page is to go, if it is what no page may replace."""
    if target.is_dir():
        message = say("This is a folder; the page needs the name of a file.")
    elif target.exists() and target.samefile(visit):
        message = say("This is the visit itself; the page needs another name.")
    else:
        return False
    print(f"examwalk: {target}: {message}", file=sys.stderr)
    return True
