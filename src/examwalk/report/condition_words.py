"""What a condition asks for and does not get, in words."""

from collections.abc import Iterator

from attrs import frozen

from examwalk.language import later, say
from examwalk.protocol.condition_model import COMPARISONS, Condition, DeviceEffect, SideScope
from examwalk.protocol.derived_model import Derived
from examwalk.protocol.exam_model import Kind
from examwalk.protocol.wording import answer_words, number_words, short_number
from examwalk.reasoning.case import Case
from examwalk.reasoning.conditions_met import SettledFeatures
from examwalk.reasoning.derived import DerivedValue
from examwalk.reasoning.intervals import compare, exactly
from examwalk.reasoning.lacking import Unmet
from examwalk.reasoning.places import place_of
from examwalk.reasoning.results import Truth
from examwalk.reasoning.settling import value_words
from examwalk.report.sides import with_both_sides, with_side
from examwalk.session.model import BOTH_FEET, Side

MOST_ROWS = 3
"""So many reasons of a lookup are named as what would do."""

LIMITS = {
    "at_least": later("{value} or more"),
    "above": later("more than {value}"),
    "at_most": later("{value} or less"),
    "below": later("less than {value}"),
}
ANY_CAUTIONS = {
    DeviceEffect.STOP: later("A caution that stops any device"),
    DeviceEffect.MODIFY: later("A caution that changes the device"),
    DeviceEffect.ALLOW: later("A caution that allows the device"),
}


@frozen
class Settings:
    """Where a condition is asked: the findings, and the features settled so far."""

    case: Case
    features: SettledFeatures


def unmet_words(where: Settings, unmet: Unmet) -> str:
    """Say what would have to be otherwise, and how it is: a clause without its full stop."""
    asked = unmet.condition
    subject = _subject(where, unmet)
    if asked.caution is not None or asked.any_caution is not None:
        return _caution_words(subject, unmet)
    if asked.answered is not None:
        has_to_be = asked.answered is unmet.wanted
        must = say("would have to be answered") if has_to_be else say("would have to be unanswered")
        return f"{subject}: {must}"
    wish = say(" and ").join(_wishes(where, unmet))
    now = _now(where, unmet)
    if asked.includes is not None or asked.includes_any is not None:
        if unmet.wanted:
            return say(
                "{subject}: would have to include {wish}; it is {now}",
                subject=subject,
                wish=wish,
                now=now,
            )
        return say(
            "{subject}: would have to be without {wish}; it is {now}",
            subject=subject,
            wish=wish,
            now=now,
        )
    if unmet.wanted:
        return say(
            "{subject}: would have to be {wish}; it is {now}", subject=subject, wish=wish, now=now
        )
    return say(
        "{subject}: would have to be other than {wish}; it is {now}",
        subject=subject,
        wish=wish,
        now=now,
    )


def _caution_words(subject: str, unmet: Unmet) -> str:
    if unmet.verdict.is_unknown:
        state = say("it cannot be told yet")
    else:
        state = say("it is not raised") if unmet.wanted else say("it is raised")
    if unmet.wanted:
        return say("{caution}: would have to be raised; {state}", caution=subject, state=state)
    return say("{caution}: would have to be excluded; {state}", caution=subject, state=state)


def _subject(where: Settings, unmet: Unmet) -> str:
    asked = unmet.condition
    protocol = where.case.protocol
    if asked.any_caution is not None:
        return say(ANY_CAUTIONS[asked.any_caution])
    if asked.caution is not None:
        return say("The caution “{title}”", title=protocol.cautions_by_id[asked.caution].title)
    if asked.feature is not None:
        feature = protocol.features_by_id[asked.feature]
        return with_side(feature.title, _side_of(where, unmet))
    name = asked.test or asked.derived or ""
    known = protocol.tests_by_id.get(name)
    title = known.name if known else protocol.derived_by_id[name].title
    match asked.side:
        case SideScope.EITHER | SideScope.BOTH:
            return with_both_sides(title)
        case SideScope.DIFFERENCE:
            return say("{title}, left against right", title=title)
        case SideScope.EXCESS:
            return say("{title}, this side minus the other", title=title)
    return with_side(title, _side_of(where, unmet))


