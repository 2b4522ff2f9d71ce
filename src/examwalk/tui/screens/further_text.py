"""The lower part of the summary: what is missing, advice and the review, derived values."""

from collections.abc import Hashable, Sequence
from datetime import date

from textual.content import Content

from examwalk.reasoning.results import DerivedResult, MissingFinding
from examwalk.report.words import review_date, review_weeks
from examwalk.session.model import Side
from examwalk.tui.screens import reasons_text
from examwalk.tui.screens.sections import BLANK, heading, remark
from examwalk.tui.screens.words import (
    UNKNOWN_SIGN,
    Outcome,
    counted,
    date_words,
    places_words,
    with_side,
)
from examwalk.tui.text import phrase
from examwalk.tui.widgets.lines import Line, Row

"""The feature that says after how many weeks the patient is seen again."""
NOT_ASKED = phrase(("– not asked", "$dim"))
WHOLE_PERSON_WORDS = "  whole person"


def consequences_words(missing: MissingFinding) -> str:
    """Say in few words how much an unanswered test could raise or change."""
    parts = []
    if missing.could_raise:
        parts.append(counted(len(missing.could_raise), "caution"))
    if missing.could_change:
        parts.append(counted(len(missing.could_change), "feature"))
    return ", ".join(parts) or "nothing so far"


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
    text = phrase(
        ("· ", "$dim") if one.reason else f"{UNKNOWN_SIGN} ",
        places_words(outcome.protocol, [missing.place for missing in group]),
        f": {one.reason}" if one.reason else "",
        (" · safety question" if test is not None and test.safety else "", "$dim"),
        (f" · {consequences_words(one)}", "$dim"),
    )
    return Row(text, key=("missing", one.place), hang=2)


def missing_rows(outcome: Outcome) -> list[Row]:
    """List what has no answer and could still change something."""
    unanswered = outcome.summary.missing
    telling = [missing for missing in unanswered if missing.could_raise or missing.could_change]
    if not unanswered:
        return []
    rows = [heading("What is missing, and what hangs on it")]
    rows += [missing_row(outcome, group) for group in by_test(telling)]
    silent = len(unanswered) - len(telling)
    if silent:
        rows.append(
            remark(
                f"{counted(silent, 'further test')} without an answer "
                f"would change nothing; the review (r) lists "
                f"{'it' if silent == 1 else 'them'}."
            )
        )
    return [*rows, BLANK]


def missing_reasons(outcome: Outcome, key: tuple[Hashable, ...], _: Side) -> list[Line]:
    """Say what stands behind one of these rows."""
    for group in (*by_test(outcome.summary.missing), *by_test(outcome.summary.not_done)):
        if group[0].place == key[0]:
            return reasons_text.missing_lines(outcome, group)
    return []


def advice_rows(outcome: Outcome) -> list[Row]:
    """List the advice and the day of the review."""
    rows = [
        Row(
            phrase(
                ("· ", "$dim"),
                (f"{with_side(advice.kind.capitalize(), advice.side)}: ", "bold"),
                advice.says,
            ),
            key=("advice", advice.id, advice.side),
            hang=2,
        )
        for advice in outcome.summary.advice
    ]
    day = review_day(outcome)
    if day is not None:
        started = date_words(outcome.session.started.date())
        rows.append(
            Row(
                phrase(
                    ("  · ", "$dim"),
                    ("Review: ", "bold"),
                    date_words(day),
                    (f" · {_weeks(outcome)} after this visit of {started}", "$dim"),
                ),
                hang=4,
            )
        )
    return [heading("Advice"), *rows, BLANK] if rows else []


def review_day(outcome: Outcome) -> date | None:
    """Return the day of the review, counted from the day of the visit."""
    return review_date(outcome.session, outcome.summary)


def _weeks(outcome: Outcome) -> str:
    weeks = review_weeks(outcome.session, outcome.summary) or 0
    return f"{weeks:g} {'week' if weeks == 1 else 'weeks'}"


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
    rows = [heading("Worked out from the findings")]
    for derived_id, pair in pairs.items():
        title, key = phrase(pair[0].title), ("derived", derived_id)
        cells = {derived.side: _derived_cell(derived) for derived in pair}
        if Side.WHOLE in cells:
            whole = cells[Side.WHOLE] + phrase((WHOLE_PERSON_WORDS, "$dim"))
            rows.append(Row(title, key, both=whole))
        else:
            left, right = (cells.get(side, NOT_ASKED) for side in (Side.LEFT, Side.RIGHT))
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
