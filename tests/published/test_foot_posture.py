"""The Foot Posture Index: its sum, its bands, and left against right."""

from itertools import product

import pytest

from adult_cases import ADULT, FPI_GRADES, FPI_ITEMS, case_of, fpi, summary_of
from examwalk.reasoning.intervals import Interval
from examwalk.session.model import Side

# Bands of the raw total. Published for -4..-1, 0..+5 and +6..+9 (as printed by Justine et al.
# 2016, J Phys Ther Sci 28:916-922) and for +10 (Gijon-Nogueron et al. 2019, BMJ Open 9:e023341);
# -12..-5 from memory (Redmond, Crosbie and Ouvrier 2006).
BANDS = {
    "highly supinated": range(-12, -4),
    "supinated": range(-4, 0),
    "ordinary": range(6),
    "pronated": range(6, 10),
    "highly pronated": range(10, 13),
}

# Left against right in 930 healthy adults: up to 2 ordinary, up to 4 asymmetric, more severe
# (published: normative values for the index between right and left foot).
SIDE_BANDS = [
    (0, "ordinary"),
    (2, "ordinary"),
    (3, "asymmetric"),
    (4, "asymmetric"),
    (5, "severely asymmetric"),
    (12, "severely asymmetric"),
]


@pytest.mark.parametrize(
    ("total", "band"), [(total, band) for band, totals in BANDS.items() for total in totals]
)
def test_each_total_lies_in_its_band(total, band):
    result = summary_of(fpi(total)).derived_value("fpi-total", Side.LEFT)
    assert (result.value, result.band) == (total, band)


def test_the_bands_cover_every_total_once():
    assert sorted(total for totals in BANDS.values() for total in totals) == list(range(-12, 13))


def test_the_total_is_the_sum_of_six_items_each_from_minus_two_to_two():
    """By definition of the index (Redmond 2006): all pairs of grades on the first two items."""
    for first, second in product(FPI_GRADES, repeat=2):
        grades = (first, second, -1, 0, 1, 2)
        findings = {item: FPI_GRADES[grade] for item, grade in zip(FPI_ITEMS, grades, strict=True)}
        result = summary_of(findings).derived_value("fpi-total", Side.RIGHT)
        assert result.value == first + second - 1 + 0 + 1 + 2


def test_a_total_with_an_item_missing_is_bounded_and_has_no_band():
    """A total with a missing item must not be banded (common reading of the index)."""
    findings = {name: grade for name, grade in fpi(7).items() if name != "fpi-forefoot"}
    case = case_of(findings)
    derived = ADULT.derived_by_id["fpi-total"]
    # The first five items make 2+2+2+1+0 = 7; the sixth is from -2 to +2.
    assert case.derived_value(derived, Side.LEFT).interval == Interval(5, 9)
    assert summary_of(findings).derived_value("fpi-total", Side.LEFT).band == ""


@pytest.mark.parametrize(("gap", "band"), SIDE_BANDS)
def test_left_against_right(gap, band):
    findings = fpi(gap - 6, "left") | fpi(-6, "right")
    result = summary_of(findings).derived_value("fpi-side-difference", Side.WHOLE)
    assert (result.value, result.band) == (gap, band)
