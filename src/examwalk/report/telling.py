"""What was found at a visit that matters: all that the protocol has words for the patient on."""

from collections.abc import Iterator

from examwalk.protocol.exam_model import Band, Kind
from examwalk.reasoning.fitting import case_of
from examwalk.reasoning.places import places_of
from examwalk.reasoning.results import DerivedResult
from examwalk.report.page_parts import Told
from examwalk.session.model import Place


def telling_findings(told: Told) -> Iterator[tuple[Place, str]]:
    """Yield where something telling was found, and what it is in words for the patient."""
    asked = set(case_of(told.protocol, told.session).places)
    for test in told.protocol.tests_in_order:
        for place in places_of(test):
            if place in asked:
                yield from ((place, text) for text in _answer_words(told, place) if text)


def telling_derived(told: Told) -> Iterator[tuple[DerivedResult, str]]:
    """Yield each telling derived value that is settled, and what it is in words for the patient."""
    for result in told.summary.derived:
        bands = told.protocol.derived_by_id[result.id].bands
        text = _band_words(bands, result.value)
        if text and not result.missing:
            yield result, text


def _answer_words(told: Told, place: Place) -> Iterator[str]:
    test, finding = told.protocol.tests_by_id[place.test], told.session.finding(place)
    answer = finding.answer if finding else None
    if test.kind is Kind.GRADE:
        grade = test.grades.get(str(answer))
        yield grade.for_patient if grade else ""
    elif test.kind is Kind.CHOICE:
        options = told.protocol.options_of(test)
        for chosen in answer if isinstance(answer, tuple) else (answer,):
            option = options.get(str(chosen))
            yield option.for_patient if option else ""
    elif test.kind is Kind.MEASURE and isinstance(answer, int | float):
        yield _band_words(test.bands, answer)


def _band_words(bands: tuple[Band, ...], value: float | None) -> str:
    band = next((one for one in bands if value is not None and one.holds(value)), None)
    return band.for_patient if band else ""
