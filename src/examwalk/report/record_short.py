"""A record in a few lines: what was found that matters, what is ordered, and why."""

from collections.abc import Iterator

from examwalk.dates import date_words
from examwalk.language import say
from examwalk.protocol.feature_model import RuleClass
from examwalk.reasoning.results import FeatureResult, FeatureStatus
from examwalk.report.document import Grid, Section
from examwalk.report.page_parts import (
    Told,
    decision_at,
    differences_of,
    undecided_legend,
    value_at,
)
from examwalk.report.record_gaps import counted_words
from examwalk.report.record_sources import changing_steps
from examwalk.report.sides import side_heading, with_side
from examwalk.report.telling import telling_derived, telling_findings
from examwalk.report.words import derived_words, found_words, place_words, review_date
from examwalk.session.model import BOTH_FEET, Place, Side

_MOST_REASONS = 4


def short_section(told: Told) -> Section:
    """Return the record in a few lines, the patient's safety first."""
    rows = tuple((name, words) for name, words in _rows(told) if words)
    title = say("In short")
    legend = undecided_legend(told) if told.session.decisions else ()
    return Section(title, (Grid(title, (say("About"), title), rows, has_short_names=True), *legend))


def _rows(told: Told) -> Iterator[tuple[str, str]]:
    yield say("Referral and cautions"), _cautions(told) or say("None raised.")
    found = list(_found(told))
    for side in (Side.WHOLE, *BOTH_FEET):
        words = "; ".join(text for at, text in found if at is side)
        yield with_side(say("Found"), side), words
    ordered = say("Ordered") if told.session.decisions else say("Recommended")
    for side in (Side.WHOLE, *BOTH_FEET):
        values = (_value(told, one) for one in told.summary.features if one.side is side)
        yield with_side(ordered, side), "; ".join(filter(None, values))
    yield say("Ordered otherwise than recommended"), "; ".join(differences_of(told))
    yield say("Why"), _why(told)
    yield say("Findings that do not fit"), _unfitting(told)
    yield say("Answers"), counted_words(told)
    day = review_date(told.session, told.summary)
    if day and not told.anonymous:
        yield say("First review"), date_words(day)


def _cautions(told: Told) -> str:
    summary = told.summary
    words = [f"{with_side(one.title, one.side)}: {one.urgency_words}" for one in summary.cautions]
    if summary.open_cautions:
        names = ", ".join(with_side(one.title, one.side) for one in summary.open_cautions)
        words.append(say("not excluded yet: {cautions}", cautions=names))
    return "; ".join(words)


def _found(told: Told) -> Iterator[tuple[Side, str]]:
    for place in dict.fromkeys(place for place, _ in telling_findings(told)):
        name = place_words(told.protocol, Place(place.test, Side.WHOLE))
        yield place.side, f"{name}: {found_words(told.protocol, told.session, place)}"
    for result, _ in telling_derived(told):
        yield result.side, f"{result.title}: {derived_words(result)}"


def _value(told: Told, result: FeatureResult) -> str:
    """Say a value that is something to make or to do; nothing of one that is none, or unasked."""
    feature, decision = told.protocol.features_by_id[result.id], decision_at(told.session, result)
    if decision is None and result.status is FeatureStatus.NOT_APPLICABLE:
        return ""
    value = result.value if decision is None else decision.value
    changed = decision is not None or bool(changing_steps(result))
    if value == 0 or (value == feature.start and not changed and result.side is not Side.WHOLE):
        return ""
    return f"{result.title}: {value_at(told, result)}"


def _why(told: Told) -> str:
    """Give the reason of the first value, and of what was held back to protect the patient."""
    steps = [step for one in told.summary.features for step in changing_steps(one) if step.class_]
    protecting = (
        step
        for class_ in (RuleClass.SAFETY, RuleClass.TOLERANCE)
        for step in steps
        if step.class_ is class_
    )
    reasons = list(dict.fromkeys(step.because for step in (*steps[:1], *protecting)))
    more = (say("More under Reasons."),) if steps[1:] else ()
    return " ".join((*reasons[:_MOST_REASONS], *more))


def _unfitting(told: Told) -> str:
    words = []
    for check in told.summary.crosschecks:
        side = "" if check.side is Side.WHOLE else f"{side_heading(check.side)}: "
        reply = told.session.reply_to(check.id, check.side)
        if reply is None:
            answered = f" {say('Not replied to.')}"
        elif told.session.is_outdated(reply, check.findings):
            answered = f" {say('Replied before a finding changed')}."
        else:
            answered = ""
        words.append(f"{side}{check.says}{answered}")
    return " ".join(words)
