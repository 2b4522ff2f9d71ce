"""Visits as tables: one finding a row, or one visit a row."""

from collections.abc import Mapping
from typing import Final

from attrs import define, field

from examwalk.protocol.exam_model import Band, Kind, Test
from examwalk.protocol.model import Protocol
from examwalk.protocol.wording import answer_words, reason_words
from examwalk.reasoning.fitting import misfit_of
from examwalk.reasoning.places import places_of
from examwalk.report.csv_text import line, number_cell, text_cell
from examwalk.session.model import Answer, Finding, Place, Session, Side

VISIT_COLUMNS: Final = (
    *("visit_id", "patient_code", "visit_date", "visit_state", "invented"),
    *("protocol_id", "protocol_version", "examiner_code"),
)
TIDY_COLUMNS: Final = (
    *VISIT_COLUMNS,
    *("test_id", "test_name", "side", "status", "value", "value_code", "value_text", "unit"),
    *("interpretation", "not_done_reason", "note", "entered_at"),
)
DONE: Final = "done"
NOT_DONE: Final = "not_done"
NO_ANSWER: Final = "no_answer"
DOES_NOT_FIT: Final = "does_not_fit"
NOT_IN_PROTOCOL: Final = "not_in_protocol"
OPTIONS_APART: Final = ";"

_NOTHING_FOUND: Final = ",,,,"


@define(eq=False)
class TableWriter:
    """Writes visits that were examined under one protocol, and keeps what it wrote of answers."""

    protocol: Protocol
    anonymous: bool = False
    """The visits are without names (``report.anonymous``): write the year of each time alone."""
    places: tuple[Place, ...] = field(init=False)
    _begun: dict[Place, str] = field(init=False, factory=dict)
    _answers: dict[tuple[Place, type, Answer], str] = field(init=False, factory=dict)

    def __attrs_post_init__(self) -> None:
        tests = self.protocol.tests_in_order
        self.places = tuple(place for test in tests for place in places_of(test))

    def tidy(self, session: Session) -> str:
        """Write a row for every place of the exam, and for findings the protocol has no test for.

        What has no answer is a row of its own, so that it cannot be taken for normal.
        """
        visit = ",".join(self._visit_cells(session))
        findings = session.by_place
        strange = [place for place in findings if place not in self._known]
        rows = [self._row(place, findings.get(place)) for place in (*self.places, *strange)]
        return "".join(f"{visit},{row}" for row in rows)

    def wide(self, session: Session) -> tuple[tuple[str, ...], str]:
        """Return the names of the columns and one row: ids of answers, and numbers."""
        findings = session.by_place
        strange = [place for place in findings if place not in self._known]
        places = (*self.places, *strange)
        cells = (_wide_cell(findings.get(place)) for place in places)
        names = (*VISIT_COLUMNS, *(wide_column(place) for place in places))
        return names, line((*self._visit_cells(session), *cells))

    @property
    def _known(self) -> Mapping[Place, str]:
        if not self._begun:
            self._begun.update({place: self._beginning(place) for place in self.places})
        return self._begun

    def _beginning(self, place: Place) -> str:
        test = self.protocol.tests_by_id.get(place.test)
        name = test.title if test else ""
        return f"{text_cell(place.test)},{text_cell(name)},{place.side.value},"

    def _visit_cells(self, session: Session) -> tuple[str, ...]:
        began = session.started
        return (
            text_cell(session.id),
            text_cell(session.patient),
            f"{began:%Y}" if self.anonymous else began.date().isoformat(),
            session.state.value,
            "yes" if session.invented else "no",
            text_cell(session.protocol.id),
            text_cell(session.protocol.version),
            text_cell(session.examiner),
        )

    def _row(self, place: Place, finding: Finding | None) -> str:
        begun = self._known.get(place) or self._beginning(place)
        if finding is None:
            return f"{begun}{NO_ANSWER},{_NOTHING_FOUND},,,\r\n"
        note = text_cell(finding.note)
        at = f"{finding.at:%Y}" if self.anonymous else finding.at.isoformat()
        if finding.answer is not None:
            return f"{begun}{self._found(place, finding.answer)},,{note},{at}\r\n"
        if finding.not_done is not None:
            reason = text_cell(reason_words(self.protocol, finding.not_done))
            return f"{begun}{NOT_DONE},{_NOTHING_FOUND},{reason},{note},{at}\r\n"
        return f"{begun}{NO_ANSWER},{_NOTHING_FOUND},,{note},{at}\r\n"

    def _found(self, place: Place, answer: Answer) -> str:
        # 1 and 1.0 are equal, but are not written alike.
        key = (place, type(answer), answer)
        written = self._answers.get(key)
        if written is None:
            written = self._answers[key] = ",".join(self._answer_cells(place, answer))
        return written

    def _answer_cells(self, place: Place, answer: Answer) -> tuple[str, ...]:
        """Write status, value, code, text, unit and interpretation."""
        test = self.protocol.tests_by_id.get(place.test)
        if test is None or misfit_of(self.protocol, place, answer):
            is_number = isinstance(answer, int | float)
            value = number_cell(answer) if isinstance(answer, int | float) else ""
            text = "" if is_number else text_cell(code_of(answer))
            return DOES_NOT_FIT, value, "", text, "", ""
        if isinstance(answer, int | float):
            unit = text_cell(test.unit)
            return DONE, number_cell(answer), "", "", unit, text_cell(band_label(test, answer))
        if test.kind is Kind.TEXT:
            return DONE, "", "", text_cell(code_of(answer)), "", ""
        words = text_cell(answer_words(self.protocol, test, answer))
        return DONE, self._score(test, answer), text_cell(code_of(answer)), words, "", ""

    def _score(self, test: Test, answer: Answer) -> str:
        if test.kind is Kind.GRADE and isinstance(answer, str):
            return number_cell(self.protocol.scale_of(test).score(answer))
        return ""


def wide_column(place: Place) -> str:
    """Return the name of a place's column: the test's id, and its side where it has one."""
    name = place.test if place.side is Side.WHOLE else f"{place.test}_{place.side.value}"
    return text_cell(name)


def code_of(answer: Answer) -> str:
    """Return an answer as the session file holds it, the several options of a choice in one."""
    return OPTIONS_APART.join(answer) if isinstance(answer, tuple) else str(answer)


def band_label(test: Test, value: float) -> str:
    """Return the label of the band that a number lies in, or an empty text."""
    return next((band.label for band in bands_of(test) if band.holds(value)), "")


def bands_of(test: Test) -> tuple[Band, ...]:
    """Return the bands of a measure; other tests have none."""
    return test.bands if test.kind is Kind.MEASURE else ()


def _wide_cell(finding: Finding | None) -> str:
    if finding is None or not finding.is_settled:
        return NO_ANSWER
    if finding.answer is None:
        return NOT_DONE
    if isinstance(finding.answer, int | float):
        return number_cell(finding.answer)
    return text_cell(code_of(finding.answer))
