"""A drawing on a grid of dots: crisp lines, dashes, hatching, and what covers what.

Dots count from 0 at the upper left. A dot is set once however many lines pass through it.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby, pairwise
from operator import itemgetter

from attrs import frozen

from examwalk.drawing.composing import Drawing, Line
from examwalk.drawing.figure import Dash, Fill, Weight

Dot = tuple[int, int]
Point = tuple[float, float]
_Stretch = tuple[int, int, int]
"""A row, and the first and last column of some dots in it."""
_BRUSH_BOLD = ((0, 0), (1, 0), (0, 1), (1, 1))


@frozen
class Dots:
    """The dots that are set, each with whether it belongs to a bold line."""

    width: int
    height: int
    bold: dict[Dot, bool]


@frozen
class _Grid:
    """How a view box is laid on the grid: as large as it fits, in the middle."""

    scale: float
    right: float
    down: float
    window: tuple[int, int, int, int]
    """First and last column and row that may be drawn on: the view box itself."""
    mirrored: bool

    def point(self, place: complex) -> Point:
        x = place.real * self.scale + self.right
        return x, place.imag * self.scale + self.down


def dots_of(drawing: Drawing, width: int, height: int) -> Dots:
    """Draw on a grid of this many dots.

    The right side is drawn as the left one and then turned over, so that it is its mirror
    image to the dot.
    """
    grid = _grid(drawing, width, height)
    canvas = _Canvas(grid)
    for line in _as_left(drawing):
        canvas.draw(line)
    if not grid.mirrored:
        return Dots(width, height, canvas.bold)
    flipped = {(width - 1 - x, y): bold for (x, y), bold in canvas.bold.items()}
    return Dots(width, height, flipped)


def _grid(drawing: Drawing, width: int, height: int) -> _Grid:
    left, top, wide, high = drawing.view_box
    scale = min((width - 1) / wide, (height - 1) / high)
    right = (width - 1 - scale * wide) / 2
    down = (height - 1 - scale * high) / 2
    window = (
        round(right),
        width - 1 - round(right),
        round(down),
        height - 1 - round(down),
    )
    return _Grid(scale, right - left * scale, down - top * scale, window, drawing.side == "right")


def _as_left(drawing: Drawing) -> Iterator[Line]:
    if drawing.side == "left":
        yield from drawing.lines
        return
    left, _, width, _ = drawing.view_box
    axis = 2 * left + width
    for line in drawing.lines:
        points = tuple(complex(axis - point.real, point.imag) for point in line.points)
        yield Line(points, line.closed, line.weight, line.dash, line.fill, line.part, line.stroke)


class _Canvas:
    def __init__(self, grid: _Grid) -> None:
        self.bold: dict[Dot, bool] = {}
        self._grid = grid
        # Dashes and hatching grow with the picture, but never below what can be told apart.
        self._dash = max(3, round(2.5 * grid.scale))
        self._hatch = max(4, round(3 * grid.scale))

    def draw(self, line: Line) -> None:
        points = [self._grid.point(point) for point in line.points]
        if line.fill is Fill.COVERS:
            self._erase(self._inside(points))
        elif line.fill is Fill.HATCHED:
            self._hatch_over(self._inside(points))
        path = _thinned(self._path(points))
        drawn = _patterned(path, line.weight, line.dash, self._dash)
        if line.weight is Weight.BOLD:
            self._set([(x + i, y + j) for x, y in drawn for i, j in _BRUSH_BOLD], True)
        else:
            self._set(drawn, False)

    def _set(self, dots: Iterable[Dot], bold: bool) -> None:
        first_x, last_x, first_y, last_y = self._grid.window
        for dot in dots:
            if first_x <= dot[0] <= last_x and first_y <= dot[1] <= last_y:
                self.bold[dot] = bold or self.bold.get(dot, False)

    def _erase(self, stretches: Iterable[_Stretch]) -> None:
        rows: dict[int, list[tuple[int, int]]] = {}
        for y, first, last in stretches:
            rows.setdefault(y, []).append((first, last))
        for x, y in list(self.bold):
            if y in rows and any(first <= x <= last for first, last in rows[y]):
                del self.bold[x, y]

    def _hatch_over(self, stretches: Iterable[_Stretch]) -> None:
        for y, first, last in stretches:
            start = first + -(first + y) % self._hatch
            self._set(((x, y) for x in range(start, last + 1, self._hatch)), False)

    def _path(self, points: Sequence[Point]) -> Iterator[Dot]:
        """Yield the dots along a chain, leaving out what lies outside the window."""
        for start, end in pairwise(points):
            piece = _clipped(start, end, self._grid.window)
            if piece is not None:
                yield from _straight(*piece)

    def _inside(self, points: Sequence[Point]) -> Iterator[_Stretch]:
        """Yield the stretches of dots inside a polygon, by the even-odd rule."""
        first_x, last_x, first_y, last_y = self._grid.window
        crossings: dict[int, list[float]] = {}
        for start, end in pairwise([*points, points[0]]):
            (x1, y1), (x2, y2) = sorted((start, end), key=itemgetter(1))
            for y in range(max(first_y, math.ceil(y1)), min(last_y, math.ceil(y2) - 1) + 1):
                crossings.setdefault(y, []).append(x1 + (x2 - x1) * (y - y1) / (y2 - y1))
        for y, found in crossings.items():
            found.sort()
            for enter, leave in zip(found[::2], found[1::2], strict=True):
                yield y, max(first_x, math.ceil(enter)), min(last_x, math.floor(leave))


def _clipped(
    start: Point, end: Point, window: tuple[int, int, int, int]
) -> tuple[Point, Point] | None:
    """Return the piece of a straight line within the window and one dot around it."""
    first_x, last_x, first_y, last_y = window
    begin, finish = 0.0, 1.0
    for position, change, low, high in (
        (start[0], end[0] - start[0], first_x - 1, last_x + 1),
        (start[1], end[1] - start[1], first_y - 1, last_y + 1),
    ):
        if change == 0:
            if not low <= position <= high:
                return None
            continue
        enter, leave = sorted(((low - position) / change, (high - position) / change))
        begin, finish = max(begin, enter), min(finish, leave)
    if begin > finish:
        return None
    return _between(start, end, begin), _between(start, end, finish)


def _between(start: Point, end: Point, share: float) -> Point:
    return start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share


def _straight(start: Point, end: Point) -> Iterator[Dot]:
    """Yield the dots of a straight line (Bresenham's algorithm)."""
    x, y = int(start[0] + 0.5), int(start[1] + 0.5)
    last_x, last_y = int(end[0] + 0.5), int(end[1] + 0.5)
    wide, high = abs(last_x - x), -abs(last_y - y)
    right = 1 if x < last_x else -1
    down = 1 if y < last_y else -1
    error = wide + high
    while True:
        yield x, y
        if x == last_x and y == last_y:
            return
        twice = 2 * error
        if twice >= high:
            error += high
            x += right
        if twice <= wide:
            error += wide
            y += down


def _thinned(path: Iterable[Dot]) -> list[Dot]:
    """Drop repeated dots, and the corner dot wherever its neighbours already touch.

    Short pieces of a flattened curve would otherwise leave steps that look like blots. A corner
    between two straight stretches is meant, and stays.
    """
    dots = [dot for dot, _ in groupby(path)]
    kept = dots[:1]
    for number in range(1, len(dots) - 1):
        before, corner, after = kept[-1], dots[number], dots[number + 1]
        touching = abs(before[0] - after[0]) == 1 and abs(before[1] - after[1]) == 1
        is_step = touching and corner in ((before[0], after[1]), (after[0], before[1]))
        if not is_step or _is_meant(dots[max(0, number - 2) : number + 3]):
            kept.append(corner)
    return kept + dots[1:][-1:]


def _is_meant(around: Sequence[Dot]) -> bool:
    """Say whether the middle one of five dots joins two stretches that run straight into it."""
    if len(around) < 5:
        return False
    steps = [(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(around)]
    return steps[0] == steps[1] and steps[2] == steps[3]


_DOT_STEPS = {Weight.THIN: 5, Weight.NORMAL: 3, Weight.BOLD: 4}


def _patterned(path: Sequence[Dot], weight: Weight, dash: Dash, length: int) -> Sequence[Dot]:
    """Leave out the dots that a thin or broken line does not have."""
    if dash is Dash.DOTTED:
        return path[:: _DOT_STEPS[weight]]
    spacing = 2 if weight is Weight.THIN else 1
    if dash is Dash.SOLID:
        return path[::spacing]
    return [dot for step, dot in enumerate(path) if step // length % 2 == 0 and step % spacing == 0]
