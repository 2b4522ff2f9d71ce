"""The page that ``examwalk why`` prints: cautions first, the chain, and what stands between."""

from collections.abc import Iterator, Sequence
from textwrap import wrap

from examwalk.language import say
from examwalk.reasoning.case import Case
from examwalk.reasoning.explaining import why_not
from examwalk.reasoning.features import Ordered, settle_features
from examwalk.reasoning.results import CautionRaised, FeatureResult
from examwalk.reasoning.settling import Value
from examwalk.report.grounds import sentence
from examwalk.report.said import Said, as_text
from examwalk.report.sides import with_side
from examwalk.report.why_not_text import why_not_told
from examwalk.report.why_text import Visit, why_told

WIDTH = 88


def why_page(
    visit: Visit,
    case: Case,
    ordered: Ordered,
    results: Sequence[FeatureResult],
    value: Value | None,
) -> str:
    """Write why features have their values, or why not another one, as text.

    Args:
        visit: the visit with everything that follows from it.
        case: its findings under its protocol.
        ordered: what the clinician has ordered so far.
        results: the feature on each side that is asked about.
        value: the value that was expected, or nothing.
    """
    lines = list(_cautions(visit.summary.cautions))
    for result in results:
        told = (
            why_told(visit, result)
            if value is None
            else not_told(visit, case, ordered, result, value)
        )
        lines += [*as_text(told, WIDTH), ""]
    lines += wrap(defers(visit), WIDTH)
    return "\n".join(lines) + "\n"


def not_told(
    visit: Visit, case: Case, ordered: Ordered, result: FeatureResult, value: Value
) -> list[Said]:
    """Find out and say what stands between a feature and a value that it can have."""
    why = why_not(case, ordered, result.id, result.side, value)
    seen = settle_features(case, ordered).as_ordered
    return why_not_told(visit, case, seen, why)


def defers(visit: Visit) -> str:
    """Return the sentence that leaves the decision to the clinician."""
    return visit.protocol.identity.disclaimer or say("The clinician and local rules decide.")


def _cautions(cautions: Sequence[CautionRaised]) -> Iterator[str]:
    for caution in cautions:
        title = with_side(caution.title, caution.side)
        yield from wrap(f"! {title}. {caution.urgency_words}.", WIDTH, subsequent_indent="  ")
        parts = [sentence(caution.says)]
        if caution.refer_to:
            parts.append(sentence(say("Refer to {whom}", whom=caution.refer_to)))
        yield from wrap(" ".join(parts), WIDTH, initial_indent="  ", subsequent_indent="  ")
    if cautions:
        yield ""
