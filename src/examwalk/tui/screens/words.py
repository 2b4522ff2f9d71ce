"""Places, findings, sources and cautions in words, for the review and the summary."""

from collections.abc import Sequence
from datetime import date, datetime

from attrs import frozen

from examwalk.protocol.model import DeviceEffect, Protocol, SourceMark
from examwalk.reasoning.results import Summary
from examwalk.report import words
from examwalk.report.words import place_words
from examwalk.session.model import Place, Session, Side

CAUTION_SIGN = "■"
COLLISION_SIGN = "◆"
DONE_SIGN = "●"
OPEN_SIGN = "○"
UNKNOWN_SIGN = "?"

DEVICE_WORDS = {
    DeviceEffect.STOP: "no device before this is settled",
    DeviceEffect.MODIFY: "changes the device",
    DeviceEffect.ALLOW: "",
}
MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


@frozen
class Outcome:
    """A visit and all that follows from it: what the review and the summary show."""

    protocol: Protocol
    session: Session
    summary: Summary


def with_side(title: str, side: Side) -> str:
    """Write a title and its side: ``Heel lift, left``."""
    return title if side is Side.WHOLE else f"{title}, {side.value}"


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
            names.append(f"{place_words(protocol, Place(test, Side.WHOLE))}, left and right")
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
            parts.append(f"{source.mark.value}: {source.cite}")
    return "; ".join(parts)


def standing_words(standing: SourceMark | None) -> str:
    """Say in words what a recommendation rests on at its weakest."""
    if standing is None:
        return "rests on no rule"
    return {
        SourceMark.PUBLISHED: "rests on published sources",
        SourceMark.FROM_MEMORY: "rests on sources recalled from memory",
        SourceMark.COMMON_PRACTICE: "rests on common practice",
        SourceMark.CONVENTION: "rests on a convention of this protocol",
    }[standing]


def counted(number: int, one: str, many: str = "") -> str:
    """Write a number with its noun: ``1 test``, ``3 tests``."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def date_words(day: date) -> str:
    """Write a date so that it cannot be misread: ``6 January 2027``."""
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def time_words(moment: datetime) -> str:
    """Write a moment: ``25 Nov 2026, 09:12``."""
    return f"{moment.day} {MONTHS[moment.month - 1][:3]} {moment.year}, {moment:%H:%M}"


def sentence(text: str) -> str:
    """Make sure that a text ends as a sentence does."""
    text = text.strip()
    return text if not text or text.endswith((".", "!", "?", "…")) else f"{text}."
