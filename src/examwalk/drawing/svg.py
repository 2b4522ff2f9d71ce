"""A drawing as inline SVG, black on white, for paper and for pages."""

import cmath
import math
from collections.abc import Sequence
from html import escape

from examwalk.drawing.composing import Drawing, Line
from examwalk.drawing.figure import Dash, Fill, Weight

_WIDTHS = {Weight.THIN: 0.55, Weight.NORMAL: 1.1, Weight.BOLD: 2.4}
"""In units of a view box of 120 by 80."""
_DASHES = {Dash.DASHED: (3.2, 2.6), Dash.DOTTED: (0.01, 2.6)}
_HATCH_SPACING = 3.0
_HATCH_SLOPE = cmath.rect(1, math.radians(-45))


def svg_of(drawing: Drawing, frame_mm: float | None = None) -> str:
    """Return one ``<svg>`` element with the text alternative as its title.

    Args:
        drawing: what to draw.
        frame_mm: the width on paper of the frame, two thirds as high, that the figure fills;
            without one the page's style decides.
    """
    left, top, width, height = drawing.view_box
    # Lines are as heavy in a small view box as in a large one once both fill the same frame.
    unit = max(width / 120, height / 80)
    size = ""
    if frame_mm is not None:
        scale = frame_mm / 120 / unit
        size = f' width="{_number(width * scale)}mm" height="{_number(height * scale)}mm"'
    box = " ".join(_number(number) for number in drawing.view_box)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" viewBox="{box}"{size}>'
        f"<title>{escape(_printable(drawing.alt))}</title>"
        f'<rect x="{_number(left)}" y="{_number(top)}" width="{_number(width)}"'
        f' height="{_number(height)}" fill="white"/>'
        f"{shapes_of(drawing)}</svg>"
    )


def shapes_of(drawing: Drawing) -> str:
    """Return the lines of a drawing alone, in the coordinates of its view box."""
    _, _, width, height = drawing.view_box
    unit = max(width / 120, height / 80)
    shapes = "".join(_shape(line, unit, drawing) for line in drawing.lines)
    return (
        f'<g fill="none" stroke="black" stroke-linecap="round" stroke-linejoin="round">{shapes}</g>'
    )


def _shape(line: Line, unit: float, drawing: Drawing) -> str:
    data = _path_data(line)
    width = _WIDTHS[line.weight] * unit
    before = ""
    if line.fill is Fill.COVERS:
        before = f'<path d="{data}" fill="white" stroke="none"/>'
    elif line.fill is Fill.HATCHED:
        hatching = _hatching(line.points, _HATCH_SPACING * unit, drawing)
        thin = _number(_WIDTHS[Weight.THIN] * unit)
        before = f'<path d="{hatching}" stroke-width="{thin}"/>' if hatching else ""
    dashes = ""
    if line.dash in _DASHES:
        lengths = " ".join(_number(length * unit) for length in _DASHES[line.dash])
        dashes = f' stroke-dasharray="{lengths}"'
    return f'{before}<path d="{data}" stroke-width="{_number(width)}"{dashes}/>'


def _path_data(line: Line) -> str:
    points = line.points[:-1] if line.closed else line.points
    data = "M" + "L".join(f"{_number(p.real)} {_number(p.imag)}" for p in points)
    return data + "Z" if line.closed else data


def _hatching(points: Sequence[complex], spacing: float, drawing: Drawing) -> str:
    """Return sloping lines inside a polygon, by the even-odd rule, where they can be seen."""
    slope = -_HATCH_SLOPE.conjugate() if drawing.side == "right" else _HATCH_SLOPE
    # In coordinates along the slope and across it the hatching is level.
    turned = [point / slope for point in points]
    edges = list(zip(turned, [*turned[1:], turned[0]], strict=True))
    levels = [point.imag for point in turned]
    seen = [(corner / slope).imag for corner in _corners(drawing)]
    lowest, highest = max(min(levels), min(seen)), min(max(levels), max(seen))
    pieces = []
    for number in range(math.ceil(lowest / spacing), math.floor(highest / spacing) + 1):
        level = number * spacing
        crossings = sorted(
            start.real + (end.real - start.real) * (level - start.imag) / (end.imag - start.imag)
            for start, end in edges
            if (start.imag <= level) is not (end.imag <= level)
        )
        for enter, leave in zip(crossings[::2], crossings[1::2], strict=True):
            a, b = complex(enter, level) * slope, complex(leave, level) * slope
            pieces.append(
                f"M{_number(a.real)} {_number(a.imag)}L{_number(b.real)} {_number(b.imag)}"
            )
    return "".join(pieces)


def _corners(drawing: Drawing) -> Sequence[complex]:
    left, top, width, height = drawing.view_box
    return [complex(left + x, top + y) for x in (0, width) for y in (0, height)]


def _number(number: float) -> str:
    """Write a number with at most two decimals and no exponent."""
    text = f"{number:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _printable(text: str) -> str:
    """Leave out the characters that no XML document may hold."""
    return "".join(c if c.isprintable() else " " for c in text)
