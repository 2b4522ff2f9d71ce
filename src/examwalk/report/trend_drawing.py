"""Numbers over time as a drawing: each visit a dot with its number, joined in their order."""

from collections.abc import Sequence
from itertools import pairwise

from examwalk.report.drawn import image, line, words_at

_WIDTH, _HEIGHT = 440, 120
_LEFT, _RIGHT = 50, 390
_TOP, _BOTTOM = 24, 88


def trend_drawing(
    name: str, title: str, points: Sequence[tuple[float, float]], labels: Sequence[tuple[str, str]]
) -> str:
    """Return an ``<svg>`` element of numbers over time.

    Args:
        name: an id that no other drawing of the page has.
        title: what the drawing shows, as a finding.
        points: time and number of each visit, the earliest first.
        labels: for each of them the number and the day, as they are written.
    """
    times, values = zip(*points, strict=True)
    places = [
        (
            _placed(time, min(times), max(times), _LEFT, _RIGHT),
            _placed(value, min(values), max(values), _BOTTOM, _TOP),
        )
        for time, value in points
    ]
    parts = [line((_LEFT, _BOTTOM + 8), (_RIGHT, _BOTTOM + 8), "#767676", 0.7)]
    parts += [line(one, other, width=2) for one, other in pairwise(places)]
    for (x, y), (number, _) in zip(places, labels, strict=True):
        parts.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4"/>')
        parts.append(words_at(x, y - 8, number, anchor="middle"))
        parts.append(line((x, _BOTTOM + 8), (x, _BOTTOM + 12), "#767676", 0.7))
    for at in (0, -1):
        parts.append(words_at(places[at][0], _BOTTOM + 24, labels[at][1], anchor="middle", size=9))
    return image(name, title, (_WIDTH, _HEIGHT), "".join(parts))


def _placed(number: float, low: float, high: float, start: float, end: float) -> float:
    share = 0.5 if low == high else (number - low) / (high - low)
    return start + (end - start) * share
