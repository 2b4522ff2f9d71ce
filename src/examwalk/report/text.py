"""The summary as plain text: referral first, then each foot, then what is open."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from itertools import groupby
from textwrap import wrap

from examwalk.language import later, say
from examwalk.protocol.model import CheckSeverity, DeviceEffect, Protocol
from examwalk.reasoning.fitting import case_of
from examwalk.reasoning.norms import references_of
from examwalk.reasoning.results import (
    CautionRaised,
    FeatureResult,
    FeatureStatus,
    MissingFinding,
    Summary,
)
from examwalk.reasoning.robustness import Robustness
from examwalk.reasoning.unanswered import Worth, in_order_of_worth
from examwalk.report.grounds import mark_words
from examwalk.report.norm_words import references_told
from examwalk.report.record_words import amendment_words, signature_words
from examwalk.report.robustness_words import (
    MEANING,
    NOTHING_HANGS,
    NOTHING_TOGETHER,
    ONE_GRADE_AWAY,
    TOGETHER,
    by_caution,
    hangs_on_words,
    move_words,
    raised_by_words,
    repeat_words,
    standing_words,
)
from examwalk.report.said import as_text
from examwalk.report.shell_text import sentences_for
from examwalk.report.sides import side_word, with_side
from examwalk.report.unanswered_words import worth_words
from examwalk.report.words import (
    derived_words,
    finding_words,
    grounds_words,
    order_words,
    place_words,
    review_date,
    waiting_words,
)
from examwalk.session.model import Decision, Session, Side, State

WIDTH = 88
MOST_MISSING = 12
MOST_REPEATS = 8
MOST_PAIRS = 20
MOST_MOVES = 4
MOST_NAMES = 6
"""Longer lists of what is not answered yet, or could change, are cut short."""

DEVICE_WORDS = {
    DeviceEffect.STOP: later("no device yet"),
    DeviceEffect.MODIFY: later("changes the device"),
    DeviceEffect.ALLOW: later("device allowed"),
}
SEVERITY_WORDS = {
    CheckSeverity.IMPOSSIBLE: later("impossible"),
    CheckSeverity.UNLIKELY: later("unlikely"),
    CheckSeverity.LOOK_AGAIN: later("look again"),
}
DEEP = " " * 6
"""How far the reasons of a value stand in."""
EXAMINED = {
    State.OPEN: later("Examined {time} by {examiner}, still open; protocol {protocol}"),
    State.FINISHED: later("Examined {time} by {examiner}, finished; protocol {protocol}"),
}
PARTS = (
    (Side.WHOLE, later("For the pair")),
    (Side.LEFT, later("Left foot")),
    (Side.RIGHT, later("Right foot")),
)


def summary_text(
    protocol: Protocol,
    session: Session,
    summary: Summary,
    robustness: Robustness | None = None,
    worth: Sequence[Worth] = (),
    *,
    anonymous: bool = False,
) -> str:
    """Write everything that follows from a visit as text for a person, ending in a newline.

    Args:
        protocol: what the visit is read with.
        session: the visit.
        summary: all that follows from it.
        robustness: what hangs on what, where that was worked out.
        worth: what unanswered tests could tell, the most telling first.
        anonymous: the visit is one without names (``report.anonymous``): say so in its head, and
            give the year alone.
    """
    if anonymous:
        head = [*_anonymous_head(protocol, session)]
    else:
        head = [*_head(protocol, session), *_amendments(protocol, session)]
    review = None if anonymous else review_date(session, summary)
    return "\n".join((*head, *_lines(protocol, session, summary, robustness, worth, review))) + "\n"


def _lines(
    protocol: Protocol,
    session: Session,
    summary: Summary,
    robustness: Robustness | None,
    worth: Sequence[Worth],
    review: date | None,
) -> Iterator[str]:
    yield from _cautions(protocol, session, summary, robustness)
    yield from _derived(summary)
    yield from _crosschecks(protocol, session, summary)
    yield from _features(protocol, session, summary, robustness)
    yield from _unmatched(protocol, session, summary)
    yield from _collisions(summary)
    yield from _repeat_first(protocol, robustness)
    yield from _missing(protocol, summary, worth)
    yield from _references(protocol, session)
    yield from _advice(summary, review)


def _anonymous_head(protocol: Protocol, session: Session) -> Iterator[str]:
    invented = say("(invented patient, for teaching and tests)") if session.invented else ""
    yield f"{say('Patient {code}', code=say('withheld'))}  {invented}".rstrip()
    yield say(
        "Examined in {year}; protocol {protocol}",
        year=f"{session.started:%Y}",
        protocol=f"{protocol.identity.id} {protocol.identity.version}",
    )
    yield ""
    yield from _paragraph(protocol.identity.disclaimer)


def _head(protocol: Protocol, session: Session) -> Iterator[str]:
    yield say("Visit {id}", id=session.id)
    invented = say("(invented patient, for teaching and tests)") if session.invented else ""
    yield f"{say('Patient {code}', code=session.patient)}  {invented}".rstrip()
    yield say(
        EXAMINED[session.state],
        time=f"{session.started:%Y-%m-%d %H:%M}",
        examiner=session.examiner or "—",
        protocol=f"{protocol.identity.id} {protocol.identity.version}",
    )
    if session.signature is not None:
        yield signature_words(session)
    if session.about:
        yield from _paragraph(session.about)
    yield ""
    yield from _paragraph(protocol.identity.disclaimer)


def _amendments(protocol: Protocol, session: Session) -> Iterator[str]:
    if not session.amendments:
        return
    yield from _heading(say("Amended after signing"))
    for amendment in session.amendments:
        yield from _item(amendment_words(protocol, amendment))


def _cautions(
    protocol: Protocol, session: Session, summary: Summary, robustness: Robustness | None
) -> Iterator[str]:
    yield from _heading(say("Referral and cautions"))
    if not summary.cautions:
        yield say("None raised.")
    for caution in summary.cautions:
        yield from _caution(caution)
        found = (finding_words(protocol, session, place) for place in caution.findings)
        yield from _labelled(say("Found"), "; ".join(found))
        taken = [
            move
            for move in (robustness.would_take_away if robustness else ())
            if (move[1].id, move[1].side) == (caution.id, caution.side)
        ]
        if taken:
            moves = "; ".join(raised_by_words(protocol, taken))
            yield from _labelled(say("Would not be raised with"), moves)
    yield from _one_grade_away(protocol, robustness)
    if summary.open_cautions:
        yield ""
        yield f"{say('Not excluded yet')}:"
    for caution in summary.open_cautions:
        places = ", ".join(place_words(protocol, place) for place in caution.missing)
        needs = say("needs {places}", places=places)
        yield from _item(f"{with_side(caution.title, caution.side)}: {needs}")


def _one_grade_away(protocol: Protocol, robustness: Robustness | None) -> Iterator[str]:
    """Cautions that are not raised, and would be if one finding were a little off."""
    if robustness is None or not robustness.would_raise:
        return
    yield ""
    yield f"{say(ONE_GRADE_AWAY)}:"
    for shift, moves in by_caution(robustness.would_raise):
        title = with_side(shift.title, shift.side)
        yield from _item(f"{title}: {'; '.join(raised_by_words(protocol, moves))}")


def _caution(caution: CautionRaised) -> Iterator[str]:
    yield f"  ! {with_side(caution.title, caution.side)}"
    yield f"    {caution.urgency_words}; {say(DEVICE_WORDS[caution.device])}"
    yield from _paragraph(caution.says, indent="    ")
    if caution.refer_to:
        yield from _labelled(say("Refer to"), caution.refer_to)


def _derived(summary: Summary) -> Iterator[str]:
    shown = [result for result in summary.derived if not result.internal]
    if not shown:
        return
    yield from _heading(say("Worked out from the findings"))
    for _, group in groupby(shown, key=lambda result: result.id):
        results = list(group)
        words = "   ".join(
            f"{side_word(result.side)} {derived_words(result)}"
            if result.side is not Side.WHOLE
            else derived_words(result)
            for result in results
        )
        yield from _paragraph(f"{results[0].title}: {words}", indent="  ")


def _references(protocol: Protocol, session: Session) -> Iterator[str]:
    referenced = references_of(case_of(protocol, session))
    if referenced:
        yield from _heading(say("Against reference values"))
        yield from as_text(references_told(protocol, referenced), WIDTH, indent=2)


def _crosschecks(protocol: Protocol, session: Session, summary: Summary) -> Iterator[str]:
    yield from _heading(say("Findings that do not fit"))
    if not summary.crosschecks:
        yield say("None.")
    for check in summary.crosschecks:
        severity = with_side(say(SEVERITY_WORDS[check.severity]), check.side)
        yield from _item(f"{severity}: {check.says} {check.why}".strip())
        found = (finding_words(protocol, session, place) for place in check.findings)
        yield from _labelled(say("Found"), "; ".join(found))
        again = ", ".join(place_words(protocol, place) for place in check.recheck)
        yield from _labelled(say("Look again at"), again)
        for reply in session.replies:
            if (reply.crosscheck, reply.side) == (check.id, check.side):
                yield from _labelled(say("Replied"), reply.says)


def _features(
    protocol: Protocol, session: Session, summary: Summary, robustness: Robustness | None
) -> Iterator[str]:
    for side, title in PARTS:
        results = [result for result in summary.features if result.side is side]
        if not results:
            continue
        yield from _heading(say(title))
        left_out = []
        for result in results:
            decisions = _decisions_on(session, result)
            if result.status is FeatureStatus.NOT_APPLICABLE and not decisions:
                left_out.append(result.title)
                continue
            yield from _feature(protocol, session, summary, result, robustness)
            for decision in decisions:
                yield from _paragraph(order_words(protocol, decision, result), indent="    > ")
        if left_out:
            yield from _labelled(say("Not applicable"), ", ".join(left_out), indent="  ")


def _decisions_on(session: Session, result: FeatureResult) -> list[Decision]:
    return [
        decision
        for decision in session.decisions
        if (decision.feature, decision.side) == (result.id, result.side)
    ]


def _feature(
    protocol: Protocol,
    session: Session,
    summary: Summary,
    result: FeatureResult,
    robustness: Robustness | None,
) -> Iterator[str]:
    if result.status is not FeatureStatus.RECOMMENDED:
        waits = result.status is FeatureStatus.WAITING
        words = waiting_words(protocol, result) if waits else result.words
        yield from _paragraph(f"{result.title}: {words}", indent="  ")
        return
    stands = standing_words(robustness, result) if robustness else ""
    marks = "; ".join(filter(None, (mark_words(result.standing), stands)))
    yield from _paragraph(f"{result.title}: {result.words}  [{marks}]", indent="  ")
    for step in result.trace:
        if step.changed:
            yield from _paragraph(f"{step.did}. {step.because}", indent=DEEP)
    grounds = grounds_words(protocol, session, summary, result)
    if grounds and any(step.changed for step in result.trace):
        yield from _labelled(say("Rests on"), "; ".join(grounds), DEEP)
    for sentence in sentences_for(protocol, session, summary, result):
        yield from _paragraph(sentence, indent=DEEP)
    if result.missing:
        places = _listed([place_words(protocol, place) for place in result.missing])
        yield from _labelled(say("Could still change with"), places, DEEP)
    if robustness and robustness.on_feature(result.id, result.side):
        moves = "; ".join(hangs_on_words(protocol, robustness, result, MOST_MOVES))
        yield from _labelled(say("Hangs on"), moves, DEEP)


def _listed(names: Sequence[str]) -> str:
    """List names, the first few of many; all unanswered tests are listed below once more."""
    left = len(names) - MOST_NAMES
    if left <= 1:
        return ", ".join(names)
    return say("{names} and {count} more", names=", ".join(names[:MOST_NAMES]), count=left)


def _unmatched(protocol: Protocol, session: Session, summary: Summary) -> Iterator[str]:
    """Orders for what is not, or no longer, a feature of the protocol on that side."""
    known = {(result.id, result.side) for result in summary.features}
    lost = [one for one in session.decisions if (one.feature, one.side) not in known]
    if not lost:
        return
    yield from _heading(say("Ordered, but not a feature of this protocol"))
    for decision in lost:
        title = with_side(decision.feature, decision.side)
        yield from _item(f"{title}: {order_words(protocol, decision, None)}")


def _collisions(summary: Summary) -> Iterator[str]:
    if not summary.collisions:
        return
    yield from _heading(say("Rules that collide: the clinician decides"))
    for collision in summary.collisions:
        yield from _item(f"{with_side(collision.title, collision.side)}: {collision.says}")
        yield from _labelled(say("Stands for now"), collision.stands)


def _repeat_first(protocol: Protocol, robustness: Robustness | None) -> Iterator[str]:
    if robustness is None or not robustness.moves:
        return
    yield from _heading(say("Repeat these first"))
    yield from _paragraph(say(MEANING))
    if not robustness.repeat_first:
        yield say(NOTHING_HANGS)
    for number, repeat in enumerate(robustness.repeat_first[:MOST_REPEATS], 1):
        yield from _paragraph(repeat_words(protocol, repeat), indent=f" {number:>2} ")
        for tried in repeat.tried:
            yield from _paragraph(move_words(protocol, tried), indent="    ")
    left = len(robustness.repeat_first) - MOST_REPEATS
    if left > 0:
        yield f"    {say('… and {count} more', count=left)}"
    yield from _together(protocol, robustness)


def _together(protocol: Protocol, robustness: Robustness) -> Iterator[str]:
    if robustness.pairs is None:
        return
    yield from _heading(say(TOGETHER))
    if not robustness.pairs:
        yield say(NOTHING_TOGETHER)
    for tried in robustness.pairs[:MOST_PAIRS]:
        yield from _item(move_words(protocol, tried))
    left = len(robustness.pairs) - MOST_PAIRS
    if left > 0:
        yield f"    {say('… and {count} more', count=left)}"


def _missing(protocol: Protocol, summary: Summary, worth: Sequence[Worth]) -> Iterator[str]:
    if not summary.missing:
        return
    yield from _heading(say("Not answered, most consequential first"))
    told = {one.place: one for one in worth}
    for one in in_order_of_worth(summary.missing, worth)[:MOST_MISSING]:
        yield from _item(_missing_words(protocol, one))
        answers = worth_words(protocol, told[one.place]) if one.place in told else ()
        for words in answers:
            yield from _paragraph(words, indent=DEEP)
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
        text += f"; {say('could change: {features}', features=_listed(one.could_change))}"
    return text


def _advice(summary: Summary, review: date | None) -> Iterator[str]:
    yield from _heading(say("Advice and review"))
    for advice in summary.advice:
        yield from _item(f"{with_side(advice.kind, advice.side)}: {advice.says}")
    if review:
        yield from _labelled(say("First review"), f"{review:%Y-%m-%d}", indent="  ")


def _item(text: str) -> list[str]:
    return _paragraph(text, indent="  - ")


def _labelled(label: str, text: str, indent: str = "    ") -> list[str]:
    return _paragraph(f"{label}: {text}", indent)


def _heading(title: str) -> Iterable[str]:
    return ("", title, "-" * len(title))


def _paragraph(text: str, indent: str = "") -> list[str]:
    return wrap(text, WIDTH, initial_indent=indent, subsequent_indent=" " * len(indent))
