"""A visit as one FHIR R4 Bundle (HL7 FHIR 4.0.1)."""

import json
from hashlib import sha256

from attrs import evolve

from examwalk import __version__
from examwalk.language import say
from examwalk.protocol.model import Protocol
from examwalk.reasoning.results import Summary
from examwalk.reasoning.summary import summarise
from examwalk.report.anonymous import anonymous as without_names
from examwalk.report.fhir_conclusions import detected_issue, device_requests, flag
from examwalk.report.fhir_findings import derived_observation, observation, observed_places
from examwalk.report.fhir_forms import questionnaire, questionnaire_response
from examwalk.report.fhir_parts import OURS, TERMINOLOGY, Resource, Visit
from examwalk.session.model import Session


def fhir_bundle(
    protocol: Protocol,
    session: Session,
    summary: Summary,
    *,
    anonymous: bool = False,
    snomed: bool = True,
) -> Resource:
    """Return everything about a visit as plain data; the same visit gives the same.

    Args:
        protocol: what the visit is read with.
        session: the visit.
        summary: all that follows from it.
        anonymous: leave out the patient's code, the examiner, whatever was written freely, and
            all of each time but its year. Nothing can be told from the identities then.
        snomed: give codes of SNOMED CT beside our own.
    """
    if anonymous:
        protocol, session = without_names(protocol, session)
        summary = summarise(protocol, session)
    visit = Visit(protocol, session, summary, session.id, anonymous, snomed)
    if anonymous:
        # An identity made from the visit's own could be found by trying; this one says no more
        # than the rest does.
        content = json.dumps(_bundle(evolve(visit, seed="")), sort_keys=True)
        visit = evolve(visit, seed=sha256(content.encode()).hexdigest())
    return _bundle(visit)


def _bundle(visit: Visit) -> Resource:
    resources = (*_resources(visit), *(() if visit.anonymous else (_provenance(visit),)))
    bundle: Resource = {
        "resourceType": "Bundle",
        "id": visit.uuid("bundle"),
        "type": "collection",
        "entry": [{"fullUrl": f"urn:uuid:{one['id']}", "resource": one} for one in resources],
    }
    return bundle if visit.anonymous else {**bundle, "timestamp": _recorded(visit)}


def _resources(visit: Visit) -> tuple[Resource, ...]:
    summary = visit.summary
    return (
        _patient(visit),
        _software(visit),
        questionnaire(visit),
        questionnaire_response(visit),
        *(observation(visit, place) for place in observed_places(visit)),
        *(derived_observation(visit, one) for one in summary.derived if not one.internal),
        *(detected_issue(visit, one) for one in summary.crosschecks),
        *(flag(visit, one) for one in summary.cautions),
        *device_requests(visit),
    )


def _patient(visit: Visit) -> Resource:
    patient: Resource = {"resourceType": "Patient", "id": visit.uuid("patient")}
    if visit.session.invented:
        tag = {"system": f"{OURS}:tag", "code": "invented", "display": say("invented patient")}
        patient["meta"] = {"tag": [tag]}
    if not visit.anonymous:
        patient["identifier"] = [{"system": f"{OURS}:patient", "value": visit.session.patient}]
    return patient


def _software(visit: Visit) -> Resource:
    return {
        "resourceType": "Device",
        "id": visit.uuid("software"),
        "status": "active",
        "deviceName": [{"name": "examwalk", "type": "user-friendly-name"}],
        "version": [{"value": __version__}],
    }


def _provenance(visit: Visit) -> Resource:
    session = visit.session
    targets = [one for one in _resources(visit) if one["resourceType"] not in ("Patient", "Device")]
    used = session.protocol
    protocol: Resource = {"display": f"{used.id} {used.version}"}
    if used.fingerprint:
        protocol["identifier"] = {"system": f"{OURS}:sha256", "value": used.fingerprint}
    return {
        "resourceType": "Provenance",
        "id": visit.uuid("provenance"),
        "target": [{"reference": f"urn:uuid:{one['id']}"} for one in targets],
        "recorded": _recorded(visit),
        "agent": [
            _agent("author", {"display": session.examiner or say("not stated")}),
            _agent("assembler", visit.reference("software")),
        ],
        "entity": [{"role": "source", "what": protocol}],
    }


def _agent(role: str, who: Resource) -> Resource:
    system = f"{TERMINOLOGY}/provenance-participant-type"
    return {"type": {"coding": [{"system": system, "code": role}]}, "who": who}


def _recorded(visit: Visit) -> str:
    """Return the last moment at which anything of the visit was recorded."""
    session = visit.session
    moments = [session.started, *(finding.at for finding in session.findings)]
    moments += [decision.at for decision in session.decisions]
    moments += [reply.at for reply in session.replies]
    moments += [amendment.at for amendment in session.amendments]
    moments += [session.finished] if session.finished else []
    moments += [session.signature.at] if session.signature else []
    return max(moments).isoformat()
