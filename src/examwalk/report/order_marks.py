"""Where the features of an order go: both feet drawn, each mark with a letter of the table."""

from collections.abc import Iterator, Mapping, Sequence
from html import escape
from string import ascii_uppercase

from attrs import evolve, frozen

from examwalk.drawing.atlas import Atlas
from examwalk.drawing.composing import Drawing
from examwalk.drawing.svg import shapes_of
from examwalk.language import say
from examwalk.protocol.feature_model import Feature
from examwalk.protocol.figures import atlas_of
from examwalk.protocol.mark_model import Mark
from examwalk.protocol.model import Protocol
from examwalk.reasoning.results import FeatureResult
from examwalk.report.document import Picture
from examwalk.report.drawn import image
from examwalk.report.page_parts import Told, decision_at
from examwalk.report.sides import side_heading
from examwalk.report.words import ordered_value_words
from examwalk.session.model import BOTH_FEET, Side

_HIGH = 100.0
"""The height of a foot's drawings, in the units of the picture."""
_GAP = 8.0
_TOP = 12.0
_LETTER = 5.6
"""The radius of the disc of a letter."""


@frozen
class Marked:
    """A feature that is drawn on a foot."""

    letter: str
    side: Side
    feature: Feature
    mark: Mark
    value: str | float
    place: str
    """Where it goes, in words."""


def marked_of(told: Told) -> tuple[Marked, ...]:
    """Return what is drawn on each foot; a feature has one letter on both."""
    atlas = atlas_of(told.protocol)
    letters: dict[str, str] = {}
    found = []
    for result in told.summary.features:
        feature = told.protocol.features_by_id[result.id]
        value = _value(told, result)
        if value is None:
            continue
        for mark in feature.marks:
            if not is_drawn(mark, value):
                continue
            letters.setdefault(feature.id, _letter(len(letters)))
            for side in BOTH_FEET if result.side is Side.WHOLE else (result.side,):
                place = atlas.words(mark.figure)
                found.append(Marked(letters[feature.id], side, feature, mark, value, place))
    return tuple(found)


def _value(told: Told, result: FeatureResult) -> str | float | None:
    decision = decision_at(told.session, result)
    return result.value if decision is None else decision.value


