"""The lines of one part before it is bent and put in its place."""

import cmath
import math
from collections.abc import Callable, Mapping, Sequence

from attrs import frozen

from examwalk.drawing.figure import (
    MOST_POINTS,
    SUBJECTS,
    Heads,
    Outline,
    Part,
    Point,
    Stroke,
    UndrawableError,
)
from examwalk.drawing.paths import Chain, chains_of_path, check_place, ordinary, smooth
from examwalk.drawing.placing import Places, amount, nearest

ViewBox = tuple[float, float, float, float]
HEAD = "head"
_CIRCLE_CORNERS = 48
_ARC_PIECES = 24
_HEAD_SHARE = 0.055
_MARK_SHARE = 0.04
"""Usual sizes, as a share of the width of the view box."""


@frozen
class Sketch:
    """A chain before it is placed, with the looks it has where its part says nothing."""

    chain: Chain
    stroke: str
    looks: Stroke = Stroke()


class Sketcher:
    """Knows how each kind of part is drawn."""

    def __init__(self, view_box: ViewBox, outlines: Mapping[str, Outline], places: Places) -> None:
        self._view_box = view_box
        self._outlines = outlines
        self._places = places
        self._kinds: Mapping[str, Callable[[Part], Sequence[Sketch]]] = {
            "outline": self._outline,
            "d": self._path,
            "through": self._through,
            "line": self._line,
            "arrow": self._arrow,
            "ground": self._ground,
            "cross": self._cross,
            "circle": self._circle,
        }

    def sketch(self, part: Part) -> Sequence[Sketch]:
        """Return the lines of a part.

        Raises:
            UndrawableError: the part breaks a rule of the language.
        """
        given = [subject for subject in SUBJECTS if getattr(part, subject) is not None]
        if len(given) != 1:
            raise UndrawableError(
                f"it needs exactly one of {', '.join(SUBJECTS)};"
                f" it has {' and '.join(given) or 'none of them'}."
            )
        return self._kinds[given[0]](part)

    def own_marks(self, part: Part) -> Mapping[str, complex]:
        """Return the landmarks of a part itself, at rest."""
        if part.outline is None:
            return {}
        return landmarks_of(self._outlines[part.outline])

    def own_places(self, part: Part) -> Places:
        """Return what ``about`` and the points of bends refer to."""
        if part.outline is None:
            return self._places
        return Places(self._places.value, {part.outline: self.own_marks(part)})

    def middle(self, part: Part) -> complex:
        """Return the middle of what a part is drawn in: its outline's view box, or the figure's."""
        box = self._view_box if part.outline is None else self._outlines[part.outline].view_box
        left, top, width, height = (ordinary(number) for number in box)
        return complex(left + width / 2, top + height / 2)

    def _outline(self, part: Part) -> Sequence[Sketch]:
        outline = self._outlines.get(part.outline or "")
        if outline is None:
            hint = nearest(part.outline or "", self._outlines)
            raise UndrawableError(f"there is no outline “{part.outline}”.{hint}")
        for name in (*(part.only or ()), *part.without):
            if name not in outline.strokes:
                hint = nearest(name, outline.strokes)
                raise UndrawableError(f"the outline “{part.outline}” has no stroke “{name}”.{hint}")
        own = self.own_places(part)
        sketches: list[Sketch] = []
        count = 0
        for name, stroke in outline.strokes.items():
            if name not in part.without and (part.only is None or name in part.only):
                chains = chains_of_stroke(stroke, own)
                sketches.extend(Sketch(chain, name, stroke) for chain in chains)
                count += sum(len(chain.points) for chain in chains)
                if count > MOST_POINTS:
                    raise UndrawableError(f"it has more than {MOST_POINTS} points.")
        return sketches

    def _path(self, part: Part) -> Sequence[Sketch]:
        return _sketched(chains_of_path(part.d or ""), "d")

    def _through(self, part: Part) -> Sequence[Sketch]:
        return _sketched([smooth(points_of(part.through or (), self._places))], "through")

    def _line(self, part: Part) -> Sequence[Sketch]:
        points = points_of(part.line or (), self._places)
        closed = len(points) > 2 and points[0] == points[-1]
        return _sketched([Chain(points, closed)], "line")

    def _arrow(self, part: Part) -> Sequence[Sketch]:
        start, end = points_of(part.arrow or (), self._places)
        if start == end:
            return _sketched([Chain((start, end))], "shaft")
        shaft = bow(start, end, amount(part.bulge, self._places.value))
        room = 0.4 if part.heads is Heads.BOTH else 0.6
        length = min(self._size(part, _HEAD_SHARE), room * abs(end - start))
        heads = []
        if part.heads is not Heads.NONE:
            heads.append(_head(shaft, length))
        if part.heads is Heads.BOTH:
            heads.append(_head(shaft[::-1], length))
        return [*_sketched(heads, HEAD), *_sketched([Chain(shaft)], "shaft")]

    def _ground(self, part: Part) -> Sequence[Sketch]:
        left, _, width, _ = self._view_box
        height = ordinary(part.ground or 0)
        return _sketched([Chain((complex(left, height), complex(left + width, height)))], "ground")

    def _cross(self, part: Part) -> Sequence[Sketch]:
        middle, size = points_of_mark(part.cross, self._places), self._size(part, _MARK_SHARE)
        arms = (complex(size, size), complex(size, -size))
        return _sketched([Chain((middle - arm, middle + arm)) for arm in arms], "cross")

    def _circle(self, part: Part) -> Sequence[Sketch]:
        middle, size = points_of_mark(part.circle, self._places), self._size(part, _MARK_SHARE)
        step = 2 * math.pi / _CIRCLE_CORNERS
        around = [middle + cmath.rect(size, step * corner) for corner in range(_CIRCLE_CORNERS)]
        return _sketched([Chain((*around, around[0]), closed=True)], "circle")

    def _size(self, part: Part, share: float) -> float:
        if part.size is None:
            return share * self._view_box[2]
        return max(0.0, amount(part.size, self._places.value))


