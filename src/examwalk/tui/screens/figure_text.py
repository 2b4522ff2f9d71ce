"""The figures of a test among the lines of its full teaching text."""

from collections.abc import Sequence

from attrs import frozen
from textual.content import Content

from examwalk.protocol.entry import keys_of
from examwalk.protocol.exam_model import Test
from examwalk.protocol.figures import figure_of_choice, figure_of_test
from examwalk.protocol.model import Protocol
from examwalk.protocol.wording import choices_of
from examwalk.session.model import Side
from examwalk.tui.pictures import Picture, Pictures
from examwalk.tui.text import literal, phrase

LARGE = (54, 16)
SMALL = (36, 11)
"""Columns and rows of the drawing of a test, and of one of its answers."""
GAP = 2
BLANK = Content("")


@frozen
class Figures:
    """The drawings of a test, as lines."""

    of_test: tuple[Content, ...] = ()
    of_answers: tuple[Content, ...] = ()


def figures_of(
    protocol: Protocol, test: Test, pictures: Pictures, side: Side | None, width: int
) -> Figures:
    """Draw the figure of a test, and those of its answers side by side, each with its words."""
    if side is None:
        return Figures()
    own = figure_of_test(protocol, test)
    of_test = _drawn(pictures, Picture(own, side), _fitting(LARGE, width), BLANK) if own else []
    choices = choices_of(protocol, test)
    columns, rows = _fitting(SMALL, (width - GAP) // 2)
    blocks = []
    for key, choice in zip(keys_of(choices), choices, strict=True):
        figure = figure_of_choice(protocol, test, choice.id)
        if figure is not None:
            head = phrase((f"{key}  ", "$dim"), (choice.label, "bold"))
            blocks.append(_drawn(pictures, Picture(figure, side), (columns, rows), head))
    lines: list[Content] = []
    for at in range(0, len(blocks), 2):
        lines += [BLANK, *_abreast(blocks[at : at + 2], columns)]
    return Figures(tuple(of_test), tuple(lines))


def _fitting(most: tuple[int, int], width: int) -> tuple[int, int]:
    return max(1, min(most[0], width)), most[1]


def _drawn(
    pictures: Pictures, picture: Picture, size: tuple[int, int], head: Content
) -> list[Content]:
    """Draw a figure under a head, then its words; without braille the words stand alone."""
    words = literal(pictures.words(picture), "$dim").wrap(size[0])
    if not pictures.in_braille:
        return [head, *words]
    return [head, *pictures.lines(picture, *size), *words]


def _abreast(blocks: Sequence[list[Content]], columns: int) -> list[Content]:
    """Set one or two blocks of lines side by side."""
    left = blocks[0]
    right = blocks[1] if len(blocks) > 1 else []
    lines = []
    for at in range(max(len(left), len(right))):
        line = left[at] if at < len(left) else BLANK
        if at < len(right):
            line = line.pad_right(columns - line.cell_length + GAP).append(right[at])
        lines.append(line)
    return lines
