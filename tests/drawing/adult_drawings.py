"""The drawings of the adult protocol, ready to be measured."""

import cmath
import math
import tomllib
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path

from examwalk.drawing.atlas import Atlas
from examwalk.drawing.composing import Drawing, Line, compose
from examwalk.drawing.figure import Figure, Outline
from examwalk.protocol.structuring import BROKEN, structure

FOLDER = Path(__file__).parents[2] / "protocols" / "adult"


def read() -> tuple[dict[str, Outline], dict[str, Figure], list[str]]:
    problems: list[str] = []
    found: dict[str, dict] = {"outlines": {}, "figures": {}}
    for file in sorted(FOLDER.glob("*.toml")):
        data = tomllib.loads(file.read_text(encoding="utf-8"))
        for table, kind in (("outlines", Outline), ("figures", Figure)):
            for name, value in data.get(table, {}).items():
                made = structure(
                    kind,
                    value,
                    lambda path, says: problems.append(f"{path}: {says}"),
                    (table, name),
                )
                if made is not BROKEN:
                    found[table][name] = made
    return found["outlines"], found["figures"], problems


OUTLINES, FIGURES, READING_PROBLEMS = read()
ATLAS = Atlas(OUTLINES, FIGURES)


def drawing(name: str, value: float | None = None) -> Drawing:
    return compose(name, OUTLINES, FIGURES, value)


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
