"""The figure of a test, or of the answer that matters now, beside the teaching text."""

from textual import events
from textual.containers import Horizontal
from textual.content import Content
from textual.widget import Widget

from examwalk.tui.pictures import Picture, Pictures
from examwalk.tui.text import literal, shortened

LEAST_ROWS = 6
"""Rows below which a figure cannot be read."""
CAPTION_ROWS = 8
"""Rows from which one is spent on the caption."""


class Showing(Horizontal):
    """Holds the teaching text and a drawing, which goes away where it would be too small."""

    def on_resize(self, event: events.Resize) -> None:
        """Leave the room to the words where it is too low for a drawing."""
        self.set_class(event.size.height < LEAST_ROWS, "-cramped")


class Drawing(Widget):
    """Draws one figure as large as its room allows, its caption under it."""

    DEFAULT_CSS = """
    Drawing { height: 1fr; text-wrap: nowrap; text-overflow: clip; }
    Drawing.-empty { display: none; }
    """

    def __init__(self, pictures: Pictures) -> None:
        super().__init__()
        self._pictures = pictures
        self._picture: Picture | None = None
        self.add_class("-empty")

    def show(self, picture: Picture | None) -> None:
        """Show another figure, or none."""
        if picture != self._picture:
            self._picture = picture
            self.set_class(picture is None, "-empty")
            self.refresh()

    def render(self) -> Content:
        """Draw the figure for the room there is."""
        width, height = self.size
        if self._picture is None:
            return Content("")
        has_caption = height >= CAPTION_ROWS
        rows = height - 1 if has_caption else height
        lines = self._pictures.lines(self._picture, width, rows)
        if has_caption:
            caption = literal(shortened(self._picture.caption, width), "$dim")
            lines.append(caption.center(width))
        return Content("\n").join(lines)
