"""The charts of a protocol filled with the findings of a visit: what to draw, and in words."""

from collections.abc import Sequence
from math import ceil, floor, log10

from attrs import frozen

from examwalk.language import say
from examwalk.protocol.chart_model import Chart, ChartKind
from examwalk.protocol.derived_model import Derived
from examwalk.protocol.exam_model import Band, Kind, Test
from examwalk.protocol.model import Protocol
from examwalk.protocol.norm_model import Norm
from examwalk.protocol.wording import answer_words, number_words
from examwalk.reasoning.fitting import case_of
from examwalk.reasoning.norms import references_of
from examwalk.reasoning.results import Summary
from examwalk.report.norm_words import with_unit
from examwalk.report.sides import side_heading
from examwalk.report.words import derived_words
from examwalk.session.model import BOTH_FEET, Place, Session, Side

_FEWEST_TICKS = 4


@frozen
class Axis:
    """A stretch of numbers with a few round ones marked on it."""

    ticks: tuple[float, ...]
    labels: tuple[str, ...]

    def share(self, value: float) -> float:
        """Return how far along the axis a number lies, from 0 to 1."""
        low, high = self.ticks[0], self.ticks[-1]
        return min(max((value - low) / (high - low), 0), 1) if high > low else 0.5


@frozen
class Drop:
    """What a foot showed at the first test and at the second, on the axis of both."""

    id: str
    title: str
    words: str
    axis: Axis
    steps: tuple[str, str]
    """The names of the two tests."""
    found: tuple[tuple[float | None, float | None], ...]
    """Of the left and of the right foot."""


@frozen
class Reference:
    """What one population is like, in numbers on the axis."""

    name: str
    low: float | None
    middle: float | None
    high: float | None


@frozen
class Numbered:
    """A number of each foot on its axis, with the edges of its bands and its references."""

    id: str
    title: str
    words: str
    axis: Axis
    found: tuple[float | None, ...]
    shown: tuple[str, ...]
    """The numbers as they are written."""
    edges: tuple[float, ...]
    references: tuple[Reference, ...]


Filled = Drop | Numbered


def charts_of(protocol: Protocol, session: Session, summary: Summary) -> tuple[Filled, ...]:
    """Return every chart of which at least one foot has a finding, in the order of the file."""
    filled = (
        _drop(chart, protocol, session, summary)
        if chart.kind is ChartKind.DROP
        else _numbered(chart, protocol, session, summary)
        for chart in protocol.charts
    )
    return tuple(one for one in filled if one is not None)


def _drop(chart: Chart, protocol: Protocol, session: Session, summary: Summary) -> Drop | None:
    tests = [protocol.tests_by_id[name] for name in chart.of]
    answers = case_of(protocol, session).answers

    def words(test: Test, side: Side) -> str:
        answer = answers.get(Place(test.id, side))
        return say("not answered") if answer is None else answer_words(protocol, test, answer)

    def at(test: Test, side: Side) -> float | None:
        answer = answers.get(Place(test.id, side))
        if test.kind is Kind.GRADE and isinstance(answer, str):
            return protocol.scale_of(test).grades.index(answer)
        return answer if isinstance(answer, int | float) else None

    found = tuple((at(tests[0], side), at(tests[1], side)) for side in BOTH_FEET)
    known = [number for pair in found for number in pair if number is not None]
    if not known:
        return None
    sides = [
        f"{side_heading(side)}: {words(tests[0], side)} → {words(tests[1], side)}"
        for side in BOTH_FEET
    ]
    if chart.result is not None:
        how_far = _derived_words(chart.result, summary)
        sides = [f"{one} ({how})" for one, how in zip(sides, how_far, strict=True)]
    return Drop(
        id=chart.id,
        title=chart.title,
        words=f"{chart.title}. {'; '.join(sides)}.",
        axis=_axis_of(protocol, tests[0], known),
        steps=(tests[0].name, tests[1].name),
        found=found,
    )


