"""From SVG path data and from points on a smooth line to chains of points.

A point is a complex number, its real part to the right and its imaginary part down.
"""

import math
import re
from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise

from attrs import frozen
from svg.path import Arc, Close, CubicBezier, Move, QuadraticBezier, parse_path

from examwalk.drawing.figure import (
    LARGEST_COORDINATE,
    LARGEST_NUMBER,
    LONGEST_PATH,
    MOST_POINTS,
    Number,
    UndrawableError,
)

FLATNESS = 0.05
"""How far a chain may stray from its curve, in units of the view box."""
_MOST_STEPS = 100
_TOO_MANY = f"it has more than {MOST_POINTS} points; use fewer or simpler lines."
_NUMBER = r"[-+]?(?:\d++\.?\d*+|\.\d++)(?:[eE][-+]?\d++)?+\s*+,?\s*+"
_FLAG = r"[01]\s*+,?\s*+"
_PATH = re.compile(
    rf"""\s*+(?:
    [Zz]\s*+
    |[HhVv]\s*+(?:{_NUMBER})++
    |[MmLlTt]\s*+(?:(?:{_NUMBER}){{2}})++
    |[SsQq]\s*+(?:(?:{_NUMBER}){{4}})++
    |[Cc]\s*+(?:(?:{_NUMBER}){{6}})++
    |[Aa]\s*+(?:(?:{_NUMBER}){{3}}{_FLAG}{_FLAG}(?:{_NUMBER}){{2}})++
    )*+""",
    re.VERBOSE,
)
"""Path data as SVG defines it; the parser itself would pass over what it cannot read."""


@frozen
class Chain:
    """Points joined by straight lines."""

    points: tuple[complex, ...]
    closed: bool = False
    """The last point is the first one again."""


def chains_of_path(d: str) -> tuple[Chain, ...]:
    """Return the chains that SVG path data draws, one for each of its subpaths.

    Raises:
        UndrawableError: the text is not path data, or leads out of bounds.
    """
    read = _read_path(d)
    if isinstance(read, str):
        raise UndrawableError(read)
    return read


@lru_cache(maxsize=2048)
def _read_path(d: str) -> tuple[Chain, ...] | str:
    """Return the chains or what is wrong: a bad path, too, is read only once."""
    try:
        _check_grammar(d)
        return _bounded(_flatten(_segments(d)))
    except UndrawableError as error:
        return str(error)


def _check_grammar(d: str) -> None:
    if len(d) > LONGEST_PATH:
        raise UndrawableError(f"its path has {len(d)} characters; at most {LONGEST_PATH}.")
    good_to = _good_to(d)
    if good_to < len(d):
        shown = d[good_to : good_to + 20].strip()
        raise UndrawableError(
            f"its path cannot be read from “{shown}” on (character {good_to + 1});"
            " it takes the commands M L H V C S Q T A Z, each with all its numbers."
        )
    if not d.lstrip().startswith(("M", "m")):
        raise UndrawableError("its path must begin with the command M (move to).")


def _good_to(d: str) -> int:
    found = _PATH.match(d)
    return found.end() if found else 0


def _segments(d: str) -> Sequence[object]:
    try:
        return list(parse_path(d))
    except (ValueError, AssertionError, IndexError, TypeError, ArithmeticError):
        raise UndrawableError("its path cannot be read; an arc's radius may be below 0.") from None


def _flatten(segments: Sequence[object]) -> Sequence[Chain]:
    chains: list[Chain] = []
    points: list[complex] = []
    total = 0
    for segment in segments:
        if isinstance(segment, Move):
            _end(chains, points)
            points = [segment.end]
            continue
        added = _points_of(segment)
        points.extend(added)
        total += len(added)
        if total > MOST_POINTS:
            raise UndrawableError(_TOO_MANY)
        if isinstance(segment, Close):
            chains.append(Chain(tuple(points), closed=True))
            points = [segment.end]
    _end(chains, points)
    return chains


def _end(chains: list[Chain], points: Sequence[complex]) -> None:
    if len(points) > 1:
        chains.append(Chain(tuple(points)))


def _points_of(segment: object) -> Sequence[complex]:
    steps = min(_steps(segment), _MOST_STEPS)
    if steps == 1:
        return [segment.end]  # type: ignore[attr-defined]
    return [segment.point(step / steps) for step in range(1, steps + 1)]  # type: ignore[attr-defined]


