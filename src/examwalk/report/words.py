"""Words that every report shares: sides, places and findings."""

import contextlib
from collections.abc import Iterable, Sequence
from datetime import date, timedelta

from examwalk.language import later, say
from examwalk.protocol.caution_model import CheckSeverity
from examwalk.protocol.condition_model import DeviceEffect
from examwalk.protocol.feature_model import Feature, FeatureKind
from examwalk.protocol.model import Protocol
from examwalk.protocol.wording import (
    answer_words,
    reason_words,
    rounded_words,
    short_number,
    unit_words,
)
from examwalk.reasoning.results import DerivedResult, FeatureResult, Summary, TraceStep
from examwalk.reasoning.settling import value_words
from examwalk.report.record_words import amended_mark
from examwalk.report.sides import with_both_sides, with_side
from examwalk.session.model import BOTH_FEET, Decision, Place, Session, Side

REVIEW_FEATURE = "review-weeks"
"""The feature, in weeks, that the date of the first review is counted from."""
DEVICE_WORDS = {
    DeviceEffect.STOP: later("no device yet"),
    DeviceEffect.MODIFY: later("changes the device"),
    DeviceEffect.ALLOW: later("device allowed"),
}
SEVERITY_WORDS = {
    CheckSeverity.IMPOSSIBLE: later("impossible"),
    CheckSeverity.UNLIKELY: later("unlikely"),
    CheckSeverity.LOOK_AGAIN: later("look again"),
}


def place_words(protocol: Protocol, place: Place) -> str:
    """Name a place: the test's short title and its side."""
    test = protocol.tests_by_id.get(place.test)
    return with_side(test.name if test else place.test, place.side)


def finding_words(protocol: Protocol, session: Session, place: Place) -> str:
    """Say what was found at a place: ``Jack's test, effort, right: hard``."""
    return f"{place_words(protocol, place)}: {_found_marked(protocol, session, place)}"


def findings_words(
    protocol: Protocol, session: Session, places: Iterable[Place]
) -> tuple[str, ...]:
    """Say what was found at several places, left and right of a test together."""
    tests: dict[str, list[Place]] = {}
    for place in places:
        tests.setdefault(place.test, []).append(place)
    return tuple(_together(protocol, session, at) for at in tests.values())


def _together(protocol: Protocol, session: Session, places: Sequence[Place]) -> str:
    found = {at.side: _found_marked(protocol, session, at) for at in places}
    if set(found) != set(BOTH_FEET):
        return "; ".join(finding_words(protocol, session, at) for at in places)
    left, right = (found[side] for side in BOTH_FEET)
    title = place_words(protocol, Place(places[0].test, Side.WHOLE))
    if left == right:
        return f"{with_both_sides(title)}: {left}"
    return say("{title}: left {left}, right {right}", title=title, left=left, right=right)


def _found_marked(protocol: Protocol, session: Session, place: Place) -> str:
    found, mark = found_words(protocol, session, place), amended_mark(protocol, session, place)
    return f"{found} {mark}".rstrip()


def found_words(protocol: Protocol, session: Session, place: Place) -> str:
    """Say the answer at a place alone, or why there is none: ``hard``."""
    finding = session.finding(place)
    test = protocol.tests_by_id.get(place.test)
    if finding is None or not finding.is_settled:
        return say("not answered")
    if finding.not_done is not None:
        return say("not done ({reason})", reason=reason_words(protocol, finding.not_done))
    return answer_words(protocol, test, finding.answer) if test else str(finding.answer)


def derived_words(result: DerivedResult) -> str:
    """Say a derived value with its unit and band, or the bounds it lies in."""
    if result.value is not None:
        number = rounded_words(result.value, result.decimals)
        unit = unit_words(result, result.value)
        unit = f" {unit}" if unit and unit != "°" else unit
        band = f", {result.band}" if result.band else ""
        return f"{number}{unit}{band}"
    if result.low is None or result.high is None:
        return say("not settled")
    low, high = (rounded_words(bound, result.decimals) for bound in (result.low, result.high))
    span = f"{say('{low} to {high}', low=low, high=high)} {result.unit}".rstrip()
    return say("not settled, {span}", span=span)


