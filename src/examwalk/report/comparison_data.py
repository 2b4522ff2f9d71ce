"""The comparison of visits as plain data: what ``examwalk compare --as json`` prints."""

from typing import Any

from examwalk.reasoning.cautions_compared import CautionChange
from examwalk.reasoning.comparing import Change, Comparison
from examwalk.reasoning.features_compared import FeatureChange
from examwalk.report.comparison_words import day_of

Data = dict[str, Any]


def comparison_data(comparison: Comparison, *, anonymous: bool = False) -> Data:
    """Return everything that changed as dicts, lists, texts and numbers.

    Args:
        comparison: what changed.
        anonymous: the visits are without names (``report.anonymous``): of each the day
            alone is told, counted from the first, which is day 1.
    """
    last = comparison.visits[-1]
    return {
        "patient": last.session.patient,
        "disclaimer": last.protocol.identity.disclaimer,
        "visits": [
            {
                "id": visit.session.id,
                "started": None if anonymous else visit.session.started.isoformat(),
                "day": day_of(comparison, visit),
                "examiner": visit.session.examiner,
                "state": visit.session.state.value,
                "invented": visit.session.invented,
                "protocol": visit.session.protocol.id,
                "protocol_version": visit.protocol.identity.version,
            }
            for visit in comparison.visits
        ],
        "same_examiner": comparison.same_examiner,
        "held_back": comparison.held_back,
        "cautions": [_caution(change) for change in comparison.cautions],
        "changes": [_change(change) for change in comparison.changes],
        "features": [_feature(change) for change in comparison.features],
        "not_compared": [
            {"title": one.title, "because": one.unlike.value} for one in comparison.incomparable
        ],
    }


def _caution(change: CautionChange) -> Data:
    return {
        "id": change.raised.id,
        "title": change.raised.title,
        "side": change.raised.side.value,
        "course": change.course.value,
        "states": [state.value for state in change.states],
        "urgency": change.raised.urgency,
        "device": change.raised.device.value,
        "says": change.raised.says,
        "refer_to": change.raised.refer_to,
    }


def _change(change: Change) -> Data:
    detectable = change.detectable
    return {
        "derived" if change.is_derived else "test": change.id,
        "side": change.side.value,
        "values": [list(one) if isinstance(one, tuple) else one for one in change.values],
        "difference": change.difference,
        "verdict": change.judgement.value,
        "because": change.ground.value,
        "detectable_change": detectable.change if detectable else None,
        "error": detectable.error_of.value if detectable else None,
        "worked_out": detectable.worked_out if detectable else None,
        "source": detectable.source if detectable else None,
        "important_change": change.important.change if change.important else None,
        "matters": change.matters,
        "better": change.is_better,
    }


def _feature(change: FeatureChange) -> Data:
    return {
        "id": change.id,
        "title": change.title,
        "side": change.side.value,
        "in_both": change.in_both,
        "values": [result.value if result else None for result in change.results],
        "statuses": [result.status.value if result else None for result in change.results],
    }
