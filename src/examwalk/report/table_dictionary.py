"""What each column of the tables means, as a table itself."""

from collections.abc import Iterator, Sequence
from typing import Final

from attrs import frozen

from examwalk.language import later, say
from examwalk.protocol.exam_model import Kind, Test
from examwalk.protocol.model import Protocol
from examwalk.protocol.wording import answers_of
from examwalk.reasoning.places import places_of
from examwalk.report.csv_text import line, text_cell
from examwalk.report.sides import with_side
from examwalk.report.tables import (
    DOES_NOT_FIT,
    DONE,
    NO_ANSWER,
    NOT_DONE,
    NOT_IN_PROTOCOL,
    OPTIONS_APART,
    wide_column,
)

COLUMNS: Final = ("table", "column", "type", "unit", "allowed", "meaning")


@frozen
class Column:
    """One column: the type of its cells, what may stand in them, and what they mean."""

    name: str
    type: str
    meaning: str
    allowed: tuple[str, ...] = ()


VISIT: Final = (
    Column("visit_id", "text", later("The visit's own id, the same in every table.")),
    Column("patient_code", "text", later("The code that the clinic gave the patient.")),
    Column("visit_date", "date", later("The day on which the visit began, by the clock there.")),
    Column("visit_state", "code", later("Whether the visit was finished."), ("open", "finished")),
    Column(
        *("invented", "code", later("Whether patient and findings are made up, for teaching.")),
        allowed=("yes", "no"),
    ),
    Column("protocol_id", "text", later("The protocol that the visit was examined under.")),
    Column("protocol_version", "text", later("The version of that protocol.")),
    Column("examiner_code", "text", later("The examiner's initials.")),
)
TIDY: Final = (
    Column("test_id", "text", later("The test's id in the protocol.")),
    Column("test_name", "text", later("The test's title.")),
    Column(
        *("side", "code", later("The side examined, or whole for what is asked once.")),
        allowed=("left", "right", "whole"),
    ),
    Column(
        "status",
        "code",
        later(
            "done: answered. not_done: not done, for the reason given. no_answer: nothing was"
            " recorded, whether not reached or not asked for; it is never to be read as normal."
            " does_not_fit: an answer that the protocol has no test for or does not allow."
        ),
        (DONE, NOT_DONE, NO_ANSWER, DOES_NOT_FIT),
    ),
    Column("value", "number", later("The number measured, or the grade's number on its scale.")),
    Column(
        "value_code",
        "text",
        later("The id of the grade or option; several options stand with a semicolon between."),
    ),
    Column("value_text", "text", later("The grade or option in words, or the text written.")),
    Column("unit", "text", later("The unit of the number measured.")),
    Column(
        "interpretation",
        "text",
        later("The label of the band that the protocol puts the number measured in."),
    ),
    Column("not_done_reason", "text", later("Why the test was not done.")),
    Column("note", "text", later("The examiner's note on this finding.")),
    Column("entered_at", "time", later("When it was recorded, with the offset from UTC.")),
)
ANONYMOUS: Final = {
    column.name: column
    for column in (
        Column("visit_id", "text", later("The number of the visit in this table.")),
        Column("patient_code", "text", later("Withheld.")),
        Column("visit_date", "year", later("The year in which the visit began.")),
        Column("examiner_code", "text", later("Withheld.")),
        Column("note", "text", later("Whether there was a note, which is withheld.")),
        Column("entered_at", "year", later("The year in which it was recorded.")),
    )
}
"""The columns that mean something else where the visits are without names."""


def dictionary(protocols: Sequence[Protocol], *, anonymous: bool = False) -> str:
    """Write what the columns of both tables mean, for visits under these protocols."""
    differing = ANONYMOUS if anonymous else {}
    tidy, wide = (
        [differing.get(column.name, column) for column in columns]
        for columns in ((*VISIT, *TIDY), VISIT)
    )
    rows = [COLUMNS, *(_row("tidy", column) for column in tidy)]
    rows += [_row("wide", column) for column in wide]
    rows += dict.fromkeys(row for protocol in protocols for row in _of_places(protocol))
    return "".join(line(map(text_cell, row)) for row in rows)


def _row(table: str, column: Column) -> tuple[str, ...]:
    return table, column.name, column.type, "", "; ".join(column.allowed), say(column.meaning)


def _of_places(protocol: Protocol) -> Iterator[tuple[str, ...]]:
    for test in protocol.tests_in_order:
        for place in places_of(test):
            name = wide_column(place).removeprefix("'")
            title = with_side(test.title, place.side)
            yield "wide", name, _type(test), test.unit, _allowed(protocol, test), title


def _type(test: Test) -> str:
    if test.kind is Kind.MEASURE:
        return "number"
    return "text" if test.kind is Kind.TEXT else "code"


def _allowed(protocol: Protocol, test: Test) -> str:
    words = (NO_ANSWER, NOT_DONE, NOT_IN_PROTOCOL)
    if test.hard is not None:
        low, high = test.hard
        return "; ".join((say("{low} to {high}", low=low, high=high), *words))
    ids = answers_of(protocol, test)
    return f"{OPTIONS_APART} ".join((*ids, *words))
