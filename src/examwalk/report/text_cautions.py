"""Cautions in the summary as plain text: raised, one finding away, and not excluded yet."""

from collections.abc import Iterator

from examwalk.language import say
from examwalk.protocol.model import Protocol
from examwalk.reasoning.results import CautionRaised, Summary
from examwalk.reasoning.robustness import Robustness
from examwalk.report.robustness_words import ONE_GRADE_AWAY, by_caution, raised_by_words
from examwalk.report.sides import with_side
from examwalk.report.text_lines import heading, item, labelled, paragraph
from examwalk.report.words import DEVICE_WORDS, finding_words, place_words
from examwalk.session.model import Session


def caution_lines(
    protocol: Protocol, session: Session, summary: Summary, robustness: Robustness | None
) -> Iterator[str]:
    """Tell the cautions: raised, one finding away, and not excluded yet."""
    yield from heading(say("Referral and cautions"))
    if not summary.cautions:
        yield say("None raised.")
    for caution in summary.cautions:
        yield from _caution(caution)
        found = (finding_words(protocol, session, place) for place in caution.findings)
        yield from labelled(say("Found"), "; ".join(found))
        taken = [
            move
            for move in (robustness.would_take_away if robustness else ())
            if (move[1].id, move[1].side) == (caution.id, caution.side)
        ]
        if taken:
            moves = "; ".join(raised_by_words(protocol, taken))
            yield from labelled(say("Would not be raised with"), moves)
    yield from _one_grade_away(protocol, robustness)
    if summary.open_cautions:
        yield ""
        yield f"{say('Not excluded yet')}:"
    for caution in summary.open_cautions:
        places = ", ".join(place_words(protocol, place) for place in caution.missing)
        needs = say("needs {places}", places=places)
        yield from item(f"{with_side(caution.title, caution.side)}: {needs}")


def _one_grade_away(protocol: Protocol, robustness: Robustness | None) -> Iterator[str]:
    """Cautions that are not raised, and would be if one finding were a little off."""
    if robustness is None or not robustness.would_raise:
        return
    yield ""
    yield f"{say(ONE_GRADE_AWAY)}:"
    for shift, moves in by_caution(robustness.would_raise):
        title = with_side(shift.title, shift.side)
        yield from item(f"{title}: {'; '.join(raised_by_words(protocol, moves))}")


def _caution(caution: CautionRaised) -> Iterator[str]:
    yield f"  ! {with_side(caution.title, caution.side)}"
    yield f"    {caution.urgency_words}; {say(DEVICE_WORDS[caution.device])}"
    yield from paragraph(caution.says, indent="    ")
    if caution.refer_to:
        yield from labelled(say("Refer to"), caution.refer_to)