def _derived_words(name: str, summary: Summary) -> tuple[str, ...]:
    found = {one.side: derived_words(one) for one in summary.derived if one.id == name}
    return tuple(found.get(side, say("not settled")) for side in BOTH_FEET)


def _axis_of(protocol: Protocol, test: Test, known: Sequence[float]) -> Axis:
    if test.kind is Kind.GRADE:
        scale = protocol.scale_of(test)
        names = tuple(scale.label(grade) for grade in scale.grades)
        return Axis(tuple(range(len(names))), names)
    return _axis(test, known)


def _axis(item: Test | Derived, numbers: Sequence[float]) -> Axis:
    """Return round ticks around some numbers: steps of 1, 2 or 5 times a power of ten."""
    low, high = min(numbers), max(numbers)
    span = high - low or abs(high) or 1
    power = 10.0 ** floor(log10(span / _FEWEST_TICKS))
    step = max(one * power for one in (1, 2, 5) if span / (one * power) >= _FEWEST_TICKS)
    first, last = floor(low / step), max(ceil(high / step), floor(low / step) + 1)
    ticks = tuple(round(number * step, 9) for number in range(first, last + 1))
    # The unit beside the last number alone leaves room for all of them.
    labels = [number_words(tick, step) for tick in ticks[:-1]]
    return Axis(ticks, (*labels, with_unit(item, ticks[-1])))


def _numbered(
    chart: Chart, protocol: Protocol, session: Session, summary: Summary
) -> Numbered | None:
    name = chart.of[0]
    item = protocol.tests_by_id.get(name) or protocol.derived_by_id[name]
    found = _numbers(item, protocol, session, summary)
    known = [number for number in found if number is not None]
    if not known:
        return None
    case = case_of(protocol, session)
    referenced = [one for one in references_of(case) if one.id == name]
    norms = dict.fromkeys(at.norm for one in referenced for at in one.placed)
    references = tuple(map(_reference, norms))
    edges = _edges(item.bands)
    ends = [end for one in references for end in (one.low, one.middle, one.high) if end is not None]
    shown = tuple("" if one is None else with_unit(item, one) for one in found)
    sides = [
        f"{side_heading(side)}: {_banded(item, number)}"
        for side, number in zip(BOTH_FEET, found, strict=True)
    ]
    return Numbered(
        id=chart.id,
        title=chart.title,
        words=f"{chart.title}. {'; '.join(sides)}.",
        axis=_axis(item, [0 if min(known) >= 0 else min(known), *known, *edges, *ends]),
        found=found,
        shown=shown,
        edges=edges,
        references=references,
    )


def _numbers(
    item: Test | Derived, protocol: Protocol, session: Session, summary: Summary
) -> tuple[float | None, ...]:
    if isinstance(item, Derived):
        values = {one.side: one.value for one in summary.derived if one.id == item.id}
        return tuple(values.get(side) for side in BOTH_FEET)
    answers = case_of(protocol, session).answers
    given = (answers.get(Place(item.id, side)) for side in BOTH_FEET)
    return tuple(one if isinstance(one, int | float) else None for one in given)


def _banded(item: Test | Derived, number: float | None) -> str:
    if number is None:
        return say("not answered")
    band = next((one.label for one in item.bands if one.holds(number)), "")
    return f"{with_unit(item, number)}, {band}" if band else with_unit(item, number)


def _edges(bands: Sequence[Band]) -> tuple[float, ...]:
    """Return the numbers at which one band gives way to another."""
    lower = {bound for band in bands for bound in (band.at_least, band.above)}
    upper = {bound for band in bands for bound in (band.at_most, band.below)}
    return tuple(sorted(float(bound) for bound in lower & upper if bound is not None))


def _reference(norm: Norm) -> Reference:
    """Return one standard deviation about a mean, else the limits, else the middle alone."""
    if norm.mean is not None and norm.sd is not None and norm.sd > 0:
        return Reference(norm.population, norm.mean - norm.sd, norm.mean, norm.mean + norm.sd)
    middle = norm.middle if norm.mean is None else norm.mean
    return Reference(norm.population, norm.low, middle, norm.high)
