"""Statistics of two raters, against published worked examples."""

import pytest

from examwalk.reasoning.rater_statistics import (
    exact_share,
    icc_2_1,
    kappa,
    limits_of_agreement,
    linear_kappa,
    quadratic_kappa,
    within_one_share,
)

# Two dermatologists, 88 patients, four grades: SAS/STAT User's Guide, PROC FREQ, "Agreement Study"
# (table published; kappas worked out by hand from its integers, agreeing with those recalled).
DERMATOLOGISTS = (
    (10, 4, 1, 0),
    (5, 10, 12, 2),
    (2, 4, 12, 5),
    (0, 2, 6, 13),
)
RATED = [
    (row, column)
    for row, counts in enumerate(DERMATOLOGISTS)
    for column, count in enumerate(counts)
    for _ in range(count)
]


def test_kappa_is_that_of_the_published_table():
    # 45 of 88 agree; the products of the margins add up to 1968: 1 − 43 · 88 / (88² − 1968).
    assert kappa(RATED) == pytest.approx(0.344875, abs=1e-6)
    assert exact_share(RATED) == pytest.approx(45 / 88)


def test_linear_kappa_is_that_of_the_published_table():
    # Σ|i−j| n = 50, Σ|i−j| r c = 8946: 1 − 50 · 88 / 8946.
    assert linear_kappa(RATED) == pytest.approx(0.508160, abs=1e-6)


def test_quadratic_kappa_is_that_of_the_published_table():
    # Σ(i−j)² n = 64, Σ(i−j)² r c = 16600: 1 − 64 · 88 / 16600.
    assert quadratic_kappa(RATED) == pytest.approx(0.660723, abs=1e-6)


def test_those_at_most_one_grade_apart_are_counted():
    # All but 1 + 0 + 2 + 2 + 0 + 2 = 7 of 88.
    assert within_one_share(RATED) == pytest.approx(81 / 88)


def test_who_is_named_first_does_not_matter_to_kappa():
    turned = [(other, one) for one, other in RATED]
    assert linear_kappa(turned) == pytest.approx(linear_kappa(RATED))


def test_full_agreement_on_two_grades_is_one_and_on_one_grade_is_undefined():
    assert linear_kappa([(0, 0), (1, 1)]) == 1
    assert linear_kappa([(2, 2), (2, 2)]) is None
    assert kappa([]) is None


def test_with_two_grades_all_kappas_are_the_same():
    pairs = [(0, 0)] * 5 + [(0, 1)] * 2 + [(1, 0)] + [(1, 1)] * 4
    assert kappa(pairs) == pytest.approx(linear_kappa(pairs))
    assert kappa(pairs) == pytest.approx(quadratic_kappa(pairs))


# Shrout and Fleiss 1979, doi 10.1037/0033-2909.86.2.420: six targets, four judges; ICC(2,1) is
# printed as 0.29.
SHROUT_FLEISS = (
    (9, 2, 5, 8),
    (6, 1, 3, 2),
    (8, 4, 6, 8),
    (7, 1, 2, 6),
    (10, 5, 6, 9),
    (6, 2, 4, 7),
)


def test_icc_is_that_of_the_published_example():
    found = icc_2_1(SHROUT_FLEISS)
    assert round(found, 2) == 0.29
    # By hand from the mean squares 11.241667, 32.486111 and 1.019444.
    assert found == pytest.approx(0.289764, abs=1e-6)


def test_icc_of_what_does_not_vary_is_undefined():
    assert icc_2_1([(4, 4), (4, 4), (4, 4)]) is None
    assert icc_2_1([(4, 4)]) is None
    assert icc_2_1([]) is None


# Bland and Altman 1986, doi 10.1016/S0140-6736(86)90837-8: peak flow of 17 people by two meters.
LARGE = (494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427)
MINI = (512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451)


def test_limits_of_agreement_are_those_of_the_published_meters():
    limits = limits_of_agreement(list(zip(LARGE, MINI, strict=True)))
    assert (round(limits.bias, 1), round(limits.deviation, 1)) == (-2.1, 38.8)
    # The paper takes 2 SD; with 1.96 SD by hand: −78.097302 to 73.862007.
    assert limits.low == pytest.approx(-78.097302, abs=1e-5)
    assert limits.high == pytest.approx(73.862007, abs=1e-5)


def test_one_pair_has_no_limits():
    assert limits_of_agreement([(3, 4)]) is None
