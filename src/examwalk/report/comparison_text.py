"""The comparison of visits as plain text: new cautions first, then real changes, then the rest."""

from collections.abc import Iterator, Sequence

from examwalk.dates import time_words
from examwalk.language import later, say
from examwalk.reasoning.cautions_compared import CautionChange, CautionCourse
from examwalk.reasoning.comparing import Change, Comparison, Judgement
from examwalk.reasoning.features_compared import FeatureChange
from examwalk.report.comparison_words import (
    JUDGEMENT_HEADINGS,
    UNLIKE_WORDS,
    because_words,
    course_words,
    difference_words,
    examiners_words,
    feature_words,
    from_to_words,
    held_back_words,
    names_words,
    number_at,
    points_of,
    raised_at_words,
    title_words,
    when_words,
)
from examwalk.report.text_lines import heading, paragraph
from examwalk.report.trend import trend_lines
from examwalk.session.model import State

TREND_COLUMNS, TREND_ROWS = 36, 4
FEWEST_FOR_A_TREND = 3
TOLD_ONE_BY_ONE = (
    Judgement.REAL,
    Judgement.OTHERWISE,
    Judgement.UNJUDGED,
    Judgement.WITHIN_ERROR,
)
EXAMINED = {
    State.OPEN: later("{number}  {time} by {examiner}, still open; protocol {protocol}"),
    State.FINISHED: later("{number}  {time} by {examiner}, finished; protocol {protocol}"),
}
LAST_WORD = later(
    "A change is weighed here against the error of its test alone; what it means, the clinician "
    "decides."
)


def comparison_text(comparison: Comparison, *, in_braille: bool, anonymous: bool = False) -> str:
    """Write what changed between visits as text for a person, ending in a newline.

    Args:
        comparison: what to write.
        in_braille: whether courses may be drawn in braille, else in plain characters.
        anonymous: the visits are without names (``report.anonymous``): tell the year of the first,
            and days counted from it.
    """
    return "\n".join(_lines(comparison, in_braille, anonymous)) + "\n"


def _lines(comparison: Comparison, in_braille: bool, anonymous: bool) -> Iterator[str]:
    yield from _head(comparison, anonymous)
    yield from _cautions(comparison)
    for judgement in TOLD_ONE_BY_ONE:
        changes = comparison.judged(judgement)
        if changes or judgement is Judgement.REAL:
            yield from heading(say(JUDGEMENT_HEADINGS[judgement]))
        if not changes and judgement is Judgement.REAL:
            yield say("None.")
        for change in changes:
            yield from _change(comparison, change)
    yield from _features(comparison)
    yield from _courses(comparison, in_braille, anonymous)
    yield from _folded(comparison)
    yield ""
    yield from paragraph(say(LAST_WORD))


def _head(comparison: Comparison, anonymous: bool) -> Iterator[str]:
    last = comparison.visits[-1]
    if anonymous:
        year = comparison.visits[0].session.started.year
        yield say("Comparison of visits of one patient, the first in {year}", year=year)
    else:
        yield say("Comparison of visits, patient {code}", code=last.session.patient)
    if any(visit.session.invented for visit in comparison.visits):
        yield say("(invented patient, for teaching and tests)")
    for number, visit in enumerate(comparison.visits, 1):
        session, identity = visit.session, visit.protocol.identity
        yield "  " + say(
            EXAMINED[session.state],
            number=number,
            time=when_words(comparison, visit, anonymous=True)
            if anonymous
            else time_words(session.started),
            examiner=session.examiner or "—",
            protocol=f"{identity.id} {identity.version}",
        )
    yield ""
    if len(comparison.visits) >= FEWEST_FOR_A_TREND:
        yield from paragraph(say("The first visit is compared with the last."))
    yield from paragraph(examiners_words(comparison))
    held_back = held_back_words(comparison)
    if held_back:
        yield from paragraph(held_back)
    yield from paragraph(last.protocol.identity.disclaimer)


def _cautions(comparison: Comparison) -> Iterator[str]:
    yield from heading(say("Referral and cautions"))
    if not comparison.cautions:
        yield say("None raised.")
    for change in comparison.cautions:
        yield from _caution(change)


def _caution(change: CautionChange) -> Iterator[str]:
    raised = change.raised
    is_raised = change.course in (CautionCourse.NEW, CautionCourse.STILL)
    at = raised_at_words(change)
    tail = f" ({at})" if at else ""
    yield from paragraph(f"{course_words(change)}{tail}", indent="  ! " if is_raised else "  - ")
    if not is_raised:
        return
    yield from paragraph(f"{raised.urgency_words}. {raised.says}", indent="    ")
    if raised.refer_to:
        yield from paragraph(f"{say('Refer to')}: {raised.refer_to}", indent="    ")


