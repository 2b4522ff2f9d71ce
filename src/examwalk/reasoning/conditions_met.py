"""Comparing an answer, a number or a settled feature with what a condition asks of it."""

from collections.abc import Mapping, Sequence

from attrs import evolve

from examwalk.protocol.condition_model import Condition, SideScope
from examwalk.reasoning.derived import DerivedValue
from examwalk.reasoning.intervals import compare, distance, exactly, monotone
from examwalk.reasoning.logic import Verdict, known, merged
from examwalk.reasoning.places import FeatureAt
from examwalk.reasoning.results import FeatureResult, FeatureStatus, Truth
from examwalk.session.model import Answer, Place, Side

SettledFeatures = Mapping[FeatureAt, FeatureResult]
NO_FEATURES: SettledFeatures = {}


def answer_meets(
    grades: Sequence[str],
    condition: Condition,
    place: Place,
    side: Side,
    answer: Answer | None,
    asked: Verdict,
) -> Verdict:
    """Answer a condition on a test.

    Args:
        grades: the grades of the test from the lowest; none where it is not graded.
        condition: what is asked of it.
        place: where it is answered.
        side: the side from which that is asked.
        answer: its answer; nothing where there is none.
        asked: whether the test is asked at all.
    """
    if asked.truth is Truth.FALSE:
        return Verdict(Truth.FALSE, missing=asked.missing)
    missing = () if answer is not None else (place, *asked.missing)
    if condition.answered is not None:
        return evolve(known((answer is not None) is condition.answered, place), missing=missing)
    if answer is None:
        return Verdict(Truth.UNKNOWN, missing=missing)
    if grades:
        return known(_grade_meets(grades, str(answer), condition), place)
    if isinstance(answer, int | float):
        return Verdict(compare(exactly(answer), condition), (place,))
    return known(_choice_meets(answer, condition, side), place)


def _grade_meets(grades: Sequence[str], grade: str, condition: Condition) -> bool:
    rank = grades.index
    return (
        is_among(grade, condition)
        and (condition.at_least is None or rank(grade) >= rank(str(condition.at_least)))
        and (condition.at_most is None or rank(grade) <= rank(str(condition.at_most)))
        and (condition.above is None or rank(grade) > rank(str(condition.above)))
        and (condition.below is None or rank(grade) < rank(str(condition.below)))
    )


def compared(value: DerivedValue, condition: Condition) -> Verdict:
    """Say whether a number meets a condition; one that may yet lapse never surely does."""
    if value.interval is None:
        return Verdict(Truth.FALSE, missing=value.missing)
    truth = compare(value.interval, condition)
    if truth is Truth.TRUE and value.may_lapse:
        truth = Truth.UNKNOWN
    missing = value.missing if truth is Truth.UNKNOWN else ()
    return Verdict(truth, value.findings, missing, value.through)


def between_sides(here: DerivedValue, there: DerivedValue, condition: Condition) -> Verdict:
    """Answer a condition on how far the numbers of both sides differ, or one exceeds the other."""
    if here.interval is None or there.interval is None:
        missing = merged((here.missing, there.missing))
        return Verdict(Truth.FALSE, missing=missing)
    between = (
        distance(here.interval, there.interval)
        if condition.side is SideScope.DIFFERENCE
        else monotone(lambda this, other: this - other, here.interval, there.interval)
    )
    value = DerivedValue(
        between,
        findings=merged((here.findings, there.findings)),
        missing=merged((here.missing, there.missing)),
        through=merged((here.through, there.through)),
        may_lapse=here.may_lapse or there.may_lapse,
    )
    return compared(value, condition)


def feature_meets(feature: FeatureResult, condition: Condition) -> Verdict:
    """Answer a condition on a feature that was settled before."""
    if feature.status is FeatureStatus.WAITING:
        return Verdict(Truth.UNKNOWN, feature.findings, feature.missing, feature.through)
    if feature.status is FeatureStatus.NOT_APPLICABLE or feature.value is None:
        return Verdict(Truth.FALSE, feature.findings, feature.missing, feature.through)
    if isinstance(feature.value, str):
        truth = known(is_among(feature.value, condition)).truth
    elif condition.cut_at_least is not None and feature.cut < condition.cut_at_least:
        truth = Truth.FALSE
    else:
        truth = compare(exactly(feature.value), condition)
    return Verdict(truth, feature.findings, feature.missing, feature.through)


def is_among(answer: str, condition: Condition) -> bool:
    """Say whether one answer is what a condition asks for by name."""
    return (
        (condition.is_ is None or answer == condition.is_)
        and (condition.is_not is None or answer != condition.is_not)
        and (condition.one_of is None or answer in condition.one_of)
    )


def _choice_meets(answer: Answer, condition: Condition, side: Side) -> bool:
    chosen = answer if isinstance(answer, tuple) else (str(answer),)
    if condition.includes is not None and condition.includes not in chosen:
        return False
    if condition.includes_any is not None and not set(chosen) & set(condition.includes_any):
        return False
    if condition.is_this_side is not None:
        return (answer in (side.value, "both")) is condition.is_this_side
    return is_among(str(answer), condition)
