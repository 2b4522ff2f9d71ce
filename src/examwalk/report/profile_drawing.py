"""The profile of the grades as a drawing: a row of steps for each test and each foot."""

from html import escape

from attrs import frozen

from examwalk.protocol.model import Test
from examwalk.report.sides import side_heading
from examwalk.session.model import BOTH_FEET

_ROW = 15
_LABEL = 210
_PANEL = 190
_GAP = 20
_TOP = 22


@frozen
class Graded:
    """A test that was graded on one foot at least."""

    test: Test
    grades: tuple[str, ...]
    found: tuple[int | None, int | None]
    """Which grade on the left and on the right, counted from 0."""


def profile_drawing(rows: tuple[Graded, ...], words: str) -> str:
    """Return an ``<svg>`` element of grades, with its text alternative as the title."""
    width = _LABEL + 2 * (_PANEL + _GAP)
    height = _TOP + _ROW * len(rows) + 4
    heads = "".join(
        f'<text x="{_panel(at)}" y="13" font-weight="bold">{escape(side_heading(side))}</text>'
        for at, side in enumerate(BOTH_FEET)
    )
    lines = "".join(_row(row, _TOP + _ROW * number) for number, row in enumerate(rows))
    return (
        f'<svg role="img" aria-labelledby="profile-title" viewBox="0 0 {width} {height}">'
        f'<title id="profile-title">{escape(words)}</title>'
        f'<g font-family="sans-serif" font-size="10" fill="black">{heads}{lines}</g></svg>'
    )


def _row(row: Graded, top: int) -> str:
    middle = top + _ROW / 2
    name = row.test.name if len(row.test.name) <= 38 else f"{row.test.name[:37]}…"
    weight = ' font-weight="bold"' if row.found[0] != row.found[1] else ""
    label = f'<text x="0" y="{middle + 3.5}"{weight}>{escape(name)}</text>'
    return label + "".join(_scale(row, at, middle) for at in (0, 1))


def _scale(row: Graded, at: int, middle: float) -> str:
    """Draw the steps of a scale as small circles and the grade found as a large full one."""
    left, count = _panel(at) + 6, len(row.grades)
    step = (_PANEL - 12) / max(count - 1, 1)
    line = (
        f'<path d="M{left} {middle}h{_PANEL - 12}" stroke="#767676" stroke-width="0.7"'
        ' fill="none"/>'
    )
    marks = "".join(
        f'<circle cx="{left + step * number:.1f}" cy="{middle}" r="5"/>'
        if number == row.found[at]
        else f'<circle cx="{left + step * number:.1f}" cy="{middle}" r="2.2" fill="white"'
        ' stroke="#595959" stroke-width="0.8"/>'
        for number in range(count)
    )
    return line + marks


def _panel(at: int) -> int:
    return _LABEL + at * (_PANEL + _GAP)
