"""What may be ordered for a feature, read from what is typed; pure, without a screen."""

import re
from decimal import Decimal

from attrs import frozen

from examwalk.language import say
from examwalk.protocol.entry import as_recorded
from examwalk.protocol.feature_model import Feature, FeatureKind
from examwalk.protocol.wording import MINUS, number_words
from examwalk.reasoning.results import Collision, FeatureResult, FeatureStatus, Summary
from examwalk.reasoning.settling import value_words
from examwalk.session.model import Decision, Session

Value = str | int | float

_NUMBER = re.compile(r"[-+]?(?:[0-9]{1,6}(?:\.[0-9]{1,6})?|\.[0-9]{1,6})")


@frozen
class Reading:
    """What was typed for a value: the value, or the sentence that refuses it."""

    value: Value | None = None
    refusal: str = ""


def ordered_words(feature: Feature, value: Value) -> str:
    """Write a value of a feature; one that the protocol no longer knows stands as it is."""
    known = feature.kind is FeatureKind.OPTION and value in feature.options
    if known or (feature.kind is FeatureKind.AMOUNT and not isinstance(value, str)):
        return value_words(feature, value)
    return str(value)


def range_words(feature: Feature) -> str:
    """Say which amounts can be ordered, and which word belongs to which sign."""
    assert feature.range is not None, f"{feature.id} has no range"
    low, high = (number_words(bound, feature.step) for bound in feature.range)
    unit = feature.unit if feature.unit in ("°", "%") else f" {feature.unit}".rstrip()
    signs = ", ".join(
        say("{sign} is {word}", sign=sign, word=word)
        for sign, word in (("+", feature.positive), (MINUS, feature.negative))
        if word and feature.range[0] < 0
    )
    step = number_words(feature.step, feature.step)
    words = say(
        "{low} to {high}{unit}, in steps of {step}", low=low, high=high, unit=unit, step=step
    )
    return f"{words}; {signs}" if signs else words


def read_amount(feature: Feature, typed: str) -> Reading:
    """Read an amount that is to be ordered; nothing is guessed or rounded."""
    typed, wanted = typed.strip(), range_words(feature)
    text = typed.replace(MINUS, "-").replace(",", ".")
    if not _NUMBER.fullmatch(text):
        refusal = say("“{typed}” is not a number: {range}.", typed=typed, range=wanted)
        return Reading(refusal=refusal)
    value = Decimal(text)
    low, high = (Decimal(str(bound)) for bound in feature.range or (value, value))
    if not low <= value <= high:
        refusal = say("{typed} is out of range: {range}.", typed=typed, range=wanted)
        return Reading(refusal=refusal)
    if value % Decimal(str(feature.step)):
        refusal = say("{typed} lies between two steps: {range}.", typed=typed, range=wanted)
        return Reading(refusal=refusal)
    return Reading(as_recorded(float(value)))


def has_changed_since(result: FeatureResult, decision: Decision) -> bool:
    """Say whether the recommendation is no longer the one that the decision was made on."""
    return result.value != decision.recommended


def changed_by_rules(result: FeatureResult) -> bool:
    """Say whether any rule moved the value from where it starts."""
    return any(step.changed for step in result.trace)


def needs_reason(result: FeatureResult, value: Value) -> bool:
    """Say whether ordering this value must be explained: it is not what is recommended."""
    return result.status is not FeatureStatus.RECOMMENDED or result.value != value


def open_collision(summary: Summary, result: FeatureResult) -> Collision | None:
    """Return the collision on a feature that only the clinician can settle."""
    return next(
        (
            collision
            for collision in summary.collisions
            if collision.needs_decision
            and (collision.feature, collision.side) == (result.id, result.side)
        ),
        None,
    )


def acceptable(session: Session, summary: Summary) -> tuple[FeatureResult, ...]:
    """Return what can be accepted as recommended without a look at each.

    That is every feature with a recommended value on which nothing is ordered yet and whose
    rules do not collide.
    """
    return tuple(
        result
        for result in summary.features
        if result.status is FeatureStatus.RECOMMENDED
        and result.value is not None
        and session.decision(result.id, result.side) is None
        and open_collision(summary, result) is None
    )


def undecided(session: Session, summary: Summary) -> tuple[FeatureResult, ...]:
    """Return the features with a recommended value on which nothing is ordered yet."""
    return tuple(
        result
        for result in summary.features
        if result.status is FeatureStatus.RECOMMENDED
        and session.decision(result.id, result.side) is None
    )
