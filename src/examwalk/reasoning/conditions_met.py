"""Comparing a number, a choice or a settled feature with what a condition asks of it."""

from collections.abc import Mapping

from examwalk.protocol.model import Condition
from examwalk.reasoning.derived import DerivedValue
from examwalk.reasoning.intervals import compare, exactly
from examwalk.reasoning.logic import Verdict, disjunction, known
from examwalk.reasoning.results import FeatureResult, FeatureStatus, Truth
from examwalk.session.model import BOTH_FEET, Answer, Side

SettledFeatures = Mapping[tuple[str, Side], FeatureResult]
NO_FEATURES: SettledFeatures = {}


def compared(value: DerivedValue, condition: Condition) -> Verdict:
    """Say whether a number meets a condition; one that may yet lapse never surely does."""
    if value.interval is None:
        return Verdict(Truth.FALSE, missing=value.missing)
    truth = compare(value.interval, condition)
    if truth is Truth.TRUE and value.may_lapse:
        truth = Truth.UNKNOWN
    missing = value.missing if truth is Truth.UNKNOWN else ()
    return Verdict(truth, value.findings, missing, value.through)


def ask_feature(condition: Condition, side: Side, features: SettledFeatures) -> Verdict:
    """Answer a condition on a feature that was settled before."""
    name = condition.feature or ""
    keys = [(name, Side.WHOLE)] if (name, Side.WHOLE) in features else [(name, side)]
    if side is Side.WHOLE and (name, Side.WHOLE) not in features:
        keys = [(name, foot) for foot in BOTH_FEET]
    return disjunction(_feature_meets(features[key], condition) for key in keys)


def _feature_meets(feature: FeatureResult, condition: Condition) -> Verdict:
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


def choice_meets(answer: Answer, condition: Condition, side: Side) -> bool:
    """Say whether one or several chosen options meet a condition, seen from a side."""
    chosen = answer if isinstance(answer, tuple) else (str(answer),)
    if condition.includes is not None and condition.includes not in chosen:
        return False
    if condition.includes_any is not None and not set(chosen) & set(condition.includes_any):
        return False
    if condition.is_this_side is not None:
        return (answer in (side.value, "both")) is condition.is_this_side
    return is_among(str(answer), condition)
