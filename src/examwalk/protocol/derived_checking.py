"""The meaning of derived values: the calculation, what goes into it, and for which side."""

from collections.abc import Mapping

from examwalk.problems import did_you_mean, nearest_word
from examwalk.protocol.condition_checking import Scope, check_condition
from examwalk.protocol.derived_model import Derived
from examwalk.protocol.exam_model import Kind, Test
from examwalk.protocol.key_types import Sides
from examwalk.protocol.locating import KeyPath
from examwalk.protocol.model import Protocol
from examwalk.protocol.norm_checking import check_norms
from examwalk.protocol.references import (
    Report,
    check_bands,
    check_basis,
    check_known,
    check_reliability,
    known_hint,
)
from examwalk.protocol.vocabulary import CALCULATIONS

MOST_DECIMALS = 6


def check_derived(protocol: Protocol, report: Report) -> None:
    """Report every derived value that could not be worked out."""
    before: list[str] = []
    for index, derived in enumerate(protocol.derived):
        path: KeyPath = ("derived", index)
        if derived.id in protocol.tests_by_id:
            report((*path, "id"), f"“{derived.id}” is already the id of a test; choose another.")
        check_basis(derived.basis, path, protocol, report)
        check_bands(derived.bands, path, report)
        check_reliability(derived.reliability, path, protocol, report)
        check_norms(derived.norms, path, protocol, report)
        if not 0 <= derived.decimals <= MOST_DECIMALS:
            report((*path, "decimals"), f"a number is written with 0 to {MOST_DECIMALS} decimals.")
        if check_known(
            derived.calculation, CALCULATIONS, "calculation", (*path, "calculation"), report
        ):
            _check_signature(derived, path, report)
        _check_inputs(derived, before, protocol, path, report)
        _check_conditions(derived, before, protocol, path, report)
        before.append(derived.id)


def _check_inputs(
    derived: Derived, before: list[str], protocol: Protocol, path: KeyPath, report: Report
) -> None:
    known = [*protocol.tests_by_id, *before]
    for number, name in enumerate(derived.inputs):
        inner = (*path, "inputs", number)
        if name not in known and name in protocol.derived_by_id:
            report(inner, f"“{name}” is not worked out yet here: move it before “{derived.id}”.")
        elif check_known(name, known, "test or derived value", inner, report):
            test = protocol.tests_by_id.get(name)
            source = test or protocol.derived_by_id[name]
            _check_sides(derived, name, source.sides, inner, report)
            if test is not None and test.kind not in (Kind.GRADE, Kind.MEASURE):
                kind = test.kind.value
                report(inner, f"“{name}” is a {kind}; a calculation needs grades or numbers.")
            elif derived.calculation == "body-mass-index":
                _check_mass_and_height(number, name, test, inner, report)
            elif derived.calculation == "relative-stiffness":
                _check_mass_and_thickness(number, name, source, inner, report)


def _check_sides(derived: Derived, name: str, sides: Sides, path: KeyPath, report: Report) -> None:
    if derived.calculation == "side-difference":
        if sides is Sides.ONCE:
            report(path, f"“{name}” has no sides, so left and right of it cannot differ.")
    elif derived.sides is Sides.ONCE and sides is Sides.EACH:
        report(path, f"“{name}” has two sides, but “{derived.id}” is worked out once.")


def _check_mass_and_height(
    number: int, name: str, test: Test | None, path: KeyPath, report: Report
) -> None:
    """The mass is divided by the height, so no accepted height may be 0 or less."""
    unit = ("kg", "cm")[min(number, 1)]
    if test is None or test.kind is not Kind.MEASURE or test.unit != unit:
        report(path, f"the body mass index takes a measure in {unit} here; “{name}” is none.")
    elif unit == "cm" and test.hard and test.hard[0] <= 0:
        report(path, f"no one's height is 0: let the “hard” limits of “{name}” begin above 0.")


def _check_mass_and_thickness(
    number: int, name: str, source: Test | Derived, path: KeyPath, report: Report
) -> None:
    """The stiffness is divided by the mass, so no accepted mass may be 0 or less."""
    unit = ("kg", "mm")[min(number, 1)]
    if source.unit != unit:
        report(path, f"the relative stiffness takes a number in {unit} here; “{name}” is none.")
    elif unit == "kg" and not (isinstance(source, Test) and source.hard and source.hard[0] > 0):
        report(path, f"no one's mass is 0: let the “hard” limits of “{name}” begin above 0.")


def _check_conditions(
    derived: Derived, before: list[str], protocol: Protocol, path: KeyPath, report: Report
) -> None:
    tests = frozenset(protocol.tests_by_id)
    scope = Scope(protocol, tests=tests, derived=tuple(before), features=())
    if derived.when is not None:
        check_condition(derived.when, scope, (*path, "when"), report, derived.sides)
    for key, condition in derived.conditions.items():
        inner = (*path, "conditions", key)
        check_condition(condition, scope, inner, report, derived.sides)
    for number, points in enumerate(derived.points):
        inner = (*path, "points", number, "when")
        check_condition(points.when, scope, inner, report, derived.sides)
    for number, row in enumerate(derived.rows):
        inner = (*path, "rows", number)
        if row.when is not None:
            check_condition(row.when, scope, (*inner, "when"), report, derived.sides)
        elif number < len(derived.rows) - 1:
            report(inner, "this row always holds, so the rows after it never count.")


def _check_signature(derived: Derived, path: KeyPath, report: Report) -> None:
    signature = CALCULATIONS[derived.calculation]
    least, most = signature.inputs
    count = len(derived.inputs)
    if count < least or (most is not None and count > most):
        wanted = str(least) if least == most else f"{least} or more"
        report(
            (*path, "inputs"),
            f"the calculation “{derived.calculation}” takes {wanted} inputs, found {count}.",
        )
    for kind, given, wanted_names in (
        ("conditions", derived.conditions, signature.conditions),
        ("parameters", derived.parameters, signature.parameters),
    ):
        _check_names(derived.calculation, kind, given, wanted_names, path, report)
    if derived.calculation == "relative-stiffness":
        for name, value in derived.parameters.items():
            if name in signature.parameters and value <= 0:
                report((*path, "parameters", name), "a measure of a shell must be above 0.")
    for table in ("points", "rows"):
        if bool(getattr(derived, table)) != (signature.table == table):
            needs = "needs" if signature.table == table else "takes no"
            report((*path, table), f"the calculation “{derived.calculation}” {needs} “{table}”.")


def _check_names(
    calculation: str,
    kind: str,
    given: Mapping[str, object],
    wanted: tuple[str, ...],
    path: KeyPath,
    report: Report,
) -> None:
    what = kind.removesuffix("s")
    missing = [name for name in wanted if name not in given]
    for name in given:
        if name in wanted:
            continue
        meant = nearest_word(name, missing)
        hint = did_you_mean(meant) or known_hint(name, wanted)
        report((*path, kind, name), f"there is no {what} of “{calculation}” named “{name}”.{hint}")
        missing = [other for other in missing if other != meant]
    for name in missing:
        report((*path, kind), f"the calculation “{calculation}” needs the {what} “{name}”.")
