"""Findings read back from a QuestionnaireResponse of ours."""

from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any

from examwalk.protocol.exam_model import Test
from examwalk.protocol.model import Protocol
from examwalk.reasoning.places import places_of
from examwalk.report.fhir_forms import AT, NOT_DONE, NOTE, NUMBER, place_link
from examwalk.session.model import Answer, Finding


def findings_from(protocol: Protocol, response: Mapping[str, Any]) -> tuple[Finding, ...]:
    """Return the findings in the order in which they were recorded.

    Args:
        protocol: the protocol of the form.
        response: a response that was not made anonymous, as parsed JSON.

    Raises:
        ValueError: an item is of no test of the protocol, or does not say when it was recorded;
            the message names it.
    """
    tests = {
        place_link(place): (test, place) for test in protocol.tests for place in places_of(test)
    }
    numbered = []
    for item in _leaves(response):
        if item["linkId"] not in tests:
            raise ValueError(f"{protocol.identity.id}: {item['linkId']!r}")
        test, place = tests[item["linkId"]]
        beside = {one["url"]: one for one in item.get("extension", ())}
        if AT not in beside or NUMBER not in beside:
            raise ValueError(f"{item['linkId']!r}: {AT}, {NUMBER}")
        finding = Finding(
            place=place,
            at=datetime.fromisoformat(beside[AT]["valueDateTime"]),
            answer=_answer(test, item.get("answer", ())),
            not_done=beside[NOT_DONE]["valueString"] if NOT_DONE in beside else None,
            note=beside[NOTE]["valueString"] if NOTE in beside else "",
        )
        numbered.append((beside[NUMBER]["valueInteger"], finding))
    return tuple(finding for _, finding in sorted(numbered, key=lambda pair: pair[0]))


def _leaves(item: Mapping[str, Any]) -> Iterator[Mapping[str, Any]]:
    if "item" not in item:
        if "linkId" in item:
            yield item
        return
    for inner in item["item"]:
        yield from _leaves(inner)


def _answer(test: Test, answers: list[Mapping[str, Any]]) -> Answer | None:
    if not answers:
        return None
    values = [_value(one) for one in answers]
    return tuple(map(str, values)) if test.several else values[0]


def _value(answer: Mapping[str, Any]) -> str | int | float:
    if "valueCoding" in answer:
        return str(answer["valueCoding"]["code"])
    value: str | int | float = answer["valueDecimal" if "valueDecimal" in answer else "valueString"]
    return value
