"""The summary as plain data for scripts: what ``examwalk summary --as json`` prints."""

from collections.abc import Iterable, Sequence
from typing import Any

from examwalk.protocol.model import Protocol
from examwalk.reasoning.fitting import case_of
from examwalk.reasoning.norms import references_of
from examwalk.reasoning.results import (
    AdviceGiven,
    CautionRaised,
    Collision,
    CrosscheckFired,
    DerivedResult,
    FeatureResult,
    MissingFinding,
    Summary,
    TraceStep,
)
from examwalk.reasoning.robustness import Robustness
from examwalk.reasoning.unanswered import Worth, in_order_of_worth
from examwalk.report.norm_words import references_data
from examwalk.report.record_words import record_data
from examwalk.report.robustness_data import robustness_data
from examwalk.report.shell_text import shells_data
from examwalk.report.unanswered_words import worth_data
from examwalk.report.words import review_date
from examwalk.session.model import Decision, Place, Session

Data = dict[str, Any]


def summary_data(
    protocol: Protocol,
    session: Session,
    summary: Summary,
    robustness: Robustness | None = None,
    worth: Sequence[Worth] = (),
) -> Data:
    """Return everything that follows from a visit as dicts, lists, texts and numbers.

    Args:
        protocol: what the visit is read with.
        session: the visit.
        summary: all that follows from it.
        robustness: what hangs on what; without it that key is null.
        worth: what unanswered tests could tell, the most telling first.
    """
    told = {one.place: one for one in worth}
    return {
        "session": _session(protocol, session, summary),
        "derived": [_derived(result) for result in summary.derived],
        "norms": references_data(references_of(case_of(protocol, session))),
        "crosschecks": [_crosscheck(check, session) for check in summary.crosschecks],
        "cautions": [
            *(_caution(caution, raised=True) for caution in summary.cautions),
            *(_caution(caution, raised=False) for caution in summary.open_cautions),
        ],
        "shells": shells_data(protocol, session, summary),
        "features": [_feature(result, robustness) for result in summary.features],
        "collisions": [_collision(collision) for collision in summary.collisions],
        "robustness": robustness_data(robustness) if robustness else None,
        "missing": [
            _missing(one, told.get(one.place)) for one in in_order_of_worth(summary.missing, worth)
        ],
        "advice": [_advice(advice) for advice in summary.advice],
        "decisions": [_decision(decision) for decision in session.decisions],
    }


def anonymous_data(data: Data) -> Data:
    """Return the data of a visit without names with no moment in it but the year."""
    session = data["session"]
    hidden = {"id": None, "patient": None, "examiner": None, "first_review": None, "record": None}
    years = {name: session[name] and session[name][:4] for name in ("started", "finished")}
    return {
        **data,
        "session": {**session, **hidden, **years},
        "crosschecks": [
            {**check, "replies": [_in_year(reply) for reply in check["replies"]]}
            for check in data["crosschecks"]
        ],
        "decisions": [_in_year(decision) for decision in data["decisions"]],
    }


def _in_year(said: Data) -> Data:
    return {**said, "at": said["at"][:4]}


def _session(protocol: Protocol, session: Session, summary: Summary) -> Data:
    review = review_date(session, summary)
    return {
        "id": session.id,
        "patient": session.patient,
        "examiner": session.examiner,
        "started": session.started.isoformat(),
        "finished": session.finished.isoformat() if session.finished else None,
        "state": session.state.value,
        "invented": session.invented,
        "protocol": session.protocol.id,
        "protocol_version": protocol.identity.version,
        "disclaimer": protocol.identity.disclaimer,
        "first_review": review.isoformat() if review else None,
        "record": record_data(session),
    }


def _derived(result: DerivedResult) -> Data:
    return {
        "id": result.id,
        "side": result.side.value,
        "value": result.value,
        "low": result.low,
        "high": result.high,
        "unit": result.unit,
        "band": result.band,
        "because": result.because,
        "inputs": _places(result.inputs),
        "missing": _places(result.missing),
        "basis": list(result.basis),
    }


def _crosscheck(check: CrosscheckFired, session: Session) -> Data:
    return {
        "id": check.id,
        "severity": check.severity.value,
        "side": check.side.value,
        "says": check.says,
        "why": check.why,
        "recheck": _places(check.recheck),
        "findings": _places(check.findings),
        "replies": [
            {
                "says": reply.says,
                "at": reply.at.isoformat(),
                "outdated": session.is_outdated(reply, check.findings),
            }
            for reply in session.replies
            if (reply.crosscheck, reply.side) == (check.id, check.side)
        ],
        "basis": list(check.basis),
    }


def _caution(caution: CautionRaised, *, raised: bool) -> Data:
    return {
        "id": caution.id,
        "title": caution.title,
        "raised": raised,
        "side": caution.side.value,
        "urgency": caution.urgency,
        "device": caution.device.value,
        "says": caution.says,
        "refer_to": caution.refer_to,
        "findings": _places(caution.findings),
        "missing": _places(caution.missing),
        "basis": list(caution.basis),
    }


def _feature(result: FeatureResult, robustness: Robustness | None) -> Data:
    return {
        "id": result.id,
        "title": result.title,
        "side": result.side.value,
        "status": result.status.value,
        "value": result.value,
        "unit": result.unit,
        "words": result.words,
        "standing": result.standing.value if result.standing else None,
        "cut": result.cut,
        "trace": [_step(step) for step in result.trace],
        "findings": _places(result.findings),
        "missing": _places(result.missing),
        "hangs_on": _places(robustness.hangs_on(result.id, result.side)) if robustness else None,
    }


def _step(step: TraceStep) -> Data:
    return {
        "rule": step.rule or None,
        "class": step.class_.value if step.class_ else None,
        "did": step.did,
        "before": step.before,
        "after": step.after,
        "changed": step.changed,
        "because": step.because,
        "findings": _places(step.findings),
        "basis": list(step.basis),
    }


def _collision(collision: Collision) -> Data:
    return {
        "feature": collision.feature,
        "side": collision.side.value,
        "says": collision.says,
        "stands": collision.stands,
        "rules": list(collision.rules),
        "needs_decision": collision.needs_decision,
    }


def _missing(one: MissingFinding, worth: Worth | None) -> Data:
    return {
        **_place(one.place),
        "not_done": one.reason or None,
        "could_raise": list(one.could_raise),
        "could_change": list(one.could_change),
        "answers": worth_data(worth) if worth else None,
    }


def _advice(advice: AdviceGiven) -> Data:
    return {
        "id": advice.id,
        "kind": advice.kind,
        "side": advice.side.value,
        "says": advice.says,
        "findings": _places(advice.findings),
        "basis": list(advice.basis),
    }


def _decision(decision: Decision) -> Data:
    return {
        "feature": decision.feature,
        "side": decision.side.value,
        "value": decision.value,
        "recommended": decision.recommended,
        "because": decision.because,
        "at": decision.at.isoformat(),
    }


def _place(place: Place) -> Data:
    return {"test": place.test, "side": place.side.value}


def _places(places: Iterable[Place]) -> list[Data]:
    return [_place(place) for place in places]
