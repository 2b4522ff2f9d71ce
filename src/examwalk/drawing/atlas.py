"""All figures of a protocol, drawn on demand and remembered."""

from collections import OrderedDict
from collections.abc import Mapping

from examwalk.drawing.braille import Braille, braille_of
from examwalk.drawing.composing import AltWords, Drawing, alt_text, compose, inherit
from examwalk.drawing.figure import Figure, Outline, Side, UndrawableError
from examwalk.drawing.svg import svg_of

MOST_REMEMBERED = 512
"""Pictures; at 60x20 cells one takes about 4 KB."""


class Atlas:
    """Draws figures by their ids.

    A figure that is unknown or cannot be drawn gives nothing instead of an error, so that a
    test whose drawing is at fault is still usable with its words; the checker names the fault.
    """

    def __init__(
        self,
        outlines: Mapping[str, Outline],
        figures: Mapping[str, Figure],
        words: AltWords | None = None,
    ) -> None:
        self.outlines = outlines
        self.figures = figures
        self._words = words or AltWords()
        self._remembered: OrderedDict[tuple[object, ...], Braille | None] = OrderedDict()

    def drawing(
        self, figure_id: str, value: float | None = None, side: Side = "left"
    ) -> Drawing | None:
        """Return a figure with every line in its place, or none."""
        try:
            return compose(figure_id, self.outlines, self.figures, value, side, self._words)
        except UndrawableError:
            return None

    def braille(
        self,
        figure_id: str,
        size: tuple[int, int],
        value: float | None = None,
        side: Side = "left",
    ) -> Braille | None:
        """Return a figure in so many columns and rows of braille, or none."""
        key = (figure_id, side, value, size)
        if key in self._remembered:
            self._remembered.move_to_end(key)
            return self._remembered[key]
        drawing = self.drawing(figure_id, value, side)
        picture = None if drawing is None else braille_of(drawing, *size)
        self._remembered[key] = picture
        if len(self._remembered) > MOST_REMEMBERED:
            self._remembered.popitem(last=False)
        return picture

    def svg(
        self,
        figure_id: str,
        value: float | None = None,
        side: Side = "left",
        frame_mm: float | None = None,
    ) -> str:
        """Return a figure as an ``<svg>`` element, or an empty text."""
        drawing = self.drawing(figure_id, value, side)
        return "" if drawing is None else svg_of(drawing, frame_mm)

    def words(self, figure_id: str, value: float | None = None, side: Side = "left") -> str:
        """Return a figure's text alternative: what a terminal without braille shows instead."""
        try:
            figure = inherit(figure_id, self.figures)
        except UndrawableError:
            return ""
        shown = figure.drawn_at if value is None else value
        return alt_text(figure.alt, shown, side, self._words)
