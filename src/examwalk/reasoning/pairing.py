"""How the values of both feet are brought together where a pair must match."""

from collections.abc import Sequence

from attrs import evolve

from examwalk.language import later, say
from examwalk.protocol.feature_model import AcrossPair, Feature
from examwalk.protocol.model import Protocol, SourceMark
from examwalk.reasoning.logic import merged
from examwalk.reasoning.results import FeatureResult, TraceStep
from examwalk.reasoning.settling import Value, snapped, value_words
from examwalk.reasoning.tracing import standing_of
from examwalk.session.model import Side

_MATCHED = {
    Side.LEFT: later("matched to the left foot ({value})"),
    Side.RIGHT: later("matched to the right foot ({value})"),
}


def target_of_pair(feature: Feature, values: Sequence[Value]) -> Value:
    """Return the value that both feet are brought to."""
    numbers = [value for value in values if isinstance(value, float)]
    if numbers:
        return min(numbers) if feature.across_pair is AcrossPair.LOWER else max(numbers)
    order = list(feature.options)
    ranked = sorted((str(value) for value in values), key=order.index)
    return ranked[0] if feature.across_pair is AcrossPair.FIRST else ranked[-1]


def pulled(feature: Feature, value: Value, target: Value) -> Value:
    """Bring a value to the target, or to within the difference that the pair may have."""
    within = feature.across_pair_within
    if within is None or not isinstance(value, float) or not isinstance(target, float):
        return target
    if abs(target - value) <= within:
        return value
    nearest = target - within if target > value else target + within
    return snapped(feature, nearest, lambda step: abs(target - step) <= within)


def matched(
    protocol: Protocol, feature: Feature, pair: Sequence[FeatureResult]
) -> tuple[FeatureResult, ...]:
    """Return both results, one of them moved where the pair must match."""
    missing = merged(result.missing for result in pair)
    values = [result.value for result in pair if result.value is not None]
    target = target_of_pair(feature, values) if len(values) == len(pair) else None
    both = []
    for result, other in (pair, pair[::-1]):
        one = evolve(result, missing=missing)
        if target is not None and result.value is not None:
            wanted = pulled(feature, result.value, target)
            if wanted != result.value:
                one = _moved(protocol, feature, one, other, wanted)
        both.append(one)
    return tuple(both)


def _moved(
    protocol: Protocol, feature: Feature, result: FeatureResult, other: FeatureResult, wanted: Value
) -> FeatureResult:
    words = value_words(feature, wanted)
    step = TraceStep(
        rule="",
        class_=None,
        did=say(_MATCHED[other.side], value=other.words),
        before=result.words,
        after=words,
        changed=True,
        because=say("Both feet of a pair must match in this feature."),
        findings=other.findings,
        basis=feature.basis,
        through=other.through,
    )
    trace = (*result.trace, step)
    marks = [standing_of(protocol, feature, trace), other.standing or SourceMark.PUBLISHED]
    return evolve(
        result,
        value=wanted,
        words=words,
        standing=max(marks, key=lambda mark: mark.rank),
        trace=trace,
        findings=merged((result.findings, other.findings)),
        through=merged((result.through, other.through)),
    )
