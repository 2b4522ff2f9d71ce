"""What changed between visits, in words: for the printed comparison and for the screen."""

from collections.abc import Sequence

from examwalk.dates import short_date_words
from examwalk.language import later, say, say_count, say_decimal
from examwalk.protocol.derived_model import Derived
from examwalk.protocol.exam_model import Kind, Test
from examwalk.protocol.model import Protocol
from examwalk.protocol.wording import (
    MINUS,
    answer_words,
    number_words,
    reason_words,
    rounded_words,
    unit_words,
)
from examwalk.reasoning.cautions_compared import CautionChange, CautionCourse, CautionState
from examwalk.reasoning.comparing import Change, Comparison, Ground, Judgement, Visit
from examwalk.reasoning.detectable import Detectable, ErrorOf
from examwalk.reasoning.features_compared import FeatureChange
from examwalk.reasoning.results import FeatureResult, FeatureStatus
from examwalk.reasoning.same_meaning import Unlike
from examwalk.report.sides import with_both_sides, with_side
from examwalk.report.words import place_words
from examwalk.session.model import Answer, Place, Side

NOTHING = "—"
ARROW = "→"
JUDGEMENT_HEADINGS = {
    Judgement.REAL: later("Real change"),
    Judgement.OTHERWISE: later("Answered differently"),
    Judgement.UNJUDGED: later("Changed, but cannot be judged"),
    Judgement.WITHIN_ERROR: later("Within the error of the test"),
    Judgement.ONE_VISIT_ONLY: later("Answered at one visit only"),
    Judgement.UNCHANGED: later("Unchanged"),
}
COURSE_WORDS = {
    CautionCourse.NEW: later("New"),
    CautionCourse.STILL: later("Still there"),
    CautionCourse.OPEN: later("Raised before, not excluded now"),
    CautionCourse.NOT_ASKED: later("Raised before, not looked for now"),
    CautionCourse.GONE: later("Raised before, excluded now"),
}
STATE_WORDS = {
    CautionState.RAISED: later("raised"),
    CautionState.OPEN: later("not excluded"),
    CautionState.EXCLUDED: later("excluded"),
    CautionState.NOT_ASKED: later("not looked for by that protocol"),
}
UNLIKE_WORDS = {
    Unlike.KIND: later("another kind of answer"),
    Unlike.SIDES: later("asked for each side at one visit, once at the other"),
    Unlike.SCALE: later("other grades"),
    Unlike.UNIT: later("another unit"),
    Unlike.OPTIONS: later("other options"),
    Unlike.CALCULATION: later("worked out in another way"),
}
ERROR_WORDS = {
    ErrorOf.WITHIN: later("within one examiner"),
    ErrorOf.BETWEEN: later("between examiners"),
    ErrorOf.PATIENT: later("the patient's own answer"),
}
GROUND_WORDS = {
    Ground.ONE_GRADE: later(
        "One grade counts as examiner error, a convention; no detectable change is published."
    ),
    Ground.MORE_GRADES: later(
        "More than the one grade that counts as examiner error, a convention; no detectable "
        "change is published."
    ),
    Ground.AT_CHANCE: later(
        "Published agreement between examiners is hardly better than chance, so no change of "
        "grade can be told from error."
    ),
    Ground.ONE_INPUT: later("It rests on one finding whose change lies within error."),
    Ground.NO_FIGURE: later("No detectable change is published."),
}


def title_words(comparison: Comparison, change: Change) -> str:
    """Name a finding or a derived value, with its side."""
    if change.is_derived:
        derived = comparison.visits[-1].protocol.derived_by_id[change.id]
        return with_side(derived.title, change.side)
    return place_words(_protocol_of(comparison, change), Place(change.id, change.side))


def names_words(comparison: Comparison, changes: Sequence[Change]) -> str:
    """Name several; where both sides of one are meant it is named once."""
    groups: dict[tuple[bool, str], list[Change]] = {}
    for change in changes:
        groups.setdefault((change.is_derived, change.id), []).append(change)
    names = []
    for group in groups.values():
        if len(group) == 1:
            names.append(title_words(comparison, group[0]))
        else:
            whole = Change(group[0].id, Side.WHOLE, group[0].is_derived, (), group[0].judgement)
            names.append(with_both_sides(title_words(comparison, whole)))
    return "; ".join(names)


