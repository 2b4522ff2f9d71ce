"""What a record says of its own completeness: what was not done, and when the rest was."""

from collections.abc import Sequence
from datetime import datetime

from examwalk.dates import span_words, time_words
from examwalk.language import say
from examwalk.reasoning.fitting import case_of
from examwalk.report.document import Block, Listing, Section, Tone, Words
from examwalk.report.grounds import places_words
from examwalk.report.page_parts import Told, decision_at
from examwalk.report.words import finding_words
from examwalk.session.model import Finding, Place


def gaps_section(told: Told) -> Section:
    """Return what was not done, each with its reason, and what has no answer, if anything."""
    _, not_done, unanswered = _sorted_places(told)
    blocks: list[Block] = []
    if not_done:
        blocks.append(Listing(tuple(_not_done(told, one) for one in not_done)))
    if unanswered:
        names = places_words(told.protocol, unanswered)
        blocks.append(Words(say("No answer: {places}.", places=names), Tone.STRONG))
    counted = (Words(counted_words(told)),) if blocks else ()
    return Section(say("What was not done"), (*counted, *blocks))


def counted_words(told: Told) -> str:
    """Say how much was asked for, and how much of it was answered."""
    answered, not_done, unanswered = (len(places) for places in _sorted_places(told))
    return say(
        "Asked for: {count}. Answered: {answered}. Not done, with a reason: {not_done}."
        " Without an answer: {unanswered}.",
        count=answered + not_done + unanswered,
        answered=answered,
        not_done=not_done,
        unanswered=unanswered,
    )


def _sorted_places(told: Told) -> tuple[list[Place], list[Finding], list[Place]]:
    """Return what was answered, what was not done, and what has no answer."""
    answered: list[Place] = []
    not_done: list[Finding] = []
    unanswered: list[Place] = []
    for place in case_of(told.protocol, told.session).places:
        finding = told.session.finding(place)
        if finding is None or not finding.is_settled:
            unanswered.append(place)
        elif finding.not_done is not None:
            not_done.append(finding)
        else:
            answered.append(place)
    return answered, not_done, unanswered


def _not_done(told: Told, finding: Finding) -> str:
    note = f" {say('Note')}: {finding.note}" if finding.note else ""
    at = "" if told.anonymous else f" ({time_words(finding.at)})"
    return f"{finding_words(told.protocol, told.session, finding.place)}.{note}{at}"


def _between(told: Told, moments: Sequence[datetime]) -> tuple[Words, ...]:
    if told.anonymous or not moments:
        return ()
    span = span_words(min(moments), max(moments))
    return (Words(say("Entered: {time}", time=span), Tone.QUIET),)


def decided_section_head(told: Told) -> tuple[Words, ...]:
    """Say how much was decided, how much of it as recommended, and when."""
    results = told.summary.features
    decided = [
        (one, decision)
        for one in results
        if (decision := decision_at(told.session, one)) is not None
    ]
    if not decided:
        return (Words(say("Nothing was ordered at this visit; these are recommendations.")),)
    same = sum(one.value == decision.value for one, decision in decided)
    counted = say(
        "Decided as recommended: {same}. Decided otherwise: {other}.",
        same=same,
        other=len(decided) - same,
    )
    return (Words(counted), *_between(told, [decision.at for _, decision in decided]))
