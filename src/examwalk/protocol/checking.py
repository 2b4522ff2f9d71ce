"""The meaning of a protocol: do its parts refer to each other rightly?

Every function takes the protocol and a report and looks at one kind of table. Key paths are
those of the merged document.
"""

from examwalk.protocol.caution_model import CheckStage
from examwalk.protocol.chart_checking import check_charts
from examwalk.protocol.condition_checking import Scope, check_condition
from examwalk.protocol.derived_checking import check_derived
from examwalk.protocol.exam_checking import check_exam
from examwalk.protocol.feature_checking import check_exclusions, check_features, check_rules
from examwalk.protocol.model import Protocol
from examwalk.protocol.references import Report, check_basis, check_known
from examwalk.protocol.shell_checking import check_shells
from examwalk.protocol.structuring import keys_of


def check(protocol: Protocol, report: Report) -> None:
    """Report every reference, range and order that cannot be right."""
    minutes = protocol.identity.minutes
    if minutes is not None and minutes < 1:
        report(("protocol", "minutes"), "an exam takes at least one minute.")
    _check_unique_ids(protocol, report)
    check_exam(protocol, report)
    check_derived(protocol, report)
    _check_crosschecks(protocol, report)
    _check_cautions(protocol, report)
    check_features(protocol, report)
    check_rules(protocol, report)
    check_exclusions(protocol, report)
    _check_advice(protocol, report)
    check_shells(protocol, report)
    check_charts(protocol, report)


def _check_unique_ids(protocol: Protocol, report: Report) -> None:
    for key, (name, _, _) in keys_of(Protocol).items():
        seen: set[str] = set()
        items = getattr(protocol, name)
        for index, item in enumerate(items if isinstance(items, tuple) else ()):
            if not hasattr(item, "id"):
                continue
            if item.id in seen:
                report(
                    (key, index, "id"),
                    f"the id “{item.id}” is given twice; give one of them another id.",
                )
            seen.add(item.id)


def _check_crosschecks(protocol: Protocol, report: Report) -> None:
    findings = Scope.of_findings(protocol)
    settled = Scope.of_findings(protocol, tuple(protocol.features_by_id), cautions=True)
    for index, crosscheck in enumerate(protocol.crosschecks):
        path = ("crosscheck", index)
        check_basis(crosscheck.basis, path, protocol, report)
        scope = settled if crosscheck.stage is CheckStage.SUMMARY else findings
        check_condition(crosscheck.when, scope, (*path, "when"), report, crosscheck.sides)
        if not crosscheck.recheck:
            report((*path, "recheck"), "name at least one test to look at again.")
        for number, name in enumerate(crosscheck.recheck):
            inner = (*path, "recheck", number)
            check_known(name, protocol.tests_by_id, "test", inner, report)


def _check_cautions(protocol: Protocol, report: Report) -> None:
    scope = Scope.of_findings(protocol)
    for index, caution in enumerate(protocol.cautions):
        path = ("caution", index)
        check_basis(caution.basis, path, protocol, report)
        check_condition(caution.when, scope, (*path, "when"), report, caution.sides)
        check_known(caution.urgency, protocol.urgencies, "urgency", (*path, "urgency"), report)


def _check_advice(protocol: Protocol, report: Report) -> None:
    features = tuple(protocol.features_by_id)
    scope = Scope.of_findings(protocol, features=features, cautions=True)
    for index, advice in enumerate(protocol.advice):
        path = ("advice", index)
        check_basis(advice.basis, path, protocol, report)
        if advice.when is not None:
            check_condition(advice.when, scope, (*path, "when"), report)