def value_words(comparison: Comparison, change: Change, visit: int) -> str:
    """Say what was found at a visit, counted from 0, or why nothing was."""
    value = change.values[visit]
    if change.is_derived:
        return number_at(comparison, change, value) if value is not None else NOTHING
    protocol, session = comparison.visits[visit].protocol, comparison.visits[visit].session
    finding = session.finding(Place(change.id, change.side))
    if value is not None:
        test = protocol.tests_by_id[change.id]
        return answer_words(protocol, test, value)
    if finding is not None and finding.not_done is not None:
        return say("not done ({reason})", reason=reason_words(protocol, finding.not_done))
    return say("not answered") if change.id in protocol.tests_by_id else say("not asked")


def from_to_words(comparison: Comparison, change: Change) -> str:
    """Say the first and the last value: ``8 cm → 10 cm``."""
    last = len(change.values) - 1
    return f"{value_words(comparison, change, 0)} {ARROW} {value_words(comparison, change, last)}"


def number_at(
    comparison: Comparison, change: Change, value: Answer, *, with_unit: bool = True
) -> str:
    """Write a number of a measure or of a derived value, with its unit or without."""
    assert isinstance(value, int | float)
    counted: Test | Derived
    if change.is_derived:
        counted = comparison.visits[-1].protocol.derived_by_id[change.id]
        number = rounded_words(value, counted.decimals)
    else:
        counted = _test(comparison, change)
        number = number_words(value, counted.step)
    return f"{number} {unit_words(counted, value)}".strip() if with_unit else number


def difference_words(comparison: Comparison, change: Change) -> str:
    """Say by how much it changed: ``+2``, ``1 grade higher``; for options which came and went.

    Empty where there is no amount.
    """
    if change.difference is None:
        return _options_words(comparison, change)
    if not change.difference:
        return ""
    if not change.is_derived and _test(comparison, change).kind is Kind.GRADE:
        count = int(abs(change.difference))
        if change.difference > 0:
            return say_count(count, "{count} grade higher", "{count} grades higher")
        return say_count(count, "{count} grade lower", "{count} grades lower")
    words = number_at(comparison, change, change.difference, with_unit=False)
    return words if words.startswith(MINUS) else f"+{words}"


def _options_words(comparison: Comparison, change: Change) -> str:
    first, last = change.values[0], change.values[-1]
    if not (isinstance(first, tuple) and isinstance(last, tuple)):
        return ""
    protocol, test = comparison.visits[-1].protocol, _test(comparison, change)
    parts = []
    for pattern, options in (
        (later("new: {options}"), [one for one in last if one not in first]),
        (later("no longer: {options}"), [one for one in first if one not in last]),
    ):
        if options:
            words = ", ".join(answer_words(protocol, test, option) for option in options)
            parts.append(say(pattern, options=words))
    return "; ".join(parts)


def because_words(comparison: Comparison, change: Change) -> tuple[str, ...]:
    """Say in sentences why a change is judged as it is, and whether it matters to patients."""
    said = []
    if change.detectable is not None:
        said.append(_detectable_words(comparison, change, change.detectable))
    if change.ground is Ground.OTHER_EXAMINER:
        said.append(
            say("Two examiners differ more than one does, and by how much is not published.")
        )
    elif change.ground in GROUND_WORDS:
        said.append(say(GROUND_WORDS[change.ground]))
    matter = _matter_words(comparison, change)
    return (*said, matter) if matter else tuple(said)


def _detectable_words(comparison: Comparison, change: Change, detectable: Detectable) -> str:
    how = say("worked out from the published error") if detectable.worked_out else ""
    amount = _amount(comparison, change, detectable.change)
    whose = ", ".join(filter(None, (say(ERROR_WORDS[detectable.error_of]), how)))
    source = _source_words(comparison, detectable.source)
    if change.judgement is Judgement.WITHIN_ERROR:
        pattern = later("Less than the detectable change of {amount} ({whose}): {source}.")
    else:
        pattern = later("At least the detectable change of {amount} ({whose}): {source}.")
    return say(pattern, amount=amount, whose=whose, source=source.rstrip("."))


