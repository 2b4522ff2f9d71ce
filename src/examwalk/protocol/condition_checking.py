"""The meaning of one condition: does it ask something that its subject can answer?"""

from collections.abc import Callable, Iterable

from attrs import evolve, frozen

from examwalk.problems import did_you_mean, nearest, nearest_word
from examwalk.protocol.condition_model import COMPARISONS, SUBJECTS, Condition, SideScope
from examwalk.protocol.exam_model import Kind, Test
from examwalk.protocol.feature_model import FeatureKind
from examwalk.protocol.key_types import Scalar, Sides
from examwalk.protocol.locating import KeyPath
from examwalk.protocol.model import Protocol
from examwalk.protocol.structuring import describe
from examwalk.protocol.wording import answers_of

Report = Callable[[KeyPath, str], None]

_ORDERED = ("at_least", "at_most", "above", "below")
_EQUAL = ("is_", "is_not", "one_of")
_LISTS = ("one_of", "includes_any")
_BETWEEN_SIDES = (SideScope.DIFFERENCE, SideScope.EXCESS)
_MOST_LISTED = 12


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
    if subject in ("all", "any", "count", "not_"):
        if condition.side is not SideScope.SAME:
            report((*path, "side"), "say the side in the conditions inside, where it is asked for.")
        _check_group(condition, subject, scope, path, report, sides)
        return
    if condition.side in _BETWEEN_SIDES and subject not in ("test", "derived"):
        report((*path, "side"), f"a {subject.removeprefix('any_')} has no numbers to compare.")
        return
    if sides is Sides.ONCE and condition.side in (SideScope.OTHER, SideScope.EXCESS):
        report((*path, "side"), "this is judged once, so there is no other side to look at.")
    for name in _LISTS:
        if getattr(condition, name) == ():
            report((*path, name), "this list is empty, so it could never hold.")
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
    given = [name for name in COMPARISONS if getattr(condition, name) is not None]
    allowed = ("at_least",) if subject == "count" else ()
    _allow(given, allowed, path, report, f"“{_key(subject)}”")
    if condition.not_ is not None:
        check_condition(condition.not_, scope, (*path, "not"), report, sides)
        return
    members: tuple[Condition, ...] = getattr(condition, subject)
    if not members:
        report((*path, subject), "this list of conditions is empty.")
        return
    for index, member in enumerate(members):
        check_condition(member, scope, (*path, subject, index), report, sides)
    if subject == "count":
        least = condition.at_least
        # Python counts true as 1.
        is_whole = isinstance(least, int) and not isinstance(least, bool)
        if not is_whole or not 1 <= int(least or 0) <= len(members):
            inner = path if least is None else (*path, "at_least")
            report(inner, f"“count” needs at_least, a whole number from 1 to {len(members)}.")


def _check_test_leaf(
    condition: Condition, given: list[str], scope: Scope, path: KeyPath, report: Report
) -> None:
    name = condition.test or ""
    test = scope.protocol.tests_by_id.get(name)
    if test is None:
        hint = nearest(name, sorted(scope.tests))
        report((*path, "test"), f"there is no test “{name}”.{hint}")
        return
    if name not in scope.tests:
        report(
            (*path, "test"),
            f"“{name}” does not stand before this in the exam; look at earlier ones.",
        )
        return
    if not given:
        listed = ", ".join(_key(word) for word in _allowed_for(test))
        report(path, f"say what is asked of “{name}”: one of {listed}.")
        return
    if condition.side in _BETWEEN_SIDES:
        _check_difference(condition, given, test, path, report)
        return
    fits = _allow(given, _allowed_for(test), path, report, f"“{name}”, a {test.kind.value},")
    if scope.once and test.sides is Sides.EACH and condition.side is SideScope.SAME:
        report(path, f"this is judged once and “{name}” has two sides: say side = either or both.")
    for alone in ("answered", "is_this_side"):
        if alone in given and len(given) > 1:
            others = " and ".join(_key(name) for name in given if name != alone)
            report(
                (*path, alone), f"“{alone}” stands alone; ask “{others}” in a condition of its own."
            )
            return
    if fits:
        _check_test_answers(condition, given, test, scope, path, report)


def _check_difference(
    condition: Condition, given: list[str], test: Test, path: KeyPath, report: Report
) -> None:
    if test.kind not in (Kind.GRADE, Kind.MEASURE) or test.sides is Sides.ONCE:
        report((*path, "side"), f"“{test.id}” has no numbers on two sides to compare.")
    elif _allow(given, _ORDERED, path, report, "a difference between sides"):
        _check_numbers(condition, given, path, report)


def _check_test_answers(
    condition: Condition,
    given: list[str],
    test: Test,
    scope: Scope,
    path: KeyPath,
    report: Report,
) -> None:
    if test.kind is Kind.MEASURE:
        if _check_numbers(condition, given, path, report):
            _check_limits(condition, given, test, path, report)
    elif test.kind in (Kind.GRADE, Kind.CHOICE):
        known = _answers_of(scope.protocol, test)
        if known is None:
            return
        _check_answers(condition, given, known, path, report)
        if "is_this_side" in given:
            _check_names_sides(test, known, scope, path, report)


