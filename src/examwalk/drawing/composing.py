"""A figure, its outlines, a value and a side become a flat list of lines in their places."""

from collections.abc import Mapping, Sequence

from attrs import evolve, frozen

from examwalk.drawing.figure import (
    DEEPEST_LIKENESS,
    MOST_PARTS,
    MOST_POINTS,
    Dash,
    Figure,
    Fill,
    Number,
    Outline,
    Part,
    Side,
    UndrawableError,
    Weight,
)
from examwalk.drawing.paths import check_place, ordinary
from examwalk.drawing.placing import Places, bend_chain, bent, joints_of, placement
from examwalk.drawing.sketching import HEAD, Sketch, Sketcher, ViewBox


@frozen
class AltWords:
    """What stands in a text alternative for the side and for the number that is drawn."""

    left: str = "left"
    right: str = "right"
    any_number: str = "some"
    """For a number that is not known."""
    decimal_sign: str = "."


_ENGLISH = AltWords()


@frozen
class Line:
    """One line of a drawing, in the coordinates of its view box."""

    points: tuple[complex, ...]
    closed: bool
    weight: Weight
    dash: Dash
    fill: Fill
    part: str
    """The id of the part it belongs to, or an empty text."""
    stroke: str
    """The name of the stroke of an outline, or what kind of line it is."""


@frozen
class Drawing:
    """A figure with every line in its place."""

    view_box: ViewBox
    alt: str
    side: Side
    lines: tuple[Line, ...]
    landmarks: Mapping[str, complex]
    """Where the landmarks of the parts lie, by ``part.landmark``."""


@frozen
class Inherited:
    """A figure together with what it takes over from the figures it is like."""

    view_box: ViewBox
    alt: str
    drawn_at: float | None
    parts: tuple[Part, ...]


def inherit(figure_id: str, figures: Mapping[str, Figure]) -> Inherited:
    """Return a figure with all that it takes over from the figures it is like.

    Raises:
        UndrawableError: a figure is unknown, is like itself, or has no usable view box.
    """
    line_of_descent = _line_of_descent(figure_id, figures)
    parts: list[Part] = []
    view_box: tuple[Number, Number, Number, Number] | None = None
    alt = ""
    drawn_at: float | None = None
    for figure in reversed(line_of_descent):
        view_box = figure.view_box or view_box
        alt = figure.alt or alt
        drawn_at = drawn_at if figure.drawn_at is None else ordinary(figure.drawn_at)
        parts = _with_parts_of(parts, figure.parts)
    if len(parts) > MOST_PARTS:
        raise UndrawableError(f"it has {len(parts)} parts; at most {MOST_PARTS}.")
    return Inherited(check_view_box(view_box), alt, drawn_at, tuple(parts))


def _line_of_descent(figure_id: str, figures: Mapping[str, Figure]) -> Sequence[Figure]:
    """Return the figure, the one it is like, and so on."""
    found: list[Figure] = []
    passed: list[str] = []
    next_id: str | None = figure_id
    while next_id is not None:
        if next_id not in figures:
            raise UndrawableError(f"there is no figure “{next_id}”.")
        if next_id in passed:
            raise UndrawableError(f"it is like itself, by way of {' and '.join(passed)}.")
        if len(found) > DEEPEST_LIKENESS:
            raise UndrawableError(f"more than {DEEPEST_LIKENESS} figures stand behind it.")
        passed.append(next_id)
        found.append(figures[next_id])
        next_id = figures[next_id].like
    return found


def _with_parts_of(base: Sequence[Part], mine: Sequence[Part]) -> list[Part]:
    parts = list(base)
    place = {part.id: number for number, part in enumerate(base) if part.id}
    for part in mine:
        if part.id in place:
            parts[place[part.id]] = part
        else:
            parts.append(part)
    return parts


def check_view_box(view_box: tuple[Number, Number, Number, Number] | None) -> ViewBox:
    """Return a view box as it is to be used.

    Raises:
        UndrawableError: there is none, or it has no size.
    """
    if view_box is None:
        raise UndrawableError("it has no “view_box” = [left, top, width, height].")
    left, top, width, height = (ordinary(number) for number in view_box)
    check_place(complex(left, top))
    check_place(complex(width, height))
    if width <= 0 or height <= 0:
        raise UndrawableError(
            f"its view box is {width:g} wide and {height:g} high; both must be above 0."
        )
    return left, top, width, height


