"""The meaning of what is examined: positions, scales, option sets and tests."""

from collections.abc import Collection, Mapping

from examwalk.protocol.change_model import ImportantChange
from examwalk.protocol.condition_checking import Scope, check_condition
from examwalk.protocol.exam_model import Kind, Option, Scale, Test
from examwalk.protocol.key_types import Sides
from examwalk.protocol.locating import KeyPath
from examwalk.protocol.model import Protocol
from examwalk.protocol.norm_checking import check_norms
from examwalk.protocol.references import (
    Report,
    check_bands,
    check_basis,
    check_keys_of_kind,
    check_known,
    check_reliability,
    check_step,
)
from examwalk.protocol.structuring import check_id

MOST_CHOICES = 10
"""A choice is answered with one digit key, so there can be no more."""

_KEYS_BY_KIND = {
    Kind.GRADE.value: ("scale", "grades"),
    Kind.MEASURE.value: ("unit", "unit_one", "step", "hard", "usual", "bands", "important_change"),
    Kind.CHOICE.value: ("option_set", "options", "several", "alone"),
    Kind.TEXT.value: (),
}

_ASSUMED_KEYS_BY_KIND = {
    Kind.GRADE.value: ("weighted_kappa",),
    Kind.MEASURE.value: ("error_in_steps",),
    Kind.CHOICE.value: ("weighted_kappa",),
    Kind.TEXT.value: (),
}


def check_exam(protocol: Protocol, report: Report) -> None:
    """Report what cannot be right in the exam itself."""
    complaint = protocol.identity.complaint
    if complaint is not None:
        check_known(complaint, protocol.tests_by_id, "test", ("protocol", "complaint"), report)
    for key, items in (("position", protocol.positions), ("test", protocol.tests)):
        if not items:
            report((key,), f"a protocol needs at least one {key}.")
    for scale_id, scale in protocol.scales.items():
        _check_scale(scale, ("scales", scale_id), report)
    for set_id, options in protocol.option_sets.items():
        _check_options(options, ("option_sets", set_id), report)
    _check_tests(protocol, report)
    _check_assumed_agreement(protocol, report)


def _check_scale(scale: Scale, path: KeyPath, report: Report) -> None:
    count = len(scale.grades)
    if not 2 <= count <= MOST_CHOICES:
        report((*path, "grades"), f"a scale needs 2 to {MOST_CHOICES} grades; this has {count}.")
    for index, grade in enumerate(scale.grades):
        check_id(grade, (*path, "grades", index), report)
        if grade in scale.grades[:index]:
            report((*path, "grades", index), f"the grade “{grade}” is given twice.")
    for grade in scale.labels:
        check_known(grade, scale.grades, "grade", (*path, "labels", grade), report)


def _check_options(options: Mapping[str, Option], path: KeyPath, report: Report) -> None:
    if not 2 <= len(options) <= MOST_CHOICES:
        report(path, f"a choice needs 2 to {MOST_CHOICES} options; this has {len(options)}.")


def _check_tests(protocol: Protocol, report: Report) -> None:
    positions = [position.id for position in protocol.positions]
    for index, test in enumerate(protocol.tests):
        path: KeyPath = ("test", index)
        check_known(test.position, positions, "position", (*path, "position"), report)
        check_basis(test.basis, path, protocol, report)
        check_reliability(test.reliability, path, protocol, report)
        check_norms(test.norms, path, protocol, report)
        if test.norms and test.kind is not Kind.MEASURE:
            report((*path, "norms"), "only a measured number has norms.")
        _check_prevalence(test, path, protocol, report)
        if test.important_change is not None:
            _check_important_change(test.important_change, path, protocol, report)
        _CHECKS_BY_KIND[test.kind](test, path, protocol, report)
        _check_named_figures(test, path, protocol, report)
        check_keys_of_kind(test, test.kind.value, _KEYS_BY_KIND, path, report)
    if all(test.position in positions for test in protocol.tests):
        _check_asking(protocol, report)


def _check_important_change(
    important: ImportantChange, path: KeyPath, protocol: Protocol, report: Report
) -> None:
    inner = (*path, "important_change")
    check_known(important.source, protocol.sources, "source", (*inner, "source"), report)
    if important.change <= 0:
        report((*inner, "change"), "the smallest change that matters must be above 0.")


def _check_prevalence(test: Test, path: KeyPath, protocol: Protocol, report: Report) -> None:
    answers = _answers_of(test, protocol)
    for number, figure in enumerate(test.reliability):
        for answer, share in figure.prevalence.items():
            inner = (*path, "reliability", number, "prevalence", answer)
            if check_known(answer, answers, "answer", inner, report) and share < 0:
                report(inner, "nothing is found less often than never: give 0 or more.")


def _answers_of(test: Test, protocol: Protocol) -> tuple[str, ...]:
    """Return the answers of a test whose scale or option set may still be unknown."""
    if test.kind is Kind.GRADE:
        scale = protocol.scales.get(test.scale or "")
        return scale.grades if scale else ()
    shared = protocol.option_sets.get(test.option_set or "", {})
    return tuple(shared or test.options)


