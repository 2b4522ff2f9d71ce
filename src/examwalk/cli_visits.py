"""The command that looks at several visits at once."""

import argparse
import codecs
import json
import os
import sys
from pathlib import Path

from examwalk.exit_codes import GOOD, INPUT_AT_FAULT
from examwalk.language import say
from examwalk.problems import Problem, UnusableFileError


def add_visits_commands(
    commands: "argparse._SubParsersAction[argparse.ArgumentParser]",
) -> None:
    """Add ``examwalk compare`` to the commands."""
    compare = commands.add_parser(
        "compare",
        help="print what changed between visits of one patient, against the error of each test",
    )
    compare.add_argument("earlier", type=Path, metavar="EARLIER")
    compare.add_argument("later", type=Path, nargs="+", metavar="LATER")
    compare.add_argument("--as", dest="form", choices=("text", "json"), default="text")
    compare.set_defaults(run=_compare)


def _compare(options: argparse.Namespace) -> int:
    from examwalk.cli_shell import visit_to_advise_on
    from examwalk.drawing.braille import can_show_braille
    from examwalk.reasoning.comparing import Visit, compare, refusal
    from examwalk.report.comparison_data import comparison_data
    from examwalk.report.comparison_text import comparison_text

    found = [visit_to_advise_on(path) for path in (options.earlier, *options.later)]
    visits = [Visit(session, protocol) for protocol, session in filter(None, found)]
    if len(visits) < len(found):
        return INPUT_AT_FAULT
    why_not = refusal([visit.session for visit in visits])
    if why_not:
        raise UnusableFileError([Problem(why_not)])
    comparison = compare(visits)
    if [visit.session.id for visit in visits] != [one.session.id for one in comparison.visits]:
        told = say("the visits are compared in the order in which they began.")
        print(f"examwalk: {told}", file=sys.stderr)
    encoding = getattr(sys.stdout, "encoding", None) or "ascii"
    if options.form == "json":
        # Escaped where the output is not in UTF-8: JSON must come out exactly.
        escaped = codecs.lookup(encoding).name != "utf-8"
        print(json.dumps(comparison_data(comparison), ensure_ascii=escaped, indent=2))
    else:
        in_braille = can_show_braille(os.environ, encoding)
        print(comparison_text(comparison, in_braille=in_braille), end="")
    return GOOD
