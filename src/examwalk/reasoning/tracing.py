"""The steps by which a feature came to its value, and how well that is founded."""

from collections.abc import Sequence

from examwalk.protocol.feature_model import Feature
from examwalk.protocol.model import Protocol, SourceMark
from examwalk.reasoning.results import TraceStep
from examwalk.reasoning.settling import Acting, Value, effect_words, value_words


def trace_of(
    feature: Feature, acting: Sequence[Acting], values: Sequence[Value]
) -> tuple[TraceStep, ...]:
    """Say step by step what each effect did to a feature.

    Args:
        feature: the feature.
        acting: the effects in the order in which they act.
        values: the value before the first of them, and after each.
    """
    steps = []
    for one, before, after in zip(acting, values, values[1:], strict=False):
        steps.append(
            TraceStep(
                rule=one.rule.id,
                class_=one.rule.class_,
                did=effect_words(feature, one),
                before=value_words(feature, before),
                after=value_words(feature, after),
                changed=before != after,
                because=one.rule.because,
                findings=one.verdict.findings,
                basis=one.rule.basis,
                through=one.verdict.through,
            )
        )
    return tuple(steps)


def standing_of(protocol: Protocol, feature: Feature, trace: Sequence[TraceStep]) -> SourceMark:
    """Return the weakest basis among the rules that decided, else that of the start value."""
    deciding = [step.basis for step in trace if step.changed] or [feature.basis]
    marks = [protocol.sources[source].mark for basis in deciding for source in basis]
    return max(marks, key=lambda mark: mark.rank)
