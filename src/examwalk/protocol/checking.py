"""The meaning of a protocol: do its parts refer to each other rightly?

Every function takes the protocol and a report and looks at one kind of table. Key paths are
those of the merged document.
"""

from collections.abc import Callable, Iterable, Mapping

from examwalk.problems import nearest
from examwalk.protocol.condition_checking import Scope, check_condition
from examwalk.protocol.locating import KeyPath
from examwalk.protocol.model import (
    AMOUNT_VERBS,
    OPTION_VERBS,
    AcrossPair,
    Band,
    CheckStage,
    Derived,
    Effect,
    Feature,
    FeatureKind,
    Kind,
    LookedUp,
    Protocol,
    Sides,
    Test,
)
from examwalk.protocol.structuring import keys_of
from examwalk.protocol.vocabulary import CALCULATIONS

Report = Callable[[KeyPath, str], None]
MOST_CHOICES = 10
"""A choice is answered with one digit key, so there can be no more."""


def check(protocol: Protocol, report: Report) -> None:
    """Report every reference, range and order that cannot be right."""
    _check_unique_ids(protocol, report)
    _check_tests(protocol, report)
    _check_derived(protocol, report)
    _check_checks_and_cautions(protocol, report)
    _check_features(protocol, report)
    _check_rules(protocol, report)
    _check_exclusions_and_advice(protocol, report)


def check_known(word: str, known: Iterable[str], what: str, path: KeyPath, report: Report) -> bool:
    """Report a word that is not among the known ones; say whether it is."""
    known = list(known)
    if word in known:
        return True
    report(path, f"there is no {what} “{word}”.{nearest(word, known)}")
    return False


def _check_basis(basis: tuple[str, ...], path: KeyPath, protocol: Protocol, report: Report) -> None:
    if not basis:
        report(
            (*path, "basis"),
            "a statement needs a basis: name a source, or common-practice.",
        )
    for index, source in enumerate(basis):
        check_known(source, protocol.sources, "source", (*path, "basis", index), report)


def _check_unique_ids(protocol: Protocol, report: Report) -> None:
    for key, (name, _, _) in keys_of(Protocol).items():
        seen: set[str] = set()
        items = getattr(protocol, name)
        for index, item in enumerate(items if isinstance(items, tuple) else ()):
            if not hasattr(item, "id"):
                continue
            if item.id in seen:
                report((key, index, "id"), f"the id “{item.id}” is given twice.")
            seen.add(item.id)


def _check_tests(protocol: Protocol, report: Report) -> None:
    positions = [position.id for position in protocol.positions]
    for index, test in enumerate(protocol.tests):
        path: KeyPath = ("test", index)
        check_known(test.position, positions, "position", (*path, "position"), report)
        _check_basis(test.basis, path, protocol, report)
        for number, figure in enumerate(test.reliability):
            inner = (*path, "reliability", number, "source")
            check_known(figure.source, protocol.sources, "source", inner, report)
        _CHECKS_BY_KIND[test.kind](test, path, protocol, report)
        _check_bands(test.bands, path, report)
    if all(test.position in positions for test in protocol.tests):
        _check_asking(protocol, report)


def _check_asking(protocol: Protocol, report: Report) -> None:
    """A test may be asked for only on grounds of what stands before it in the exam."""
    indexes = {test.id: index for index, test in enumerate(protocol.tests)}
    before: set[str] = set()
    for test in protocol.tests_in_order:
        if test.ask_when is not None:
            scope = Scope(protocol, tests=frozenset(before), derived=(), features=())
            path = ("test", indexes[test.id], "ask_when")
            check_condition(test.ask_when, scope, path, report, test.sides)
        before.add(test.id)


def _check_graded(test: Test, path: KeyPath, protocol: Protocol, report: Report) -> None:
    if test.scale is None:
        report(path, "a graded test needs a scale.")
        return
    if not check_known(test.scale, protocol.scales, "scale", (*path, "scale"), report):
        return
    grades = protocol.scales[test.scale].grades
    if len(grades) > MOST_CHOICES:
        report((*path, "scale"), f"a scale has at most {MOST_CHOICES} grades, one a key.")
    for grade in test.grades:
        known = f"grade on the scale “{test.scale}” named"
        check_known(grade, grades, known, (*path, "grades", grade), report)


def _check_measured(test: Test, path: KeyPath, protocol: Protocol, report: Report) -> None:
    del protocol
    if test.step <= 0:
        report((*path, "step"), "the step must be above 0.")
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
    options = protocol.options_of(test)
    if not 2 <= len(options) <= MOST_CHOICES:
        report(path, f"a choice needs 2 to {MOST_CHOICES} options; this one has {len(options)}.")
    for index, option in enumerate(test.alone):
        check_known(option, options, "option", (*path, "alone", index), report)


def _check_text(test: Test, path: KeyPath, protocol: Protocol, report: Report) -> None:
    del protocol
    if test.scale or test.options or test.hard:
        report(path, "a text test takes no scale, options or limits.")


