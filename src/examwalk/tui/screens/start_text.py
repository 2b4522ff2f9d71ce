"""The list of visits as rows, and what is known of the visit at the pointer."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from textual.content import Content

from examwalk.dates import time_words
from examwalk.language import later, say, say_count
from examwalk.session.folder import Entry
from examwalk.session.model import Session, State
from examwalk.session.walking import progress
from examwalk.text import clean_line
from examwalk.tui.text import filled, phrase, shortened
from examwalk.tui.widgets.lines import Line, Row

if TYPE_CHECKING:
    from examwalk.protocol.model import Protocol

CODE_WIDTH = 18
STATE_WIDTH = 24
TIME_WIDTH = 21
WIDTH_WITH_BEGINNING = 96
"""From this many columns on a row has room for when the visit began."""
DAMAGED = later("cannot be opened")

ProtocolOf = Callable[[Session], "Protocol | None"]
"""Finds the protocol of a visit, if it can be read."""


def how_far(session: Session, protocol_of: ProtocolOf) -> str:
    """Say in a few words how far a visit has come."""
    if session.amendments:
        return say("amended")
    if session.signature is not None:
        return say("signed")
    if session.state is State.FINISHED:
        return say("finished")
    protocol = protocol_of(session)
    if protocol is None:
        return say_count(len(session.findings), "open, {count} finding", "open, {count} findings")
    from examwalk.reasoning.case import Case  # not needed before a protocol is read

    places = Case(protocol, session.answers).places
    done = progress(places, session, {place.test for place in places})
    return say_count(
        done.total,
        "open, {done} of {count} test",
        "open, {done} of {count} tests",
        done=done.done,
    )


def column_titles(width: int) -> Content:
    """Say what stands in the columns of the rows in a window of this width."""
    titles = [(say("last changed"), TIME_WIDTH), (say("patient"), CODE_WIDTH)]
    titles.append((say("how far"), STATE_WIDTH))
    if width >= WIDTH_WITH_BEGINNING:
        titles.append((say("begun"), TIME_WIDTH))
    return phrase(("    " + "".join(_column(*title) for title in titles), "$dim"))


def visit_rows(entries: Sequence[Entry], states: Sequence[str], width: int) -> list[Row]:
    """Make a row for each visit: when it was last changed, who, how far, and when it began."""
    return [
        Row(_visit_words(entry, state, width), key=entry.path)
        for entry, state in zip(entries, states, strict=True)
    ]


def _visit_words(entry: Entry, state: str, width: int) -> Content:
    session = entry.session
    if session is None:
        return phrase(
            ("▲ ", "bold $warn"),
            _column(entry.path.name, TIME_WIDTH + CODE_WIDTH),
            (say(DAMAGED), "$warn"),
        )
    is_open = session.state is State.OPEN
    begun = _column(time_words(session.started), TIME_WIDTH)
    tag = say("invented") if session.invented else ""
    return phrase(
        ("○ " if is_open else "● ", "$here" if is_open else "$dim"),
        _column(time_words(entry.changed.astimezone()), TIME_WIDTH),
        (_column(session.patient, CODE_WIDTH), "bold"),
        (_column(state, STATE_WIDTH), "" if is_open else "$dim"),
        begun if width >= WIDTH_WITH_BEGINNING else "",
        (tag, "$dim"),
    )


def _column(text: str, width: int) -> str:
    words = shortened(text, width - 2)
    return words + " " * (width - Content(words).cell_length)


def visit_lines(entry: Entry, where: str = "") -> list[Line]:
    """Say what is known of one visit, or why its file cannot be used."""
    session = entry.session
    if session is None:
        return [
            Line(phrase((entry.path.name, "bold"))),
            Line(phrase(entry.problem or say("The file cannot be used."))),
        ]
    used = session.protocol
    facts = [
        session.patient,
        say("examined by {examiner}", examiner=session.examiner) if session.examiner else "",
        say("protocol {name} {version}", name=used.id, version=used.version),
        say("begun {time}", time=time_words(session.started)),
        say("finished {time}", time=time_words(session.finished)) if session.finished else "",
        where,
    ]
    lines = [Line(phrase((" · ".join(fact for fact in facts if fact), "$dim")))]
    if session.about:
        lines.append(Line(phrase(clean_line(session.about))))
    if session.invented:
        lines.append(
            Line(phrase((say("An invented patient, for teaching and for trying out."), "$dim")))
        )
    return lines


def matches(entry: Entry, state: str, typed: str) -> bool:
    """Say whether a visit has everything that was typed somewhere in its row."""
    session = entry.session
    if session is None:
        text = f"{entry.path.name} {say(DAMAGED)}"
    else:
        text = (
            f"{session.patient} {time_words(session.started)} {session.started:%Y-%m-%d} {state} "
            f"{time_words(entry.changed.astimezone())} {entry.changed.astimezone():%Y-%m-%d} "
            f"{session.protocol.id} {session.examiner} {session.about} "
            f"{say('invented') if session.invented else ''}"
        )
    return all(word in text.casefold() for word in typed.casefold().split())


def latest_open(entries: Sequence[Entry]) -> Entry | None:
    """Return the open visit that was changed last; invented ones only where there are no others."""
    is_open = [entry for entry in entries if entry.session and entry.session.state is State.OPEN]
    real = [entry for entry in is_open if entry.session and not entry.session.invented]
    return next(iter(real or is_open), None)


def empty_lines(folder: Path) -> list[Line]:
    """Say what to do where there is no visit yet."""
    return [
        Line(phrase((say("There is no visit here yet."), "bold"))),
        Line(),
        Line(
            filled(
                say(
                    "Press {key} to begin one: a code for the patient, your initials and a "
                    "protocol are all it needs. Every answer is saved at once."
                ),
                key=("n", "bold $here"),
            )
        ),
        Line(),
        Line(phrase((say("Visits are kept in {folder}", folder=folder), "$dim"))),
    ]
