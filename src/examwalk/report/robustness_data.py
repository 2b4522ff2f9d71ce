"""What hangs on what, as plain data for scripts."""

from typing import Any

from examwalk.reasoning.consequences import CautionShift, Consequences, FeatureShift
from examwalk.reasoning.nudging import Nudge
from examwalk.reasoning.robustness import Repeat, Robustness, Tried
from examwalk.session.model import Place

Data = dict[str, Any]


def robustness_data(robustness: Robustness) -> Data:
    """Return the moves that change something, and what to repeat first."""
    return {
        "moves_tried": robustness.moves,
        "changing": [tried_data(tried) for tried in robustness.tried],
        "together": None
        if robustness.pairs is None
        else [tried_data(tried) for tried in robustness.pairs],
        "repeat_first": [_repeat(repeat) for repeat in robustness.repeat_first],
    }


def tried_data(tried: Tried) -> Data:
    """Return one move, or two together, and what comes out otherwise."""
    return {
        "findings": [_nudge(nudge) for nudge in tried.nudges],
        **consequences_data(tried.found),
    }


def consequences_data(found: Consequences) -> Data:
    """Return what comes out otherwise."""
    return {
        "features": [_feature(shift) for shift in found.features],
        "cautions": [_caution(shift) for shift in found.cautions],
    }


def _nudge(nudge: Nudge) -> Data:
    return {
        **_place(nudge.place),
        "answer": nudge.before,
        "instead": nudge.after,
        "by": nudge.amount,
        "size": nudge.size.value,
    }


def _feature(shift: FeatureShift) -> Data:
    return {
        "id": shift.id,
        "side": shift.side.value,
        "before": shift.value_before,
        "after": shift.value_after,
        "words_before": shift.before,
        "words_after": shift.after,
        "weight": round(shift.weight, 3),
    }


def _caution(shift: CautionShift) -> Data:
    return {
        "id": shift.id,
        "side": shift.side.value,
        "before": shift.before.value,
        "after": shift.after.value,
    }


def _repeat(repeat: Repeat) -> Data:
    return {
        **_place(repeat.place),
        "stops": -repeat.rank.stops,
        "referrals": -repeat.rank.referrals,
        "other_cautions": -repeat.rank.cautions,
        "weight": -repeat.rank.weight,
        "least_agreement": repeat.agreement,
    }


def _place(place: Place) -> Data:
    return {"test": place.test, "side": place.side.value}
