"""What a statement rests on, in words: tests, sources and how well they are known."""

from collections.abc import Sequence

from examwalk.language import later, say
from examwalk.protocol.feature_model import RuleClass
from examwalk.protocol.model import Protocol, SourceMark
from examwalk.report.sides import with_both_sides
from examwalk.report.words import place_words
from examwalk.session.model import Place, Side

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
            continue
        mark, cite = say(MARK_WORDS[source.mark]), source.cite.casefold()
        if mark.casefold() in cite:
            parts.append(source.cite)
        elif source.mark is not SourceMark.PUBLISHED and source.mark.value in cite:
            # It is no citation: it says in the protocol's language what the mark says in this one.
            parts.append(mark)
        else:
            parts.append(f"{mark}: {source.cite}")
    return "; ".join(parts)


def standing_words(standing: SourceMark | None) -> str:
    """Say in words what a recommendation rests on at its weakest."""
    return say(STANDING_WORDS[standing])


def mark_words(standing: SourceMark | None) -> str:
    """Say in a word or two how well a value is founded."""
    return say(MARK_WORDS[standing]) if standing else ""


def capitalised(text: str) -> str:
    """Begin a text with a capital letter and leave the rest, where nouns may have theirs."""
    return text[:1].upper() + text[1:]


def sentence(text: str) -> str:
    """Make sure that a text ends as a sentence does."""
    text = text.strip()
    return text if not text or text.endswith((".", "!", "?", "…")) else f"{text}."
