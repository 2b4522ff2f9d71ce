"""The meaning of one condition: does it ask something that its subject can answer?"""

from collections.abc import Callable, Iterable

from attrs import evolve, frozen

from examwalk.problems import nearest
from examwalk.protocol.locating import KeyPath
from examwalk.protocol.model import (
    COMPARISONS,
    SUBJECTS,
    Condition,
    FeatureKind,
    Kind,
    Protocol,
    Scalar,
    Sides,
    SideScope,
    Test,
)
from examwalk.protocol.wording import choices_of

Report = Callable[[KeyPath, str], None]

_ORDERED = ("at_least", "at_most", "above", "below")
_EQUAL = ("is_", "is_not", "one_of")


@frozen
class Scope:
    """What a condition may look at where it stands."""

    protocol: Protocol
    tests: frozenset[str]
    derived: tuple[str, ...]
    features: tuple[str, ...]
    cautions: bool = False
    once: bool = False
    """The condition is judged once for the whole person, so there is no same side."""

    @classmethod
    def of_findings(
        cls, protocol: Protocol, features: tuple[str, ...] = (), *, cautions: bool = False
    ) -> "Scope":
        """All tests and derived values, and these features."""
        return cls(
            protocol=protocol,
            tests=frozenset(protocol.tests_by_id),
            derived=tuple(protocol.derived_by_id),
            features=features,
            cautions=cautions,
        )


def check_condition(
    condition: Condition,
    scope: Scope,
    path: KeyPath,
    report: Report,
    sides: Sides = Sides.EACH,
) -> None:
    """Report everything in a condition, and in those inside it, that cannot be asked.

    Args:
        condition: the condition to look at.
        scope: what it may look at.
        path: where it stands.
        report: called for each problem.
        sides: whether it is judged on each side, or once for the whole person.
    """
    scope = evolve(scope, once=sides is Sides.ONCE)
    subjects = [name for name in SUBJECTS if getattr(condition, name) is not None]
    if len(subjects) != 1:
        found = " and ".join(_key(name) for name in subjects) or "none"
        listed = ", ".join(_key(name) for name in SUBJECTS)
        report(path, f"a condition asks about exactly one of {listed}; found {found}.")
        return
    subject = subjects[0]
    given = [name for name in COMPARISONS if getattr(condition, name) is not None]
    if subject in ("all", "any", "count"):
        _check_group(condition, subject, scope, path, report, sides)
        return
    if condition.not_ is not None:
        check_condition(condition.not_, scope, (*path, "not"), report, sides)
        _allow(given, (), path, report, "“not”")
        return
    if sides is Sides.ONCE and condition.side in (SideScope.OTHER, SideScope.EXCESS):
        report((*path, "side"), "this is judged once, so there is no other side to look at.")
    _LEAF_CHECKS[subject](condition, given, scope, path, report)


def _key(name: str) -> str:
    return name.rstrip("_")


def _check_group(
    condition: Condition,
    subject: str,
    scope: Scope,
    path: KeyPath,
    report: Report,
    sides: Sides,
) -> None:
    members: tuple[Condition, ...] = getattr(condition, subject)
    if not members:
        report((*path, subject), "this list of conditions is empty.")
    for index, member in enumerate(members):
        check_condition(member, scope, (*path, subject, index), report, sides)
    given = [name for name in COMPARISONS if getattr(condition, name) is not None]
    if subject == "count":
        _allow(given, ("at_least",), path, report, "“count”")
        least = condition.at_least
        if not isinstance(least, int) or not 1 <= least <= len(members):
            report(path, f"“count” needs at_least, from 1 to {len(members)}.")
    else:
        _allow(given, (), path, report, f"“{subject}”")


def _check_test_leaf(
    condition: Condition, given: list[str], scope: Scope, path: KeyPath, report: Report
) -> None:
    name = condition.test or ""
    test = scope.protocol.tests_by_id.get(name)
    if test is None or name not in scope.tests:
        known = sorted(scope.tests)
        if test is not None:
            report((*path, "test"), f"“{name}” stands later in the exam; look at earlier ones.")
        else:
            report((*path, "test"), f"there is no test “{name}”.{nearest(name, known)}")
        return
    if not given:
        report(path, f"say what is asked of “{name}”: is, one_of, at_least, answered …")
        return
    if condition.side in (SideScope.DIFFERENCE, SideScope.EXCESS):
        if test.kind not in (Kind.GRADE, Kind.MEASURE) or test.sides is Sides.ONCE:
            report((*path, "side"), f"“{name}” has no numbers on two sides to compare.")
        _allow(given, _ORDERED, path, report, "a difference between sides")
        _check_numbers(condition, given, path, report)
        return
    _allow(given, _allowed_for(test), path, report, f"“{name}”, a {test.kind.value},")
    if scope.once and test.sides is Sides.EACH and condition.side is SideScope.SAME:
        report(path, f"this is judged once and “{name}” has two sides: say side = either or both.")
    if test.kind is Kind.MEASURE:
        _check_numbers(condition, given, path, report)
    elif test.kind in (Kind.GRADE, Kind.CHOICE):
        known = [choice.id for choice in choices_of(scope.protocol, test)]
        _check_answers(condition, given, known, path, report)


