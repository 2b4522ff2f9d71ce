"""The meaning of features, of the rules that act on them, and of exclusions."""

from typing import TypeGuard

from examwalk.protocol.condition_checking import Scope, check_condition
from examwalk.protocol.feature_model import (
    AMOUNT_VERBS,
    OPTION_VERBS,
    AcrossPair,
    Effect,
    Exclusion,
    Feature,
    FeatureKind,
    LookedUp,
    Rule,
)
from examwalk.protocol.key_types import Number, Scalar, Sides
from examwalk.protocol.locating import KeyPath
from examwalk.protocol.mark_checking import check_marks
from examwalk.protocol.model import Protocol
from examwalk.protocol.patient_model import WearingIn
from examwalk.protocol.references import (
    Report,
    check_basis,
    check_keys_of_kind,
    check_known,
    check_step,
)

_MINUTES_A_DAY = 24 * 60
_LONGEST_PLAN_DAYS = 60

_KEYS_BY_KIND = {
    FeatureKind.AMOUNT.value: (
        "unit",
        "range",
        "step",
        "cautious",
        "zero",
        "positive",
        "negative",
        "across_pair_within",
    ),
    FeatureKind.OPTION.value: ("options",),
}


def check_features(protocol: Protocol, report: Report) -> None:
    """Report every feature that could not be settled."""
    before: list[str] = []
    for index, feature in enumerate(protocol.features):
        path: KeyPath = ("feature", index)
        check_basis(feature.basis, path, protocol, report)
        check_keys_of_kind(feature, feature.kind.value, _KEYS_BY_KIND, path, report)
        if feature.kind is FeatureKind.AMOUNT:
            _check_amount(feature, path, report)
        else:
            _check_options(feature, path, report)
        _check_across_pair(feature, path, report)
        check_marks(feature, path, protocol, report)
        for number, name in enumerate(feature.needs):
            check_known(name, protocol.tests_by_id, "test", (*path, "needs", number), report)
        if feature.applies_when is not None:
            scope = Scope.of_findings(protocol, features=tuple(before), cautions=True)
            inner = (*path, "applies_when")
            check_condition(feature.applies_when, scope, inner, report, feature.sides)
        before.append(feature.id)


def _check_amount(feature: Feature, path: KeyPath, report: Report) -> None:
    if feature.range is None or feature.range[0] >= feature.range[1]:
        report((*path, "range"), "an amount needs “range”, smaller number first.")
    check_step(feature.step, path, report)
    if not _is_number(feature.start):
        report((*path, "start"), "an amount starts at a number.")
    else:
        _check_in_range(feature, feature.start, (*path, "start"), report)
    check_known(feature.cautious, ("low", "high"), "direction", (*path, "cautious"), report)


def _check_options(feature: Feature, path: KeyPath, report: Report) -> None:
    if len(feature.options) < 2:
        report((*path, "options"), "a feature with options needs two or more of them.")
    elif not isinstance(feature.start, str):
        listed = ", ".join(feature.options)
        report((*path, "start"), f"a feature with options starts at one of them: {listed}.")
    else:
        check_known(feature.start, feature.options, "option", (*path, "start"), report)
    for name, option in feature.options.items():
        if option.wearing_in is not None:
            _check_wearing_in(option.wearing_in, (*path, "options", name, "wearing_in"), report)


def _check_wearing_in(wearing: WearingIn, path: KeyPath, report: Report) -> None:
    keys = ("first_minutes", "add_minutes", "full_minutes")
    wrong = [key for key in keys if not 1 <= getattr(wearing, key) <= _MINUTES_A_DAY]
    for key in wrong:
        report((*path, key), f"minutes of a day lie between 1 and {_MINUTES_A_DAY}.")
    if wrong:
        return
    if wearing.full_minutes < wearing.first_minutes:
        report((*path, "full_minutes"), "the last day is not shorter than the first.")
    elif len(wearing.minutes_by_day) > _LONGEST_PLAN_DAYS:
        report(
            (*path, "add_minutes"),
            f"this plan has {len(wearing.minutes_by_day)} days; at most {_LONGEST_PLAN_DAYS}, so"
            " that it can be read and kept.",
        )


def _check_across_pair(feature: Feature, path: KeyPath, report: Report) -> None:
    is_amount = feature.kind is FeatureKind.AMOUNT
    fitting = (
        (AcrossPair.HIGHER, AcrossPair.LOWER)
        if is_amount
        else (
            AcrossPair.FIRST,
            AcrossPair.LAST,
        )
    )
    if feature.across_pair and feature.across_pair not in fitting:
        words = " or ".join(f"“{member.value}”" for member in fitting)
        report((*path, "across_pair"), f"this kind of feature is matched {words}.")
    for key in ("across_pair", "across_pair_within"):
        if feature.sides is Sides.ONCE and getattr(feature, key) is not None:
            report((*path, key), "only a feature of each foot is matched across the pair.")
    if feature.across_pair_within is not None and feature.across_pair_within < 0:
        report((*path, "across_pair_within"), "the difference allowed is 0 or more.")


def check_rules(protocol: Protocol, report: Report) -> None:
    """Report every rule whose grounds or effects cannot be."""
    for index, rule in enumerate(protocol.rules):
        path: KeyPath = ("rule", index)
        check_basis(rule.basis, path, protocol, report)
        if not rule.effects:
            report((*path, "effects"), "a rule needs at least one effect.")
        for number, effect in enumerate(rule.effects):
            _check_effect(effect, protocol, (*path, "effects", number), report)
        if rule.when is not None:
            earlier = _settled_before(rule, protocol)
            scope = Scope.of_findings(protocol, features=earlier, cautions=True)
            check_condition(rule.when, scope, (*path, "when"), report)


