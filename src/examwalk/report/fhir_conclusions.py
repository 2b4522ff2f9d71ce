"""What follows from the findings, as FHIR: cross-checks, cautions and what to make."""

from collections.abc import Iterable

from examwalk.language import say
from examwalk.protocol.caution_model import CheckSeverity
from examwalk.protocol.feature_model import FeatureKind
from examwalk.reasoning.results import CautionRaised, CrosscheckFired, FeatureResult, FeatureStatus
from examwalk.report.fhir_findings import observed_places
from examwalk.report.fhir_parts import (
    OURS,
    TERMINOLOGY,
    Resource,
    Visit,
    observation_key,
    quantity,
)
from examwalk.report.sides import side_heading, with_side
from examwalk.session.model import BOTH_FEET, Decision, Place, Side

_SEVERITIES = {
    CheckSeverity.IMPOSSIBLE: "high",
    CheckSeverity.UNLIKELY: "moderate",
    CheckSeverity.LOOK_AGAIN: "low",
}


def check_key(check: CrosscheckFired) -> str:
    """Return the key of a cross-check that fired."""
    return f"crosscheck/{check.id}/{check.side.value}"


def caution_key(caution: CautionRaised) -> str:
    """Return the key of a caution that is raised."""
    return f"caution/{caution.id}/{caution.side.value}"


def detected_issue(visit: Visit, check: CrosscheckFired) -> Resource:
    """Return findings that do not fit together, and what the clinician answered."""
    issue: Resource = {
        "resourceType": "DetectedIssue",
        "id": visit.uuid(check_key(check)),
        "status": "final",
        "code": {"coding": [{"system": f"{visit.own}:crosscheck", "code": check.id}]},
        "severity": _SEVERITIES[check.severity],
        "patient": visit.subject,
        "detail": f"{side_heading(check.side)}: {check.says} {check.why}".strip(),
    }
    if implicated := _observations(visit, check.findings):
        issue["implicated"] = implicated
    replies = [
        {
            "action": {"text": say("answered") if visit.anonymous else reply.says},
            "date": visit.time(reply.at),
        }
        for reply in visit.session.replies
        if (reply.crosscheck, reply.side) == (check.id, check.side)
    ]
    return issue | ({"mitigation": replies} if replies else {})


def flag(visit: Visit, caution: CautionRaised) -> Resource:
    """Return a caution that the next reader must not miss."""
    words = [f"{with_side(caution.title, caution.side)}: {caution.says}", caution.urgency_words]
    if caution.refer_to:
        words.append(say("Refer to {whom}", whom=caution.refer_to))
    code = visit.coding("caution", caution.id, caution.title)
    return {
        "resourceType": "Flag",
        "id": visit.uuid(caution_key(caution)),
        "status": "active",
        "category": [{"coding": [{"system": f"{TERMINOLOGY}/flag-category", "code": "clinical"}]}],
        "code": {"coding": [code], "text": " · ".join(words)},
        "subject": visit.subject,
        "period": {"start": visit.time(visit.session.started)},
    }


def device_requests(visit: Visit) -> tuple[Resource, ...]:
    """Return what to make for each foot: an order once the visit is signed, else a proposal."""
    requests = (_device_request(visit, side) for side in BOTH_FEET)
    return tuple(request for request in requests if request is not None)


def device_key(side: Side) -> str:
    """Return the key of what to make for a foot."""
    return f"device-request/{side.value}"


def _device_request(visit: Visit, side: Side) -> Resource | None:
    """Return what to make for one foot; nothing where no feature of that foot has a value."""
    ordered = {(one.feature, one.side): one for one in visit.session.decisions}
    is_order = visit.session.signature is not None and bool(ordered)
    results = [result for result in visit.summary.features if result.side in (side, Side.WHOLE)]
    valued = [
        (result, value)
        for result in results
        if (value := _value(result, ordered.get((result.id, result.side)), is_order)) is not None
    ]
    if not any(result.side is side for result, _ in valued):
        return None
    signature = visit.session.signature
    parameters: list[Resource] = [
        {"code": _ours("side", say("Side")), "valueCodeableConcept": visit.side(side)},
        *(_parameter(visit, result, value) for result, value in valued),
    ]
    request: Resource = {
        "resourceType": "DeviceRequest",
        "id": visit.uuid(device_key(side)),
        "groupIdentifier": {"system": f"{OURS}:order", "value": visit.uuid("order")},
        "status": "active" if is_order else "draft",
        "intent": "order" if is_order else "proposal",
        "codeCodeableConcept": _ours("foot-orthosis", with_side(say("Foot orthosis"), side)),
        "parameter": parameters,
        "subject": visit.subject,
        "authoredOn": visit.time(signature.at if signature else visit.session.started),
    }
    if signature and is_order and not visit.anonymous:
        request["requester"] = {"display": signature.by}
    return request | _grounds(visit, [result for result, _ in valued], side)


def _grounds(visit: Visit, results: list[FeatureResult], side: Side) -> Resource:
    """Return what the values rest on, what to know beside them, and reasons to differ."""
    grounds: Resource = {}
    places = dict.fromkeys(place for result in results for place in result.findings)
    if reasons := _observations(visit, places):
        grounds["reasonReference"] = reasons
    beside = [
        *(caution_key(one) for one in visit.summary.cautions if one.side in (side, Side.WHOLE)),
        *(check_key(one) for one in visit.summary.crosschecks if one.side in (side, Side.WHOLE)),
    ]
    if beside:
        grounds["supportingInfo"] = [visit.reference(key) for key in beside]
    titles = {result.id: result.title for result in results}
    notes = [
        {"text": f"{titles[one.feature]}: {one.because}"}
        for one in visit.session.decisions
        if one.because and one.feature in titles and one.side in (side, Side.WHOLE)
    ]
    if notes and not visit.anonymous:
        grounds["note"] = notes
    return grounds


def _value(result: FeatureResult, decision: Decision | None, is_order: bool) -> str | float | None:
    """Return what is ordered, else what is recommended; an order holds only what was ordered."""
    if decision is not None:
        return decision.value
    if is_order or result.status is not FeatureStatus.RECOMMENDED:
        return None
    return result.value


def _parameter(visit: Visit, result: FeatureResult, value: str | float) -> Resource:
    feature = visit.protocol.features_by_id[result.id]
    code = visit.concept("feature", result.id, result.title)
    if feature.kind is FeatureKind.AMOUNT and not isinstance(value, str):
        number = int(value) if float(value).is_integer() else value
        return {"code": code, "valueQuantity": quantity(number, feature.unit)}
    option = feature.options.get(str(value))
    words = option.label if option else str(value)
    concept = visit.concept(f"option:{result.id}", str(value), words)
    return {"code": code, "valueCodeableConcept": concept}


def _ours(code: str, text: str) -> Resource:
    return {"coding": [{"system": f"{OURS}:order", "code": code}], "text": text}


def _observations(visit: Visit, places: Iterable[Place]) -> list[Resource]:
    observed = set(observed_places(visit))
    return [visit.reference(observation_key(place)) for place in places if place in observed]
