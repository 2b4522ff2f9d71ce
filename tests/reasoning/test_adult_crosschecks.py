"""Every cross-check of the adult protocol on the smallest findings that make it speak.

The findings are written by hand from what each check is for. Taking any one of them away must
silence it; a normal adult must not hear any.
"""

import pytest

from adult_cases import ADULT, NORMAL, Findings, case_of, fpi, normal_but, summary_of
from examwalk.session.model import Side

LEFT, RIGHT, WHOLE = Side.LEFT, Side.RIGHT, Side.WHOLE
NO_INJURY = {"injury-history left": ("none",), "injury-history right": ("none",)}
STEADY = {"ankle-giving-way left": "never", "ankle-giving-way right": "never"}
QUIET_LEFT = {
    **fpi(0, "left"),
    "arch-height-unloaded left": "medium",
    "arch-height-loaded left": "low",
    "supination-resistance left": "moderate",
    "jack-effort left": "moderate",
    "fascia-prominence left": "felt",
    "heel-tenderness left": "none",
    "lunge-distance left": 8.0,
    "first-mtp-dorsiflexion left": 50,
    "first-mtp-pain left": "no",
    "single-heel-raise left": 1,
    "ankle-giving-way left": "once",
    "callus-site left": ("none",),
}

SMALLEST: dict[str, tuple[Side, Findings]] = {
    "bmi-impossible": (WHOLE, {"body-mass": 20, "height": 150}),  # 20 / 1.5² = 8.9
    "bmi-unlikely": (WHOLE, {"body-mass": 25, "height": 150}),  # 11.1
    "bmi-rare": (WHOLE, {"body-mass": 30, "height": 150}),  # 13.3
    "diabetes-before-birth": (WHOLE, {"age": 30, "diabetes-years": 31}),
    "no-pain-with-complaint": (WHOLE, {"pain-worst": 0, "complaint-region left": ("shin",)}),
    "ten-while-running": (WHOLE, {"pain-worst": 10, "activity": "running"}),
    "complaint-side-mismatch": (
        LEFT,
        {"complaint-side": "left", "complaint-region left": ("none",)},
    ),
    "pain-without-a-complaint-side": (
        WHOLE,
        {"complaint-side": "none", "complaint-region right": ("arch",)},
    ),
    "block-readings-disagree": (WHOLE, {"block-height-first": 10, "block-height-second": 14}),
    "limb-length-very-large": (WHOLE, {"block-height-first": 60, "block-height-second": 61}),
    "arch-rises-under-load": (
        LEFT,
        {"arch-height-unloaded left": "low", "arch-height-loaded left": "medium"},
    ),
    "drop-in-supinated-foot": (
        RIGHT,
        {
            "arch-height-unloaded right": "high",
            "arch-height-loaded right": "low",
            **fpi(-1, "right"),
        },
    ),
    "flat-without-drop": (
        LEFT,
        {
            "arch-height-unloaded left": "low",
            "arch-height-loaded left": "low",
            **fpi(8, "left"),
        },
    ),
    "pronated-but-easy": (LEFT, {**fpi(10, "left"), "supination-resistance left": "low"}),
    "supinated-but-hard": (LEFT, {**fpi(-5, "left"), "supination-resistance left": "high"}),
    "resistance-with-easy-windlass": (
        LEFT,
        {"supination-resistance left": "high", "jack-effort left": "easy"},
    ),
    "windlass-words-disagree": (
        LEFT,
        {"jack-effort left": "very-easy", "jack-arch-rise left": "none"},
    ),
    "hard-lift-prompt-rise": (
        RIGHT,
        {"jack-effort right": "does-not-start", "jack-arch-rise right": "prompt"},
    ),
    "easy-lift-of-a-stiff-toe": (
        LEFT,
        {"jack-effort left": "easy", "first-mtp-dorsiflexion left": 29},
    ),
    "proud-fascia-without-toe-motion": (
        LEFT,
        {"fascia-prominence left": "ridge", "first-mtp-dorsiflexion left": 0},
    ),
    "lunge-pass-short-distance": (
        LEFT,
        {"lunge-screen left": "pass", "lunge-distance left": 9.9},
    ),
    "lunge-fail-long-distance": (
        LEFT,
        {"lunge-screen left": "fail", "lunge-distance left": 10.1},
    ),
    "lunge-pass-stiff-ankle": (
        RIGHT,
        {"lunge-screen right": "pass", "ankle-dorsiflexion-bent right": 0},
    ),
    "lunge-fail-mobile-ankle": (
        LEFT,
        {"lunge-distance left": 7.9, "ankle-dorsiflexion-bent left": 20},
    ),
    "knee-columns-swapped": (
        LEFT,
        {"ankle-dorsiflexion-straight left": 10, "ankle-dorsiflexion-bent left": 4},
    ),
    "knee-straight-exceeds-bent": (
        LEFT,
        {"ankle-dorsiflexion-straight left": 9, "ankle-dorsiflexion-bent left": 5},
    ),
    "twist-without-cause": (
        LEFT,
        {
            "abductory-twist left": "clear",
            "lunge-distance left": 12,
            "jack-effort left": "easy",
            "first-mtp-dorsiflexion left": 60,
        },
    ),
    "early-heel-rise-free-ankle": (
        LEFT,
        {"heel-rise-timing left": "early", "lunge-distance left": 12},
    ),
    "no-raise-no-reason": (LEFT, {"single-heel-raise left": 0, "heel-raise-stop left": "tired"}),
    "strong-but-no-raise": (
        LEFT,
        {
            "single-heel-raise left": 0,
            "heel-raise-stop left": "balance",
            "tibialis-posterior-strength left": "normal",
        },
    ),
    "inner-ankle-pain-low-resistance": (
        RIGHT,
        {"complaint-region right": ("inner-ankle",), "supination-resistance right": "low"},
    ),
    "weak-but-many-raises": (
        LEFT,
        {"single-heel-raise left": 10, "tibialis-posterior-strength left": "against-gravity"},
    ),
    "raises-with-ruptured-tendon": (
        LEFT,
        {"single-heel-raise left": 1, "calf-squeeze left": "absent"},
    ),
    "hypermobile-yet-stiff": (
        LEFT,
        {
            "joint-hypermobility": 7,
            "first-mtp-dorsiflexion left": 39,
            "lunge-distance left": 4.9,
        },
    ),
    "squint-with-toeing-out": (
        LEFT,
        {"patella-facing left": "clearly-inward", "foot-progression-angle left": 16},
    ),
    "squint-with-shin-turned-in": (
        LEFT,
        {
            "patella-facing left": "clearly-inward",
            "foot-progression-angle left": 16,
            "thigh-foot-angle left": -1,
        },
    ),
    "toeing-in-without-source": (
        RIGHT,
        {
            "foot-progression-angle right": -6,
            "hip-internal-rotation right": 30,
            "hip-external-rotation right": 40,
            "thigh-foot-angle right": 1,
        },
    ),
    "hip-arc-unusual": (
        LEFT,
        {"hip-internal-rotation left": 29, "hip-external-rotation left": 30},
    ),
    "heel-pain-without-tenderness": (
        RIGHT,
        {
            "complaint-region right": ("plantar-heel",),
            "heel-tenderness right": "none",
            "fascia-tender right": "no",
        },
    ),
    "rigid-ray-in-pronated-foot": (
        LEFT,
        {
            "first-ray-position left": "plantarflexed",
            "first-ray-mobility left": "stiff",
            **fpi(8, "left"),
        },
    ),
    "varus-forefoot-low-ray": (
        LEFT,
        {
            "forefoot-alignment left": "marked-varus",
            "first-ray-position left": "plantarflexed",
            "first-ray-mobility left": "stiff",
        },
    ),
    "two-arch-grades-disagree": (
        LEFT,
        {"arch-height-loaded left": "high", "fpi-arch left": "clearly-pronated"},
    ),
    "lunge-sides-far-apart": (
        WHOLE,
        {"lunge-distance left": 10.0, "lunge-distance right": 6.0},
    ),
    "lunge-sides-differ": (
        WHOLE,
        {"lunge-distance left": 8.5, "lunge-distance right": 10.0, **NO_INJURY, **STEADY},
    ),
    "posture-sides-differ": (
        WHOLE,
        {
            **fpi(0, "left"),
            **fpi(-4, "right"),
            **NO_INJURY,
            "neurological-history": ("none",),
            "short-limb": "none",
        },
    ),
    "resistance-sides-differ": (
        WHOLE,
        {"supination-resistance left": "low", "supination-resistance right": "high"},
    ),
    "shorter-side-more-pronated": (
        LEFT,
        {
            "short-limb": "left",
            "block-height-first": 10,
            "block-height-second": 10,
            **fpi(2, "left"),
            **fpi(0, "right"),
        },
    ),
    "recurvatum-not-in-beighton": (
        WHOLE,
        {
            "knee-hyperextension left": 11,
            "knee-hyperextension right": 11,
            "joint-hypermobility": 1,
        },
    ),
    "one-knee-not-in-beighton": (
        WHOLE,
        {
            "knee-hyperextension left": 11,
            "knee-hyperextension right": 10,
            "joint-hypermobility": 0,
        },
    ),
    "quiet-complaint-side": (
        LEFT,
        {
            **QUIET_LEFT,
            "complaint-side": "left",
            "supination-resistance right": "high",
            "jack-effort right": "hard",
            "first-mtp-pain right": "yes",
        },
    ),
    "one-sided-signs-unexplained": (
        RIGHT,
        {
            "monofilament right": 9,
            "monofilament left": 10,
            "single-heel-raise right": 0,
            "single-heel-raise left": 1,
            "first-mtp-dorsiflexion right": 49,
            "first-mtp-dorsiflexion left": 50,
            "injury-history right": ("none",),
            "neurological-history": ("none",),
        },
    ),
    "diabetes-not-screened": (LEFT, {"diabetes": "type-2"}),
}

