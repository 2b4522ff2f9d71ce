"""What a record says of its own completeness: what was not done, and when the rest was."""

from collections.abc import Iterable, Sequence
from datetime import datetime

from examwalk.language import say
from examwalk.reasoning.fitting import case_of
from examwalk.report.dates import span_words, time_words
from examwalk.report.document import Block, Listing, Section, Tone, Words
from examwalk.report.grounds import places_words
from examwalk.report.page_parts import Told, decision_at
from examwalk.report.words import finding_words
from examwalk.session.model import Place


def gaps_section(told: Told) -> Section:
    """Return what was not done, each with its reason, and what has no answer at all."""
    session, case = told.session, case_of(told.protocol, told.session)
    not_done, unanswered = [], []
    for place in case.places:
        finding = session.finding(place)
        if finding is None or not finding.is_settled:
            unanswered.append(place)
        elif finding.not_done is not None:
            note = f" {say('Note')}: {finding.note}" if finding.note else ""
            words = finding_words(told.protocol, session, place)
            not_done.append(f"{words}.{note}{_at(told, finding.at)}")
    answered = len(case.places) - len(not_done) - len(unanswered)
    counted = say(
        "Asked for: {count}. Answered: {answered}. Not done, with a reason: {not_done}."
        " Without an answer: {unanswered}.",
        count=len(case.places),
        answered=answered,
        not_done=len(not_done),
        unanswered=len(unanswered),
    )
    blocks: list[Block] = [Words(counted)]
    if not_done:
        blocks.append(Listing(tuple(not_done)))
    if unanswered:
        names = places_words(told.protocol, unanswered)
        blocks.append(Words(say("No answer: {places}.", places=names), Tone.STRONG))
    return Section(say("What was not done"), tuple(blocks))


def _at(told: Told, moment: datetime) -> str:
    return "" if told.anonymous else f" ({time_words(moment)})"


def found_between(told: Told, places: Iterable[Place]) -> tuple[Words, ...]:
    """Say when the answers at these places were given; nothing where that is withheld."""
    found = (told.session.finding(place) for place in places)
    return _between(told, [one.at for one in found if one is not None and one.is_settled])


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
