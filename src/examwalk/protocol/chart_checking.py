"""The meaning of charts: what they draw must be there, and must be of a kind to be drawn."""

from examwalk.protocol.chart_model import Chart, ChartKind
from examwalk.protocol.exam_model import Kind
from examwalk.protocol.key_types import Sides
from examwalk.protocol.locating import KeyPath
from examwalk.protocol.model import Protocol
from examwalk.protocol.references import Report, check_known


def check_charts(protocol: Protocol, report: Report) -> None:
    """Report charts of what is unknown, or of what their kind cannot draw."""
    for index, chart in enumerate(protocol.charts):
        path: KeyPath = ("chart", index)
        if chart.kind is ChartKind.DROP:
            _check_drop(chart, path, protocol, report)
        else:
            _check_number(chart, path, protocol, report)


def _check_drop(chart: Chart, path: KeyPath, protocol: Protocol, report: Report) -> None:
    if len(chart.of) != 2:
        report((*path, "of"), f"a drop goes from one test to another: name 2, not {len(chart.of)}.")
        return
    known = [
        check_known(name, protocol.tests_by_id, "test", (*path, "of", number), report)
        for number, name in enumerate(chart.of)
    ]
    if all(known):
        first, second = (protocol.tests_by_id[name] for name in chart.of)
        if first.kind not in (Kind.GRADE, Kind.MEASURE):
            report((*path, "of", 0), f"“{first.id}” is neither graded nor measured.")
        elif (first.kind, first.scale, first.unit) != (second.kind, second.scale, second.unit):
            message = f"“{first.id}” and “{second.id}” have not the same scale or unit."
            report((*path, "of", 1), message)
        for number, test in enumerate((first, second)):
            if test.sides is not Sides.EACH:
                report((*path, "of", number), f"“{test.id}” is not found on each side.")
    if chart.result is not None:
        check_known(
            chart.result, protocol.derived_by_id, "derived value", (*path, "result"), report
        )


def _check_number(chart: Chart, path: KeyPath, protocol: Protocol, report: Report) -> None:
    if chart.result is not None:
        report((*path, "result"), "“result” is for the kind “drop”; this is “number”.")
    if len(chart.of) != 1:
        report((*path, "of"), f"this chart draws one number: name 1, not {len(chart.of)}.")
        return
    name, inner = chart.of[0], (*path, "of", 0)
    known = (*protocol.tests_by_id, *protocol.derived_by_id)
    if not check_known(name, known, "test or derived value", inner, report):
        return
    test = protocol.tests_by_id.get(name)
    if test is not None and test.kind is not Kind.MEASURE:
        report(inner, f"“{name}” is not a number; only a measure or a derived value is.")
    item = test or protocol.derived_by_id[name]
    if item.sides is not Sides.EACH:
        report(inner, f"“{name}” is not found on each side.")
