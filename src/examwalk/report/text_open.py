"""What is open in the summary as plain text: what to repeat first, and what is not answered."""

from collections.abc import Iterator, Sequence

from examwalk.language import say
from examwalk.protocol.model import Protocol
from examwalk.reasoning.results import MissingFinding, Summary
from examwalk.reasoning.robustness import Robustness
from examwalk.reasoning.unanswered import Worth, in_order_of_worth
from examwalk.report.robustness_words import (
    MEANING,
    NOTHING_HANGS,
    NOTHING_TOGETHER,
    TOGETHER,
    move_words,
    repeat_words,
    standing_overall_words,
)
from examwalk.report.text_lines import DEEP, heading, item, listed, paragraph
from examwalk.report.unanswered_words import worth_words
from examwalk.report.words import place_words

MOST_MISSING = 12
MOST_REPEATS = 8
MOST_PAIRS = 20
"""Longer lists are cut short."""


def repeat_lines(
    protocol: Protocol, summary: Summary, robustness: Robustness | None
) -> Iterator[str]:
    """Tell which findings to repeat first, and what hangs on two at once where that was tried."""
    if robustness is None or not robustness.moves:
        return
    yield from heading(say("Repeat these first"))
    yield from paragraph(f"{say(MEANING)} {standing_overall_words(summary, robustness)}")
    if not robustness.repeat_first:
        yield say(NOTHING_HANGS)
    for number, repeat in enumerate(robustness.repeat_first[:MOST_REPEATS], 1):
        yield from paragraph(repeat_words(protocol, repeat), indent=f" {number:>2} ")
        for tried in repeat.tried:
            yield from paragraph(move_words(protocol, tried), indent="    ")
    left = len(robustness.repeat_first) - MOST_REPEATS
    if left > 0:
        yield f"    {say('… and {count} more', count=left)}"
    yield from _together(protocol, robustness)


def _together(protocol: Protocol, robustness: Robustness) -> Iterator[str]:
    if robustness.pairs is None:
        return
    yield from heading(say(TOGETHER))
    if not robustness.pairs:
        yield say(NOTHING_TOGETHER)
    for tried in robustness.pairs[:MOST_PAIRS]:
        yield from item(move_words(protocol, tried))
    left = len(robustness.pairs) - MOST_PAIRS
    if left > 0:
        yield f"    {say('… and {count} more', count=left)}"


def missing_lines(protocol: Protocol, summary: Summary, worth: Sequence[Worth]) -> Iterator[str]:
    """Tell what is not answered yet, and what its answers could do."""
    if not summary.missing:
        return
    yield from heading(say("Not answered, most consequential first"))
    told = {one.place: one for one in worth}
    for one in in_order_of_worth(summary.missing, worth)[:MOST_MISSING]:
        yield from item(_missing_words(protocol, one))
        answers = worth_words(protocol, told[one.place]) if one.place in told else ()
        for words in answers:
            yield from paragraph(words, indent=DEEP)
    left = len(summary.missing) - MOST_MISSING
    if left > 0:
        yield f"  {say('… and {count} more', count=left)}"


def _missing_words(protocol: Protocol, one: MissingFinding) -> str:
    text = place_words(protocol, one.place)
    if one.reason:
        text += f" ({say('not done: {reason}', reason=one.reason)})"
    if one.could_raise:
        text += f"; {say('could raise: {cautions}', cautions=', '.join(one.could_raise))}"
    if one.could_change:
        text += f"; {say('could change: {features}', features=listed(one.could_change))}"
    return text
