"""Which figure of a protocol shows what, and whether all of them can be drawn."""

from examwalk.drawing.atlas import Atlas
from examwalk.drawing.checking import FigureProblem, find_problems
from examwalk.drawing.composing import AltWords
from examwalk.language import say, say_decimal
from examwalk.protocol.exam_model import Kind, Test
from examwalk.protocol.model import Protocol
from examwalk.protocol.wording import choices_of


def atlas_of(protocol: Protocol) -> Atlas:
    """Return the figures of a protocol, whose words are in the language that is spoken."""
    words = AltWords(say("left"), say("right"), say("some"), say_decimal("."))
    return Atlas(protocol.outlines, protocol.figures, words)


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


def figures_shown(protocol: Protocol) -> frozenset[str]:
    """Return the ids of the figures whose words somebody sees: of tests, answers, positions
    and elements of the order.

    A figure without words of its own says those of the one that it is like.
    """
    waiting: list[str | None] = [f"position-{position.id}" for position in protocol.positions]
    for test in protocol.tests:
        waiting.append(figure_of_test(protocol, test))
        waiting += [
            figure_of_choice(protocol, test, choice.id) for choice in choices_of(protocol, test)
        ]
    for feature in protocol.features:
        for mark in feature.marks:
            figure = protocol.figures.get(mark.figure)
            waiting += [mark.figure, figure.like if figure else None]
    shown: set[str] = set()
    for name in waiting:
        if name is not None and name in protocol.figures and name not in shown:
            shown.add(name)
            figure = protocol.figures[name]
            waiting += [] if figure.alt else [figure.like]
    return frozenset(shown)


def figure_problems(protocol: Protocol) -> tuple[FigureProblem, ...]:
    """Return everything that keeps a figure or an outline from being drawn.

    A broken figure keeps nobody from examining, since its words are shown in its place; so this
    is looked at when a protocol is checked, not each time that it is read.
    """
    return find_problems(protocol.outlines, protocol.figures)
