"""The figures of a protocol as text for the screen: in braille, or in words where it has none."""

from attrs import frozen
from textual.content import Content

from examwalk.drawing.braille import Braille
from examwalk.drawing.figure import Side as DrawnSide
from examwalk.protocol.figures import atlas_of
from examwalk.protocol.model import Protocol
from examwalk.session.model import Side
from examwalk.tui.text import literal, phrase


@frozen
class Picture:
    """One figure as it is to be drawn, and what stands under it."""

    figure: str = ""
    """Its id; empty where nothing is drawn until an answer is pointed at."""
    side: Side = Side.LEFT
    """A figure of the whole person is drawn as it was made, like one of the left side."""
    value: float | None = None
    """The measured number that it follows."""
    caption: str = ""


class Pictures:
    """Draws the figures of one protocol and remembers what it drew."""

    def __init__(self, protocol: Protocol, *, in_braille: bool) -> None:
        self._atlas = atlas_of(protocol)
        self.in_braille = in_braille
        """Whether figures are drawn; else their words are shown."""

    def words(self, picture: Picture) -> str:
        """Return what a figure shows, in a sentence."""
        return self._atlas.words(picture.figure, picture.value, _drawn_side(picture))

    def lines(self, picture: Picture, columns: int, rows: int) -> list[Content]:
        """Draw a figure in so many cells; its words where it cannot be drawn."""
        if not picture.figure or columns < 1 or rows < 1:
            return []
        if self.in_braille:
            side = _drawn_side(picture)
            braille = self._atlas.braille(picture.figure, (columns, rows), picture.value, side)
            if braille is not None:
                return _styled(braille)
        return literal(self.words(picture)).wrap(columns)[:rows]


def _drawn_side(picture: Picture) -> DrawnSide:
    return "right" if picture.side is Side.RIGHT else "left"


def _styled(braille: Braille) -> list[Content]:
    return [
        _line(text, stretches) for text, stretches in zip(braille.lines, braille.bold, strict=True)
    ]


def _line(text: str, bold: tuple[tuple[int, int], ...]) -> Content:
    parts: list[Content] = []
    at = 0
    for start, end in bold:
        parts += [literal(text[at:start]), literal(text[start:end], "bold $here")]
        at = end
    return phrase(*parts, literal(text[at:]))
