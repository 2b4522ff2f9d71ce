"""Everything that follows from a session's findings, as one immutable value."""

from collections.abc import Mapping

from examwalk.protocol.caution_model import CheckStage
from examwalk.protocol.condition_model import DeviceEffect
from examwalk.protocol.derived_model import Derived
from examwalk.protocol.feature_model import FeatureKind
from examwalk.protocol.model import Protocol
from examwalk.protocol.wording import reason_words
from examwalk.reasoning.case import Case
from examwalk.reasoning.conditions_met import NO_FEATURES
from examwalk.reasoning.derived import DerivedValue
from examwalk.reasoning.features import NOTHING_ORDERED, Ordered, settle_features
from examwalk.reasoning.fitting import case_of
from examwalk.reasoning.intervals import Interval
from examwalk.reasoning.places import sides_of
from examwalk.reasoning.results import (
    AdviceGiven,
    CautionRaised,
    DerivedResult,
    FeatureResult,
    MissingFinding,
    Summary,
)
from examwalk.reasoning.settling import Value
from examwalk.reasoning.telling import with_telling_alone
from examwalk.session.model import Place, Session, Side


def summarise(protocol: Protocol, session: Session) -> Summary:
    """Reason from a session's findings under a protocol to one summary."""
    case = case_of(protocol, session)
    reasons = {
        finding.place: reason_words(protocol, finding.not_done)
        for finding in session.findings
        if finding.not_done is not None
    }
    return summarise_case(case, reasons, ordered_values(protocol, session))


def ordered_values(protocol: Protocol, session: Session) -> Ordered:
    """Return what was ordered, as far as the protocol still has such a feature and value."""
    ordered: dict[tuple[str, Side], Value] = {}
    for decision in session.decisions:
        feature = protocol.features_by_id.get(decision.feature)
        if feature is None or decision.side not in sides_of(feature.sides):
            continue
        if feature.kind is FeatureKind.AMOUNT and not isinstance(decision.value, str):
            ordered[feature.id, decision.side] = float(decision.value)
        elif isinstance(decision.value, str) and decision.value in feature.options:
            ordered[feature.id, decision.side] = decision.value
    return ordered


def summarise_case(
    case: Case, not_done: Mapping[Place, str], ordered: Ordered | None = None
) -> Summary:
    """Reason from a case to one summary.

    Args:
        case: the findings under their protocol.
        not_done: for each place that was not done, the reason in words.
        ordered: what the clinician has ordered so far; later features follow it.
    """
    ordered = NOTHING_ORDERED if ordered is None else ordered
    settled = settle_features(case, ordered)
    results = with_telling_alone(case, settled.results, ordered)
    features = settled.as_ordered
    missing = _missing(case, results, case.open_cautions, not_done)
    return Summary(
        derived=_derived(case),
        crosschecks=case.crosschecks_at(tuple(CheckStage), features),
        cautions=case.cautions,
        open_cautions=case.open_cautions,
        features=results,
        collisions=settled.collisions,
        missing=missing,
        not_done=tuple(one for one in missing if one.reason),
        advice=_advice(case, features),
    )


def _derived(case: Case) -> tuple[DerivedResult, ...]:
    results = []
    kept = case.memory.kept
    for derived, side, number in case.memory.questions.numbers():
        value = number(case, NO_FEATURES)
        if value.interval is not None:
            key = ("derived-result", derived.id, side, id(value))
            results.append(kept(key, (derived, side, value), _derived_result))
    return tuple(results)


def _derived_result(derived: Derived, side: Side, value: DerivedValue) -> DerivedResult:
    bounds = None if value.may_lapse else value.interval
    return DerivedResult(
        id=derived.id,
        title=derived.title,
        side=side,
        low=bounds.low if bounds else None,
        high=bounds.high if bounds else None,
        unit=derived.unit,
        decimals=derived.decimals,
        band=_band(derived, bounds),
        because=value.because,
        inputs=value.findings,
        missing=value.missing,
        basis=derived.basis,
        internal=derived.internal,
        unit_one=derived.unit_one,
    )


def _band(derived: Derived, bounds: Interval | None) -> str:
    if bounds is None or not bounds.is_settled:
        return ""
    return next((band.label for band in derived.bands if band.holds(bounds.low)), "")


def _advice(
    case: Case, features: Mapping[tuple[str, Side], FeatureResult]
) -> tuple[AdviceGiven, ...]:
    given = []
    questions = case.memory.questions
    for advice, side, question in questions.of_each(case.protocol.advice, on_feet=True):
        if question.certainty(case, features) is False:
            continue
        verdict = question.verdict(case, features)
        if verdict.holds:
            given.append(
                AdviceGiven(
                    id=advice.id,
                    kind=advice.kind,
                    side=side,
                    says=advice.says,
                    findings=verdict.findings,
                    basis=advice.basis,
                )
            )
    return tuple(given)


def _missing(
    case: Case,
    features: tuple[FeatureResult, ...],
    open_cautions: tuple[CautionRaised, ...],
    not_done: Mapping[Place, str],
) -> tuple[MissingFinding, ...]:
    """List what has no answer, most consequential first: stops, cautions, then features."""
    missing = []
    for place in case.unanswered:
        cautions = [caution for caution in open_cautions if place in caution.missing]
        changes = dict.fromkeys(result.title for result in features if place in result.missing)
        stops = sum(caution.device is DeviceEffect.STOP for caution in cautions)
        finding = MissingFinding(
            place=place,
            reason=not_done.get(place, ""),
            could_raise=tuple(dict.fromkeys(caution.title for caution in cautions)),
            could_change=tuple(changes),
        )
        missing.append(((-stops, -len(cautions), -len(changes)), finding))
    return tuple(finding for _, finding in sorted(missing, key=lambda ranked: ranked[0]))
