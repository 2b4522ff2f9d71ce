"""The comparison of visits as a page: what is new first, then real changes, then each course."""

from collections.abc import Iterator

from examwalk.language import say
from examwalk.reasoning.cautions_compared import CautionChange, CautionCourse
from examwalk.reasoning.comparing import Change, Comparison, Judgement
from examwalk.report.comparison_text import (
    LAST_WORD,
    TOLD_ONE_BY_ONE,
    course_lines,
    folded,
    has_course,
    lapsed_features,
)
from examwalk.report.comparison_words import (
    JUDGEMENT_HEADINGS,
    UNLIKE_WORDS,
    because_words,
    course_words,
    difference_words,
    examiners_words,
    feature_words,
    held_back_words,
    names_words,
    number_at,
    points_of,
    raised_at_words,
    title_words,
    value_words,
    when_words,
)
from examwalk.report.document import Block, Grid, Listing, Page, Picture, Section, Words
from examwalk.report.trend_drawing import trend_drawing
from examwalk.session.model import State


def comparison_page(comparison: Comparison, *, anonymous: bool = False) -> Page:
    """Return the comparison of the visits of one patient as a page.

    Args:
        comparison: what to write.
        anonymous: the visits are without names (``report.anonymous``): tell the year of the first,
            and days counted from it.
    """
    last = comparison.visits[-1]
    visits = tuple(
        (
            say("Visit {id}", id=number),
            f"{when_words(comparison, one, anonymous=anonymous)}, {one.session.examiner or '—'}",
        )
        for number, one in enumerate(comparison.visits, 1)
    )
    made_up = ((say("Note"), say("invented patient, for teaching and tests")),)
    invented = made_up if any(one.session.invented for one in comparison.visits) else ()
    means = (
        say("The first visit is compared with the last."),
        examiners_words(comparison),
        held_back_words(comparison),
    )
    running = say("Patient {code}", code=last.session.patient or "—")
    if anonymous:
        year = comparison.visits[0].session.started.year
        running = say("Comparison of visits of one patient, the first in {year}", year=year)
    still_open = last.session.state is State.OPEN
    return Page(
        kind="comparison",
        title=say("Comparison of visits"),
        running=running,
        standing=say("The last visit is still open") if still_open else say("Visits compared"),
        standing_means=" ".join(filter(None, means)),
        facts=(*visits, *invented),
        sections=tuple(one for one in _sections(comparison, anonymous) if one.blocks),
        closing=f"{say(LAST_WORD)} {last.protocol.identity.disclaimer}",
    )


def _sections(comparison: Comparison, anonymous: bool) -> Iterator[Section]:
    cautions = tuple(_caution(one) for one in comparison.cautions)
    new = any(one.course is CautionCourse.NEW for one in comparison.cautions)
    blocks: tuple[Block, ...] = (Listing(cautions),) if cautions else (Words(say("None raised.")),)
    yield Section(say("Referral and cautions"), blocks, warns=new)
    for judgement in TOLD_ONE_BY_ONE:
        yield _judged(comparison, judgement)
    yield Section(say("What is recommended differently"), (_features(comparison),))
    for number, change in enumerate(comparison.changes):
        if has_course(comparison, change):
            yield _course(comparison, change, f"course-{number}", anonymous)
    for title, changes in folded(comparison):
        yield Section(title, (Words(names_words(comparison, changes)),))
    unlike = tuple(
        f"{one.title}: {say(UNLIKE_WORDS[one.unlike])}" for one in comparison.incomparable
    )
    title = say("Not the same in both protocols, so not compared")
    yield Section(title, (Listing(unlike),) if unlike else ())


def _features(comparison: Comparison) -> Block:
    changed = [
        feature_words(one) for one in comparison.features if one.in_both and not one.has_lapsed
    ]
    lapsed = (f"{title}: {'; '.join(names)}" for title, names in lapsed_features(comparison))
    items = (*changed, *lapsed)
    return Listing(items) if items else Words(say("Nothing."))


def _caution(change: CautionChange) -> str:
    at = raised_at_words(change)
    words = f"{course_words(change)} ({at})" if at else course_words(change)
    if change.course not in (CautionCourse.NEW, CautionCourse.STILL):
        return words
    raised = change.raised
    refer = f"\n{say('Refer to')}: {raised.refer_to}" if raised.refer_to else ""
    return f"{words}\n{raised.urgency_words}. {raised.says}{refer}"


def _judged(comparison: Comparison, judgement: Judgement) -> Section:
    changes = comparison.judged(judgement)
    title = say(JUDGEMENT_HEADINGS[judgement])
    if not changes:
        nothing = (Words(say("None.")),) if judgement is Judgement.REAL else ()
        return Section(title, nothing)
    last = len(comparison.visits) - 1
    rows = tuple(
        (
            "\n".join((title_words(comparison, one), *because_words(comparison, one))),
            value_words(comparison, one, 0),
            value_words(comparison, one, last),
            difference_words(comparison, one),
        )
        for one in changes
    )
    columns = (say("Finding"), say("First visit"), say("Last visit"), say("Change"))
    return Section(title, (Grid(title, columns, rows, has_long_names=True),))


def _course(comparison: Comparison, change: Change, name: str, anonymous: bool) -> Section:
    points = points_of(comparison, change)
    days = [
        when_words(comparison, visit, anonymous=anonymous)
        for visit, value in zip(comparison.visits, change.values, strict=True)
        if isinstance(value, int | float)
    ]
    numbers = [number_at(comparison, change, value) for _, value in points]
    title = title_words(comparison, change)
    course = ", ".join(numbers)
    words = say("{finding} over the visits: {numbers}.", finding=title, numbers=course)
    picture = Picture(
        trend_drawing(name, words, points, tuple(zip(numbers, days, strict=True))),
        words,
        plot=tuple(course_lines(comparison, change, in_braille=False, anonymous=anonymous)),
    )
    table = Grid(
        say("The same in words"),
        (say("Day"), say("Finding")),
        tuple(zip(days, numbers, strict=True)),
    )
    return Section(f"{say('Course over the visits')}: {title}", (picture, table))
