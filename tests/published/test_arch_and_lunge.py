"""Arch drop in grades, and the weight-bearing lunge."""

import pytest

from adult_cases import ADULT, case_of, normal_but, summary_of
from examwalk.reasoning.intervals import exactly
from examwalk.session.model import Side

GRADES = ("flat", "low", "medium", "high", "very-high")

# Grades of drop from unloaded to loaded, named as the trade names them (common practice): none
# is stiff, one ordinary, two mobile, three or more very mobile; a rise is an error.
ARCH_DROP = [
    ("medium", "medium", 0, "stiff"),
    ("high", "medium", 1, "ordinary"),
    ("high", "low", 2, "mobile"),
    ("high", "flat", 3, "very mobile"),
    ("very-high", "flat", 4, "very mobile"),
    ("low", "medium", -1, "rises under load: look again"),
]


@pytest.mark.parametrize(("unloaded", "loaded", "drop", "band"), ARCH_DROP)
def test_arch_drop_is_the_grades_lost_on_loading(unloaded, loaded, drop, band):
    findings = normal_but({"arch-height-unloaded": unloaded, "arch-height-loaded": loaded})
    result = summary_of(findings).derived_value("arch-drop", Side.LEFT)
    assert (result.value, result.band) == (drop, band)


def test_every_pair_of_grades_gives_their_difference():
    for high, unloaded in enumerate(GRADES):
        for low, loaded in enumerate(GRADES):
            case = case_of({"arch-height-unloaded": unloaded, "arch-height-loaded": loaded})
            value = case.derived_value(ADULT.derived_by_id["arch-drop"], Side.RIGHT)
            assert value.interval == exactly(high - low)


# Published: Chisholm et al. 2012, doi 10.3138/ptc.2011-41. The minimal detectable difference
# between the sides is 1.5 cm.
@pytest.mark.parametrize(
    ("left_cm", "right_cm", "difference_cm", "band"),
    [
        (9.0, 9.0, 0, "within measurement error"),
        (9.0, 7.6, 1.4, "within measurement error"),
        (9.0, 7.5, 1.5, "beyond measurement error"),
        (7.5, 9.0, 1.5, "beyond measurement error"),
        (8.9, 7.4, 1.5, "beyond measurement error"),
        (10.1, 8.6, 1.5, "beyond measurement error"),
    ],
)
def test_a_side_difference_of_the_lunge_counts_from_its_measurement_error_on(
    left_cm, right_cm, difference_cm, band
):
    findings = {"lunge-distance left": left_cm, "lunge-distance right": right_cm}
    summary = summary_of(normal_but(findings))
    result = summary.derived_value("lunge-side-difference", Side.WHOLE)
    assert result.value == pytest.approx(difference_cm)
    assert result.band == band