def _answers_of(protocol: Protocol, test: Test) -> list[str] | None:
    """Return the answers of a test; none where its scale or option set is itself a mistake."""
    if test.kind is Kind.GRADE and test.scale not in protocol.scales:
        return None
    if test.option_set is not None and test.option_set not in protocol.option_sets:
        return None
    return list(answers_of(protocol, test))


def _check_names_sides(
    test: Test, known: list[str], scope: Scope, path: KeyPath, report: Report
) -> None:
    inner = (*path, "is_this_side")
    if not {"left", "right"} <= set(known):
        report(inner, f"“{test.id}” has no answers left and right, so it names no side.")
    elif scope.once:
        report(inner, "this is judged once, so there is no side that could be named.")


def _check_limits(
    condition: Condition, given: list[str], test: Test, path: KeyPath, report: Report
) -> None:
    """A number beyond what is accepted is a slip: the answer would always be the same."""
    low, high = test.hard or (0, 0)
    if low >= high:  # itself a mistake, told where it stands
        return
    for name in given:
        value = getattr(condition, name)
        if name != "answered" and not low <= value <= high:
            inner = (*path, _key(name))
            report(inner, f"“{test.id}” is from {low} to {high}; {value} is never given.")


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
        if name in scope.protocol.derived_by_id:
            message = f"“{name}” is not worked out yet here: look only at what stands earlier."
        else:
            hint = nearest(name, scope.derived)
            message = f"there is no derived value “{name}” to look at here.{hint}"
        report((*path, "derived"), message)
        return
    derived = scope.protocol.derived_by_id[name]
    if scope.once and derived.sides is Sides.EACH and condition.side is SideScope.SAME:
        report(path, f"this is judged once and “{name}” has two sides: say side = either or both.")
    if condition.side in _BETWEEN_SIDES and derived.sides is Sides.ONCE:
        report((*path, "side"), f"“{name}” is worked out once, so its sides cannot differ.")
    if not given:
        report(path, f"say what is asked of “{name}”, for example at_least or below.")
    if _allow(given, ("is_", "is_not", *_ORDERED), path, report, "a derived value"):
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
        report(path, f"say what is asked of “{name}”, for example is or at_least.")
    if feature.kind is FeatureKind.AMOUNT:
        allowed: tuple[str, ...] = ("is_", "is_not", *_ORDERED, "cut_at_least")
        if _allow(given, allowed, path, report, "an amount"):
            _check_numbers(condition, given, path, report)
    elif _allow(given, _EQUAL, path, report, "a feature with options"):
        _check_answers(condition, given, list(feature.options), path, report)


def _check_caution_leaf(
    condition: Condition, given: list[str], scope: Scope, path: KeyPath, report: Report
) -> None:
    name = condition.caution
    if not scope.cautions:
        report(
            path,
            "cautions can be asked about only in features, rules, advice and"
            " cross-checks of the summary.",
        )
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
) -> bool:
    allowed = tuple(allowed)
    unfit = [name for name in given if name not in allowed]
    listed = ", ".join(_key(word) for word in allowed)
    instead = f" it takes {listed}." if listed else " it takes no comparison."
    for name in unfit:
        report((*path, _key(name)), f"{what} cannot be asked “{_key(name)}”;{instead}")
    return not unfit


def _values(condition: Condition, name: str) -> tuple[Scalar, ...]:
    value = getattr(condition, name)
    return value if isinstance(value, tuple) else (value,)


def _check_numbers(condition: Condition, given: list[str], path: KeyPath, report: Report) -> bool:
    """Report what is not a number, and bounds that no number lies between."""
    numbers = [name for name in given if name != "answered"]
    unfit = [
        name
        for name in numbers
        if isinstance(getattr(condition, name), bool)
        or not isinstance(getattr(condition, name), int | float)
    ]
    for name in unfit:
        report((*path, _key(name)), "this is compared with a number.")
    if not unfit and not _some_number_fits(condition):
        report(path, "no number lies between these bounds.")
        return False
    return not unfit


def _some_number_fits(condition: Condition) -> bool:
    lows = [(condition.at_least, False), (condition.above, True)]
    highs = [(condition.at_most, False), (condition.below, True)]
    return not any(
        isinstance(low, int | float)
        and isinstance(high, int | float)
        and (low > high or (low == high and (low_is_open or high_is_open)))
        for low, low_is_open in lows
        for high, high_is_open in highs
    )


def _check_answers(
    condition: Condition, given: list[str], known: list[str], path: KeyPath, report: Report
) -> None:
    for name in given:
        if name in ("answered", "is_this_side"):
            continue
        is_list = name in _LISTS
        for index, value in enumerate(_values(condition, name)):
            if value in known:
                continue
            near = nearest_word(str(value), known)
            hint = did_you_mean(near)
            if not near and len(known) <= _MOST_LISTED:
                hint = f" Choose from: {', '.join(known)}."
            shown = value if isinstance(value, str) else describe(value)
            inner = (*path, name, index) if is_list else (*path, _key(name))
            report(inner, f"“{shown}” is not one of its answers.{hint}")