def landmarks_of(outline: Outline) -> Mapping[str, complex]:
    """Return the landmarks of an outline as points.

    Raises:
        UndrawableError: one lies absurdly far out.
    """
    marks = {name: complex(ordinary(x), ordinary(y)) for name, (x, y) in outline.landmarks.items()}
    for point in marks.values():
        check_place(point)
    return marks


def points_of(given: Sequence[Point], places: Places) -> tuple[complex, ...]:
    """Return where the points of a line lie.

    Raises:
        UndrawableError: there are fewer than two, too many, or one is unknown.
    """
    if not 2 <= len(given) <= MOST_POINTS:
        raise UndrawableError(f"a line has 2 to {MOST_POINTS} points; this one has {len(given)}.")
    return tuple(places.point(point) for point in given)


def points_of_mark(given: Point | None, places: Places) -> complex:
    """Return where the middle of a mark lies."""
    assert given is not None
    return places.point(given)


def chains_of_stroke(stroke: Stroke, own: Places) -> Sequence[Chain]:
    """Return the chains of one stroke of an outline.

    Raises:
        UndrawableError: it has no usable line, or two.
    """
    if (stroke.d is None) is (stroke.through is None):
        raise UndrawableError("a stroke needs exactly one of d and through.")
    if stroke.d is not None:
        return chains_of_path(stroke.d)
    return [smooth(points_of(stroke.through or (), own))]


def _sketched(chains: Sequence[Chain], kind: str) -> Sequence[Sketch]:
    return [Sketch(chain, kind) for chain in chains]


def bow(start: complex, end: complex, bulge: float) -> tuple[complex, ...]:
    """Return a straight shaft, or a piece of a circle that bows out to the left of its way."""
    if bulge == 0:
        return (start, end)
    way = (end - start) / abs(end - start)
    # The angle between the chord and the arc at either end of an arc of this height.
    slant = 2 * math.atan(2 * bulge / abs(end - start))
    points = [start]
    for piece in range(1, _ARC_PIECES + 1):
        share = piece / _ARC_PIECES
        length = abs(end - start) * math.sin(slant * share) / math.sin(slant)
        points.append(start + way * cmath.rect(length, -slant * (1 - share)))
    return tuple(points)


def _head(shaft: Sequence[complex], length: float) -> Chain:
    """Return the head at the end of a shaft, in the direction of its last stretch."""
    tip = shaft[-1]
    behind = next((point for point in reversed(shaft) if abs(tip - point) >= length), shaft[0])
    way = (tip - behind) / abs(tip - behind)
    back, wing = tip - length * way, 0.75 * length * way * 1j
    return Chain((back + wing, tip, back - wing))
