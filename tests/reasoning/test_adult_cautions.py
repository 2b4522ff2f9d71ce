"""Every caution of the adult protocol on the smallest findings that raise it.

Urgency and what it does to a device are those of the guidelines and of common practice as the
protocol cites them: emergency for acute ischaemia, sepsis, a likely clot and cauda equina (NICE
NG19, CG147, NG158), one working day for an active foot problem in diabetes and a suspected
Charcot foot (NICE NG19, IWGDF 2023), urgent for a failing tibialis posterior (Bowring 2009),
persistent synovitis (NICE NG100) and suspected cancer, routine for reduced sensation or
circulation (Schaper 2020).
"""

import pytest

from adult_cases import ADULT, NORMAL, Findings, case_of, fpi, normal_but, summary_of
from examwalk.session.model import Side

LEFT, RIGHT, WHOLE = Side.LEFT, Side.RIGHT, Side.WHOLE
EMERGENCY, DAY, URGENT, ROUTINE = "emergency", "one-working-day", "urgent", "routine"

# For each caution: where it is raised, how urgent it is, what it does, and on which findings.
SMALLEST: dict[str, tuple[Side, str, str, Findings]] = {
    "examination-refused": (WHOLE, ROUTINE, "stop", {"consent": "refused"}),
    "not-an-adult": (WHOLE, ROUTINE, "stop", {"age": 15}),
    "charcot-suspected": (
        LEFT,
        DAY,
        "stop",
        {"hot-swollen-foot left": "yes", "diabetes": "type-2"},
    ),
    "hot-foot": (RIGHT, DAY, "stop", {"hot-swollen-foot right": "yes"}),
    "clot-emergency": (WHOLE, EMERGENCY, "stop", {"breathless": "yes"}),
    "clot-likely": (
        LEFT,
        EMERGENCY,
        "stop",
        {
            "calf-swelling left": "yes",
            "clot-history": ("cancer",),
            "clot-signs left": ("pitting",),
        },
    ),
    "clot-not-excluded": (RIGHT, EMERGENCY, "stop", {"calf-swelling right": "yes"}),
    "limb-ischaemia": (WHOLE, EMERGENCY, "stop", {"alarm-signs": ("cold-pale-foot",)}),
    "rest-pain": (WHOLE, URGENT, "stop", {"vascular-history": ("rest-pain",)}),
    "wound-without-pulses": (
        LEFT,
        EMERGENCY,
        "stop",
        {
            "skin-check left": ("ulcer",),
            "pulse-dorsalis-pedis left": "absent",
            "pulse-posterior-tibial left": "absent",
        },
    ),
    "dead-tissue": (RIGHT, EMERGENCY, "stop", {"skin-check right": ("dead-tissue",)}),
    "spreading-infection": (WHOLE, EMERGENCY, "stop", {"alarm-signs": ("fever-hot-joint",)}),
    "diabetic-wound-emergency": (
        WHOLE,
        EMERGENCY,
        "stop",
        {
            "diabetes": "type-1",
            "skin-check right": ("infection",),
            "alarm-signs": ("cold-pale-foot",),
        },
    ),
    "ulcer": (LEFT, DAY, "stop", {"skin-check left": ("ulcer",)}),
    "foot-infection": (LEFT, DAY, "stop", {"skin-check left": ("infection",)}),
    "pre-ulcer": (
        RIGHT,
        DAY,
        "modify",
        {"skin-check right": ("callus", "pre-ulcer"), "diabetes": "other"},
    ),
    "fracture": (WHOLE, EMERGENCY, "stop", {"alarm-signs": ("cannot-bear-weight",)}),
    "stress-fracture": (WHOLE, URGENT, "stop", {"heel-tenderness left": "squeeze"}),
    "achilles-rupture": (LEFT, EMERGENCY, "stop", {"calf-squeeze left": "absent"}),
    "push-off-lost": (LEFT, DAY, "stop", {"push-off-loss left": "yes"}),
    "compartment": (WHOLE, EMERGENCY, "stop", {"alarm-signs": ("severe-tense-leg",)}),
    "cauda-equina": (WHOLE, EMERGENCY, "stop", {"alarm-signs": ("saddle-bladder",)}),
    "new-weakness": (WHOLE, URGENT, "stop", {"alarm-signs": ("new-weakness",)}),
    "tumour": (WHOLE, URGENT, "stop", {"skin-check left": ("suspect-lesion",)}),
    "inflammatory-arthritis": (WHOLE, URGENT, "modify", {"alarm-signs": ("joint-swelling",)}),
    "collapsing-foot": (
        LEFT,
        URGENT,
        "allow",
        {
            **fpi(6, "left"),
            "single-heel-raise left": 0,
            "complaint-region left": ("inner-ankle",),
        },
    ),
    "rigid-flat-foot": (
        RIGHT,
        URGENT,
        "modify",
        {
            "arch-height-unloaded right": "low",
            "arch-height-loaded right": "low",
            **fpi(6, "right"),
            "subtalar-range right": "stiff",
        },
    ),
    "sensation-reduced": (LEFT, ROUTINE, "modify", {"monofilament left": 9}),
    "foot-at-risk-history": (WHOLE, ROUTINE, "modify", {"foot-ulcer-history": ("charcot",)}),
    "pulses-absent": (WHOLE, ROUTINE, "modify", {"vascular-history": ("claudication",)}),
    "falls-risk": (WHOLE, ROUTINE, "modify", {"falls": 2}),
    "heel-raise-lost": (
        LEFT,
        URGENT,
        "modify",
        {
            "single-heel-raise left": 0,
            "heel-raise-stop left": "weak",
            "single-heel-raise right": 1,
        },
    ),
    "one-sided-high-arch": (
        RIGHT,
        URGENT,
        "modify",
        {
            **fpi(-5, "right"),
            **fpi(-1, "left"),
            "neurological-history": ("none",),
            "injury-history right": ("none",),
        },
    ),
}

