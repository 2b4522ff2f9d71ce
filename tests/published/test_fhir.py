"""Visits as FHIR R4, held against outside models, HL7's own schema and HL7's invariants."""

import json
import os
from collections import Counter
from datetime import UTC, datetime
from pathlib import Path

import pytest
from attrs import evolve

from examwalk.reasoning.summary import summarise
from examwalk.report.fhir_bundle import fhir_bundle
from examwalk.report.fhir_reading import findings_from
from examwalk.session.model import Decision, Finding, Place, Reply, Side, State
from examwalk.session.protocol_used import protocol_for
from examwalk.session.signing import sign
from examwalk.session.storing import read_session

SESSIONS = Path(__file__).parents[2] / "sessions"
EXAMPLES = tuple(sorted(path.stem for path in SESSIONS.glob("*.toml")))
SCHEMA_VARIABLE = "EXAMWALK_FHIR_SCHEMA"
LATER = datetime(2026, 11, 2, 10, 0, tzinfo=UTC)

# HL7 FHIR R4: the invariants of these names.
INVARIANTS = (
    ("obs-6", "Observation", "dataAbsentReason.empty() or value.empty()"),
    ("obs-3", "Observation", "referenceRange.all(low.exists() or high.exists() or text.exists())"),
    ("que-2", "Questionnaire", "descendants().linkId.isDistinct()"),
    ("que-1", "Questionnaire", "descendants().where(type = 'group').all(item.exists())"),
    ("bdl-7", "Bundle", "entry.fullUrl.isDistinct()"),
    ("bdl-1", "Bundle", "total.empty() or type = 'searchset' or type = 'history'"),
)


def example(name: str):
    """Read an example with its protocol."""
    session = read_session(SESSIONS / f"{name}.toml")
    return protocol_for(session, SESSIONS)[0].protocol, session


def written(protocol, session, **options):
    """Write a visit and read the text back, as a receiver does."""
    bundle = fhir_bundle(protocol, session, summarise(protocol, session), **options)
    return json.loads(json.dumps(bundle, ensure_ascii=False))


def of_kind(bundle, kind: str):
    found = [entry["resource"] for entry in bundle["entry"]]
    return [one for one in found if one["resourceType"] == kind]


def odd(session):
    """Make a visit with whatever is rare: notes, not done, a caution, a reply, orders, a sign."""
    first, second, third = session.findings[40:43]
    changed = (
        evolve(first, note="=1 <b>note</b> עברית 🦶\nsecond line"),
        evolve(second, answer=None, not_done="refused", note="asked twice"),
        evolve(third, answer=None, not_done="bandaged by the ward"),
    )
    findings = (*session.findings[:40], *changed, *session.findings[43:-6])
    session = evolve(session, findings=findings)
    swelling = Finding(Place("alarm-signs", Side.WHOLE), LATER, answer=("joint-swelling",))
    reply = Reply("lunge-sides-differ", Side.WHOLE, LATER, "Measured again: it stands.")
    return evolve(session.with_finding(swelling), replies=(reply,))


def hot(session):
    """Make a visit with a caution that leaves nothing to make."""
    return session.with_finding(Finding(Place("hot-swollen-foot", Side.LEFT), LATER, answer="yes"))


def signed(session):
    decisions = (
        Decision("heel-lift", Side.LEFT, 2, 4, LATER, "Her shoe takes no more."),
        Decision("shell-material", Side.RIGHT, "polypropylene", "polypropylene", LATER),
    )
    session = evolve(session, decisions=decisions, state=State.FINISHED, finished=LATER)
    return sign(session, "MK", LATER)


@pytest.fixture(scope="module")
def bundles():
    """Every example, and one with all that is rare, open and signed."""
    found = {}
    for name in EXAMPLES:
        found[name] = written(*example(name))
    protocol, session = example("heel-pain-right")
    found["odd"] = written(protocol, odd(session))
    found["hot"] = written(protocol, hot(session))
    found["signed"] = written(protocol, signed(session))
    found["open"] = written(protocol, evolve(session, state=State.OPEN, finished=None))
    found["empty"] = written(
        protocol, evolve(session, state=State.OPEN, finished=None, findings=(), examiner="")
    )
    found["anonymous"] = written(protocol, odd(session), anonymous=True)
    return found


