"""The command that prints what follows from a visit."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from attrs import evolve

from examwalk.cli_input import add_anonymous_option, visit_to_tell
from examwalk.cli_output import print_json, tell_progress
from examwalk.cli_parser import VISIT_HELP
from examwalk.exit_codes import GOOD
from examwalk.language import later

if TYPE_CHECKING:
    from examwalk.reasoning.robustness import Robustness, Trial


def add_summary_command(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add ``examwalk summary`` to the commands."""
    summary = commands.add_parser("summary", help="print what follows from a visit")
    summary.add_argument("file", type=Path, metavar="FILE", help=VISIT_HELP)
    summary.add_argument("--as", dest="form", choices=("text", "json"), default="text")
    summary.add_argument(
        "--pairs",
        action="store_true",
        help="also try every two findings a little off at once; takes some seconds",
    )
    add_anonymous_option(summary)
    summary.set_defaults(run=_summary)


def _summary(options: argparse.Namespace) -> int:
    from examwalk.reasoning.fitting import case_of
    from examwalk.reasoning.robustness import Trial
    from examwalk.reasoning.summary import ordered_values, summarise
    from examwalk.reasoning.unanswered import Unanswered, most_telling_first

    protocol, session = visit_to_tell(options)
    if options.anonymous:
        # Who corrected what on which day would tell; the corrected values stay.
        session = evolve(session, signature=None, amendments=())
    summary = summarise(protocol, session)
    case, ordered = case_of(protocol, session), ordered_values(protocol, session)
    robustness = _robustness(Trial(case, ordered), pairs=options.pairs)
    unanswered = Unanswered(case, [one.place for one in summary.missing], ordered)
    worth = most_telling_first(tuple(unanswered.run()))
    if options.form == "json":
        from examwalk.report.data import anonymous_data, summary_data

        data = summary_data(protocol, session, summary, robustness, worth)
        if options.anonymous:
            data = anonymous_data(data)
        print_json(data)
    else:
        from examwalk.report.text import summary_text

        words = summary_text(
            protocol, session, summary, robustness, worth, anonymous=options.anonymous
        )
        print(words, end="")
    return GOOD


def _robustness(trial: "Trial", *, pairs: bool) -> "Robustness":
    """Try every single move and, where that is wanted, every two of them, telling progress."""
    from examwalk.reasoning.robustness import gathered, with_pairs

    robustness = gathered(trial.protocol, tuple(trial.single()))
    if not pairs:
        return robustness
    found = []
    count = trial.count_pairs()
    for done, tried in enumerate(trial.pairs(), 1):
        found.append(tried)
        tell_progress(done, count, later("{done} of {count} pairs"))
    return with_pairs(robustness, found)
