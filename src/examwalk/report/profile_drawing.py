"""The profile of the grades, mirrored: left foot left of the names, right foot right of them.

The lowest grade stands beside the name and the highest outermost, so that two like feet make a
symmetrical picture. Left is a disc and right a square: no colour is needed to tell them apart.
"""

from attrs import frozen

from examwalk.language import say
from examwalk.protocol.exam_model import Test
from examwalk.report.drawn import found_mark, image, line, open_mark, shortened, words_at
from examwalk.report.sides import side_heading
from examwalk.session.model import BOTH_FEET

_ROW = 13
_LABEL = 164
_PANEL = 54
_EDGE = 6
"""From the end of a panel to its outermost and its innermost step."""
_TOP = 20
_LONGEST_NAME = 30
_TEXT_PANEL = 20
_TEXT_LABEL = 30


@frozen
class Graded:
    """A test that was graded on one foot at least."""

    test: Test
    grades: tuple[str, ...]
    found: tuple[int | None, int | None]
    """Which grade on the left and on the right, counted from 0."""

    @property
    def differs(self) -> bool:
        """Whether the feet were graded differently, or only one of them was graded."""
        return self.found[0] != self.found[1]


def profile_drawing(name: str, rows: tuple[Graded, ...], words: str) -> str:
    """Return an ``<svg>`` element of grades, with its text alternative as the title.

    Args:
        name: an id that no other drawing of the page has.
        rows: the tests.
        words: what the drawing shows, as a finding.
    """
    width = _LABEL + 2 * _PANEL
    height = _TOP + _ROW * len(rows) + 4
    left, right = (side_heading(side) for side in BOTH_FEET)
    heads = (
        words_at(0, 12, left, bold=True),
        words_at(width, 12, right, anchor="end", bold=True),
        words_at(width / 2, 12, say("lowest grade inside, highest outside"), anchor="middle"),
    )
    lines = (_row(row, _TOP + _ROW * number) for number, row in enumerate(rows))
    return image(name, words, (width, height), "".join((*heads, *lines)))


def _row(row: Graded, top: int) -> str:
    middle = top + _ROW / 2
    name = shortened(row.test.name, _LONGEST_NAME)
    label = words_at(_PANEL + _LABEL / 2, middle + 3.5, name, anchor="middle", bold=row.differs)
    return label + "".join(_scale(row, at, middle) for at in (0, 1))


def _scale(row: Graded, at: int, middle: float) -> str:
    """Draw the steps of a scale small and open, and a bar from the lowest to the one found."""
    count, found = len(row.grades), row.found[at]
    step = (_PANEL - 2 * _EDGE) / max(count - 1, 1)
    inner, outward = (_PANEL - _EDGE, -1) if at == 0 else (_PANEL + _LABEL + _EDGE, 1)
    places = [inner + outward * step * number for number in range(count)]
    marks = "".join(open_mark(x, middle, 2.2) for number, x in enumerate(places) if number != found)
    whole = line((places[0], middle), (places[-1], middle), "#767676", 0.7)
    if found is None:
        return whole + marks
    bar = line((places[0], middle), (places[found], middle), width=3)
    return whole + marks + bar + found_mark(places[found], middle, at)


def profile_lines(rows: tuple[Graded, ...]) -> tuple[str, ...]:
    """Return the same picture in plain characters, a line for each test."""
    left, right = (side_heading(side) for side in BOTH_FEET)
    middle = say("lowest grade inside")
    lines = [f"{left:<{_TEXT_PANEL}} {middle:^{_TEXT_LABEL}} {right:>{_TEXT_PANEL}}"]
    for row in rows:
        name = shortened(row.test.name, _TEXT_LABEL - 2)
        name = f"* {name} *" if row.differs and len(name) <= _TEXT_LABEL - 4 else name
        outward = [_steps(len(row.grades), found) for found in row.found]
        lines.append(
            f"{outward[0][::-1]:>{_TEXT_PANEL}} {name:^{_TEXT_LABEL}} {outward[1]}".rstrip()
        )
    if any(row.differs for row in rows):
        lines.append(say("* the feet differ"))
    return tuple(lines)


def _steps(count: int, found: int | None) -> str:
    """Write a scale from its lowest grade on: ``====O...`` with a bar up to the grade found."""
    signs = ["." if found is None or number > found else "=" for number in range(count)]
    if found is not None:
        signs[found] = "O"
    between = ["=" if found is not None and number < found else " " for number in range(count)]
    return "".join(sign + gap for sign, gap in zip(signs, between, strict=True)).rstrip()