class TestFromOutside:
    def test_the_models_of_another_library_take_every_bundle(self, bundles):
        models = pytest.importorskip("fhir.resources.R4B.bundle", reason="needs fhir.resources")
        for bundle in bundles.values():
            models.Bundle.model_validate(bundle)

    def test_the_schema_of_hl7_takes_every_resource(self, bundles):
        path = os.environ.get(SCHEMA_VARIABLE)
        if not path:
            pytest.skip(f"{SCHEMA_VARIABLE} names no copy of HL7's fhir.schema.json of R4")
        jsonschema = pytest.importorskip("jsonschema")
        schema = json.loads(Path(path).read_text(encoding="utf-8"))
        for name, bundle in bundles.items():
            for kind in {entry["resource"]["resourceType"] for entry in bundle["entry"]}:
                target = {"$ref": f"#/definitions/{kind}", "definitions": schema["definitions"]}
                validator = jsonschema.Draft6Validator(target)
                for resource in of_kind(bundle, kind):
                    faults = [error.message[:300] for error in validator.iter_errors(resource)]
                    assert faults == [], (name, kind)

    @pytest.mark.parametrize(("name", "kind", "expression"), INVARIANTS, ids=lambda one: one[:12])
    def test_the_invariants_of_hl7_hold(self, name, kind, expression, bundles):
        fhirpathpy = pytest.importorskip("fhirpathpy", reason="needs fhirpathpy")
        from fhirpathpy.models import models  # noqa: PLC0415 — where it is installed

        holds = fhirpathpy.compile(expression, models["r4"])
        for bundle in (bundles["odd"], bundles["signed"]):
            resources = [bundle] if kind == "Bundle" else of_kind(bundle, kind)
            assert resources
            for resource in resources:
                assert holds(resource, {"resource": resource}) == [True], (name, resource["id"])

    @pytest.mark.parametrize(
        ("expression", "broken"),
        [
            (INVARIANTS[0][2], {"valueString": "x", "dataAbsentReason": {"text": "x"}}),
            (INVARIANTS[1][2], {"referenceRange": [{}, {"text": "x"}]}),
        ],
    )
    def test_an_invariant_would_notice_what_breaks_it(self, expression, broken):
        fhirpathpy = pytest.importorskip("fhirpathpy", reason="needs fhirpathpy")
        from fhirpathpy.models import models  # noqa: PLC0415 — where it is installed

        resource = {"resourceType": "Observation", "status": "final", "code": {"text": "x"}}
        assert fhirpathpy.evaluate(resource | broken, expression, {}, models["r4"]) == [False]


