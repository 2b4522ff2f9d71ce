"""The lower part of the summary: what is missing, advice and the review, derived values."""

from collections.abc import Hashable, Sequence
from datetime import date

from textual.content import Content

from examwalk.dates import date_words
from examwalk.language import say, say_count
from examwalk.protocol.wording import short_number
from examwalk.reasoning.fitting import case_of
from examwalk.reasoning.norms import Referenced, references_of
from examwalk.reasoning.results import DerivedResult, MissingFinding
from examwalk.report.grounds import capitalised, places_words
from examwalk.report.norm_words import short_words
from examwalk.report.record_words import amended_words
from examwalk.report.sides import with_side
from examwalk.report.words import review_date, review_weeks
from examwalk.session.model import Side
from examwalk.tui.screens import reasons_text
from examwalk.tui.screens.outlook_text import missing_in_order
from examwalk.tui.screens.sections import BLANK, heading, remark
from examwalk.tui.screens.words import UNKNOWN_SIGN, Outcome
from examwalk.tui.text import phrase
from examwalk.tui.widgets.lines import Line, Row


def consequences_words(missing: MissingFinding) -> str:
    """Say in few words how much an unanswered test could raise or change."""
    parts = []
    if missing.could_raise:
        parts.append(say_count(len(missing.could_raise), "{count} caution", "{count} cautions"))
    if missing.could_change:
        parts.append(say_count(len(missing.could_change), "{count} feature", "{count} features"))
    return ", ".join(parts) or say("nothing so far")


def by_test(missing: Sequence[MissingFinding]) -> list[list[MissingFinding]]:
    """Put left and right of one test together where the same hangs on both."""
    groups: list[list[MissingFinding]] = []
    for one in missing:
        if groups and _hangs_on(groups[-1][0]) == _hangs_on(one):
            groups[-1].append(one)
        else:
            groups.append([one])
    return groups


def _hangs_on(missing: MissingFinding) -> tuple[object, ...]:
    return missing.place.test, missing.reason, missing.could_raise, missing.could_change


def missing_row(outcome: Outcome, group: Sequence[MissingFinding]) -> Row:
    """Make the row of an unanswered test: its sides, why, and how much hangs on it."""
    one = group[0]
    test = outcome.protocol.tests_by_id.get(one.place.test)
    amended = (amended_words(outcome.protocol, outcome.session, missing.place) for missing in group)
    text = phrase(
        ("· ", "$dim") if one.reason else f"{UNKNOWN_SIGN} ",
        places_words(outcome.protocol, [missing.place for missing in group]),
        f": {one.reason}" if one.reason else "",
        (f" · {say('safety question')}" if test is not None and test.safety else "", "$dim"),
        "".join(f" · {words}" for words in amended if words),
        (f" · {consequences_words(one)}", "$dim"),
    )
    return Row(text, key=("missing", one.place), hang=2)


def missing_rows(outcome: Outcome) -> list[Row]:
    """List what has no answer and could still change something."""
    unanswered = missing_in_order(outcome)
    telling = [missing for missing in unanswered if missing.could_raise or missing.could_change]
    if not unanswered:
        return []
    rows = [heading(say("What is missing, and what hangs on it"))]
    rows += [missing_row(outcome, group) for group in by_test(telling)]
    silent = len(unanswered) - len(telling)
    if silent:
        rows.append(
            remark(
                say_count(
                    silent,
                    "{count} further test without an answer would change nothing; the review (r) "
                    "lists it.",
                    "{count} further tests without an answer would change nothing; the review (r) "
                    "lists them.",
                )
            )
        )
    return [*rows, BLANK]


def missing_reasons(outcome: Outcome, key: tuple[Hashable, ...], _: Side) -> list[Line]:
    """Say what stands behind one of these rows."""
    for group in (*by_test(missing_in_order(outcome)), *by_test(outcome.summary.not_done)):
        if group[0].place == key[0]:
            return reasons_text.missing_lines(outcome, group)
    return []