def _change(comparison: Comparison, change: Change) -> Iterator[str]:
    by = difference_words(comparison, change)
    words = f"{title_words(comparison, change)}: {from_to_words(comparison, change)}"
    yield from paragraph(f"{words} ({by})" if by else words, indent="  - ")
    for sentence in because_words(comparison, change):
        yield from paragraph(sentence, indent="    ")


def _features(comparison: Comparison) -> Iterator[str]:
    yield from heading(say("What is recommended differently"))
    both = [change for change in comparison.features if change.in_both]
    if not both:
        yield say("Nothing.")
    for change in both:
        if not change.has_lapsed:
            yield from paragraph(feature_words(change), indent="  - ")
    for title, names in lapsed_features(comparison):
        yield from paragraph(f"{title}: {'; '.join(names)}", indent="  ")


def lapsed_features(comparison: Comparison) -> tuple[tuple[str, list[str]], ...]:
    """Return the features that cannot be compared, by why: their titles alone."""
    lapsed = [one for one in comparison.features if one.in_both and one.has_lapsed]
    parts = (
        (later("No longer applicable"), _names(lapsed)),
        (later("Only in the protocol of the first visit"), _only(comparison, 0)),
        (later("Only in the protocol of the last visit"), _only(comparison, -1)),
    )
    return tuple((say(title), names) for title, names in parts if names)


def _only(comparison: Comparison, visit: int) -> list[str]:
    return _names(
        [one for one in comparison.features if not one.in_both and one.results[visit] is not None]
    )


def _names(changes: Sequence[FeatureChange]) -> list[str]:
    return list(dict.fromkeys(change.title for change in changes))


def _courses(comparison: Comparison, in_braille: bool, anonymous: bool) -> Iterator[str]:
    drawn = [change for change in comparison.changes if has_course(comparison, change)]
    if not drawn:
        return
    yield from heading(say("Course over the visits"))
    for change in drawn:
        yield f"  {title_words(comparison, change)}"
        lines = course_lines(comparison, change, in_braille=in_braille, anonymous=anonymous)
        yield from (f"    {line}" for line in lines)


def has_course(comparison: Comparison, change: Change) -> bool:
    """Whether a number was found at three visits or more, and not always the same."""
    values = {value for _, value in points_of(comparison, change)}
    return len(points_of(comparison, change)) >= FEWEST_FOR_A_TREND and len(values) > 1


def course_lines(
    comparison: Comparison, change: Change, *, in_braille: bool, anonymous: bool = False
) -> list[str]:
    """Draw the numbers of a change over time, with the largest, the smallest and the dates."""
    points = points_of(comparison, change)
    values = [value for _, value in points]
    labels = [number_at(comparison, change, value) for value in (max(values), min(values))]
    width = max(len(label) for label in labels)
    drawn = trend_lines(points, TREND_COLUMNS, TREND_ROWS, in_braille=in_braille)
    heads = [labels[0], *[""] * (TREND_ROWS - 2), labels[1]]
    lines = [f"{head:>{width}} {line}".rstrip() for head, line in zip(heads, drawn, strict=True)]
    dates = [
        when_words(comparison, visit, anonymous=anonymous)
        for visit, value in zip(comparison.visits, change.values, strict=True)
        if value is not None
    ]
    gap = max(1, TREND_COLUMNS - len(dates[0]) - len(dates[-1]))
    return [*lines, f"{'':>{width}} {dates[0]}{' ' * gap}{dates[-1]}"]


def folded(comparison: Comparison) -> tuple[tuple[str, Sequence[Change]], ...]:
    """Return what is only named, under its heading: what did not change or was found once."""
    once = comparison.judged(Judgement.ONE_VISIT_ONLY)
    parts = (
        (later("Unchanged"), comparison.judged(Judgement.UNCHANGED)),
        (
            later("Answered at the first visit only"),
            [change for change in once if change.values[-1] is None],
        ),
        (
            later("Answered at the last visit only"),
            [change for change in once if change.values[0] is None],
        ),
    )
    return tuple((f"{say(title)} ({len(some)})", some) for title, some in parts if some)


def _folded(comparison: Comparison) -> Iterator[str]:
    """Name what did not change, and what cannot be set against anything."""
    for title, changes in folded(comparison):
        yield from heading(title)
        yield from paragraph(names_words(comparison, changes), indent="  ")
    if comparison.incomparable:
        yield from heading(say("Not the same in both protocols, so not compared"))
        for one in comparison.incomparable:
            yield from paragraph(f"{one.title}: {say(UNLIKE_WORDS[one.unlike])}", indent="  - ")
