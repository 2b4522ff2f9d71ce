"""The comparison of visits as rows, and what is known of the row at the pointer."""

from collections.abc import Collection, Hashable, Iterator, Sequence

from attrs import frozen

from examwalk.dates import date_words
from examwalk.language import say, say_count
from examwalk.protocol.condition_model import DeviceEffect
from examwalk.reasoning.cautions_compared import CautionChange, CautionCourse
from examwalk.reasoning.comparing import Change, Judgement
from examwalk.reasoning.features_compared import FeatureChange
from examwalk.report.comparison_text import LAST_WORD, course_lines, has_course
from examwalk.report.comparison_words import (
    JUDGEMENT_HEADINGS,
    STATE_WORDS,
    UNLIKE_WORDS,
    because_words,
    course_words,
    difference_words,
    examiners_words,
    feature_words,
    from_to_words,
    held_back_words,
    names_words,
    recommended_words,
    title_words,
    value_words,
)
from examwalk.report.sides import with_side
from examwalk.tui.screens.earlier_visits import Compared
from examwalk.tui.screens.sections import BLANK, heading, remark
from examwalk.tui.screens.words import CAUTION_SIGN
from examwalk.tui.text import phrase
from examwalk.tui.widgets.lines import Line, Pointer, Row

_ONE_BY_ONE = (
    Judgement.REAL,
    Judgement.OTHERWISE,
    Judgement.UNJUDGED,
    Judgement.WITHIN_ERROR,
)
_OPEN, _FOLDED = "−", "+"
CHANGE, CAUTION, FEATURE, FOLD = "change", "caution", "feature", "fold"


@frozen
class _Fold:
    """Rows that are shown only once they are asked for."""

    id: str
    title: str
    rows: tuple[Row, ...]
    names: str


def comparison_rows(compared: Compared, unfolded: Collection[str]) -> list[Row]:
    """Lay the comparison out: cautions, what changed, what is recommended, then what is folded.

    Args:
        compared: what came of comparing.
        unfolded: the ids of what is to be shown row by row.
    """
    comparison = compared.comparison
    if comparison is None:
        return []
    held_back = held_back_words(comparison)
    rows = [remark(held_back), BLANK] if held_back else []
    rows += _caution_rows(comparison.cautions)
    for judgement in _ONE_BY_ONE:
        changes = comparison.judged(judgement)
        if changes or judgement is Judgement.REAL:
            rows.append(heading(say(JUDGEMENT_HEADINGS[judgement])))
            rows += [_change_row(compared, change) for change in changes]
            rows += [] if changes else [remark(say("None."))]
            rows.append(BLANK)
    told = [one for one in comparison.features if one.in_both and not one.has_lapsed]
    rows.append(heading(say("What is recommended differently")))
    rows += [_feature_row(one) for one in told] or [remark(say("Nothing."))]
    rows.append(BLANK)
    for fold in _folds(compared):
        is_open = fold.id in unfolded
        sign = _OPEN if is_open else _FOLDED
        title = f"{sign} {fold.title} ({len(fold.rows)})"
        rows.append(Row(phrase((title, "bold")), key=(FOLD, fold.id)))
        rows += fold.rows if is_open else ()
    if comparison.incomparable:
        rows += [BLANK, heading(say("Not the same in both protocols, so not compared"))]
    for one in comparison.incomparable:
        rows.append(remark(f"{one.title}: {say(UNLIKE_WORDS[one.unlike])}"))
    return [*rows, BLANK, remark(say(LAST_WORD))]


def _caution_rows(cautions: Sequence[CautionChange]) -> list[Row]:
    rows = [heading(say("Refer and take care"))]
    if not cautions:
        rows.append(remark(say("None raised.")))
    for number, change in enumerate(cautions):
        raised = change.raised
        style = "$dim"
        if change.course in (CautionCourse.NEW, CautionCourse.STILL):
            style = "bold $stop" if raised.device is DeviceEffect.STOP else "bold $warn"
        text = phrase((f"{CAUTION_SIGN} ", style), (course_words(change), style))
        rows.append(Row(text, key=(CAUTION, number), hang=2))
    return [*rows, BLANK]


def _change_row(compared: Compared, change: Change) -> Row:
    comparison = compared.comparison
    assert comparison is not None
    by = difference_words(comparison, change)
    fares = ""
    if change.is_better is not None and change.judgement is Judgement.REAL:
        fares = say("better") if change.is_better else say("worse")
    tail = " · ".join(filter(None, (by, fares)))
    text = phrase(
        f"{title_words(comparison, change)}: ",
        (from_to_words(comparison, change), "bold"),
        (f"  {tail}" if tail else "", "$dim"),
    )
    return Row(text, key=_key(change), hang=2)


def _key(change: Change) -> Hashable:
    return (CHANGE, change.is_derived, change.id, change.side)


def _feature_row(change: FeatureChange) -> Row:
    return Row(phrase(feature_words(change)), key=(FEATURE, change.id, change.side), hang=2)