# What must be answered for the question behind a caution to be asked at all.
ASKED_FOR = {
    "clot-emergency": {"calf-swelling right": "yes"},
    "achilles-rupture": {"push-off-loss left": "yes"},
}

# Other findings that raise the same cautions.
ALSO = [
    ("charcot-suspected", LEFT, {"hot-swollen-foot left": "yes", "monofilament left": 9}),
    (
        "charcot-suspected",
        LEFT,
        {"hot-swollen-foot left": "yes", "neurological-history": ("neuropathy",)},
    ),
    ("stress-fracture", WHOLE, {"alarm-signs": ("bone-pain-on-load",)}),
    ("tumour", WHOLE, {"alarm-signs": ("cancer-signs",)}),
    ("sensation-reduced", RIGHT, {"neurological-history": ("neuropathy",)}),
    ("foot-at-risk-history", WHOLE, {"foot-ulcer-history": ("amputation",)}),
    (
        "pulses-absent",
        WHOLE,
        {"pulse-dorsalis-pedis left": "absent", "pulse-posterior-tibial left": "absent"},
    ),
    (
        "collapsing-foot",
        LEFT,
        {
            **fpi(10, "left"),
            **fpi(6, "right"),
            "double-heel-raise left": "stays-slightly-everted",
        },
    ),
]


def raised(findings: Findings) -> set[tuple[str, Side]]:
    return {(caution.id, caution.side) for caution in case_of(findings).cautions}


def test_every_caution_of_the_protocol_has_its_findings_here():
    assert set(SMALLEST) == {caution.id for caution in ADULT.cautions}


@pytest.mark.parametrize("name", SMALLEST)
def test_it_is_raised_on_the_smallest_findings_with_its_urgency_and_effect(name):
    side, urgency, device, findings = SMALLEST[name]
    (caution,) = [one for one in case_of(findings).cautions if (one.id, one.side) == (name, side)]
    assert (caution.urgency, caution.device.value) == (urgency, device)
    assert caution.says


@pytest.mark.parametrize("name", SMALLEST)
def test_it_is_not_raised_while_any_of_them_is_not_in_but_cannot_be_excluded(name):
    side, _, _, findings = SMALLEST[name]
    for dropped in findings:
        rest = {one: answer for one, answer in findings.items() if one != dropped}
        case = case_of(rest)
        assert (name, side) not in raised(rest), f"not needed: {dropped}"
        assert (name, side) in {(one.id, one.side) for one in case.open_cautions}


@pytest.mark.parametrize(("name", "side", "findings"), ALSO)
def test_it_is_raised_on_other_findings_too(name, side, findings):
    assert (name, side) in raised(findings)


@pytest.mark.parametrize(
    "name", [name for name, (_, _, device, _) in SMALLEST.items() if device == "stop"]
)
def test_one_that_stops_leaves_only_the_referral_though_a_device_is_wanted(name):
    _, _, _, findings = SMALLEST[name]
    wanted = {
        "complaint-side": "both",
        "complaint-region": ("plantar-heel",),
        "complaint-weeks": 9,
        "pain-worst": 5,
        "pain-first-step": 5,
        "supination-resistance": "very-high",
        "arch-height-loaded": "low",
    }
    assert summary_of(normal_but(wanted)).feature("device", WHOLE).value == "custom-functional"
    summary = summary_of(normal_but(wanted, ASKED_FOR.get(name, {}), findings))
    assert name in {caution.id for caution in summary.cautions}
    assert summary.feature("device", WHOLE).value == "refer-only"
    assert summary.feature("review-weeks", WHOLE).value == 1


def test_a_normal_adult_raises_none_and_all_are_excluded():
    summary = summary_of(NORMAL)
    assert (summary.cautions, summary.open_cautions) == ((), ())


def test_without_findings_all_are_still_to_be_excluded():
    still_open = {caution.id for caution in summary_of({}).open_cautions}
    assert still_open == set(SMALLEST)
