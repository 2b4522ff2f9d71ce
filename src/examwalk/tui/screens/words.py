"""Places, findings, sources and cautions in words, for the review and the summary."""

from collections.abc import Sequence
from datetime import date, datetime

from attrs import frozen

from examwalk.language import later, say
from examwalk.protocol.model import DeviceEffect, Protocol, RuleClass, SourceMark
from examwalk.reasoning.results import Summary
from examwalk.report import words
from examwalk.report.differing import Difference
from examwalk.report.words import place_words
from examwalk.session.model import Place, Session, Side
from examwalk.tui.sides import with_both_sides

CAUTION_SIGN = "■"
COLLISION_SIGN = "◆"
DONE_SIGN = "●"
OPEN_SIGN = "○"
UNKNOWN_SIGN = "?"

DEVICE_WORDS = {
    DeviceEffect.STOP: later("no device before this is settled"),
    DeviceEffect.MODIFY: later("changes the device"),
    DeviceEffect.ALLOW: "",
}
STANDING_WORDS = {
    None: later("rests on no rule"),
    SourceMark.PUBLISHED: later("rests on published sources"),
    SourceMark.FROM_MEMORY: later("rests on sources recalled from memory"),
    SourceMark.COMMON_PRACTICE: later("rests on common practice"),
    SourceMark.CONVENTION: later("rests on a convention of this protocol"),
}
MARK_WORDS = {
    SourceMark.PUBLISHED: later("published"),
    SourceMark.FROM_MEMORY: later("from memory"),
    SourceMark.COMMON_PRACTICE: later("common practice"),
    SourceMark.CONVENTION: later("convention of this protocol"),
}
CLASS_WORDS = {
    RuleClass.SAFETY: later("safety"),
    RuleClass.TOLERANCE: later("tolerance"),
    RuleClass.FUNCTION: later("function"),
    RuleClass.PREFERENCE: later("preference"),
}
MONTHS = (
    later("January"),
    later("February"),
    later("March"),
    later("April"),
    later("May"),
    later("June"),
    later("July"),
    later("August"),
    later("September"),
    later("October"),
    later("November"),
    later("December"),
)
SHORT_MONTHS = (
    later("Jan"),
    later("Feb"),
    later("Mar"),
    later("Apr"),
    later("May"),
    later("Jun"),
    later("Jul"),
    later("Aug"),
    later("Sep"),
    later("Oct"),
    later("Nov"),
    later("Dec"),
)


@frozen
class Outcome:
    """A visit and all that follows from it: what the review and the summary show."""

    protocol: Protocol
    session: Session
    summary: Summary
    differences: tuple[Difference, ...] | None = None
    """In a trial: what follows differently since the protocol was read anew."""


def finding_words(outcome: Outcome, place: Place) -> str:
    """Write what was found at a place: ``Lunge distance, left: 6 cm``."""
    return words.finding_words(outcome.protocol, outcome.session, place)


def places_words(protocol: Protocol, places: Sequence[Place]) -> str:
    """Name several tests; where both sides of one are meant it is named once."""
    sides: dict[str, list[Side]] = {}
    for place in places:
        sides.setdefault(place.test, []).append(place.side)
    names = []
    for test, at in sides.items():
        if len(at) > 1:
            names.append(with_both_sides(place_words(protocol, Place(test, Side.WHOLE))))
        else:
            names.append(place_words(protocol, Place(test, at[0])))
    return "; ".join(names)


def basis_words(protocol: Protocol, basis: Sequence[str]) -> str:
    """Write where a statement comes from: the mark of each source, and its citation."""
    parts = []
    for source_id in basis:
        source = protocol.sources.get(source_id)
        if source is None:
            parts.append(source_id)
        elif source.mark.value.casefold() in source.cite.casefold():
            parts.append(source.cite)
        else:
            parts.append(f"{say(MARK_WORDS[source.mark])}: {source.cite}")
    return "; ".join(parts)


def standing_words(standing: SourceMark | None) -> str:
    """Say in words what a recommendation rests on at its weakest."""
    return say(STANDING_WORDS[standing])


def date_words(day: date) -> str:
    """Write a date so that it cannot be misread: ``6 January 2027``."""
    month = say(MONTHS[day.month - 1])
    return say("{day} {month} {year}", day=day.day, month=month, year=day.year)


def time_words(moment: datetime) -> str:
    """Write a moment: ``25 Nov 2026, 09:12``."""
    return say(
        "{day} {month} {year}, {time}",
        day=moment.day,
        month=say(SHORT_MONTHS[moment.month - 1]),
        year=moment.year,
        time=f"{moment:%H:%M}",
    )


def capitalised(text: str) -> str:
    """Begin a text with a capital letter and leave the rest, where nouns may have theirs."""
    return text[:1].upper() + text[1:]


def sentence(text: str) -> str:
    """Make sure that a text ends as a sentence does."""
    text = text.strip()
    return text if not text or text.endswith((".", "!", "?", "…")) else f"{text}."
