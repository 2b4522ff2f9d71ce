"""Measure every figure beside its bare anchor, and print whether it is within its budget.

``python -m tests.benchmarks`` measures everything, ``python -m tests.benchmarks save`` one thing.
Budgets are ratios, so that they mean the same on every machine. The status is 0 even where one
is exceeded, and 1 only where something could not be measured.
"""

import argparse
import os
import sys
from collections.abc import Sequence

from attrs import frozen

from .exporting import exporting
from .figures import Figure, Measure, table
from .headless import commands, protocol_load, save, summarising
from .painting import first_paint, grade_keys
from .repeating import repeating
from .stepping import evaluating, pairing, stepping


@frozen
class Plan:
    """What is measured, and how often."""

    measure: Measure
    rounds: int

    @property
    def name(self) -> str:
        """What it is called on the command line."""
        return self.measure.__name__


PLANS = (
    Plan(first_paint, 15),
    Plan(grade_keys, 200),
    Plan(protocol_load, 30),
    Plan(save, 100),
    Plan(summarising, 30),
    Plan(evaluating, 60),
    Plan(stepping, 5),
    Plan(pairing, 2),
    Plan(repeating, 5),
    Plan(exporting, 3),
    Plan(commands, 15),
)


def main(arguments: Sequence[str] | None = None) -> int:
    """Measure what is asked for, print the table and return the exit status."""
    names = [plan.name for plan in PLANS]
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description=__doc__)
    parser.add_argument("names", nargs="*", metavar="NAME", help=f"of {', '.join(names)}")
    wanted = parser.parse_args(arguments).names or names
    if unknown := [name for name in wanted if name not in names]:
        parser.error(f"nothing is called {', '.join(unknown)}; there are {', '.join(names)}")
    figures: list[Figure] = []
    status = 0
    for plan in PLANS:
        if plan.name not in wanted:
            continue
        try:
            figures += plan.measure(plan.rounds)
        except Exception as error:  # the others are still worth measuring
            print(f"{plan.name} could not be measured: {error!r}", file=sys.stderr)
            status = 1
    print(table(figures))
    print(f"\n{_machine()}")
    return status


def _machine() -> str:
    busy = f", load {os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else ""
    return (
        f"Python {sys.version.split()[0]}, {os.cpu_count()} processors{busy}. "
        "Other programs at work spoil the figures: measure on a machine at rest."
    )


if __name__ == "__main__":
    sys.exit(main())