_CHECKS_BY_KIND = {
    Kind.GRADE: _check_graded,
    Kind.MEASURE: _check_measured,
    Kind.CHOICE: _check_choice,
    Kind.TEXT: _check_text,
}


def _check_bands(bands: tuple[Band, ...], path: KeyPath, report: Report) -> None:
    for index, band in enumerate(bands):
        low = band.at_least if band.at_least is not None else band.above
        high = band.at_most if band.at_most is not None else band.below
        inner = (*path, "bands", index)
        if low is None and high is None:
            report(inner, "a band needs a bound: at_least or above, at_most or below.")
        elif low is not None and high is not None and low > high:
            report(inner, "the lower bound lies above the upper one.")


def _check_derived(protocol: Protocol, report: Report) -> None:
    tests = frozenset(protocol.tests_by_id)
    before: list[str] = []
    for index, derived in enumerate(protocol.derived):
        path: KeyPath = ("derived", index)
        _check_basis(derived.basis, path, protocol, report)
        _check_bands(derived.bands, path, report)
        scope = Scope(protocol, tests=tests, derived=tuple(before), features=())
        if check_known(
            derived.calculation, CALCULATIONS, "calculation", (*path, "calculation"), report
        ):
            _check_signature(derived, path, report)
        for number, name in enumerate(derived.inputs):
            known = [*tests, *before]
            inner = (*path, "inputs", number)
            if check_known(name, known, "test or earlier derived value", inner, report):
                _check_is_number(name, protocol, inner, report)
        if derived.when is not None:
            check_condition(derived.when, scope, (*path, "when"), report, derived.sides)
        for key, condition in derived.conditions.items():
            inner = (*path, "conditions", key)
            check_condition(condition, scope, inner, report, derived.sides)
        for number, points in enumerate(derived.points):
            inner = (*path, "points", number, "when")
            check_condition(points.when, scope, inner, report, derived.sides)
        for number, row in enumerate(derived.rows):
            if row.when is not None:
                inner = (*path, "rows", number, "when")
                check_condition(row.when, scope, inner, report, derived.sides)
        before.append(derived.id)


def _check_is_number(name: str, protocol: Protocol, path: KeyPath, report: Report) -> None:
    test = protocol.tests_by_id.get(name)
    if test is not None and test.kind not in (Kind.GRADE, Kind.MEASURE):
        report(path, f"“{name}” is a {test.kind.value}; a calculation needs grades or numbers.")


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
    for table in ("points", "rows"):
        if bool(getattr(derived, table)) != (signature.table == table):
            needs = "needs" if signature.table == table else "takes no"
            report(path, f"the calculation “{derived.calculation}” {needs} “{table}”.")


def _check_names(
    calculation: str,
    kind: str,
    given: Mapping[str, object],
    wanted: tuple[str, ...],
    path: KeyPath,
    report: Report,
) -> None:
    what = kind.removesuffix("s")
    for name in given:
        known = f"{what} of “{calculation}” named"
        check_known(name, wanted, known, (*path, kind, name), report)
    for name in wanted:
        if name not in given:
            report((*path, kind), f"the calculation “{calculation}” needs the {what} “{name}”.")


def _check_checks_and_cautions(protocol: Protocol, report: Report) -> None:
    scope = Scope.of_findings(protocol)
    with_features = Scope.of_findings(protocol, tuple(protocol.features_by_id), cautions=True)
    for index, crosscheck in enumerate(protocol.crosschecks):
        path: KeyPath = ("crosscheck", index)
        _check_basis(crosscheck.basis, path, protocol, report)
        sees = with_features if crosscheck.stage is CheckStage.SUMMARY else scope
        check_condition(crosscheck.when, sees, (*path, "when"), report, crosscheck.sides)
        for number, name in enumerate(crosscheck.recheck):
            inner = (*path, "recheck", number)
            check_known(name, protocol.tests_by_id, "test", inner, report)
    for index, caution in enumerate(protocol.cautions):
        path = ("caution", index)
        _check_basis(caution.basis, path, protocol, report)
        check_condition(caution.when, scope, (*path, "when"), report, caution.sides)
        check_known(caution.urgency, protocol.urgencies, "urgency", (*path, "urgency"), report)


def _check_features(protocol: Protocol, report: Report) -> None:
    before: list[str] = []
    for index, feature in enumerate(protocol.features):
        path: KeyPath = ("feature", index)
        _check_basis(feature.basis, path, protocol, report)
        _check_feature(feature, path, report)
        for number, name in enumerate(feature.needs):
            check_known(name, protocol.tests_by_id, "test", (*path, "needs", number), report)
        if feature.applies_when is not None:
            scope = Scope.of_findings(protocol, features=tuple(before), cautions=True)
            inner = (*path, "applies_when")
            check_condition(feature.applies_when, scope, inner, report, feature.sides)
        before.append(feature.id)