def _settled_before(rule: Rule, protocol: Protocol) -> tuple[str, ...]:
    """Return the features that stand before all those on which the rule acts."""
    acted_on = {effect.feature for effect in rule.effects}
    order = [feature.id for feature in protocol.features]
    first = min((order.index(name) for name in acted_on if name in order), default=len(order))
    return tuple(order[:first])


def _check_effect(effect: Effect, protocol: Protocol, path: KeyPath, report: Report) -> None:
    known = protocol.features_by_id
    if not check_known(effect.feature, known, "feature", (*path, "feature"), report):
        return
    feature = known[effect.feature]
    is_amount = feature.kind is FeatureKind.AMOUNT
    right, wrong = (AMOUNT_VERBS, OPTION_VERBS) if is_amount else (OPTION_VERBS, AMOUNT_VERBS)
    kind = "an amount" if is_amount else "a choice of options"
    unfit = [verb for verb in wrong if getattr(effect, verb) is not None]
    for verb in unfit:
        report(
            (*path, verb),
            f"“{feature.id}” is {kind}, which takes {', '.join(right)}; not {verb}.",
        )
    given = [verb for verb in right if getattr(effect, verb) is not None]
    if len(given) != 1 and not unfit:
        found = " and ".join(given) or "none"
        report(path, f"an effect says exactly one of {', '.join(right)}; found {found}.")
    for verb in given:
        inner = (*path, verb)
        if is_amount:
            _check_amount_effect(getattr(effect, verb), verb, feature, protocol, inner, report)
        else:
            _check_option_effect(getattr(effect, verb), feature, inner, report)


def _check_amount_effect(
    value: Scalar | LookedUp,
    verb: str,
    feature: Feature,
    protocol: Protocol,
    path: KeyPath,
    report: Report,
) -> None:
    if isinstance(value, LookedUp):
        _check_looked_up(value, feature, protocol, path, report)
    elif not _is_number(value):
        report(path, "an amount is a number, or { derived = … }.")
    elif verb != "add":
        _check_in_range(feature, value, path, report)


def _check_option_effect(
    value: str | tuple[str, ...], feature: Feature, path: KeyPath, report: Report
) -> None:
    if isinstance(value, str):
        check_known(value, feature.options, "option", path, report)
        return
    if not value:
        report(path, "this list is empty; name the options that are ruled out.")
    elif set(feature.options) <= set(value):
        report(path, f"this leaves no option of “{feature.id}”.")
    for index, option in enumerate(value):
        check_known(option, feature.options, "option", (*path, index), report)


def _check_looked_up(
    value: LookedUp, feature: Feature, protocol: Protocol, path: KeyPath, report: Report
) -> None:
    if (value.derived is None) is (value.feature is None):
        report(path, "an amount is looked up in one of: derived, feature.")
    elif value.derived is not None:
        inner = (*path, "derived")
        if check_known(value.derived, protocol.derived_by_id, "derived value", inner, report):
            sides = protocol.derived_by_id[value.derived].sides
            _check_same_sides(value.derived, sides, feature, inner, report)
    elif value.feature is not None:
        inner = (*path, "feature")
        order = list(protocol.features_by_id)
        earlier = order[: order.index(feature.id)]
        what = "feature before this one named"
        if check_known(value.feature, earlier, what, inner, report):
            found = protocol.features_by_id[value.feature]
            if found.kind is FeatureKind.OPTION:
                report(inner, f"“{found.id}” is a choice of options, not an amount.")
            _check_same_sides(found.id, found.sides, feature, inner, report)


def _check_same_sides(
    name: str, sides: Sides, feature: Feature, path: KeyPath, report: Report
) -> None:
    if feature.sides is Sides.ONCE and sides is Sides.EACH:
        report(path, f"“{name}” has two sides, but “{feature.id}” is one for the pair.")


def _check_in_range(feature: Feature, value: Number, path: KeyPath, report: Report) -> None:
    low, high = feature.range or (0, 0)
    if low < high and not low <= value <= high:
        report(path, f"{value} lies outside the range of “{feature.id}”, {low} to {high}.")


def _is_number(value: object) -> TypeGuard[Number]:
    return isinstance(value, int | float) and not isinstance(value, bool)


def check_exclusions(protocol: Protocol, report: Report) -> None:
    """Report exclusions of features that are unknown or in the wrong order."""
    for index, exclusion in enumerate(protocol.exclusions):
        path: KeyPath = ("exclusion", index)
        check_basis(exclusion.basis, path, protocol, report)
        known = [
            check_known(
                name, protocol.features_by_id, "feature", (*path, "features", number), report
            )
            for number, name in enumerate(exclusion.features)
        ]
        if all(known):
            _check_exclusion_order(exclusion, protocol, (*path, "features"), report)


def _check_exclusion_order(
    exclusion: Exclusion, protocol: Protocol, path: KeyPath, report: Report
) -> None:
    first, second = (protocol.features_by_id[name] for name in exclusion.features)
    order = list(protocol.features_by_id)
    if first is second:
        report(path, f"“{first.id}” cannot exclude itself; name two features.")
    elif order.index(first.id) > order.index(second.id):
        report(
            path,
            "name first the feature that stands first in the file; the later one gives way.",
        )
    elif first.sides is Sides.EACH and second.sides is Sides.ONCE:
        report(path, f"“{first.id}” is for each foot, but “{second.id}” is one for the pair.")