# These look at the device, so a whole exam stands behind them. Resistance high makes two points,
# a dropping arch one and heel pain one: demand 4, a custom device with skive and post of 4.
HEEL_PAIN = {
    "complaint-side": "right",
    "complaint-region right": ("plantar-heel",),
    "complaint-weeks": 12,
    "pain-worst": 4,
    "pain-first-step": 4,
    "supination-resistance right": "high",
    "arch-height-loaded right": "low",
    "heel-tenderness right": "none",
    "fascia-tender right": "yes",
}
WITH_A_DEVICE: dict[str, tuple[Side, Findings]] = {
    # 4 mm for 70 kg + 2 post + 3 cover = 9; a low shoe takes 7.
    "too-high-for-the-shoe": (WHOLE, {"shoe-volume": "low"}),
    "too-high-for-the-second-shoe": (WHOLE, {"second-shoe-volume": "low"}),
    # 3 mm cover and 3 mm under heads 2 to 5; a low shoe takes 3.
    "forefoot-too-high-for-the-shoe": (WHOLE, {"shoe-volume": "low", "jack-effort": "hard"}),
    # 74 kg and 145 cm make 35.2; an index below 0 under 75 kg gets 3 mm.
    "thin-shell-heavy-patient": (RIGHT, {"body-mass": 74, "height": 145, **fpi(-1)}),
    "correction-in-a-worn-shoe": (RIGHT, {"shoe-counter": "worn"}),
}


