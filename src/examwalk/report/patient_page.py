"""The page for the patient: what was found, what to do and when to call, in plain words."""

from collections.abc import Iterator
from datetime import date, timedelta

from examwalk.dates import date_words
from examwalk.language import later, say, say_count
from examwalk.protocol.patient_model import PatientSection, WearingIn
from examwalk.reasoning.results import FeatureStatus
from examwalk.report.document import Block, Grid, Listing, Page, Section, Tone, Words
from examwalk.report.page_parts import Told, decision_at
from examwalk.report.patient_words import (
    advice_for_patient,
    by_sides,
    cautions_for_patient,
    device_for_patient,
    found_for_patient,
    unworded_advice,
    wearing_plan,
    with_sides,
)
from examwalk.report.words import review_date, review_weeks
from examwalk.session.model import State

_ADVICE = {
    PatientSection.HURTS: later("If it hurts"),
    PatientSection.SKIN: later("Look after your feet"),
    PatientSection.EXERCISE: later("Exercise"),
    PatientSection.SHOES: later("Your shoes"),
    PatientSection.CARE: later("Look after your insoles"),
    PatientSection.MORE: later("More advice"),
}
"""The headings of the advice that stands by itself, in their order on the page."""
_HALF_HOUR = 30
_WRITE_HERE = "________"
_TICK_HERE = "☐"


def patient_page(told: Told) -> Page:
    """Return the page for the patient."""
    return Page(
        kind="patient",
        title=say("Your feet: what we found and what to do"),
        running=told.running,
        standing=_standing(told),
        facts=_facts(told),
        sections=tuple(section for section in _sections(told) if section.blocks),
        signing=(say("Your clinician"),),
        closing=say(
            "This page does not replace your clinician. Where your clinician tells you something"
            " else, do that."
        ),
    )


def _standing(told: Told) -> str:
    session = told.session
    if session.state is State.OPEN:
        return say("Draft: the examination is not finished")
    if session.signature is None:
        return say("Draft: not signed yet")
    if told.anonymous:
        return say("Signed; names withheld")
    day = date_words(session.signature.at.date())
    return say("Signed by {by} on {date}", by=session.signature.by, date=day)


def _facts(told: Told) -> tuple[tuple[str, str], ...]:
    day = say("withheld") if told.anonymous else date_words(told.session.started.date())
    made_up = ((say("Note"), say("invented patient, for teaching and tests")),)
    return (
        (say("Patient code"), told.code),
        (say("Examined"), day),
        *(made_up if told.session.invented else ()),
    )


def _sections(told: Told) -> Iterator[Section]:
    yield Section(say("Please read this first"), tuple(_first(told)), warns=True)
    yield Section(say("When to call us at once"), tuple(_call(told)), warns=True)
    found = by_sides(found_for_patient(told))
    later_on = Words(say("Your clinician will tell you what was found."))
    yield Section(say("What we found"), found or (later_on,))
    yield Section(say("Your insoles"), tuple(_device(told)))
    yield Section(say("How to wear them in"), tuple(_wearing(told)))
    for section, title in _ADVICE.items():
        more = _to_ask_about(told) if section is PatientSection.MORE else ()
        yield Section(say(title), (*_listed(told, section), *more))
    yield Section(say("Your next visit"), tuple(_next_visit(told)))


def _first(told: Told) -> Iterator[Block]:
    cautions = with_sides(cautions_for_patient(told))
    if cautions:
        yield Listing(cautions)
    if told.summary.open_cautions:
        yield Words(say("Some safety checks are not done yet."), Tone.STRONG)
        yield Words(say("Do not wear new insoles before your clinician has done them."))


def _call(told: Told) -> Iterator[Block]:
    listed = _listed(told, PatientSection.CALL)
    yield from listed or (Words(say("Call us if it gets worse, or if you are not sure.")),)
    yield Words(say("If you feel very ill, do not wait for us. Get help from a doctor now."))
    yield Words(say("Telephone of the clinic:"), Tone.BLANK)


def _listed(told: Told, section: PatientSection) -> tuple[Block, ...]:
    items = with_sides(advice_for_patient(told, section))
    return (Listing(items),) if items else ()


def _to_ask_about(told: Told) -> tuple[Block, ...]:
    kinds = unworded_advice(told)
    words = say("Ask your clinician about: {kinds}.", kinds=", ".join(kinds))
    return (Words(words),) if kinds else ()


def _device(told: Told) -> Iterator[Block]:
    advice = advice_for_patient(told, PatientSection.DEVICE)
    yield from by_sides((*device_for_patient(told), *advice))
    if any(
        one.status is FeatureStatus.WAITING and decision_at(told.session, one) is None
        for one in told.summary.features
    ):
        yield Words(say("Not all is settled yet, since some answers are missing."), Tone.STRONG)


def _wearing(told: Told) -> Iterator[Block]:
    said, plan = wearing_plan(told)
    advice = advice_for_patient(told, PatientSection.WEARING)
    if said or advice:
        yield Listing(with_sides((*said, *advice)))
    if plan is not None:
        if told.starts is None:
            yield Words(say("You start on:"), Tone.BLANK)
        yield _plan_by_day(plan, told.starts)


def _plan_by_day(plan: WearingIn, starts: date | None) -> Grid:
    """Return the plan as a table; without a first day its dates are left to be written in."""
    columns = (say("Day"), say("Date"), say("Wear them for"), *filter(None, (plan.tick,)))
    rows = []
    for index, minutes in enumerate(plan.minutes_by_day):
        day = date_words(starts + timedelta(days=index)) if starts else _WRITE_HERE
        ticked = (_TICK_HERE,) if plan.tick else ()
        rows.append((str(index + 1), day, _duration(minutes), *ticked))
    return Grid(say("Your plan, day by day"), columns, tuple(rows))


def _duration(minutes: int) -> str:
    hours, rest = divmod(minutes, 60)
    if hours and rest == _HALF_HOUR:
        return say("{count}½ hours", count=hours)
    words = (
        say_count(hours, "{count} hour", "{count} hours") if hours else "",
        say_count(rest, "{count} minute", "{count} minutes") if rest else "",
    )
    return " ".join(filter(None, words))


def _next_visit(told: Told) -> Iterator[Block]:
    yield Words(_when_next(told))
    yield Words(say("Date and time:"), Tone.BLANK)
    yield from _listed(told, PatientSection.REVIEW)


def _when_next(told: Told) -> str:
    """Say when to come back: counted from the first day of wear where a device is worn in."""
    weeks = review_weeks(told.session, told.summary)
    if weeks is None:
        return say("Your clinician will tell you when to come back.")
    worn_in = wearing_plan(told)[1] is not None
    if worn_in and told.starts is None:
        return say_count(
            round(weeks),
            "Come back one week after you start to wear your insoles.",
            "Come back {count} weeks after you start to wear your insoles.",
        )
    first = told.starts + timedelta(weeks=weeks) if worn_in and told.starts else None
    day = first or review_date(told.session, told.summary)
    if day is None or told.anonymous:
        return say_count(round(weeks), "Come back in one week.", "Come back in {count} weeks.")
    return say("Come back on about {date}.", date=date_words(day))