def _allowed_for(test: Test) -> tuple[str, ...]:
    if test.kind is Kind.GRADE:
        return (*_EQUAL, *_ORDERED, "answered")
    if test.kind is Kind.MEASURE:
        return ("is_", "is_not", *_ORDERED, "answered")
    if test.kind is Kind.CHOICE and test.several:
        return ("includes", "includes_any", "answered")
    if test.kind is Kind.CHOICE:
        return (*_EQUAL, "is_this_side", "answered")
    return ("answered",)


def _check_derived_leaf(
    condition: Condition, given: list[str], scope: Scope, path: KeyPath, report: Report
) -> None:
    name = condition.derived or ""
    if name not in scope.derived:
        later = name in scope.protocol.derived_by_id
        hint = " It stands later in the file." if later else nearest(name, scope.derived)
        report((*path, "derived"), f"there is no derived value “{name}” to look at here.{hint}")
        return
    derived = scope.protocol.derived_by_id[name]
    if scope.once and derived.sides is Sides.EACH and condition.side is SideScope.SAME:
        report(path, f"this is judged once and “{name}” has two sides: say side = either or both.")
    if not given:
        report(path, f"say what is asked of “{name}”: at_least, below …")
    _allow(given, ("is_", "is_not", *_ORDERED), path, report, "a derived value")
    _check_numbers(condition, given, path, report)


def _check_feature_leaf(
    condition: Condition, given: list[str], scope: Scope, path: KeyPath, report: Report
) -> None:
    name = condition.feature or ""
    feature = scope.protocol.features_by_id.get(name)
    if feature is None:
        known = list(scope.protocol.features_by_id)
        report((*path, "feature"), f"there is no feature “{name}”.{nearest(name, known)}")
        return
    if name not in scope.features:
        report(
            (*path, "feature"),
            f"“{name}” is not settled yet here: look only at features that stand earlier.",
        )
        return
    if not given:
        report(path, f"say what is asked of “{name}”: is, at_least …")
    if feature.kind is FeatureKind.AMOUNT:
        allowed: tuple[str, ...] = ("is_", "is_not", *_ORDERED, "cut_at_least")
        _allow(given, allowed, path, report, "an amount")
        _check_numbers(condition, given, path, report)
    else:
        _allow(given, _EQUAL, path, report, "a feature with options")
        _check_answers(condition, given, list(feature.options), path, report)


def _check_caution_leaf(
    condition: Condition, given: list[str], scope: Scope, path: KeyPath, report: Report
) -> None:
    name = condition.caution
    if not scope.cautions:
        report(path, "cautions can be asked about only in features, rules and advice.")
    elif name is not None and name not in scope.protocol.cautions_by_id:
        known = list(scope.protocol.cautions_by_id)
        report((*path, "caution"), f"there is no caution “{name}”.{nearest(name, known)}")
    _allow(given, (), path, report, "a caution")


_LEAF_CHECKS = {
    "test": _check_test_leaf,
    "derived": _check_derived_leaf,
    "feature": _check_feature_leaf,
    "caution": _check_caution_leaf,
    "any_caution": _check_caution_leaf,
}


def _allow(
    given: list[str], allowed: Iterable[str], path: KeyPath, report: Report, what: str
) -> None:
    allowed = tuple(allowed)
    for name in given:
        if name not in allowed:
            listed = ", ".join(_key(word) for word in allowed)
            instead = f" it takes {listed}." if listed else " it takes no comparison."
            report((*path, _key(name)), f"{what} cannot be asked “{_key(name)}”;{instead}")


def _values(condition: Condition, name: str) -> tuple[Scalar, ...]:
    value = getattr(condition, name)
    return value if isinstance(value, tuple) else (value,)


def _check_numbers(condition: Condition, given: list[str], path: KeyPath, report: Report) -> None:
    for name in given:
        for value in _values(condition, name):
            is_number = isinstance(value, int | float) and not isinstance(value, bool)
            if name not in ("answered", "is_this_side") and not is_number:
                report((*path, _key(name)), "this is compared with a number.")


def _check_answers(
    condition: Condition, given: list[str], known: list[str], path: KeyPath, report: Report
) -> None:
    for name in given:
        if name in ("answered", "is_this_side"):
            continue
        for value in _values(condition, name):
            if value not in known:
                hint = nearest(str(value), known)
                report((*path, _key(name)), f"“{value}” is not one of its answers.{hint}")
