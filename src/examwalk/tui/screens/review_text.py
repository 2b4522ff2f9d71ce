"""The rows of the review: what was raised, what does not fit, what has no answer."""

from collections.abc import Hashable

from examwalk.language import say, say_count
from examwalk.protocol.caution_model import CheckSeverity
from examwalk.reasoning.results import CrosscheckFired, MissingFinding
from examwalk.report.sides import with_side
from examwalk.session.model import Place, Reply
from examwalk.tui.screens import reasons_text
from examwalk.tui.screens.further_text import by_test, missing_row
from examwalk.tui.screens.outlook_text import missing_in_order
from examwalk.tui.screens.sections import BLANK, heading, remark
from examwalk.tui.screens.summary_text import caution_row
from examwalk.tui.screens.words import (
    Outcome,
    replied_part,
)
from examwalk.tui.text import Part, phrase
from examwalk.tui.widgets.alerts import SIGNS
from examwalk.tui.widgets.lines import Line, Row


def review_rows(outcome: Outcome) -> tuple[Row, ...]:
    """Lay out the whole review as rows."""
    return (
        *_caution_rows(outcome),
        *_crosscheck_rows(outcome),
        *_not_done_rows(outcome),
        *_not_reached_rows(outcome),
    )


def not_reached(outcome: Outcome) -> tuple[MissingFinding, ...]:
    """Return what has neither an answer nor a reason, most consequential first."""
    return tuple(missing for missing in missing_in_order(outcome) if not missing.reason)


def _caution_rows(outcome: Outcome) -> list[Row]:
    rows = [heading(say("Raised cautions"))]
    if not outcome.summary.cautions:
        rows.append(remark(say("None so far.")))
    rows += [caution_row(caution) for caution in outcome.summary.cautions]
    return [*rows, BLANK]


def _crosscheck_rows(outcome: Outcome) -> list[Row]:
    rows = [heading(say("Findings that do not fit together"))]
    if not outcome.summary.crosschecks:
        rows.append(remark(say("None so far.")))
    rows += [_crosscheck_row(outcome, fired) for fired in outcome.summary.crosschecks]
    return [*rows, BLANK]


def _crosscheck_row(outcome: Outcome, fired: CrosscheckFired) -> Row:
    sign, style = SIGNS[fired.severity]
    parts: list[Part] = [(f"{with_side(say(sign), fired.side)}: ", style), fired.says]
    reply = reply_to(outcome, fired)
    if reply is not None:
        parts += [("\n", ""), replied_part(outcome, fired, reply)]
        parts.append(reply.says)
    return Row(phrase(*parts), key=("crosscheck", fired.id, fired.side), hang=2)


def reply_to(outcome: Outcome, fired: CrosscheckFired) -> Reply | None:
    """Return what the clinician answered to a cross-check."""
    return outcome.session.reply_to(fired.id, fired.side)


def unreplied(outcome: Outcome) -> tuple[CrosscheckFired, ...]:
    """Return the impossible findings that nobody has explained yet."""
    return tuple(
        fired
        for fired in outcome.summary.crosschecks
        if fired.severity is CheckSeverity.IMPOSSIBLE and not _is_explained(outcome, fired)
    )


def _is_explained(outcome: Outcome, fired: CrosscheckFired) -> bool:
    reply = reply_to(outcome, fired)
    return reply is not None and not outcome.session.is_outdated(reply, fired.findings)


def _not_done_rows(outcome: Outcome) -> list[Row]:
    rows = [heading(say("Not done for a reason, and what hangs on it"))]
    if not outcome.summary.not_done:
        rows.append(remark(say("None.")))
    rows += [missing_row(outcome, group) for group in by_test(outcome.summary.not_done)]
    return [*rows, BLANK]


def _not_reached_rows(outcome: Outcome) -> list[Row]:
    missing = not_reached(outcome)
    rows = [heading(say("Not reached, and what hangs on it"))]
    if not missing:
        rows.append(remark(say("Nothing: everything has an answer or a reason.")))
    return [*rows, *(missing_row(outcome, group) for group in by_test(missing))]


def crosscheck_at(outcome: Outcome, key: Hashable) -> CrosscheckFired | None:
    """Return the cross-check that a row stands for."""
    return next(
        (
            fired
            for fired in outcome.summary.crosschecks
            if key == ("crosscheck", fired.id, fired.side)
        ),
        None,
    )


def review_reasons(outcome: Outcome, key: Hashable) -> list[Line]:
    """Say what stands behind a row."""
    fired = crosscheck_at(outcome, key)
    if fired is not None:
        return reasons_text.crosscheck_lines(outcome, fired, reply_to(outcome, fired))
    for caution in outcome.summary.cautions:
        if key == ("caution", caution.id, caution.side):
            return reasons_text.caution_lines(outcome, caution)
    for group in (*by_test(not_reached(outcome)), *by_test(outcome.summary.not_done)):
        if key == ("missing", group[0].place):
            return reasons_text.missing_lines(outcome, group)
    return []


def places_behind(outcome: Outcome, key: Hashable) -> tuple[Place, ...]:
    """Return the places that a row leads to, the first one first."""
    fired = crosscheck_at(outcome, key)
    if fired is not None:
        return fired.recheck or fired.findings
    for caution in outcome.summary.cautions:
        if key == ("caution", caution.id, caution.side):
            return caution.findings
    for missing in outcome.summary.missing:
        if key == ("missing", missing.place):
            return (missing.place,)
    return ()


def how_far(outcome: Outcome) -> str:
    """Say in one line how much of the review is left."""
    summary = outcome.summary
    parts = [
        say_count(len(summary.cautions), "{count} caution", "{count} cautions"),
        say("{count} not fitting", count=len(summary.crosschecks)),
        say("{count} not done", count=len(summary.not_done)),
        say("{count} not reached", count=len(not_reached(outcome))),
    ]
    return " · ".join(parts)


def finishing_question(outcome: Outcome, undecided: int) -> str:
    """Ask whether to finish, and name what is still open; nothing open is left unsaid."""
    protocol = outcome.protocol
    missing = not_reached(outcome)
    safety = [one for one in missing if protocol.tests_by_id[one.place.test].safety]
    odd = unreplied(outcome)
    points = (
        say_count(
            len(safety),
            "{count} safety question without an answer",
            "{count} safety questions without an answer",
        )
        if safety
        else "",
        say_count(len(missing), "{count} test not reached", "{count} tests not reached")
        if missing
        else "",
        say_count(
            len(odd),
            "{count} impossible pair of findings without a reply",
            "{count} impossible pairs of findings without a reply",
        )
        if odd
        else "",
        say_count(
            undecided, "{count} feature without a decision", "{count} features without a decision"
        )
        if undecided
        else "",
    )
    open_points = "; ".join(point for point in points if point)
    if not open_points:
        return say("Finish this visit? It is then frozen until it is reopened.")
    return "\n".join(
        (
            say("Still open: {points}.", points=open_points),
            say("Finish this visit all the same? It is then frozen until it is reopened."),
        )
    )
