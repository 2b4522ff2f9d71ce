"""Charts of both feet in lines of plain characters, for a terminal and for pages of text."""

from collections.abc import Iterator

from examwalk.language import say
from examwalk.report.charts import Drop, Filled, Numbered, Reference
from examwalk.report.drawn import shortened
from examwalk.report.sides import side_heading
from examwalk.session.model import BOTH_FEET

_PANEL = 18
_LABEL = 24
_AXIS = 45
_FOUND = "LR"
"""What stands for the left and for the right foot on an axis; both languages have these."""


def chart_lines(chart: Filled) -> tuple[str, ...]:
    """Return a chart as lines of at most 74 characters."""
    return tuple(
        line.rstrip() for line in (_drop(chart) if isinstance(chart, Drop) else _numbered(chart))
    )


def _drop(chart: Drop) -> Iterator[str]:
    names = [side_heading(side) for side in BOTH_FEET]
    yield f"{names[0]:^{_PANEL}} {'':^{_LABEL}} {names[1]:^{_PANEL}}"
    for tick, label in reversed(list(zip(chart.axis.ticks, chart.axis.labels, strict=True))):
        panels = [_panel(chart, pair, tick) for pair in chart.found]
        yield f"{panels[0]:^{_PANEL}} {label[:_LABEL]:^{_LABEL}} {panels[1]:^{_PANEL}}"
    numbers = f"{'1':<{_PANEL - 9}}2"
    yield f"{numbers:^{_PANEL}} {'':^{_LABEL}} {numbers:^{_PANEL}}"
    yield f"1 {chart.steps[0]}; 2 {chart.steps[1]}"


def _panel(chart: Drop, pair: tuple[float | None, float | None], tick: float) -> str:
    """Write one level of a drop: an ``O`` where a test stands there, dashes where it passes."""
    ticks = chart.axis.ticks
    levels = [
        None if one is None else min(ticks, key=lambda mark: abs(mark - (one or 0))) for one in pair
    ]
    ends = ["O" if level == tick else "." for level in levels]
    known = [level for level in levels if level is not None]
    passes = len(known) == 2 and min(known) <= tick <= max(known)
    middle = "-" if passes and known[0] == known[1] else "\\" if passes else " "
    if passes and len(known) == 2 and known[0] < known[1]:
        middle = "/"
    return f"{ends[0]}{middle * 3 if middle == '-' else middle:^{_PANEL - 10}}{ends[1]}"


def _numbered(chart: Numbered) -> Iterator[str]:
    for at, side in enumerate(BOTH_FEET):
        label = f"{side_heading(side)} {chart.shown[at]}"
        value = chart.found[at]
        yield f"{label:<{_LABEL}} {_row(chart, {} if value is None else {value: _FOUND[at]})}"
    for reference in chart.references:
        name = shortened(reference.name, _LABEL)
        yield f"{name:<{_LABEL}} {_reference(chart, reference)}"
    ruler, labels = ["-"] * (_AXIS + 1), [" "] * (_AXIS + 8)
    for tick, label in zip(chart.axis.ticks, chart.axis.labels, strict=True):
        place = _at(chart, tick)
        ruler[place] = "+"
        start = max(place - len(label) // 2, 0)
        if not "".join(labels[max(start - 1, 0) : start + len(label) + 1]).strip():
            labels[start : start + len(label)] = label
    yield f"{'':<{_LABEL}} {''.join(ruler)}"
    yield f"{'':<{_LABEL}} {''.join(labels)}"
    if any(one.low is not None or one.high is not None for one in chart.references):
        yield say("[ ] one standard deviation about the mean |, or published limits")
    if chart.edges:
        yield say(": where a band of this protocol ends")


def _at(chart: Numbered, value: float) -> int:
    return round(chart.axis.share(value) * _AXIS)


def _row(chart: Numbered, marks: dict[float, str]) -> str:
    signs = [" "] * (_AXIS + 1)
    for edge in chart.edges:
        signs[_at(chart, edge)] = ":"
    for value, sign in marks.items():
        signs[_at(chart, value)] = sign
    return "".join(signs)


def _reference(chart: Numbered, reference: Reference) -> str:
    signs = list(_row(chart, {}))
    low = 0 if reference.low is None else _at(chart, reference.low)
    high = _AXIS if reference.high is None else _at(chart, reference.high)
    if reference.low is not None or reference.high is not None:
        for place in range(low, high + 1):
            signs[place] = "=" if signs[place] == " " else signs[place]
        signs[low], signs[high] = "[", "]"
    if reference.middle is not None:
        signs[_at(chart, reference.middle)] = "|"
    return "".join(signs)
