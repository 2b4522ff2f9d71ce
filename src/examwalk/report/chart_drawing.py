"""Charts of both feet as drawings: black on white, left a disc and right a square."""

from collections.abc import Iterator
from textwrap import wrap

from examwalk.language import say
from examwalk.report.charts import Drop, Filled, Numbered, Reference
from examwalk.report.drawn import found_mark, image, line, open_mark, shortened, words_at
from examwalk.report.sides import side_heading
from examwalk.session.model import BOTH_FEET

_WIDTH = 272
"""As wide as a column of a printed record is in points: what is written small is still read."""
_ROW = 16
_PANEL = 84
"""The width of one foot's part of a drop."""
_NAMED_ROW = 26
"""A number or a reference with its name above it."""
_AXIS_FROM, _AXIS_TO = 8, 250
"""Where the axis of a number begins and ends."""
_LONGEST_NAME = 50


def chart_drawing(chart: Filled) -> str:
    """Return a chart as an ``<svg>`` element, with its finding as the title."""
    drawn, height = _drop(chart) if isinstance(chart, Drop) else _numbered(chart)
    return image(f"chart-{chart.id}", chart.words, (_WIDTH, height), drawn)


def _drop(chart: Drop) -> tuple[str, int]:
    ticks = chart.axis.ticks
    bottom = 34 + _ROW * (len(ticks) - 1)
    height = bottom + 50

    def level(value: float) -> float:
        return bottom - (bottom - 34) * chart.axis.share(value)

    parts = [
        words_at(_WIDTH / 2, level(tick) + 3.5, label, anchor="middle")
        for tick, label in zip(ticks, chart.axis.labels, strict=True)
    ]
    for at, side in enumerate(BOTH_FEET):
        left = 0 if at == 0 else _WIDTH - _PANEL
        columns = (left + 17.0, left + 67.0)
        parts.append(
            words_at(left + _PANEL / 2, 14, side_heading(side), anchor="middle", bold=True)
        )
        for number, x in enumerate(columns, 1):
            parts.append(line((x, 30), (x, bottom + 6), "#767676", 0.7))
            parts.append(words_at(x, bottom + 20, str(number), anchor="middle"))
            parts += [open_mark(x, level(tick), 2) for tick in ticks]
        first, second = chart.found[at]
        if first is not None and second is not None:
            parts.append(line((columns[0], level(first)), (columns[1], level(second)), "black", 2))
        if first is not None:
            parts.append(open_mark(columns[0], level(first), 5))
        if second is not None:
            parts.append(found_mark(columns[1], level(second), at))
    parts += [
        words_at(_WIDTH / 2, bottom + 22 + 12 * number, f"{number} {step}", anchor="middle")
        for number, step in enumerate(chart.steps, 1)
    ]
    return "".join(parts), height


def _numbered(chart: Numbered) -> tuple[str, int]:
    rows = 2 + len(chart.references)
    bottom = 8 + _NAMED_ROW * rows
    parts = [
        line((_along(chart, edge), 6), (_along(chart, edge), bottom), "#595959", 1, dashed=True)
        for edge in chart.edges
    ]
    parts.append(line((_AXIS_FROM, bottom), (_AXIS_TO, bottom), "black", 1))
    for tick, label in zip(chart.axis.ticks, chart.axis.labels, strict=True):
        x = _along(chart, tick)
        parts.append(line((x, bottom), (x, bottom + 4), "black", 1))
        parts.append(words_at(x, bottom + 15, label, anchor="middle"))
    for at, side in enumerate(BOTH_FEET):
        top, value = 10 + _NAMED_ROW * at, chart.found[at]
        parts.append(words_at(0, top, f"{side_heading(side)}  {chart.shown[at]}", bold=True))
        if value is not None:
            y = top + 9
            parts.append(line((_AXIS_FROM, y), (_along(chart, value), y), "#767676", 0.7))
            parts.append(found_mark(_along(chart, value), y, at))
    for number, reference in enumerate(chart.references, 2):
        parts += _reference(chart, reference, 10 + _NAMED_ROW * number)
    legend = [part for words in legend_lines(chart) for part in wrap(words, _LONGEST_NAME)]
    parts += [words_at(0, bottom + 31 + 12 * number, words) for number, words in enumerate(legend)]
    return "".join(parts), bottom + 26 + 12 * len(legend)


def legend_lines(chart: Numbered) -> Iterator[str]:
    """Say what the boxes and the dashed lines of a number's chart are."""
    if any(one.low is not None or one.high is not None for one in chart.references):
        yield say("Box: one standard deviation about the mean, or the limits that were published.")
    if chart.edges:
        yield say("Dashed line: where a band of this protocol ends.")


def _along(chart: Numbered, value: float) -> float:
    return _AXIS_FROM + (_AXIS_TO - _AXIS_FROM) * chart.axis.share(value)


def _reference(chart: Numbered, reference: Reference, top: float) -> Iterator[str]:
    yield words_at(0, top, shortened(reference.name, _LONGEST_NAME))
    y = top + 9
    if reference.low is not None or reference.high is not None:
        start = _AXIS_FROM if reference.low is None else _along(chart, reference.low)
        end = _AXIS_TO if reference.high is None else _along(chart, reference.high)
        yield (
            f'<rect x="{start:.1f}" y="{y - 5}" width="{end - start:.1f}" height="10" fill="none"'
            ' stroke="black"/>'
        )
    if reference.middle is not None:
        x = _along(chart, reference.middle)
        yield line((x, y - 5), (x, y + 5), "black", 2)
