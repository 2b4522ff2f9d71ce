"""Measure every figure beside its bare anchor, and print whether it is within its budget.

Budgets are ratios, so that they mean the same on every machine. The status is 0 even where one
is exceeded, and 1 only where something could not be measured.
"""

import os
import sys

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


def main() -> int:
    """Measure, print the table and return the exit status."""
    figures: list[Figure] = []
    status = 0
    for plan in PLANS:
        name = plan.measure.__name__
        try:
            figures += plan.measure(plan.rounds)
        except Exception as error:  # the others are still worth measuring
            print(f"{name} could not be measured: {error!r}", file=sys.stderr)
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