def _steps(segment: object) -> int:
    """Return into how many straight lines a segment must be cut to stay flat enough."""
    if isinstance(segment, CubicBezier):
        return _curve_steps(segment.start, segment.control1, segment.control2, segment.end)
    if isinstance(segment, QuadraticBezier):
        # The same curve as a cubic has controls two thirds of the way to this one's control.
        first = segment.start + (segment.control - segment.start) * 2 / 3
        second = segment.end + (segment.control - segment.end) * 2 / 3
        return _curve_steps(segment.start, first, second, segment.end)
    if isinstance(segment, Arc) and segment.start != segment.end and _radius(segment) > 0:
        widest = 2 * math.acos(max(0.0, 1 - FLATNESS / _radius(segment)))
        return max(1, math.ceil(math.radians(abs(segment.delta)) / widest))
    return 1


def _radius(arc: Arc) -> float:
    if arc.radius.real == 0 or arc.radius.imag == 0:
        return 0.0
    return float(max(arc.radius.real, arc.radius.imag) * arc.radius_scale)


def _curve_steps(start: complex, control1: complex, control2: complex, end: complex) -> int:
    """Count the steps from the bound on a cubic's second derivative (Wang's formula)."""
    sharpest = max(abs(start - 2 * control1 + control2), abs(control1 - 2 * control2 + end))
    if not math.isfinite(sharpest):
        return 1
    return max(1, min(_MOST_STEPS, math.ceil(math.sqrt(0.75 * sharpest / FLATNESS))))


def _bounded(chains: Sequence[Chain]) -> tuple[Chain, ...]:
    for chain in chains:
        for point in chain.points:
            check_place(point)
    return tuple(chains)


def ordinary(number: Number) -> float:
    """Return a number as a float.

    Raises:
        UndrawableError: it is absurdly large; whole numbers of a file may have any length.
    """
    if not abs(number) <= LARGEST_NUMBER:
        raise UndrawableError(f"a number is beyond ±{LARGEST_NUMBER}.")
    return float(number)


def check_place(point: complex) -> None:
    """Refuse a point that lies absurdly far out.

    Raises:
        UndrawableError: a coordinate is beyond ±10000, or is not an ordinary number.
    """
    # Written so that NaN, for which every comparison is false, is refused too.
    if not (abs(point.real) <= LARGEST_COORDINATE and abs(point.imag) <= LARGEST_COORDINATE):
        raise UndrawableError(
            f"a point lies at {point.real:g}, {point.imag:g};"
            f" coordinates must be within ±{LARGEST_COORDINATE}."
        )


@lru_cache(maxsize=2048)
def smooth(points: tuple[complex, ...]) -> Chain:
    """Return a smooth line through the points: a centripetal Catmull-Rom curve.

    A point that is given twice running is a corner; a line that ends where it began is closed.

    Raises:
        UndrawableError: it has too many points.
    """
    closed = len(points) > 3 and points[0] == points[-1]
    drawn = [points[0]]
    for run in _runs_between_corners(points):
        drawn.extend(_smooth_run(run, closed=closed and len(run) == len(points)))
    if len(drawn) > MOST_POINTS:
        raise UndrawableError(_TOO_MANY)
    return Chain(tuple(drawn), closed)


def _runs_between_corners(points: Sequence[complex]) -> Sequence[Sequence[complex]]:
    runs: list[list[complex]] = [[points[0]]]
    for before, point in pairwise(points):
        if point == before:
            runs.append([point])
        else:
            runs[-1].append(point)
    return [run for run in runs if len(run) > 1]


def _smooth_run(run: Sequence[complex], *, closed: bool) -> Sequence[complex]:
    """Return the points after the first of one smooth run."""
    if len(run) == 2:
        return [run[1]]
    before = run[-2] if closed else 2 * run[0] - run[1]
    after = run[1] if closed else 2 * run[-1] - run[-2]
    around = [before, *run, after]
    drawn: list[complex] = []
    for four in zip(around, around[1:], around[2:], around[3:], strict=False):
        if len(drawn) > MOST_POINTS:
            break
        drawn.extend(_curve(four[1], *_controls(*four), four[2]))
    return drawn


def _controls(
    before: complex, start: complex, end: complex, after: complex
) -> tuple[complex, complex]:
    """Return the control points of the cubic from start to end, for knots at root distances."""
    first, middle, last = (
        math.sqrt(abs(b - a)) for a, b in ((before, start), (start, end), (end, after))
    )
    leaving = (start - before) / first - (end - before) / (first + middle) + (end - start) / middle
    arriving = (end - start) / middle - (after - start) / (middle + last) + (after - end) / last
    return start + leaving * middle / 3, end - arriving * middle / 3


def _curve(start: complex, first: complex, second: complex, end: complex) -> Sequence[complex]:
    steps = _curve_steps(start, first, second, end)
    drawn = []
    for step in range(1, steps + 1):
        t = step / steps
        u = 1 - t
        drawn.append(u**3 * start + 3 * u * u * t * first + 3 * u * t * t * second + t**3 * end)
    return drawn
