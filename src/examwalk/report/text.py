"""The summary as plain text: referral first, then each foot, then what is open."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from textwrap import wrap

from examwalk.protocol.model import Protocol
from examwalk.reasoning.results import (
    CautionRaised,
    FeatureResult,
    FeatureStatus,
    MissingFinding,
    Summary,
)
from examwalk.report.shell_text import sentences_for
from examwalk.report.words import (
    derived_words,
    finding_words,
    grounds_words,
    order_words,
    place_words,
    review_date,
    standing_words,
    waiting_words,
)
from examwalk.session.model import BOTH_FEET, Decision, Session, Side

WIDTH = 88
MOST_MISSING = 12
MOST_NAMES = 6
"""Longer lists of what is not answered yet, or could change, are cut short."""


def summary_text(protocol: Protocol, session: Session, summary: Summary) -> str:
    """Write everything that follows from a visit as text for a person, ending in a newline."""
    return "\n".join(_lines(protocol, session, summary)) + "\n"


def _lines(protocol: Protocol, session: Session, summary: Summary) -> Iterator[str]:
    yield from _head(protocol, session)
    yield from _cautions(protocol, session, summary)
    yield from _derived(summary)
    yield from _crosschecks(protocol, session, summary)
    yield from _features(protocol, session, summary)
    yield from _unmatched(protocol, session, summary)
    yield from _collisions(summary)
    yield from _missing(protocol, summary)
    yield from _advice(session, summary)


def _head(protocol: Protocol, session: Session) -> Iterator[str]:
    yield f"Visit {session.id}"
    invented = "  (invented patient, for teaching and tests)" if session.invented else ""
    yield f"Patient {session.patient}{invented}"
    yield (
        f"Examined {session.started:%Y-%m-%d %H:%M} by {session.examiner or '—'}, "
        f"{session.state.value}; protocol {protocol.identity.id} {protocol.identity.version}"
    )
    if session.about:
        yield from _paragraph(session.about)
    yield ""
    yield from _paragraph(protocol.identity.disclaimer)


def _cautions(protocol: Protocol, session: Session, summary: Summary) -> Iterator[str]:
    yield from _heading("Referral and cautions")
    if not summary.cautions:
        yield "None raised."
    for caution in summary.cautions:
        yield from _caution(caution)
        found = (finding_words(protocol, session, place) for place in caution.findings)
        yield from _paragraph("Found: " + "; ".join(found), indent="    ")
    if summary.open_cautions:
        yield ""
        yield "Not excluded yet:"
    for caution in summary.open_cautions:
        places = ", ".join(place_words(protocol, place) for place in caution.missing)
        text = f"{caution.title}{_side(caution.side)}: needs {places}"
        yield from _paragraph(text, indent="  - ")


def _caution(caution: CautionRaised) -> Iterator[str]:
    device = {"stop": "no device yet", "modify": "changes the device", "allow": "device allowed"}
    yield f"  ! {caution.title}{_side(caution.side)}"
    yield f"    {caution.urgency_words}; {device[caution.device.value]}"
    yield from _paragraph(caution.says, indent="    ")
    if caution.refer_to:
        yield from _paragraph(f"Refer to: {caution.refer_to}", indent="    ")


def _derived(summary: Summary) -> Iterator[str]:
    shown = [result for result in summary.derived if not result.internal]
    if not shown:
        return
    yield from _heading("Worked out from the findings")
    for _, group in groupby(shown, key=lambda result: result.id):
        results = list(group)
        words = "   ".join(
            f"{result.side.value} {derived_words(result)}"
            if result.side is not Side.WHOLE
            else derived_words(result)
            for result in results
        )
        yield from _paragraph(f"{results[0].title}: {words}", indent="  ")


def _crosschecks(protocol: Protocol, session: Session, summary: Summary) -> Iterator[str]:
    yield from _heading("Findings that do not fit")
    if not summary.crosschecks:
        yield "None."
    for check in summary.crosschecks:
        text = f"{check.severity.value}{_side(check.side)}: {check.says} {check.why}"
        yield from _paragraph(text.strip(), indent="  - ")
        found = (finding_words(protocol, session, place) for place in check.findings)
        yield from _paragraph("Found: " + "; ".join(found), indent="    ")
        again = ", ".join(place_words(protocol, place) for place in check.recheck)
        yield from _paragraph(f"Look again at: {again}", indent="    ")
        for reply in session.replies:
            if (reply.crosscheck, reply.side) == (check.id, check.side):
                yield from _paragraph(f"Answered: {reply.says}", indent="    ")


def _features(protocol: Protocol, session: Session, summary: Summary) -> Iterator[str]:
    for side, title in (
        (Side.WHOLE, "For the pair"),
        (Side.LEFT, "Left foot"),
        (Side.RIGHT, "Right foot"),
    ):
        results = [result for result in summary.features if result.side is side]
        if not results:
            continue
        yield from _heading(title)
        left_out = []
        for result in results:
            decisions = _decisions_on(session, result)
            if result.status is FeatureStatus.NOT_APPLICABLE and not decisions:
                left_out.append(result.title)
                continue
            yield from _feature(protocol, session, summary, result)
            for decision in decisions:
                yield from _paragraph(order_words(protocol, decision, result), indent="    > ")
        if left_out:
            yield from _paragraph(f"Not applicable: {', '.join(left_out)}", indent="  ")


def _decisions_on(session: Session, result: FeatureResult) -> list[Decision]:
    return [
        decision
        for decision in session.decisions
        if (decision.feature, decision.side) == (result.id, result.side)
    ]


def _feature(
    protocol: Protocol, session: Session, summary: Summary, result: FeatureResult
) -> Iterator[str]:
    if result.status is not FeatureStatus.RECOMMENDED:
        waits = result.status is FeatureStatus.WAITING
        words = waiting_words(protocol, result) if waits else result.words
        yield from _paragraph(f"{result.title}: {words}", indent="  ")
        return
    yield from _paragraph(
        f"{result.title}: {result.words}  [{standing_words(result.standing)}]", indent="  "
    )
    for step in result.trace:
        if step.changed:
            yield from _paragraph(f"{step.did}. {step.because}", indent="      ")
    grounds = grounds_words(protocol, session, summary, result)
    if grounds and any(step.changed for step in result.trace):
        yield from _paragraph(f"Rests on: {'; '.join(grounds)}", indent="      ")
    for sentence in sentences_for(protocol, session, summary, result):
        yield from _paragraph(sentence, indent="      ")
    if result.missing:
        places = _listed([place_words(protocol, place) for place in result.missing])
        yield from _paragraph(f"Could still change with: {places}", indent="      ")


def _listed(names: Sequence[str]) -> str:
    """List names, the first few of many; all unanswered tests are listed below once more."""
    left = len(names) - MOST_NAMES
    if left <= 1:
        return ", ".join(names)
    return f"{', '.join(names[:MOST_NAMES])} and {left} more"


def _unmatched(protocol: Protocol, session: Session, summary: Summary) -> Iterator[str]:
    """Orders for what is not, or no longer, a feature of the protocol on that side."""
    known = {(result.id, result.side) for result in summary.features}
    lost = [one for one in session.decisions if (one.feature, one.side) not in known]
    if not lost:
        return
    yield from _heading("Ordered, but not a feature of this protocol")
    for decision in lost:
        text = f"{decision.feature}{_side(decision.side)}: {order_words(protocol, decision, None)}"
        yield from _paragraph(text, indent="  - ")


def _collisions(summary: Summary) -> Iterator[str]:
    if not summary.collisions:
        return
    yield from _heading("Rules that collide: the clinician decides")
    for collision in summary.collisions:
        text = f"{collision.title}{_side(collision.side)}: {collision.says}"
        yield from _paragraph(text, indent="  - ")
        yield f"    Stands for now: {collision.stands}"


def _missing(protocol: Protocol, summary: Summary) -> Iterator[str]:
    if not summary.missing:
        return
    yield from _heading("Not answered, most consequential first")
    for one in summary.missing[:MOST_MISSING]:
        yield from _paragraph(_missing_words(protocol, one), indent="  - ")
    left = len(summary.missing) - MOST_MISSING
    if left > 0:
        yield f"  … and {left} more"


def _missing_words(protocol: Protocol, one: MissingFinding) -> str:
    text = place_words(protocol, one.place)
    if one.reason:
        text += f" (not done: {one.reason})"
    if one.could_raise:
        text += f"; could raise: {', '.join(one.could_raise)}"
    if one.could_change:
        text += f"; could change: {_listed(one.could_change)}"
    return text


def _advice(session: Session, summary: Summary) -> Iterator[str]:
    yield from _heading("Advice and review")
    for advice in summary.advice:
        yield from _paragraph(f"{advice.kind}{_side(advice.side)}: {advice.says}", indent="  - ")
    review = review_date(session, summary)
    if review:
        yield f"  First review: {review:%Y-%m-%d}"


def _side(side: Side) -> str:
    return f", {side.value}" if side in BOTH_FEET else ""


def _heading(title: str) -> Iterable[str]:
    return ("", title, "-" * len(title))


def _paragraph(text: str, indent: str = "") -> list[str]:
    return wrap(text, WIDTH, initial_indent=indent, subsequent_indent=" " * len(indent))
