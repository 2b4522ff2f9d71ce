"""The summary as plain text: referral first, then each foot, then what is open."""

from collections.abc import Iterator, Sequence
from datetime import date
from itertools import groupby

from examwalk.dates import date_words, time_words
from examwalk.language import later, say
from examwalk.protocol.model import Protocol
from examwalk.reasoning.fitting import case_of
from examwalk.reasoning.norms import references_of
from examwalk.reasoning.results import Summary
from examwalk.reasoning.robustness import Robustness
from examwalk.reasoning.unanswered import Worth
from examwalk.report.chart_lines import chart_lines
from examwalk.report.charts import charts_of
from examwalk.report.norm_words import references_told
from examwalk.report.profile import graded_rows
from examwalk.report.profile_drawing import profile_lines
from examwalk.report.record_words import amendment_words, signature_words
from examwalk.report.said import as_text
from examwalk.report.sides import side_word, with_side
from examwalk.report.text_cautions import caution_lines
from examwalk.report.text_features import collision_lines, feature_lines, unmatched_lines
from examwalk.report.text_lines import WIDTH, heading, item, labelled, paragraph
from examwalk.report.text_open import missing_lines, repeat_lines
from examwalk.report.words import (
    SEVERITY_WORDS,
    derived_words,
    finding_words,
    place_words,
    replied,
    review_date,
)
from examwalk.session.model import Session, Side, State

EXAMINED = {
    State.OPEN: later("Examined {time} by {examiner}, still open; protocol {protocol}"),
    State.FINISHED: later("Examined {time} by {examiner}, finished; protocol {protocol}"),
}


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
    yield from caution_lines(protocol, session, summary, robustness)
    yield from _derived(summary)
    yield from _crosschecks(protocol, session, summary)
    yield from repeat_lines(protocol, summary, robustness)
    yield from feature_lines(protocol, session, summary, robustness)
    yield from unmatched_lines(protocol, session, summary)
    yield from collision_lines(summary)
    yield from missing_lines(protocol, summary, worth)
    yield from picture_lines(protocol, session, summary)
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
    yield from paragraph(protocol.identity.disclaimer)


def _head(protocol: Protocol, session: Session) -> Iterator[str]:
    yield say("Visit {id}", id=session.id)
    invented = say("(invented patient, for teaching and tests)") if session.invented else ""
    yield f"{say('Patient {code}', code=session.patient)}  {invented}".rstrip()
    yield say(
        EXAMINED[session.state],
        time=time_words(session.started),
        examiner=session.examiner or "—",
        protocol=f"{protocol.identity.id} {protocol.identity.version}",
    )
    if session.signature is not None:
        yield signature_words(session)
    if session.about:
        yield from paragraph(session.about)
    yield ""
    yield from paragraph(protocol.identity.disclaimer)


def _amendments(protocol: Protocol, session: Session) -> Iterator[str]:
    if not session.amendments:
        return
    yield from heading(say("Amended after signing"))
    for amendment in session.amendments:
        yield from item(amendment_words(protocol, amendment))


def _derived(summary: Summary) -> Iterator[str]:
    shown = [result for result in summary.derived if not result.internal]
    if not shown:
        return
    yield from heading(say("Worked out from the findings"))
    for _, group in groupby(shown, key=lambda result: result.id):
        results = list(group)
        words = "   ".join(
            f"{side_word(result.side)} {derived_words(result)}"
            if result.side is not Side.WHOLE
            else derived_words(result)
            for result in results
        )
        yield from paragraph(f"{results[0].title}: {words}", indent="  ")


def picture_lines(protocol: Protocol, session: Session, summary: Summary) -> Iterator[str]:
    """Draw the profile of the grades and each chart in characters, under headings."""
    rows = graded_rows(protocol, session)
    if rows:
        yield from heading(say("Profile of the grades"))
        yield from profile_lines(rows)
    for chart in charts_of(protocol, session, summary):
        yield from heading(chart.title)
        yield from chart_lines(chart)


def _references(protocol: Protocol, session: Session) -> Iterator[str]:
    referenced = references_of(case_of(protocol, session))
    if referenced:
        yield from heading(say("Against reference values"))
        yield from as_text(references_told(protocol, referenced), WIDTH, indent=2)


def _crosschecks(protocol: Protocol, session: Session, summary: Summary) -> Iterator[str]:
    yield from heading(say("Findings that do not fit"))
    if not summary.crosschecks:
        yield say("None.")
    for check in summary.crosschecks:
        severity = with_side(say(SEVERITY_WORDS[check.severity]), check.side)
        yield from item(f"{severity}: {check.says} {check.why}".strip())
        found = (finding_words(protocol, session, place) for place in check.findings)
        yield from labelled(say("Found"), "; ".join(found))
        again = "; ".join(place_words(protocol, place) for place in check.recheck)
        yield from labelled(say("Look again at"), again)
        for reply in session.replies:
            if (reply.crosscheck, reply.side) == (check.id, check.side):
                is_outdated = session.is_outdated(reply, check.findings)
                yield from labelled(replied(is_outdated=is_outdated), reply.says)


def _advice(summary: Summary, review: date | None) -> Iterator[str]:
    yield from heading(say("Advice and review"))
    for advice in summary.advice:
        yield from item(f"{with_side(advice.kind, advice.side)}: {advice.says}")
    if review:
        yield from labelled(say("First review"), date_words(review), indent="  ")
