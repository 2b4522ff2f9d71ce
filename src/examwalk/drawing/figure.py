"""The figure language: what the drawings of a protocol can say, as immutable classes.

Each class mirrors one table of a file and each field one key of that table; the docstrings here
are the reference for both. Coordinates run to the right and down, as in SVG. Angles are in
degrees and turn clockwise as seen. Everything is drawn for the left side of the body; the right
side is its mirror image.
"""

from collections.abc import Mapping
from enum import Enum
from typing import Literal

from attrs import Factory, frozen

Number = int | float
Side = Literal["left", "right"]

MOST_PARTS = 80
MOST_POINTS = 5_000
MOST_STROKES = 60
MOST_BENDS = 8
"""Of one part."""
DEEPEST_LIKENESS = 5
LONGEST_PATH = 20_000
"""Characters of one path."""
LARGEST_NUMBER = 1_000_000
LARGEST_COORDINATE = 10_000
LARGEST_SCALE = 100
LARGEST_TURN_DEG = 3_600


class Weight(Enum):
    """How heavy a stroke is; only what the grade is about is bold."""

    THIN = "thin"
    NORMAL = "normal"
    BOLD = "bold"


class Dash(Enum):
    """Dashed is for lines that are not there (axes), dotted for what stands behind or beside."""

    SOLID = "solid"
    DASHED = "dashed"
    DOTTED = "dotted"


class Fill(Enum):
    """What the inside of a stroke does; an open stroke is closed for it by a straight line."""

    CLEAR = "clear"
    """Nothing: what lies beneath stays seen."""
    COVERS = "covers"
    """It hides all that was drawn before it."""
    HATCHED = "hatched"
    """Sloping lines, for soft tissue."""


class Heads(Enum):
    """Which ends of an arrow have a head."""

    ONE = "one"
    BOTH = "both"
    NONE = "none"


@frozen
class Following:
    """An amount that follows the measured value.

    ``follows`` lists pairs of a value and the amount that goes with it, values ascending.
    Between two values the amount runs straight, and beyond the first and the last it stays: so
    two pairs say the zero, the amount for each unit, and where it stops.
    """

    follows: tuple[tuple[Number, Number], ...]


Amount = int | float | Following

Point = str | tuple[str | int | float | Following, ...]
"""A place: ``[x, y]``; ``"landmark"``; or ``["landmark", right, down]``, so far away from it.

In ``[x, y]`` a landmark may stand for either: ``["knee", 74]`` is straight above or below the
knee. A landmark of a part is named ``"part.landmark"``, or by itself where the nearest part
before this one that has it is meant.
"""


@frozen
class Stroke:
    """One line of an outline: exactly one of ``d`` and ``through``."""

    d: str | None = None
    """SVG path data."""
    through: tuple[Point, ...] | None = None
    """A smooth line through these points; a point given twice running is a corner."""
    weight: Weight = Weight.NORMAL
    dash: Dash = Dash.SOLID
    fill: Fill = Fill.CLEAR


@frozen
class Outline:
    """Something that figures share: a foot, a leg, a hand."""

    view_box: tuple[Number, Number, Number, Number]
    """Left, top, width, height."""
    strokes: Mapping[str, Stroke]
    landmarks: Mapping[str, tuple[Number, Number]] = Factory(dict)


@frozen
class Bend:
    """A joint that is bent: what lies beyond it turns, and the skin around it stretches."""

    at: Point
    """The joint."""
    towards: Point
    """A point beyond the joint, on the limb that turns."""
    turn_deg: Amount
    over: Number = 10
    """Along how much of the limb, half on each side of the joint, the turn is spread."""


@frozen
class Part:
    """One thing in a figure: an outline put in its place, or a line of the figure's own.

    Exactly one of ``outline``, ``d``, ``through``, ``line``, ``arrow``, ``ground``, ``cross`` and
    ``circle`` is given. A part is first bent, then mirrored, scaled and turned about ``about``,
    then moved.
    """

    id: str = ""
    """The name by which points refer to it; an outline has its own name without one."""

    outline: str | None = None
    d: str | None = None
    through: tuple[Point, ...] | None = None
    line: tuple[Point, ...] | None = None
    """Straight from point to point."""
    arrow: tuple[Point, Point] | None = None
    """From, to."""
    ground: Number | None = None
    """A level line through the whole figure, at this height."""
    cross: Point | None = None
    circle: Point | None = None

    only: tuple[str, ...] | None = None
    """Of an outline: only these strokes."""
    without: tuple[str, ...] = ()
    """Of an outline: all strokes but these."""
    bends: tuple[Bend, ...] = ()
    bulge: Amount = 0
    """Of an arrow: how far it bows out to the left of its way, or to the right below 0."""
    heads: Heads = Heads.ONE
    size: Amount | None = None
    """Of a cross or circle: from the middle to the edge. Of an arrow: the length of its head."""

    about: Point | None = None
    """The point that stays where it is; the middle of the view box where none is given."""
    mirror: bool = False
    scale: Amount | tuple[Amount, Amount] = 1
    """How many times as large, or how many times as wide and how many times as high."""
    turn_deg: Amount = 0
    to: Point | None = None
    """Where in the figure ``about`` comes to lie."""
    move: tuple[Amount, Amount] = (0, 0)
    """To the right and down, after everything else."""

    weight: Weight | None = None
    dash: Dash | None = None
    fill: Fill | None = None


SUBJECTS = ("outline", "d", "through", "line", "arrow", "ground", "cross", "circle")

SUBJECTS_OF_KEY: Mapping[str, tuple[str, ...]] = {
    "only": ("outline",),
    "without": ("outline",),
    "bends": ("outline", "d"),
    "bulge": ("arrow",),
    "heads": ("arrow",),
    "size": ("arrow", "cross", "circle"),
}
"""Keys that mean something with some subjects only."""


@frozen
class Figure:
    """A drawing of a test, a grade or an option."""

    alt: str = ""
    """The drawing in one sentence; ``{side}`` and ``{value}`` stand for what is drawn."""
    view_box: tuple[Number, Number, Number, Number] | None = None
    """Left, top, width, height; that of the figure it is like where none is given."""
    like: str | None = None
    """Another figure, whose parts come first. A part of mine with the id of one of its parts
    takes that part's place."""
    drawn_at: Number | None = None
    """The value that is drawn while none is typed."""
    parts: tuple[Part, ...] = ()


class UndrawableError(Exception):
    """A figure, or a part of one, that cannot be drawn; the text is a sentence that says why."""