def grounds_words(
    protocol: Protocol, session: Session, summary: Summary, result: FeatureResult | TraceStep
) -> tuple[str, ...]:
    """Say what a value or a rule rests on: derived values first, then the other findings."""
    derived, places = grounds_of(summary, result)
    return (
        *map(derived_at_words, derived),
        *(finding_words(protocol, session, place) for place in places),
    )


def grounds_of(
    summary: Summary, result: FeatureResult | TraceStep
) -> tuple[tuple[DerivedResult, ...], tuple[Place, ...]]:
    """Return what a value or a rule rests on: derived values, and the other findings.

    A finding that a derived value has taken up is not named again.
    """
    wanted = set(result.through)
    derived = tuple(
        one
        for one in summary.derived
        if (one.id, one.side) in wanted and (one.because or not one.internal)
    )
    taken_up = {place for one in derived for place in one.inputs}
    return derived, tuple(place for place in result.findings if place not in taken_up)


def derived_at_words(result: DerivedResult) -> str:
    """Say a derived value with its title and side, and what made it up."""
    title = with_side(result.title, result.side)
    if result.internal:
        return f"{title}: {result.because}"
    because = f" ({result.because})" if result.because else ""
    return f"{title}: {derived_words(result)}{because}"


def review_weeks(session: Session, summary: Summary) -> float | None:
    """Return after how many weeks the patient is seen again: as ordered, else as recommended."""
    for result in summary.features:
        if result.id == REVIEW_FEATURE:
            decision = session.decision(result.id, result.side)
            value = decision.value if decision else result.value
            return value if isinstance(value, int | float) and value > 0 else None
    return None


def review_date(session: Session, summary: Summary) -> date | None:
    """Return the day of the first review: that many weeks after the visit began."""
    weeks = review_weeks(session, summary)
    if weeks is not None:
        # A mistyped year may leave no room in the calendar.
        with contextlib.suppress(OverflowError):
            return session.started.date() + timedelta(weeks=weeks)
    return None


def waiting_words(protocol: Protocol, result: FeatureResult) -> str:
    """Say what a value waits for."""
    places = ", ".join(place_words(protocol, place) for place in result.missing)
    return say("waits for: {places}", places=places) if places else result.words


def order_words(protocol: Protocol, decision: Decision, result: FeatureResult | None) -> str:
    """Say what was ordered for a feature, why, and whether its recommendation is another now."""
    feature = protocol.features_by_id.get(decision.feature)
    ordered = ordered_value_words(feature, decision.value)
    if decision.value == decision.recommended:
        says = say("Ordered as recommended: {value}", value=ordered)
    else:
        says = f"{say('Ordered')}: {ordered}. {decision.because}".rstrip()
    if result is None or result.value == decision.recommended:
        return says
    if decision.recommended is None:
        return f"{says} {say('(Nothing was recommended then.)')}"
    before = ordered_value_words(feature, decision.recommended)
    return f"{says} {say('(The recommendation was {value} then.)', value=before)}"


def ordered_value_words(feature: Feature | None, value: str | float) -> str:
    """Write an ordered value exactly, also where the protocol does not know it."""
    if isinstance(value, str):
        option = feature.options.get(value) if feature else None
        return option.label if option else value
    if feature is None or feature.kind is not FeatureKind.AMOUNT:
        return short_number(value)
    if value % feature.step:
        return f"{short_number(value)} {unit_words(feature, value)}".strip()
    return value_words(feature, value)


def replied(*, is_outdated: bool) -> str:
    """Say before a reply to a cross-check whether it was given to the findings as they stand."""
    return say("Replied before a finding changed") if is_outdated else say("Replied")
