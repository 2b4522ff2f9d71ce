"""Small figures for the tests of drawing."""

from collections.abc import Mapping

from examwalk.drawing.composing import Drawing, Line, compose
from examwalk.drawing.figure import Figure, Outline, Part, Stroke

BOX = (0, 0, 120, 80)
LIMB = Outline(
    view_box=(0, 0, 40, 100),
    strokes={
        "front": Stroke(d="M24 0L24 100"),
        "back": Stroke(d="M16 0L16 100"),
        "axis": Stroke(d="M20 0L20 100"),
    },
    landmarks={"hip": (20, 0), "knee": (20, 50), "ankle": (20, 100)},
)
"""A straight limb, 100 long, with a joint in its middle."""


def figure(*parts: Part, **options) -> Figure:
    return Figure(**{"alt": "Something.", "view_box": BOX, "parts": parts, **options})


def drawn(
    *parts: Part,
    outlines: Mapping[str, Outline] | None = None,
    value: float | None = None,
    side: str = "left",
    **options,
) -> Drawing:
    figures = {"made": figure(*parts, **options)}
    return compose("made", outlines or {"limb": LIMB}, figures, value, side)


def only_line(drawing: Drawing) -> Line:
    (line,) = drawing.lines
    return line


def path(d: str, **options) -> Part:
    return Part(d=d, **options)
