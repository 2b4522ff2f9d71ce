"""What stands, what hangs on which finding, what to repeat first, what a test could tell."""

from collections.abc import Hashable, Iterable, Sequence

from textual.content import Content

from examwalk.language import later, say, say_count
from examwalk.reasoning.results import CautionRaised, FeatureResult, FeatureStatus, MissingFinding
from examwalk.reasoning.robustness import Repeat, Robustness, Tried
from examwalk.reasoning.unanswered import in_order_of_worth
from examwalk.report.grounds import places_words
from examwalk.report.robustness_words import (
    MEANING,
    NOTHING_HANGS,
    agreement_words,
    by_caution,
    hangs_on_words,
    move_words,
    raised_by_words,
    standing_words,
)
from examwalk.report.said import Said, quiet, said
from examwalk.report.sides import with_side
from examwalk.report.unanswered_words import worth_words
from examwalk.report.words import place_words
from examwalk.session.model import Place, Side
from examwalk.tui.screens.sections import BLANK, heading, remark
from examwalk.tui.screens.words import Outcome
from examwalk.tui.text import phrase
from examwalk.tui.widgets.lines import Line, Row

NEAR_SIGN = "~"
MOST_REPEATS = 8
STANDS = later("Stands, whichever single finding were off by a grade or by its error.")
NEAR = later("Not raised, but one finding away")


def _robustness(outcome: Outcome) -> Robustness | None:
    return outcome.outlook.robustness if outcome.outlook else None


def near_rows(outcome: Outcome) -> list[Row]:
    """List the cautions that one finding a little off would raise; they are not raised."""
    robustness = _robustness(outcome)
    if robustness is None or not robustness.would_raise:
        return []
    rows = [heading(say(NEAR))]
    for shift, moves in by_caution(robustness.would_raise):
        places = places_words(outcome.protocol, _places(tried for tried, _ in moves))
        text = phrase(
            (f"{NEAR_SIGN} ", "$dim"), with_side(shift.title, shift.side), (f" · {places}", "$dim")
        )
        rows.append(Row(text, key=("near", shift.id, shift.side), hang=2))
    return [*rows, BLANK]


def near_reasons(outcome: Outcome, key: tuple[Hashable, ...], _: Side) -> list[Line]:
    """Say which finding would raise a caution, and what it would mean."""
    robustness = _robustness(outcome)
    for shift, moves in by_caution(robustness.would_raise if robustness else ()):
        if (shift.id, shift.side) != key:
            continue
        caution = outcome.protocol.cautions_by_id[shift.id]
        return [
            Line(phrase((with_side(shift.title, shift.side), "bold"))),
            Line(phrase(say("Not raised. It would be with:"))),
            *_bullets(raised_by_words(outcome.protocol, moves)),
            Line(phrase(say("If it holds: {says}", says=caution.says))),
        ]
    return []


def near_place(outcome: Outcome, caution: Hashable, side: Hashable) -> Place | None:
    """Return the first finding that would raise a caution."""
    robustness = _robustness(outcome)
    for tried, shift in robustness.would_raise if robustness else ():
        if (shift.id, shift.side) == (caution, side):
            return tried.places[0]
    return None


def repeat_rows(outcome: Outcome) -> list[Row]:
    """List the findings to repeat first, or how far that is worked out."""
    if outcome.outlook is None:
        return []
    rows = [heading(say("Repeat these first"))]
    robustness = outcome.outlook.robustness
    if robustness is None:
        progress = say(
            "Trying what hangs on each finding: {done} of {count}.",
            done=outcome.outlook.done,
            count=outcome.outlook.count,
        )
        return [*rows, remark(progress), BLANK]
    if not robustness.repeat_first:
        nothing = say(NOTHING_HANGS) if robustness.moves else say("Nothing is graded yet.")
        return [*rows, remark(nothing), BLANK]
    for number, repeat in enumerate(robustness.repeat_first[:MOST_REPEATS], 1):
        text = phrase(
            (f"{number} ", "$dim"),
            place_words(outcome.protocol, repeat.place),
            (f" · {_turned_words(repeat)} · {agreement_words(repeat.agreement)}", "$dim"),
        )
        rows.append(Row(text, key=("repeat", repeat.place), hang=2))
    left = len(robustness.repeat_first) - MOST_REPEATS
    if left > 0:
        rows.append(remark(say("… and {count} more", count=left)))
    return [*rows, BLANK]