def _folds(compared: Compared) -> Iterator[_Fold]:
    comparison = compared.comparison
    assert comparison is not None
    lapsed = [one for one in comparison.features if one.in_both and one.has_lapsed]
    once = comparison.judged(Judgement.ONE_VISIT_ONLY)
    for fold, title, changes in (
        ("unchanged", say("Unchanged"), comparison.judged(Judgement.UNCHANGED)),
        (
            "first",
            say("Answered at the first visit only"),
            tuple(change for change in once if change.values[-1] is None),
        ),
        (
            "last",
            say("Answered at the last visit only"),
            tuple(change for change in once if change.values[0] is None),
        ),
    ):
        if changes:
            rows = tuple(_change_row(compared, change) for change in changes)
            yield _Fold(fold, title, rows, names_words(comparison, changes))
    only = [one for one in comparison.features if not one.in_both]
    for fold, title, features in (
        ("lapsed", say("Recommendations that no longer apply"), lapsed),
        ("other", say("Recommendations of one protocol only"), only),
    ):
        if features:
            names = "; ".join(dict.fromkeys(one.title for one in features))
            yield _Fold(fold, title, tuple(_feature_row(one) for one in features), names)


def about_row(compared: Compared, pointer: Pointer, *, in_braille: bool) -> list[Line]:
    """Say what stands behind the row at the pointer.

    Args:
        compared: what came of comparing.
        pointer: where the pointer stands.
        in_braille: whether a course is drawn in braille, else in plain characters.
    """
    comparison = compared.comparison
    if comparison is None:
        return []
    match pointer.key:
        case ("caution", int(number)):
            return _about_caution(compared, comparison.cautions[number])
        case ("change", is_derived, change_id, side):
            for change in comparison.changes:
                if (change.is_derived, change.id, change.side) == (is_derived, change_id, side):
                    return _about_change(compared, change, in_braille)
        case ("feature", feature_id, side):
            for feature in comparison.features:
                if (feature.id, feature.side) == (feature_id, side):
                    return _about_feature(compared, feature)
        case ("fold", fold_id):
            names = [fold.names for fold in _folds(compared) if fold.id == fold_id]
            return [Line(phrase(one)) for one in names]
    return []


def _about_change(compared: Compared, change: Change, in_braille: bool) -> list[Line]:
    comparison = compared.comparison
    assert comparison is not None
    lines = [Line(phrase((title_words(comparison, change), "bold")))]
    lines += [Line(phrase(sentence), hang=2) for sentence in because_words(comparison, change)]
    lines += _by_visit(
        compared, [value_words(comparison, change, n) for n in range(len(comparison.visits))]
    )
    if has_course(comparison, change):
        drawn = course_lines(comparison, change, in_braille=in_braille)
        lines += [Line(), *(Line(phrase(line)) for line in drawn)]
    return lines


def _about_caution(compared: Compared, change: CautionChange) -> list[Line]:
    raised = change.raised
    states = [STATE_WORDS[state] for state in change.states]
    lines = [
        Line(phrase((with_side(raised.title, raised.side), "bold"))),
        Line(phrase(f"{raised.urgency_words}. {raised.says}")),
    ]
    if raised.refer_to:
        lines.append(Line(phrase(say("Refer to {whom}", whom=raised.refer_to))))
    return [*lines, *_by_visit(compared, [say(state) for state in states])]


def _about_feature(compared: Compared, change: FeatureChange) -> list[Line]:
    title = Line(phrase((with_side(change.title, change.side), "bold")))
    return [title, *_by_visit(compared, [recommended_words(one) for one in change.results])]


def _by_visit(compared: Compared, words: Sequence[str]) -> list[Line]:
    comparison = compared.comparison
    assert comparison is not None
    lines = [Line()]
    for visit, said in zip(comparison.visits, words, strict=True):
        who = f" {visit.session.examiner}" if visit.session.examiner else ""
        when = f"{date_words(visit.session.started.date())}{who}: "
        lines.append(Line(phrase((when, "$dim"), said), hang=2))
    return lines


def about_comparison(compared: Compared) -> list[Line]:
    """Say how the visits are compared, and what could not be read."""
    comparison = compared.comparison
    said = [] if comparison is None else [examiners_words(comparison)]
    return [Line(phrase(one)) for one in (*said, *compared.notes) if one]


def visits_words(compared: Compared) -> str:
    """Say which visits are compared: ``3 visits, 14 September 2026 to 1 February 2027``."""
    comparison = compared.comparison
    if comparison is None:
        return ""
    first, last = (comparison.visits[n].session.started.date() for n in (0, -1))
    return say_count(
        len(comparison.visits),
        "{count} visit, {first} to {last}",
        "{count} visits, {first} to {last}",
        first=date_words(first),
        last=date_words(last),
    )


def nothing_lines(compared: Compared, patient: str) -> list[Line]:
    """Say that there is nothing to compare with, and what would be."""
    nothing = say("There is no earlier visit of {patient} here to compare with.", patient=patient)
    needs = say(
        "A comparison needs an earlier visit with the same patient code in the same folder; after "
        "the next visit of this patient there will be one."
    )
    return [
        Line(phrase((nothing, "bold"))),
        Line(),
        Line(phrase(needs)),
        *(Line(phrase((note, "$warn"))) for note in compared.notes),
    ]