def _check_feature(feature: Feature, path: KeyPath, report: Report) -> None:
    if feature.kind is FeatureKind.AMOUNT:
        _check_amount(feature, path, report)
        allowed = (AcrossPair.HIGHER, AcrossPair.LOWER)
    else:
        _check_options(feature, path, report)
        allowed = (AcrossPair.FIRST, AcrossPair.LAST)
    matching = feature.across_pair
    if matching and matching not in allowed:
        words = " or ".join(f"“{member.value}”" for member in allowed)
        report((*path, "across_pair"), f"this kind of feature is matched {words}.")
    if matching and feature.sides is Sides.ONCE:
        report((*path, "across_pair"), "only a feature of each foot is matched across the pair.")


def _check_amount(feature: Feature, path: KeyPath, report: Report) -> None:
    if feature.range is None or feature.range[0] >= feature.range[1]:
        report(path, "an amount needs “range”, smaller number first.")
    if feature.step <= 0:
        report((*path, "step"), "the step must be above 0.")
    if not isinstance(feature.start, int | float) or isinstance(feature.start, bool):
        report((*path, "start"), "an amount starts at a number.")
    elif feature.range and not feature.range[0] <= feature.start <= feature.range[1]:
        report((*path, "start"), "the start lies outside the range.")
    check_known(feature.cautious, ("low", "high"), "direction", (*path, "cautious"), report)


def _check_options(feature: Feature, path: KeyPath, report: Report) -> None:
    if len(feature.options) < 2:
        report((*path, "options"), "a feature with options needs two or more of them.")
    elif not isinstance(feature.start, str) or feature.start not in feature.options:
        report((*path, "start"), "the start must be one of the options.")


def _check_rules(protocol: Protocol, report: Report) -> None:
    order = {feature.id: number for number, feature in enumerate(protocol.features)}
    for index, rule in enumerate(protocol.rules):
        path: KeyPath = ("rule", index)
        _check_basis(rule.basis, path, protocol, report)
        if not rule.effects:
            report((*path, "effects"), "a rule needs at least one effect.")
        first = len(order)
        for number, effect in enumerate(rule.effects):
            inner = (*path, "effects", number)
            if check_known(effect.feature, order, "feature", (*inner, "feature"), report):
                first = min(first, order[effect.feature])
                feature = protocol.features_by_id[effect.feature]
                _check_effect(effect, feature, protocol, inner, report)
        if rule.when is not None:
            earlier = tuple(protocol.features[number].id for number in range(first))
            scope = Scope.of_findings(protocol, features=earlier, cautions=True)
            check_condition(rule.when, scope, (*path, "when"), report)


def _check_effect(
    effect: Effect, feature: Feature, protocol: Protocol, path: KeyPath, report: Report
) -> None:
    is_amount = feature.kind is FeatureKind.AMOUNT
    right, wrong = (AMOUNT_VERBS, OPTION_VERBS) if is_amount else (OPTION_VERBS, AMOUNT_VERBS)
    kind = "an amount" if is_amount else "a choice of options"
    for verb in wrong:
        if getattr(effect, verb) is not None:
            report(
                (*path, verb),
                f"“{feature.id}” is {kind}, which takes {', '.join(right)}; not {verb}.",
            )
    given = [verb for verb in right if getattr(effect, verb) is not None]
    if len(given) != 1:
        report(path, f"an effect says exactly one of {', '.join(right)}; found {len(given)}.")
    for verb in given:
        value = getattr(effect, verb)
        if isinstance(value, LookedUp):
            _check_looked_up(value, feature, protocol, (*path, verb), report)
        elif is_amount and (isinstance(value, bool) or not isinstance(value, int | float)):
            report((*path, verb), "an amount is a number, or { derived = … }.")
        elif not is_amount:
            for option in (value,) if isinstance(value, str) else value:
                check_known(option, feature.options, "option", (*path, verb), report)


def _check_looked_up(
    value: LookedUp, feature: Feature, protocol: Protocol, path: KeyPath, report: Report
) -> None:
    if (value.derived is None) is (value.feature is None):
        report(path, "an amount is looked up in one of: derived, feature.")
    elif value.derived is not None:
        inner = (*path, "derived")
        check_known(value.derived, protocol.derived_by_id, "derived value", inner, report)
    elif value.feature is not None:
        order = list(protocol.features_by_id)
        earlier = order[: order.index(feature.id)]
        inner = (*path, "feature")
        check_known(value.feature, earlier, "feature before this one named", inner, report)


def _check_exclusions_and_advice(protocol: Protocol, report: Report) -> None:
    order = [feature.id for feature in protocol.features]
    for index, exclusion in enumerate(protocol.exclusions):
        path: KeyPath = ("exclusion", index)
        _check_basis(exclusion.basis, path, protocol, report)
        known = [
            check_known(name, order, "feature", (*path, "features", number), report)
            for number, name in enumerate(exclusion.features)
        ]
        if all(known) and order.index(exclusion.features[0]) >= order.index(exclusion.features[1]):
            report(
                (*path, "features"),
                "name first the feature that stands first in the file; the later one gives way.",
            )
    scope = Scope.of_findings(protocol, features=tuple(order), cautions=True)
    for index, advice in enumerate(protocol.advice):
        path = ("advice", index)
        _check_basis(advice.basis, path, protocol, report)
        if advice.when is not None:
            check_condition(advice.when, scope, (*path, "when"), report)
