"""The command that repeats an examination by simulation."""

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from examwalk.cli_input import add_anonymous_option, visit_to_tell
from examwalk.cli_output import print_json, tell_progress
from examwalk.cli_parser import VISIT_HELP
from examwalk.exit_codes import GOOD, INTERRUPTED
from examwalk.language import later, say

if TYPE_CHECKING:
    from examwalk.reasoning.reproducing import Simulation

MOST_REPEATS = 1_000_000


def add_reproduce_commands(
    commands: "argparse._SubParsersAction[argparse.ArgumentParser]",
) -> None:
    """Add ``examwalk reproduce`` to the commands."""
    reproduce = commands.add_parser(
        "reproduce",
        help="simulate repeat examinations, and print how often each result comes out the same",
    )
    reproduce.add_argument("file", type=Path, metavar="FILE", help=VISIT_HELP)
    reproduce.add_argument("--repeats", type=_repeats, metavar="N")
    reproduce.add_argument("--seed", type=int, metavar="N", help="the same seed, the same result")
    reproduce.add_argument(
        "--same-examiner", action="store_true", help="repeated by the same examiner, not another"
    )
    reproduce.add_argument("--as", dest="form", choices=("text", "json"), default="text")
    add_anonymous_option(reproduce)
    reproduce.set_defaults(run=_reproduce)


def _repeats(text: str) -> int:
    try:
        number = int(text)
    except ValueError:
        number = 0
    if not 1 <= number <= MOST_REPEATS:
        raise argparse.ArgumentTypeError(
            f"give a whole number from 1 to {MOST_REPEATS}, not “{text}”."
        )
    return number


def _reproduce(options: argparse.Namespace) -> int:
    from examwalk.reasoning.reproducing import DEFAULT_REPEATS, DEFAULT_SEED, Simulation
    from examwalk.report.reproduction_text import reproduction_data, reproduction_text

    protocol, session = visit_to_tell(options)
    repeats = options.repeats or DEFAULT_REPEATS
    seed = DEFAULT_SEED if options.seed is None else options.seed
    simulation = Simulation(protocol, session, seed=seed, same_examiner=options.same_examiner)
    if not _run(simulation, repeats):
        return INTERRUPTED
    result = simulation.result()
    if options.form == "json":
        print_json(reproduction_data(protocol, session, result))
    else:
        print(reproduction_text(protocol, session, result), end="")
    return GOOD


def _run(simulation: "Simulation", repeats: int) -> bool:
    """Repeat and tell progress; after Ctrl+C keep what is done. Say whether anything is."""
    done = 0
    try:
        for done in simulation.run(repeats):
            tell_progress(done, repeats, later("{done} of {count} repeats"))
    except KeyboardInterrupt:
        told = say("stopped after {done} of {repeats} repeats.", done=done, repeats=repeats)
        print(f"\nexamwalk: {told}", file=sys.stderr)
    return done > 0