def _side_of(where: Settings, unmet: Unmet) -> Side:
    """Return the side that a question is really about; what is asked once has none."""
    asked, protocol = unmet.condition, where.case.protocol
    side = unmet.side.other if asked.side is SideScope.OTHER else unmet.side
    if asked.feature is not None:
        return Side.WHOLE if (asked.feature, Side.WHOLE) in where.features else side
    test = protocol.tests_by_id.get(asked.test or asked.derived or "")
    if test is not None:
        return place_of(test, side).side
    derived = protocol.derived_by_id[asked.derived or ""]
    return Side.WHOLE if derived.sides.value == "once" else side


def _wishes(where: Settings, unmet: Unmet) -> Iterator[str]:
    asked = unmet.condition
    reasons = _rows_that_would_do(where, unmet)
    if reasons:
        yield say(" or ").join(say("“{words}”", words=reason) for reason in reasons)
        return
    for name in COMPARISONS:
        wanted = getattr(asked, name)
        if wanted is None:
            continue
        if name in LIMITS:
            yield say(LIMITS[name], value=_value(where, asked, wanted))
        elif name == "is_not":
            yield say("other than {value}", value=_value(where, asked, wanted))
        elif name == "cut_at_least":
            yield say("cut by {value} or more", value=short_number(wanted))
        elif name == "is_this_side":
            yield say("this side") if wanted else say("not this side")
        else:
            options = wanted if isinstance(wanted, tuple) else (wanted,)
            yield say(" or ").join(_value(where, asked, option) for option in options)


def _rows_that_would_do(where: Settings, unmet: Unmet) -> list[str]:
    """Return why a lookup would give a wanted number, which says more than the number."""
    derived = where.case.protocol.derived_by_id.get(unmet.condition.derived or "")
    if derived is None or unmet.condition.side in (SideScope.DIFFERENCE, SideScope.EXCESS):
        return []
    rows = [
        row.because
        for row in derived.rows
        if row.because and compare(exactly(row.value), unmet.condition) is Truth.TRUE
    ]
    return list(dict.fromkeys(rows))[:MOST_ROWS]


def _value(where: Settings, asked: Condition, value: object) -> str:
    protocol = where.case.protocol
    if asked.feature is not None:
        feature = protocol.features_by_id[asked.feature]
        if isinstance(value, int | float) or (isinstance(value, str) and value in feature.options):
            return value_words(feature, value)
        return str(value)
    test = protocol.tests_by_id.get(asked.test or asked.derived or "")
    if test is None:
        derived = protocol.derived_by_id[asked.derived or ""]
        return _number(derived, value) if isinstance(value, int | float) else str(value)
    if test.kind is Kind.GRADE and isinstance(value, int | float):
        return short_number(value)
    return answer_words(protocol, test, value)


def _number(derived: Derived, value: float) -> str:
    number = number_words(value, 1 if value == int(value) else 10**-derived.decimals)
    return f"{number}{derived.unit}" if derived.unit == "°" else f"{number} {derived.unit}".strip()


def _now(where: Settings, unmet: Unmet) -> str:
    asked = unmet.condition
    if asked.feature is not None:
        side = _side_of(where, unmet)
        sides = [side] if (asked.feature, side) in where.features else list(BOTH_FEET)
        return ", ".join(where.features[asked.feature, one].words for one in sides)
    match asked.side:
        case SideScope.EITHER | SideScope.BOTH | SideScope.DIFFERENCE | SideScope.EXCESS:
            left, right = (_found(where, asked, one) for one in BOTH_FEET)
            return say("left {left}, right {right}", left=left, right=right)
        case SideScope.OTHER:
            return _found(where, asked, unmet.side.other)
    return _found(where, asked, unmet.side)


def _found(where: Settings, asked: Condition, side: Side) -> str:
    case = where.case
    name = asked.test or asked.derived or ""
    test = case.protocol.tests_by_id.get(name)
    if test is None:
        return _derived_now(case.protocol.derived_by_id[name], case.number(name, side))
    place = place_of(test, side)
    answer = case.answers.get(place)
    if case.indicated(test, place.side).truth is Truth.FALSE:
        return say("not asked")
    return say("not answered") if answer is None else answer_words(case.protocol, test, answer)


def _derived_now(derived: Derived, value: DerivedValue) -> str:
    if value.interval is None:
        return say("not worked out here")
    if not value.is_settled:
        return say("not settled")
    if derived.rows and value.because:
        return say("“{words}”", words=value.because)
    number = _number(derived, round(value.interval.low, derived.decimals))
    return f"{number} ({value.because})" if value.because else number