def _turned_words(repeat: Repeat) -> str:
    """Say in few words how much hangs on a finding."""
    cautions = {(one.id, one.side) for tried in repeat.tried for one in tried.found.cautions}
    features = {(one.id, one.side) for tried in repeat.tried for one in tried.found.features}
    parts = []
    if cautions:
        parts.append(say_count(len(cautions), "{count} caution", "{count} cautions"))
    if features:
        parts.append(say_count(len(features), "{count} feature", "{count} features"))
    return say("turns {what}", what=", ".join(parts))


def repeat_reasons(outcome: Outcome, key: tuple[Hashable, ...], _: Side) -> list[Line]:
    """Say in full what hangs on a finding."""
    robustness = _robustness(outcome)
    for repeat in robustness.repeat_first if robustness else ():
        if (repeat.place,) == key:
            moves = (move_words(outcome.protocol, tried, None) for tried in repeat.tried)
            return [
                Line(phrase((place_words(outcome.protocol, repeat.place), "bold"))),
                *_bullets(moves),
                Line(phrase((agreement_words(repeat.agreement), "$dim"))),
                Line(phrase((say(MEANING), "$dim"))),
            ]
    return []


def standing_cell(outcome: Outcome, result: FeatureResult) -> Content:
    """Write whether a value stands, to follow it in its cell."""
    robustness = _robustness(outcome)
    words = standing_words(robustness, result) if robustness else ""
    return phrase((f" · {words}" if words else "", "$dim"))


def standing_told(outcome: Outcome, result: FeatureResult) -> list[Said]:
    """Say that a value stands, or name the findings it hangs on and what they would bring."""
    robustness = _robustness(outcome)
    if robustness is None:
        return []
    moves = hangs_on_words(outcome.protocol, robustness, result)
    if moves:
        label = said(quiet(f"{say('Hangs on')}:"))
        return [label, *(said(quiet("· "), move, hang=2) for move in moves)]
    if result.status is not FeatureStatus.RECOMMENDED:
        return []
    return [said(say(STANDS))]


def taken_away_lines(outcome: Outcome, caution: CautionRaised) -> list[Line]:
    """Say with which findings a raised caution would not be raised."""
    robustness = _robustness(outcome)
    moves = [
        move
        for move in (robustness.would_take_away if robustness else ())
        if (move[1].id, move[1].side) == (caution.id, caution.side)
    ]
    if not moves:
        return []
    label = Line(phrase((f"{say('Would not be raised with')}:", "$dim")))
    return [label, *_bullets(raised_by_words(outcome.protocol, moves))]


def missing_in_order(outcome: Outcome) -> Sequence[MissingFinding]:
    """Return what has no answer, the most telling first as far as that is worked out."""
    if outcome.outlook is None or not outcome.outlook.worth:
        return outcome.summary.missing
    return in_order_of_worth(outcome.summary.missing, outcome.outlook.worth)


def worth_lines(outcome: Outcome, places: Sequence[Place]) -> list[Line]:
    """Say for each possible answer at some places what it would do by itself."""
    lines = []
    for worth in outcome.outlook.worth if outcome.outlook else ():
        if worth.place not in places or not worth.telling:
            continue
        name = place_words(outcome.protocol, worth.place)
        lines.append(Line(phrase((say("{place}, by itself:", place=name), "$dim"))))
        lines += _bullets(worth_words(outcome.protocol, worth))
    return lines


def _places(tried: Iterable[Tried]) -> tuple[Place, ...]:
    return tuple(dict.fromkeys(place for one in tried for place in one.places))


def _bullets(texts: Iterable[str]) -> list[Line]:
    return [Line(phrase(("· ", "$dim"), text), hang=2) for text in texts]
