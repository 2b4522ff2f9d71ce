"""The steps by which a feature came to its value, and how well that is founded."""

from collections.abc import Sequence

from examwalk.protocol.model import Feature, Protocol, SourceMark
from examwalk.reasoning.results import TraceStep
from examwalk.reasoning.settling import Acting, effect_words, settle, value_words


def trace_of(feature: Feature, acting: Sequence[Acting]) -> tuple[TraceStep, ...]:
    """Say step by step what each effect did to a feature."""
    steps = []
    before = settle(feature, ())
    for number, one in enumerate(acting, 1):
        after = settle(feature, acting[:number])
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
        before = after
    return tuple(steps)


def standing_of(protocol: Protocol, feature: Feature, trace: Sequence[TraceStep]) -> SourceMark:
    """Return the weakest basis among the rules that decided, else that of the start value."""
    deciding = [step.basis for step in trace if step.changed] or [feature.basis]
    marks = [protocol.sources[source].mark for basis in deciding for source in basis]
    return max(marks, key=lambda mark: mark.rank)
