"""Which figure of a protocol shows what, and whether all of them can be drawn."""

from examwalk.drawing.checking import FigureProblem, find_problems
from examwalk.protocol.model import Kind, Protocol, Test


def figure_of_test(protocol: Protocol, test: Test) -> str | None:
    """Return the id of the figure that shows how a test is done, if there is one."""
    name = test.figure or test.id
    return name if name in protocol.figures else None


def figure_of_choice(protocol: Protocol, test: Test, choice: str) -> str | None:
    """Return the id of the figure of one grade or option, if there is one."""
    named = None
    if test.kind is Kind.GRADE and choice in test.grades:
        named = test.grades[choice].figure
    elif test.kind is Kind.CHOICE and choice in protocol.options_of(test):
        named = protocol.options_of(test)[choice].figure
    name = named or f"{test.id}-{choice}"
    return name if name in protocol.figures else None


def figure_problems(protocol: Protocol) -> tuple[FigureProblem, ...]:
    """Return everything that keeps a figure or an outline from being drawn.

    A broken figure keeps nobody from examining, since its words are shown in its place; so this
    is looked at when a protocol is checked, not each time that it is read.
    """
    return find_problems(protocol.outlines, protocol.figures)