def _letter(number: int) -> str:
    return ascii_uppercase[number % 26] * (number // 26 + 1)


def is_drawn(mark: Mark, value: str | float) -> bool:
    """Say whether a mark is drawn for what is ordered."""
    if isinstance(value, str):
        return not mark.options or value in mark.options
    return (mark.above is None or value > mark.above) and (mark.below is None or value < mark.below)


def lettered(marked: Sequence[Marked]) -> Mapping[str, str]:
    """Return for each feature that is drawn its letter and where it goes, to stand by its name."""
    words: dict[str, str] = {}
    for one in marked:
        places = dict.fromkeys(
            other.place for other in marked if other.feature.id == one.feature.id
        )
        words[one.feature.id] = f"{one.letter}: {' '.join(places)}"
    return words


def marks_picture(protocol: Protocol, marked: Sequence[Marked]) -> Picture | None:
    """Return both feet with what is made where; nothing where nothing is to be drawn."""
    sheets = [_sheet(protocol, marked, side) for side in BOTH_FEET]
    if not marked or any(width == 0 for _, width in sheets):
        return None
    half = max(width for _, width in sheets)
    # A letter at the edge of a foot's views needs room beside them.
    width, height = 2 * (half + _GAP + _LETTER), _TOP + _HIGH
    words = _words(marked)
    drawn = "".join(
        f'<svg overflow="visible" x="{_LETTER + at * (half + 2 * _GAP):.1f}" y="0"'
        f' width="{half:.1f}" height="{height}"'
        f' viewBox="0 0 {half:.1f} {height}"><text x="{half / 2:.1f}" y="9" font-size="11"'
        f' font-weight="bold" text-anchor="middle">{escape(side_heading(side))}</text>{sheet}</svg>'
        for at, (side, (sheet, _)) in enumerate(zip(BOTH_FEET, sheets, strict=True))
    )
    svg = image("marks", words, (round(width, 1), height), drawn)
    return Picture(svg, words, _caption(protocol))


def _caption(protocol: Protocol) -> str:
    """Say from where each foot is seen, so that no side is mistaken for the other."""
    atlas = atlas_of(protocol)
    return say(
        "{views} The right one is its mirror image. The letters are those in the tables. Not to"
        " scale.",
        views=" ".join(atlas.words(view) for view in _views(protocol)),
    )


def _words(marked: Sequence[Marked]) -> str:
    parts = []
    for side in BOTH_FEET:
        on_side = [
            f"{one.letter} {one.feature.title} {ordered_value_words(one.feature, one.value)}"
            for one in marked
            if one.side is side
        ]
        parts.append(f"{side_heading(side)}: {'; '.join(on_side) or say('nothing to draw')}.")
    return f"{say('What goes where.')} {' '.join(parts)}"


def _sheet(protocol: Protocol, marked: Sequence[Marked], side: Side) -> tuple[str, float]:
    """Return the views of one foot and how wide they are together: tall ones, then the others."""
    atlas = atlas_of(protocol)
    drawings = [
        (view, drawing)
        for view in _views(protocol)
        if (drawing := atlas.drawing(view, side="right" if side is Side.RIGHT else "left"))
    ]
    tall = [one for one in drawings if one[1].view_box[3] > one[1].view_box[2]]
    wide = [one for one in drawings if one not in tall]
    columns = [[one] for one in tall] + ([wide] if wide else [])
    # Mirrored like the feet: what is outermost on the left is outermost on the right.
    across, parts = 0.0, []
    for column in columns if side is Side.LEFT else columns[::-1]:
        width = _HIGH / sum(drawing.view_box[3] / drawing.view_box[2] for _, drawing in column)
        down = _TOP
        for view, drawing in column:
            height = width * drawing.view_box[3] / drawing.view_box[2]
            on_view = [
                one
                for one in marked
                if one.side is side and protocol.figures[one.mark.figure].like == view
            ]
            place = (
                f'x="{across:.1f}" y="{down:.1f}" width="{width:.1f}" height="{height:.1f}"'
                f' viewBox="{" ".join(f"{number:g}" for number in drawing.view_box)}"'
            )
            # A leg goes on beyond its view and is cut off there; a letter may stand half outside.
            parts.append(
                f"<svg {place}>{''.join(_lines(atlas, drawing, on_view))}</svg>"
                f'<svg overflow="visible" {place}>'
                f"{''.join(_letters(drawing, on_view, width))}</svg>"
            )
            down += height
        across += width + _GAP
    return "".join(parts), max(across - _GAP, 0)


def _views(protocol: Protocol) -> list[str]:
    """Return every view that some mark is drawn on: all are shown, so that orders look alike."""
    figures = [protocol.figures[mark.figure] for one in protocol.features for mark in one.marks]
    return list(dict.fromkeys(figure.like for figure in figures if figure.like is not None))


def _lines(atlas: Atlas, base: Drawing, marked: Sequence[Marked]) -> Iterator[str]:
    yield shapes_of(base)
    for one in marked:
        value = None if isinstance(one.value, str) else one.value
        drawing = atlas.drawing(one.mark.figure, value, base.side)
        if drawing is not None:
            # What a mark adds to its view comes after all that is the view's own.
            yield shapes_of(evolve(drawing, lines=drawing.lines[len(base.lines) :]))


def _letters(base: Drawing, marked: Sequence[Marked], width: float) -> Iterator[str]:
    left, _, view_width, _ = base.view_box
    radius = _LETTER * view_width / width
    for one in marked:
        x, y = one.mark.letter
        x = 2 * left + view_width - x if base.side == "right" else x
        yield (
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}" fill="white" stroke="black"'
            f' stroke-width="{radius / 7:.2f}"/><text x="{x:.1f}" y="{y + 0.36 * radius * 1.4:.1f}"'
            f' font-size="{1.4 * radius:.1f}" font-weight="bold" text-anchor="middle">'
            f"{one.letter}</text>"
        )