def references_in(value):
    if isinstance(value, dict):
        if "reference" in value:
            yield value["reference"]
        for inner in value.values():
            yield from references_in(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from references_in(inner)


def texts_in(value):
    if isinstance(value, dict):
        for inner in value.values():
            yield from texts_in(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from texts_in(inner)
    elif isinstance(value, str):
        yield value


class TestTheBundle:
    def test_every_reference_leads_to_a_resource_of_it(self, bundles):
        for bundle in bundles.values():
            known = {entry["fullUrl"] for entry in bundle["entry"]}
            used = set(references_in(bundle))
            assert used <= known
            assert len(used) > 1

    def test_nothing_is_empty(self, bundles):
        def empties(value, path=""):
            if value in ("", [], {}, None):
                yield path
            inside = value.items() if isinstance(value, dict) else ()
            inside = enumerate(value) if isinstance(value, list) else inside
            for key, inner in inside:
                yield from empties(inner, f"{path}.{key}")

        for bundle in bundles.values():
            assert list(empties(bundle)) == []

    def test_two_exports_are_equal_to_the_byte_and_two_visits_share_no_identity(self):
        protocol, session = example("heel-pain-right")
        first, again = (
            json.dumps(fhir_bundle(protocol, session, summarise(protocol, session)))
            for _ in range(2)
        )
        assert first == again
        other = written(protocol, evolve(session, id="another"))
        ids = {entry["fullUrl"] for entry in json.loads(first)["entry"]}
        assert not ids & {entry["fullUrl"] for entry in other["entry"]}

    def test_without_snomed_no_code_of_it_is_anywhere_and_the_side_still_is(self):
        protocol, session = example("heel-pain-right")
        bundle = written(protocol, session, snomed=False)
        assert "snomed" not in json.dumps(bundle)
        sides = Counter(
            one["bodySite"]["text"] for one in of_kind(bundle, "Observation") if "bodySite" in one
        )
        assert sides["left"] == sides["right"] > 40

    def test_an_anonymous_one_holds_no_code_no_examiner_no_words_and_no_day(self):
        protocol, session = example("heel-pain-right")
        session = evolve(signed(odd(session)), id="canary-visit", patient="CANARY", examiner="QQX")
        text = json.dumps(written(protocol, session, anonymous=True), ensure_ascii=False)
        named = json.dumps(written(protocol, session), ensure_ascii=False)
        for canary in (
            *("CANARY", "QQX", "note</b>", "asked twice", "bandaged by the ward", "2026-"),
            *("Measured again", "Her shoe takes", '"MK"'),
        ):
            assert canary not in text
            assert canary in named
        # The visit's id is made of its date: whoever guesses it must not be able to prove it.
        moved = evolve(session, id="another-visit", patient="OTHER")
        assert json.dumps(written(protocol, moved, anonymous=True), ensure_ascii=False) == text


class TestWhatItSays:
    @pytest.mark.parametrize("name", EXAMPLES)
    def test_the_response_gives_back_every_finding_exactly(self, name, bundles):
        protocol, session = example(name)
        (response,) = of_kind(bundles[name], "QuestionnaireResponse")
        assert findings_from(protocol, response) == session.findings

    def test_notes_reasons_and_order_come_back_as_well(self, bundles):
        protocol, session = example("heel-pain-right")
        (response,) = of_kind(bundles["odd"], "QuestionnaireResponse")
        assert findings_from(protocol, response) == odd(session).findings

    def test_every_answer_of_the_response_is_one_that_the_form_allows(self, bundles):
        (form,) = of_kind(bundles["odd"], "Questionnaire")
        (response,) = of_kind(bundles["odd"], "QuestionnaireResponse")
        assert response["questionnaire"] == f"{form['url']}|{form['version']}"
        questions = {}

        def walk(item, parent=""):
            for inner in item.get("item", ()):
                questions[inner["linkId"]] = (inner, parent)
                walk(inner, inner["linkId"])

        walk(form)
        checked = 0

        def compare(item, parent=""):
            nonlocal checked
            for inner in item.get("item", ()):
                question, above = questions[inner["linkId"]]
                assert above == parent
                allowed = [one["valueCoding"] for one in question.get("answerOption", ())]
                for answer in inner.get("answer", ()):
                    checked += 1
                    if question["type"] == "choice":
                        assert answer["valueCoding"] in allowed
                    else:
                        expected = {"decimal": "valueDecimal", "text": "valueString"}
                        assert list(answer) == [expected[question["type"]]]
                compare(inner, inner["linkId"])

        compare(response)
        assert checked > 100

    def test_each_finding_is_an_observation_on_its_side(self, bundles):
        _, session = example("heel-pain-right")
        system = "urn:examwalk:adult:test"
        found = {}
        for one in of_kind(bundles["heel-pain-right"], "Observation"):
            (code,) = [c["code"] for c in one["code"]["coding"] if c["system"] == system] or [None]
            if code:
                side = one["bodySite"]["coding"][0]["code"] if "bodySite" in one else "whole"
                found[Place(code, Side(side))] = one
        assert set(found) >= {finding.place for finding in session.findings}
        lunge = found[Place("lunge-distance", Side.RIGHT)]
        # 7 cm as measured; the protocol's bands part at 8 cm.
        assert lunge["valueQuantity"] == {
            **{"value": 7.0, "unit": "cm", "code": "cm"},
            "system": "http://unitsofmeasure.org",
        }
        assert lunge["interpretation"] == [{"text": "limited"}]
        assert [one["text"] for one in lunge["referenceRange"]] == [
            "limited: < 8 cm",
            "not limited: ≥ 8 cm",
        ]
        assert lunge["referenceRange"][1]["low"]["value"] == 8
        assert "high" not in lunge["referenceRange"][1]
        mass = found[Place("body-mass", Side.WHOLE)]["code"]["coding"][0]
        assert (mass["system"], mass["code"]) == ("http://loinc.org", "29463-7")

    def test_a_worked_out_value_refers_to_what_it_came_from_without_noise(self, bundles):
        bundle = bundles["heel-pain-right"]
        (index,) = [
            one
            for one in of_kind(bundle, "Observation")
            if any(code["code"] == "39156-5" for code in one["code"]["coding"])
        ]
        resources = {entry["fullUrl"]: entry["resource"] for entry in bundle["entry"]}
        sources = [resources[one["reference"]] for one in index["derivedFrom"]]
        mass, height = (
            next(
                one["valueQuantity"]["value"]
                for one in sources
                if one["code"]["coding"][0]["code"] == code
            )
            for code in ("29463-7", "8302-2")
        )
        assert index["valueQuantity"]["value"] == round(mass / (height / 100) ** 2, 1)
        assert index["valueQuantity"]["code"] == "kg/m2"

    def test_what_was_not_examined_has_a_reason_and_never_a_value(self, bundles):
        absent = [
            one for one in of_kind(bundles["odd"], "Observation") if "dataAbsentReason" in one
        ]
        reasons = Counter(one["dataAbsentReason"]["text"] for one in absent)
        assert reasons["Declined by the patient"] == 1
        assert reasons["bandaged by the ward"] == 1
        assert reasons["not answered"] >= 5
        assert not [one for one in absent if any(key.startswith("value") for key in one)]
        nothing = of_kind(bundles["empty"], "Observation")
        assert nothing
        assert all("dataAbsentReason" in one for one in nothing)

    def test_a_caution_is_a_flag_and_leaves_nothing_to_make(self, bundles):
        flags = [one["code"]["text"] for one in of_kind(bundles["hot"], "Flag")]
        assert any(text.startswith("Hot, swollen foot, cause not known, left: ") for text in flags)
        assert of_kind(bundles["hot"], "DeviceRequest") == []

    def test_a_reply_to_a_cross_check_is_how_it_was_met(self, bundles):
        replies = [
            one["mitigation"][0]["action"]["text"]
            for one in of_kind(bundles["odd"], "DetectedIssue")
            if "mitigation" in one
        ]
        assert replies == ["Measured again: it stands."]

    def test_it_proposes_until_it_is_signed_and_then_orders_only_what_was_ordered(self, bundles):
        proposed = of_kind(bundles["heel-pain-right"], "DeviceRequest")
        assert [(one["intent"], one["status"]) for one in proposed] == [("proposal", "draft")] * 2
        assert len({one["groupIdentifier"]["value"] for one in proposed}) == 1
        left, right = of_kind(bundles["signed"], "DeviceRequest")
        assert (left["intent"], left["status"]) == ("order", "active")
        assert left["requester"] == {"display": "MK"}
        assert [one["code"]["text"] for one in left["parameter"]] == [
            "Side",
            "Heel lift in the shoe",
        ]
        assert left["parameter"][1]["valueQuantity"]["value"] == 2
        assert left["note"] == [{"text": "Heel lift in the shoe: Her shoe takes no more."}]
        assert [one["code"]["text"] for one in right["parameter"]] == ["Side", "Shell material"]

    def test_the_side_of_a_request_agrees_with_the_findings_that_it_rests_on(self, bundles):
        bundle = bundles["heel-pain-right"]
        for request in of_kind(bundle, "DeviceRequest"):
            side = request["parameter"][0]["valueCodeableConcept"]["text"]
            assert request["codeCodeableConcept"]["text"] == f"Foot orthosis, {side}"
            assert len(request["parameter"]) > 10