def fired(findings: Findings) -> set[tuple[str, Side]]:
    return {(check.id, check.side) for check in case_of(findings).crosschecks}


def test_every_cross_check_of_the_protocol_has_its_findings_here():
    assert set(SMALLEST) | set(WITH_A_DEVICE) == {check.id for check in ADULT.crosschecks}


@pytest.mark.parametrize("name", SMALLEST)
def test_it_speaks_on_the_smallest_findings(name):
    side, findings = SMALLEST[name]
    assert (name, side) in fired(findings)


@pytest.mark.parametrize("name", SMALLEST)
def test_it_is_silent_while_any_of_them_is_not_in(name):
    side, findings = SMALLEST[name]
    for dropped in findings:
        rest = {one: answer for one, answer in findings.items() if one != dropped}
        assert (name, side) not in fired(rest), f"not needed: {dropped}"


@pytest.mark.parametrize("name", WITH_A_DEVICE)
def test_it_speaks_once_the_device_is_settled(name):
    side, changes = WITH_A_DEVICE[name]
    findings = normal_but(HEEL_PAIN, changes)
    told = {(check.id, check.side) for check in summary_of(findings).crosschecks}
    assert (name, side) in told
    assert name not in {one for one, _ in fired(findings)}


def test_with_an_ordinary_device_and_shoe_none_speaks():
    assert summary_of(normal_but(HEEL_PAIN)).crosschecks == ()
    assert summary_of(normal_but(HEEL_PAIN)).feature("device", WHOLE).value == "custom-functional"


def test_a_normal_adult_hears_none():
    assert summary_of(NORMAL).crosschecks == ()


def test_the_worst_comes_first():
    _, impossible = SMALLEST["arch-rises-under-load"]
    _, unlikely = SMALLEST["lunge-sides-far-apart"]
    _, look_again = SMALLEST["resistance-with-easy-windlass"]
    checks = case_of({**look_again, **unlikely, **impossible}).crosschecks
    assert [check.severity.value for check in checks] == ["impossible", "unlikely", "look again"]


def test_it_names_what_to_look_at_again_on_its_own_side_and_of_the_whole_person():
    _, one_sided = SMALLEST["hypermobile-yet-stiff"]
    (check,) = case_of(one_sided).crosschecks
    assert [str(place) for place in check.recheck] == [
        "first-mtp-dorsiflexion (left)",
        "lunge-distance (left)",
        "joint-hypermobility",
    ]


def test_one_between_the_sides_names_both():
    _, between = SMALLEST["lunge-sides-far-apart"]
    (check,) = case_of(between).crosschecks
    assert [str(place) for place in check.recheck] == [
        "lunge-distance (left)",
        "lunge-distance (right)",
    ]
