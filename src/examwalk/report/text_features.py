"""The features of each foot in the summary as plain text, and what was ordered."""

from collections.abc import Iterator

from examwalk.language import later, say
from examwalk.protocol.model import Protocol
from examwalk.reasoning.results import FeatureResult, FeatureStatus, Summary
from examwalk.reasoning.robustness import Robustness
from examwalk.report.grounds import mark_words
from examwalk.report.robustness_words import hangs_on_briefly, standing_words
from examwalk.report.shell_text import sentences_for
from examwalk.report.sides import with_side
from examwalk.report.text_lines import DEEP, heading, item, labelled, listed, paragraph
from examwalk.report.words import grounds_words, order_words, place_words, waiting_words
from examwalk.session.model import Session, Side

PARTS = (
    (Side.WHOLE, later("For the pair")),
    (Side.LEFT, later("Left foot")),
    (Side.RIGHT, later("Right foot")),
)


def feature_lines(
    protocol: Protocol, session: Session, summary: Summary, robustness: Robustness | None
) -> Iterator[str]:
    """Tell each feature of the pair and of each foot, with its reasons and its order."""
    for side, title in PARTS:
        results = [result for result in summary.features if result.side is side]
        if not results:
            continue
        yield from heading(say(title))
        left_out = []
        for result in results:
            decision = session.decision(result.id, result.side)
            if result.status is FeatureStatus.NOT_APPLICABLE and decision is None:
                left_out.append(result.title)
                continue
            yield from _feature(protocol, session, summary, result, robustness)
            if decision is not None:
                yield from paragraph(order_words(protocol, decision, result), indent="    > ")
        if left_out:
            yield from labelled(say("Not applicable"), ", ".join(left_out), indent="  ")


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
        yield from paragraph(f"{result.title}: {words}", indent="  ")
        return
    stands = standing_words(robustness, result) if robustness else ""
    marks = "; ".join(filter(None, (mark_words(result.standing), stands)))
    yield from paragraph(f"{result.title}: {result.words}  [{marks}]", indent="  ")
    for step in result.trace:
        if step.changed:
            yield from paragraph(f"{step.did}. {step.because}", indent=DEEP)
    grounds = grounds_words(protocol, session, summary, result)
    if grounds and any(step.changed for step in result.trace):
        yield from labelled(say("Rests on"), "; ".join(grounds), DEEP)
    for sentence in sentences_for(protocol, session, summary, result):
        yield from paragraph(sentence, indent=DEEP)
    if result.missing:
        places = listed([place_words(protocol, place) for place in result.missing])
        yield from labelled(say("Could still change with"), places, DEEP)
    if robustness and robustness.on_feature(result.id, result.side):
        moves = "; ".join(hangs_on_briefly(protocol, robustness, result))
        yield from labelled(say("Hangs on"), moves, DEEP)


def unmatched_lines(protocol: Protocol, session: Session, summary: Summary) -> Iterator[str]:
    """Tell the orders for what is not, or no longer, a feature of the protocol on that side."""
    known = {(result.id, result.side) for result in summary.features}
    lost = [one for one in session.decisions if (one.feature, one.side) not in known]
    if not lost:
        return
    yield from heading(say("Ordered, but not a feature of this protocol"))
    for decision in lost:
        title = with_side(decision.feature, decision.side)
        yield from item(f"{title}: {order_words(protocol, decision, None)}")


def collision_lines(summary: Summary) -> Iterator[str]:
    """Tell where rules of one class want different things."""
    if not summary.collisions:
        return
    yield from heading(say("Rules that collide: the clinician decides"))
    for collision in summary.collisions:
        yield from item(f"{with_side(collision.title, collision.side)}: {collision.says}")
        yield from labelled(say("Stands for now"), collision.stands)