def _matter_words(comparison: Comparison, change: Change) -> str:
    if change.important is None or not change.difference:
        return ""
    if not change.matters:
        pattern = later("Less than a change that matters to patients, {amount}: {source}.")
    elif change.is_better:
        pattern = later("Better by a change that matters to patients, {amount}: {source}.")
    else:
        pattern = later("Worse by a change that matters to patients, {amount}: {source}.")
    amount = _amount(comparison, change, change.important.change)
    source = _source_words(comparison, change.important.source).rstrip(".")
    return say(pattern, amount=amount, source=source)


def _amount(comparison: Comparison, change: Change, amount: float) -> str:
    """Write a published amount: as printed, or with three figures where it was worked out."""
    number = say_decimal(f"{amount:.3g}")
    if change.is_derived or _test(comparison, change).kind is not Kind.GRADE:
        return number
    return (
        say("{amount} grade", amount=number)
        if amount == 1
        else say("{amount} grades", amount=number)
    )


def _source_words(comparison: Comparison, source_id: str) -> str:
    source = comparison.visits[-1].protocol.sources.get(source_id)
    return source.cite if source else source_id


def course_words(change: CautionChange) -> str:
    """Say how a caution went: its course, its title and its side."""
    title = with_side(change.raised.title, change.raised.side)
    return f"{say(COURSE_WORDS[change.course])}: {title}"


def raised_at_words(change: CautionChange) -> str:
    """Say at which of three or more visits a caution was raised; empty for two."""
    if len(change.states) < 3:
        return ""
    visits = [n for n, state in enumerate(change.states, 1) if state is CautionState.RAISED]
    numbers = ", ".join(map(str, visits))
    return say("raised at visit {visits}", visits=numbers)


def feature_words(change: FeatureChange) -> str:
    """Say what is recommended now and was then: ``Heel lift, left: none → 4 mm``."""
    first, last = (recommended_words(result) for result in (change.results[0], change.results[-1]))
    return f"{with_side(change.title, change.side)}: {first} {ARROW} {last}"


def recommended_words(result: FeatureResult | None) -> str:
    """Say what was recommended at one visit; a dash where its protocol has no such feature."""
    if result is None:
        return NOTHING
    if result.status is FeatureStatus.WAITING:
        return say("waiting")
    return result.words or say("not applicable")


def examiners_words(comparison: Comparison) -> str:
    """Say whose error the changes are weighed against."""
    first, last = (comparison.visits[n].session.examiner for n in (0, -1))
    if comparison.same_examiner is None:
        return say(
            "Not every visit names its examiner, so the first and the last count as two: the "
            "error between examiners is taken where it is published."
        )
    if comparison.same_examiner:
        return say(
            "{examiner} examined both times: the error within one examiner is taken where it is "
            "published.",
            examiner=last,
        )
    return say(
        "{first} and {last} examined: the error between examiners is taken where it is published.",
        first=first,
        last=last,
    )


def held_back_words(comparison: Comparison) -> str:
    """Say how much of earlier visits is not told yet; empty where nothing is held back."""
    if not comparison.held_back:
        return ""
    return say_count(
        comparison.held_back,
        "The last visit is still open: {count} earlier answer or result is shown once this visit "
        "has its own.",
        "The last visit is still open: {count} earlier answers and results are shown once this "
        "visit has its own.",
    )


def day_of(comparison: Comparison, visit: Visit) -> int:
    """Count the days from the first visit to this one; the first is on day 1."""
    first = comparison.visits[0].session.started
    return (visit.session.started.date() - first.date()).days + 1


def when_words(comparison: Comparison, visit: Visit, *, anonymous: bool) -> str:
    """Write the day of a visit; of an anonymous one counted from the first."""
    if anonymous:
        return say("day {number}", number=day_of(comparison, visit))
    return short_date_words(visit.session.started)


def points_of(comparison: Comparison, change: Change) -> list[tuple[float, float]]:
    """Return time in seconds and value of each visit with a number, for a drawing."""
    return [
        (visit.session.started.timestamp(), float(value))
        for visit, value in zip(comparison.visits, change.values, strict=True)
        if isinstance(value, int | float)
    ]


def _test(comparison: Comparison, change: Change) -> Test:
    return _protocol_of(comparison, change).tests_by_id[change.id]


def _protocol_of(comparison: Comparison, change: Change) -> Protocol:
    """Return the latest protocol that has a test."""
    return next(
        visit.protocol
        for visit in reversed(comparison.visits)
        if change.id in visit.protocol.tests_by_id
    )
