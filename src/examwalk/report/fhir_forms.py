"""The exam as a FHIR Questionnaire, and a visit as its QuestionnaireResponse."""

import re
from itertools import groupby

from examwalk.protocol.exam_model import Kind, Test
from examwalk.protocol.key_types import Sides
from examwalk.protocol.model import Protocol
from examwalk.protocol.wording import choices_of
from examwalk.reasoning.places import places_of
from examwalk.report.fhir_parts import OURS, Resource, Visit, quantity
from examwalk.report.sides import side_heading
from examwalk.session.model import Answer, Finding, Place, Side, State

_TYPES = {Kind.GRADE: "choice", Kind.CHOICE: "choice", Kind.MEASURE: "decimal", Kind.TEXT: "text"}
AT, NOT_DONE, NOTE, NUMBER = (f"{OURS}:{name}" for name in ("at", "not-done", "note", "number"))
"""Extensions that hold what a response has no place for; the number is the order of recording."""
_UNIT = "http://hl7.org/fhir/StructureDefinition/questionnaire-unit"


def questionnaire(visit: Visit) -> Resource:
    """Return the protocol as a form: a group a position, in it the tests, in them the sides."""
    identity = visit.protocol.identity
    return {
        "resourceType": "Questionnaire",
        "id": visit.uuid("questionnaire"),
        "url": visit.own,
        "version": identity.version,
        "name": f"Examwalk_{re.sub('[^A-Za-z0-9]', '_', identity.id)}"[:255],
        "title": identity.title,
        "status": "active",
        "subjectType": ["Patient"],
        "item": [
            {
                "linkId": position_link(position),
                "text": visit.protocol.position(position).title,
                "type": "group",
                "item": [_test_item(visit, test) for test in tests],
            }
            for position, tests in groupby(
                visit.protocol.tests_in_order, lambda test: test.position
            )
        ],
    }


def questionnaire_response(visit: Visit) -> Resource:
    """Return what was recorded, in the order of the form; findings of other tests are not in it."""
    session = visit.session
    numbers = {finding.place: number for number, finding in enumerate(session.findings)}
    items = []
    for position, tests in groupby(visit.protocol.tests_in_order, lambda test: test.position):
        inside = [item for test in tests if (item := _test_answers(visit, test, numbers))]
        if inside:
            items.append({"linkId": position_link(position), "item": inside})
    status = "completed" if session.state is State.FINISHED else "in-progress"
    response: Resource = {
        "resourceType": "QuestionnaireResponse",
        "id": visit.uuid("response"),
        "questionnaire": f"{visit.own}|{visit.protocol.identity.version}",
        "status": "amended" if session.amendments else status,
        "subject": visit.subject,
        "authored": visit.time(session.finished or session.started),
    }
    if not visit.anonymous and session.examiner:
        response["author"] = {"display": session.examiner}
    if items:
        response["item"] = items
    return response


def position_link(position: str) -> str:
    """Return the link of a position, which no test can have."""
    return f"position:{position}"


def place_link(place: Place) -> str:
    """Return the link of a place: the test's id, and its side where it has one."""
    return place.test if place.side is Side.WHOLE else f"{place.test}.{place.side.value}"


def answer_system(protocol: Protocol, test: Test) -> str:
    """Return which answers a test takes: those of a scale, of a set of options, or its own."""
    return f"answer:{test.scale or test.option_set or test.id}"


def _test_item(visit: Visit, test: Test) -> Resource:
    own: Resource = {"linkId": test.id, "text": test.title}
    if test.sides is Sides.ONCE:
        return own | _question(visit, test)
    sides = [
        {"linkId": place_link(place), "text": side_heading(place.side), **_question(visit, test)}
        for place in places_of(test)
    ]
    return {**own, "type": "group", "item": sides}


def _question(visit: Visit, test: Test) -> Resource:
    question: Resource = {
        "code": [visit.coding("test", test.id, test.title)],
        "type": _TYPES[test.kind],
    }
    if test.several:
        question["repeats"] = True
    unit = quantity(0, test.unit)
    if "code" in unit:
        coded = {"system": unit["system"], "code": unit["code"]}
        question["extension"] = [{"url": _UNIT, "valueCoding": coded}]
    options = [
        {"valueCoding": visit.coding(answer_system(visit.protocol, test), one.id, one.label)}
        for one in choices_of(visit.protocol, test)
    ]
    if options:
        question["answerOption"] = options
    return question


def _test_answers(visit: Visit, test: Test, numbers: dict[Place, int]) -> Resource | None:
    found = [
        _answered(visit, test, finding, numbers[place])
        for place in places_of(test)
        if (finding := visit.session.finding(place))
    ]
    if not found or test.sides is Sides.ONCE:
        return found[0] if found else None
    return {"linkId": test.id, "item": found}


def _answered(visit: Visit, test: Test, finding: Finding, number: int) -> Resource:
    item: Resource = {"linkId": place_link(finding.place)}
    if not visit.anonymous:
        item["extension"] = _beside(finding, number)
    answer = finding.answer
    if answer is not None and not (visit.anonymous and test.kind is Kind.TEXT):
        one_by_one = answer if isinstance(answer, tuple) else (answer,)
        item["answer"] = [_answer(visit, test, one) for one in one_by_one]
    return item


def _answer(visit: Visit, test: Test, answer: Answer) -> Resource:
    if test.kind is Kind.MEASURE:
        return {"valueDecimal": answer}
    if test.kind is Kind.TEXT:
        return {"valueString": answer}
    labels = {one.id: one.label for one in choices_of(visit.protocol, test)}
    system = answer_system(visit.protocol, test)
    return {"valueCoding": visit.coding(system, str(answer), labels.get(str(answer), str(answer)))}


def _beside(finding: Finding, number: int) -> list[Resource]:
    beside: list[Resource] = [
        {"url": AT, "valueDateTime": finding.at.isoformat()},
        {"url": NUMBER, "valueInteger": number},
    ]
    if finding.not_done is not None:
        beside.append({"url": NOT_DONE, "valueString": finding.not_done})
    if finding.note:
        beside.append({"url": NOTE, "valueString": finding.note})
    return beside