def _check_assumed_agreement(protocol: Protocol, report: Report) -> None:
    positions = [position.id for position in protocol.positions]
    for name, assumed in protocol.assumed_agreement.items():
        path: KeyPath = ("assumed_agreement", name)
        check_basis(assumed.basis, path, protocol, report)
        for number, position in enumerate(assumed.except_in):
            check_known(position, positions, "position", (*path, "except_in", number), report)
        check_keys_of_kind(assumed, assumed.kind.value, _ASSUMED_KEYS_BY_KIND, path, report)
        kappa, error = assumed.weighted_kappa, assumed.error_in_steps
        if kappa is not None and not 0 <= kappa <= 1:
            report((*path, "weighted_kappa"), "an assumed weighted kappa lies between 0 and 1.")
        if error is not None and error < 0:
            report((*path, "error_in_steps"), "an error of measurement is not less than 0.")


def _check_named_figures(test: Test, path: KeyPath, protocol: Protocol, report: Report) -> None:
    named = [(path, test.figure)]
    named += [((*path, "grades", key), grade.figure) for key, grade in test.grades.items()]
    named += [((*path, "options", key), option.figure) for key, option in test.options.items()]
    for where, figure in named:
        if figure is not None:
            check_known(figure, protocol.figures, "figure", (*where, "figure"), report)


def _check_asking(protocol: Protocol, report: Report) -> None:
    """A test may be asked for only on grounds of what stands before it in the exam."""
    _check_asking_of_positions(protocol, report)
    indexes = {test.id: index for index, test in enumerate(protocol.tests)}
    before: set[str] = set()
    for test in protocol.tests_in_order:
        if test.ask_when is not None:
            scope = Scope(protocol, tests=frozenset(before), derived=(), features=())
            path = ("test", indexes[test.id], "ask_when")
            check_condition(test.ask_when, scope, path, report, test.sides)
        if test.figure_side is not None:
            _check_figure_side(test, before, ("test", indexes[test.id]), protocol, report)
        before.add(test.id)


def _check_asking_of_positions(protocol: Protocol, report: Report) -> None:
    """One condition serves tests of each side and of the whole person: it is judged once."""
    before: set[str] = set()
    for index, position in enumerate(protocol.positions):
        if position.ask_when is not None:
            scope = Scope(protocol, tests=frozenset(before), derived=(), features=())
            path = ("position", index, "ask_when")
            check_condition(position.ask_when, scope, path, report, Sides.ONCE)
        before |= {test.id for test in protocol.tests if test.position == position.id}


def _check_figure_side(
    test: Test, before: Collection[str], path: KeyPath, protocol: Protocol, report: Report
) -> None:
    """A drawing may take its side only from a plain choice of one that is already made."""
    where = (*path, "figure_side")
    if test.sides is Sides.EACH:
        report(where, "a test of each side is drawn for the side that is examined: leave it out.")
        return
    chosen = protocol.tests_by_id.get(str(test.figure_side))
    if chosen is None or chosen.id not in before:
        check_known(str(test.figure_side), sorted(before), "earlier test", where, report)
        return
    is_plain = chosen.kind is Kind.CHOICE and chosen.sides is Sides.ONCE and not chosen.several
    if not is_plain or not {"left", "right"} <= set(protocol.options_of(chosen)):
        wanted = "a choice of one, for the whole person, with the options “left” and “right”"
        report(where, f"“{chosen.id}” does not say which side: name {wanted}.")


def _check_graded(test: Test, path: KeyPath, protocol: Protocol, report: Report) -> None:
    if test.scale is None:
        report(path, "a graded test needs a scale.")
        return
    if not check_known(test.scale, protocol.scales, "scale", (*path, "scale"), report):
        return
    grades = protocol.scales[test.scale].grades
    for grade in test.grades:
        known = f"grade on the scale “{test.scale}” named"
        check_known(grade, grades, known, (*path, "grades", grade), report)


def _check_measured(test: Test, path: KeyPath, protocol: Protocol, report: Report) -> None:
    del protocol
    check_step(test.step, path, report)
    check_bands(test.bands, path, report)
    if test.hard is None:
        report(path, "a measure needs “hard”, the smallest and largest number accepted.")
    elif test.hard[0] >= test.hard[1]:
        report((*path, "hard"), "the smaller number comes first.")
    elif test.usual is not None and not (
        test.hard[0] <= test.usual[0] < test.usual[1] <= test.hard[1]
    ):
        report((*path, "usual"), "the usual range must lie inside “hard”, smaller number first.")


def _check_choice(test: Test, path: KeyPath, protocol: Protocol, report: Report) -> None:
    if test.option_set is not None:
        inner = (*path, "option_set")
        if not check_known(test.option_set, protocol.option_sets, "option set", inner, report):
            return
        if test.options:
            report(inner, "give either “options” or “option_set”, not both.")
    else:
        _check_options(test.options, (*path, "options"), report)
    if test.alone and not test.several:
        report((*path, "alone"), "“alone” is for a choice of several: add several = true.")
    options = protocol.options_of(test)
    for index, option in enumerate(test.alone):
        check_known(option, options, "option", (*path, "alone", index), report)


def _check_text(test: Test, path: KeyPath, protocol: Protocol, report: Report) -> None:
    """Nothing is asked of a text but that it has no keys of another kind."""


_CHECKS_BY_KIND = {
    Kind.GRADE: _check_graded,
    Kind.MEASURE: _check_measured,
    Kind.CHOICE: _check_choice,
    Kind.TEXT: _check_text,
}
