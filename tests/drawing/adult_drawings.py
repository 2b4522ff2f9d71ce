"""The drawings of the adult protocol, ready to be measured."""

import cmath
import math
from collections.abc import Sequence
from itertools import pairwise

from adult_cases import ADULT
from examwalk.drawing.atlas import Atlas
from examwalk.drawing.composing import Drawing, Line, compose
from examwalk.protocol.figures import figure_of_choice
from examwalk.protocol.wording import choices_of

OUTLINES, FIGURES = ADULT.outlines, ADULT.figures
ATLAS = Atlas(OUTLINES, FIGURES)


def drawing(name: str, value: float | None = None) -> Drawing:
    return compose(name, OUTLINES, FIGURES, value)


def names(test: str) -> list[str]:
    """Return the figures of a test's grades or options, in the order of its scale."""
    asked = ADULT.tests_by_id[test]
    figures = [figure_of_choice(ADULT, asked, one.id) for one in choices_of(ADULT, asked)]
    return [figure for figure in figures if figure is not None]


def grades(test: str) -> list[Drawing]:
    return [drawing(name) for name in names(test)]


def part(made: Drawing, name: str, stroke: str = "") -> Line:
    """Return the first line of a part, or the one of its strokes whose name holds a word."""
    return next(line for line in made.lines if line.part == name and stroke in line.stroke)


def direction_deg(start: complex, end: complex) -> float:
    """Return the direction from one point to another, clockwise as seen, in degrees."""
    return math.degrees(cmath.phase(end - start))


def rises(numbers: Sequence[float], by: float = 0) -> bool:
    """Say whether each number is greater than the one before, by more than so much."""
    return all(later > earlier + by for earlier, later in pairwise(numbers))


def unlike(names: Sequence[str], made: Sequence[Drawing], graded: set[str]) -> list[str]:
    """Return the figures in which a named part differs that is not among those graded."""
    kept = [
        [
            (line.part, line.stroke, line.points)
            for line in one.lines
            if line.part and line.part not in graded
        ]
        for one in made
    ]
    return [name for name, lines in zip(names, kept, strict=True) if lines != kept[0]]
