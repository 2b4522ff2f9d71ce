"""The lift for a limb-length difference, and how it shares the shoe with a lift for short calves.

Convention of the adult protocol, on published grounds: nothing below 5 mm, nor below 20 mm
without a linked symptom (Knutson 2005, doi 10.1186/1746-1340-13-11: mean difference 5.2 mm,
unlikely to matter below about 20 mm); half of it to begin with is common practice, 70 % was used
in a trial (Rannisto 2019, doi 10.1186/s12891-019-2478-3). Rounded down to 1 mm. The shoe takes
4, 8 or 10 mm in low, medium or high volume; the rest goes on the outsole; where both lifts do
not fit, the one for the calves gives way. Expected values are worked by hand.
"""

import pytest

from adult_cases import feature, normal_but, summary_of
from examwalk.reasoning.calculations import limb_length_lift
from examwalk.session.model import Side


def lift(difference_mm: float, fraction: float = 0.5, linked_symptom: bool = True) -> int:
    return limb_length_lift(
        difference_mm,
        this_side_is_shorter=True,
        linked_symptom=linked_symptom,
        fraction=fraction,
        ignore_below_mm=5,
    )


@pytest.mark.parametrize(
    ("difference_mm", "fraction", "expected"),
    [
        (12, 0.5, 6),
        (10, 0.5, 5),
        (12, 0.7, 8),  # 8.4 floored
        (24, 0.5, 12),
        (9, 0.5, 4),  # 4.5 floored
        (10, 0.7, 7),
        (50, 0.58, 29),  # though 0.58 × 50 is 28.999999999999996 in binary
        (5, 0.5, 2),  # 2.5 floored
        (4.9, 0.5, 0),
    ],
)
def test_the_share_is_floored_to_whole_millimetres(difference_mm, fraction, expected):
    assert lift(difference_mm, fraction) == expected


@pytest.mark.parametrize(("difference_mm", "expected"), [(4, 0), (19, 0), (20, 10), (24, 12)])
def test_without_a_linked_symptom_only_twenty_millimetres_matter(difference_mm, expected):
    assert lift(difference_mm, linked_symptom=False) == expected


def test_the_longer_side_gets_none():
    longer = limb_length_lift(
        30, this_side_is_shorter=False, linked_symptom=True, fraction=0.5, ignore_below_mm=5
    )
    assert longer == 0


def patient(difference_mm: int, shoe: str, lunge_cm: float = 12, pain: str = "yes") -> dict:
    """A patient with heel pain on both sides whose left limb is short by this much."""
    return normal_but(
        {
            "short-limb": "left",
            "block-height-first": difference_mm,
            "block-height-second": difference_mm,
            "back-or-hip-pain": pain,
            "shoe-volume": shoe,
            "lunge-distance": lunge_cm,
            "lunge-screen": "pass" if lunge_cm >= 10 else "fail",
            "complaint-side": "both",
            "complaint-region": ("plantar-heel",),
            "complaint-weeks": 10,
            "pain-worst": 4,
            "pain-first-step": 4,
            "heel-tenderness": "medial-tubercle",
        }
    )


@pytest.mark.parametrize(
    ("difference_mm", "shoe", "lunge_cm", "left_mm", "right_mm", "outsole_mm"),
    [
        (4, "high", 12, 0, 0, 0),
        (12, "high", 12, 6, 0, 0),
        (10, "high", 12, 5, 0, 0),
        (24, "high", 12, 10, 0, 2),
        (9, "high", 12, 4, 0, 0),
        (12, "high", 7, 10, 4, 0),  # 6 and 4 for the calves: 10 short, 4 long
        (12, "medium", 7, 8, 2, 0),  # 8 in all: the 6 stay, 2 are left for the calves
        (12, "low", 7, 4, 0, 2),  # 4 in all: no room for the calves, 2 of the 6 outside
        (0, "high", 7, 4, 4, 0),
    ],
)
def test_both_lifts_share_the_shoe(difference_mm, shoe, lunge_cm, left_mm, right_mm, outsole_mm):
    findings = patient(difference_mm, shoe, lunge_cm)
    if difference_mm == 0:
        findings["short-limb"] = "none"
    summary = summary_of(findings)
    assert summary.feature("heel-lift", Side.LEFT).value == left_mm
    assert summary.feature("heel-lift", Side.RIGHT).value == right_mm
    assert summary.feature("outsole-lift", Side.LEFT).value == outsole_mm
    assert summary.feature("outsole-lift", Side.RIGHT).value == 0


def test_the_difference_is_the_mean_of_two_readings():
    findings = patient(12, "high") | {"block-height-first": 11, "block-height-second": 14}
    result = summary_of(findings).derived_value("limb-length-difference", Side.WHOLE)
    assert result.value == (11 + 14) / 2


def test_a_painless_small_difference_gets_no_lift():
    assert feature(patient(12, "high", pain="no"), "heel-lift", "left").value == 0