def compose(
    figure_id: str,
    outlines: Mapping[str, Outline],
    figures: Mapping[str, Figure],
    value: float | None = None,
    side: Side = "left",
    words: AltWords = _ENGLISH,
) -> Drawing:
    """Put all parts of a figure in their places.

    Args:
        figure_id: which figure.
        outlines: the outlines it may use, by id.
        figures: the figures it may be like, by id.
        value: the number that parts follow, in the unit of the test.
        side: the right side is the mirror image of the left one.
        words: what its text alternative says of side and number.

    Raises:
        UndrawableError: the figure breaks a rule of the language.
    """
    figure = inherit(figure_id, figures)
    shown = figure.drawn_at if value is None else value
    board = Board(figure.view_box, outlines, shown)
    for part in figure.parts:
        board.add(part)
    alt = alt_text(figure.alt, shown, side, words)
    drawing = Drawing(figure.view_box, alt, "left", tuple(board.lines), board.landmarks)
    return drawing if side == "left" else _mirrored(drawing)


def alt_text(alt: str, value: float | None, side: Side, words: AltWords) -> str:
    """Return a text alternative with the side and the value that are drawn, in words."""
    number = words.any_number
    if value is not None:
        number = f"{value:g}".replace("-", "−").replace(".", words.decimal_sign)
    named = words.right if side == "right" else words.left
    return alt.replace("{side}", named).replace("{value}", number)


def _mirrored(drawing: Drawing) -> Drawing:
    left, _, width, _ = drawing.view_box

    def flip(point: complex) -> complex:
        return complex(2 * left + width - point.real, point.imag)

    lines = tuple(
        evolve(line, points=tuple(flip(point) for point in line.points)) for line in drawing.lines
    )
    landmarks = {name: flip(point) for name, point in drawing.landmarks.items()}
    return evolve(drawing, side="right", lines=lines, landmarks=landmarks)


class Board:
    """A drawing in the making, part by part."""

    def __init__(
        self, view_box: ViewBox, outlines: Mapping[str, Outline], value: float | None
    ) -> None:
        self.lines: list[Line] = []
        self._marks: dict[str, dict[str, complex]] = {}
        self._places = Places(value, self._marks)
        self._sketcher = Sketcher(view_box, outlines, self._places)
        self._point_count = 0

    @property
    def landmarks(self) -> Mapping[str, complex]:
        """The landmarks of all parts so far, by ``part.landmark``."""
        return {
            f"{part}.{name}": point
            for part, marks in self._marks.items()
            for name, point in marks.items()
        }

    def add(self, part: Part) -> None:
        """Put one more part on top.

        Raises:
            UndrawableError: the part breaks a rule of the language; the board is as before.
        """
        sketches = self._sketcher.sketch(part)
        own = self._sketcher.own_places(part)
        joints = joints_of(part.bends, own)
        about = own.point(part.about) if part.about is not None else self._sketcher.middle(part)
        placed = placement(part, bent(about, joints), self._places)
        lines = []
        for sketch in sketches:
            chain = bend_chain(sketch.chain, joints) if joints else sketch.chain
            lines.append(_line_of(part, sketch, tuple(placed(point) for point in chain.points)))
        self._count(lines)
        self.lines.extend(lines)
        marks = self._sketcher.own_marks(part)
        self._remember(part, lines, {n: placed(bent(p, joints)) for n, p in marks.items()})

    def _count(self, lines: Sequence[Line]) -> None:
        count = sum(len(line.points) for line in lines)
        if self._point_count + count > MOST_POINTS:
            raise UndrawableError(
                f"with it the figure has more than {MOST_POINTS} points;"
                " use fewer or simpler lines."
            )
        for line in lines:
            for point in line.points:
                check_place(point)
        self._point_count += count

    def _remember(self, part: Part, lines: Sequence[Line], marks: Mapping[str, complex]) -> None:
        name = part.id or part.outline
        if not name:
            return
        marks = dict(marks)
        if part.outline is None and lines:
            marks |= {"start": lines[-1].points[0], "end": lines[-1].points[-1]}
        # Taken out first so that the newest part of a name is the nearest one.
        self._marks.pop(name, None)
        self._marks[name] = marks


def _line_of(part: Part, sketch: Sketch, points: tuple[complex, ...]) -> Line:
    return Line(
        points=points,
        closed=sketch.chain.closed,
        weight=part.weight or sketch.looks.weight,
        # A dashed head would be a heap of dots.
        dash=Dash.SOLID if sketch.stroke == HEAD else part.dash or sketch.looks.dash,
        fill=part.fill or sketch.looks.fill,
        part=part.id or part.outline or "",
        stroke=sketch.stroke,
    )