def advice_rows(outcome: Outcome) -> list[Row]:
    """List the advice and the day of the review."""
    rows = [
        Row(
            phrase(
                ("· ", "$dim"),
                (f"{with_side(capitalised(advice.kind), advice.side)}: ", "bold"),
                advice.says,
            ),
            key=("advice", advice.id, advice.side),
            hang=2,
        )
        for advice in outcome.summary.advice
    ]
    day = review_day(outcome)
    if day is not None:
        rows.append(
            Row(
                phrase(
                    ("  · ", "$dim"),
                    (f"{say('Review:')} ", "bold"),
                    date_words(day),
                    (f" · {_weeks_after(outcome)}", "$dim"),
                ),
                hang=4,
            )
        )
    return [heading(say("Advice")), *rows, BLANK] if rows else []


def review_day(outcome: Outcome) -> date | None:
    """Return the day of the review, counted from the day of the visit."""
    return review_date(outcome.session, outcome.summary)


def _weeks_after(outcome: Outcome) -> str:
    weeks = review_weeks(outcome.session, outcome.summary) or 0
    started = date_words(outcome.session.started.date())
    if weeks == 1:
        return say("1 week after this visit of {date}", date=started)
    return say("{weeks} weeks after this visit of {date}", weeks=short_number(weeks), date=started)


def advice_reasons(outcome: Outcome, key: tuple[Hashable, ...], _: Side) -> list[Line]:
    """Say what stands behind one of these rows."""
    for advice in outcome.summary.advice:
        if (advice.id, advice.side) == key:
            return reasons_text.advice_lines(outcome, advice)
    return []


def derived_rows(outcome: Outcome) -> list[Row]:
    """List what was worked out from the findings."""
    pairs: dict[str, list[DerivedResult]] = {}
    for derived in outcome.summary.derived:
        if not derived.internal:
            pairs.setdefault(derived.id, []).append(derived)
    if not pairs:
        return []
    rows = [heading(say("Worked out from the findings"))]
    for derived_id, pair in pairs.items():
        title, key = phrase(pair[0].title), ("derived", derived_id)
        cells = {derived.side: _derived_cell(derived) for derived in pair}
        if Side.WHOLE in cells:
            whole = cells[Side.WHOLE] + phrase((f"  {say('whole person')}", "$dim"))
            rows.append(Row(title, key, both=whole))
        else:
            not_asked = phrase((f"– {say('not asked')}", "$dim"))
            left, right = (cells.get(side, not_asked) for side in (Side.LEFT, Side.RIGHT))
            rows.append(Row(title, key, left=left, right=right))
    return rows


def _derived_cell(derived: DerivedResult) -> Content:
    words = reasons_text.derived_words(derived)
    return phrase((words, "" if derived.value is not None else "$dim"))


def derived_reasons(outcome: Outcome, key: tuple[Hashable, ...], side: Side) -> list[Line]:
    """Say what stands behind one of these rows."""
    for derived in outcome.summary.derived:
        if derived.id == key[0] and derived.side in (side, Side.WHOLE):
            return reasons_text.derived_lines(outcome, derived)
    return []


def reference_rows(outcome: Outcome) -> list[Row]:
    """List the measured numbers that have references, with where they lie in the first one."""
    pairs: dict[str, dict[Side, Referenced]] = {}
    for one in _measured(outcome):
        pairs.setdefault(one.id, {})[one.side] = one
    if not pairs:
        return []
    rows = [BLANK, heading(say("Measured, against reference values"))]
    for name, pair in pairs.items():
        title, key = phrase(outcome.protocol.tests_by_id[name].name), ("reference", name)
        cells = {side: phrase(short_words(outcome.protocol, one)) for side, one in pair.items()}
        if Side.WHOLE in cells:
            rows.append(Row(title, key, both=cells[Side.WHOLE]))
        else:
            none = phrase((f"– {say('not answered')}", "$dim"))
            left, right = (cells.get(side, none) for side in (Side.LEFT, Side.RIGHT))
            rows.append(Row(title, key, left=left, right=right, hang=2))
    return rows


def _measured(outcome: Outcome) -> list[Referenced]:
    references = references_of(case_of(outcome.protocol, outcome.session))
    return [one for one in references if one.id in outcome.protocol.tests_by_id]


def reference_reasons(outcome: Outcome, key: tuple[Hashable, ...], side: Side) -> list[Line]:
    """Say what stands behind one of these rows."""
    for one in _measured(outcome):
        if one.id == key[0] and one.side in (side, Side.WHOLE):
            return reasons_text.reference_lines(outcome, one)
    return []
