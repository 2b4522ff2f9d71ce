"""Which kind of device the adult protocol ends in, patient by patient.

What is expected follows from what is published (no device for a painless foot; ready-made and
custom do equally well for heel pain: Whittaker 2018, Rasenberg 2018; none that is rigid over
insensate skin: the diabetic foot guidelines) and, for the dosing table, from the convention of
the protocol.
"""

import pytest

from adult_cases import Findings, feature, fpi, normal_but
from examwalk.reasoning.results import FeatureStatus

SORE_HEEL: Findings = {
    "complaint-side": "right",
    "complaint-region left": ("none",),
    "complaint-region right": ("plantar-heel",),
    "complaint-weeks": 12,
    "pain-worst": 5,
    "pain-first-step": 6,
    "heel-tenderness right": "medial-tubercle",
}
MUCH_IS_ASKED: Findings = {
    "supination-resistance right": "high",
    **fpi(8, "right"),
    "arch-height-unloaded right": "medium",
    "arch-height-loaded right": "low",
}
RIGID_LEFT: Findings = {
    **fpi(8, "left"),
    "arch-height-unloaded left": "low",
    "arch-height-loaded left": "low",
    "subtalar-range left": "stiff",
}


@pytest.mark.parametrize(
    ("findings", "expected"),
    [
        pytest.param({}, "none", id="nothing hurts"),
        pytest.param(fpi(8), "none", id="flat and painless"),
        pytest.param(SORE_HEEL, "ready-made", id="a sore heel that asks little"),
        pytest.param({**SORE_HEEL, "shoe-counter": "worn"}, "shoes-first", id="in a worn shoe"),
        pytest.param(
            {**SORE_HEEL, "device-history": "ready-made-failed"},
            "custom-functional",
            id="ready-made has failed",
        ),
        pytest.param({**SORE_HEEL, **MUCH_IS_ASKED}, "custom-functional", id="much is asked"),
        pytest.param(
            {**SORE_HEEL, **MUCH_IS_ASKED, "monofilament": 6},
            "custom-accommodative",
            id="much is asked of a numb foot",
        ),
        pytest.param(
            {**SORE_HEEL, **MUCH_IS_ASKED, **RIGID_LEFT},
            "custom-accommodative",
            id="the other foot is rigid and flat",
        ),
        pytest.param({**SORE_HEEL, "hot-swollen-foot left": "yes"}, "refer-only", id="hot foot"),
        pytest.param({**SORE_HEEL, "age": 12}, "refer-only", id="a child"),
        pytest.param(
            {**SORE_HEEL, "vascular-history": ("rest-pain",)}, "refer-only", id="pain at rest"
        ),
        pytest.param({"consent": "refused"}, "refer-only", id="consent refused"),
    ],
)
def test_the_kind_of_device(findings: Findings, expected: str) -> None:
    assert feature(normal_but(findings), "device").value == expected


@pytest.mark.parametrize(
    "unanswered", ["hot-swollen-foot", "monofilament", "diabetes", "vascular-history", "skin-check"]
)
def test_no_device_is_advised_before_a_safety_question_is_answered(unanswered: str) -> None:
    findings = normal_but(SORE_HEEL)
    del findings[unanswered]
    result = feature(findings, "device")
    assert result.status is FeatureStatus.WAITING
    assert {place.test for place in result.missing} >= {unanswered}


def test_with_a_referral_nothing_else_is_specified() -> None:
    findings = normal_but(SORE_HEEL, MUCH_IS_ASKED, {"hot-swollen-foot left": "yes"})
    assert feature(findings, "medial-heel-skive").status is FeatureStatus.NOT_APPLICABLE
    assert feature(findings, "heel-lift").status is FeatureStatus.NOT_APPLICABLE
