"""From published agreement to how an answer comes out again."""

import math
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from examwalk.protocol.reliability_model import Coefficient
from examwalk.reasoning.misgrading import Regraded, Remeasured, joint_table, weights_for

KAPPAS = (Coefficient.KAPPA, Coefficient.LINEAR_KAPPA, Coefficient.QUADRATIC_KAPPA)
POWER = {Coefficient.LINEAR_KAPPA: 1, Coefficient.QUADRATIC_KAPPA: 2}


def agreement_weight(i: int, j: int, count: int, which: Coefficient) -> float:
    if which is Coefficient.KAPPA:
        return 1.0 if i == j else 0.0
    return 1 - (abs(i - j) / (count - 1)) ** POWER[which]


def kappa_of(table, which: Coefficient) -> float:
    """Cohen's kappa in its agreement form, (Po - Pe) / (1 - Pe), from the cells alone."""
    count = len(table)
    rows = [sum(row) for row in table]
    columns = [sum(row[j] for row in table) for j in range(count)]
    cells = [(i, j) for i in range(count) for j in range(count)]
    observed = sum(agreement_weight(i, j, count, which) * table[i][j] for i, j in cells)
    expected = sum(agreement_weight(i, j, count, which) * rows[i] * columns[j] for i, j in cells)
    return (observed - expected) / (1 - expected)


def test_the_formula_of_this_file_gives_a_published_kappa():
    """Two dermatologists, 88 patients, SAS/STAT User's Guide: 0.3449 and 0.5082."""
    counts = [[10, 4, 1, 0], [5, 10, 12, 2], [2, 4, 12, 5], [0, 2, 6, 13]]
    table = [[count / 88 for count in row] for row in counts]
    assert kappa_of(table, Coefficient.KAPPA) == pytest.approx(0.3449, abs=0.00005)
    assert kappa_of(table, Coefficient.LINEAR_KAPPA) == pytest.approx(0.5082, abs=0.00005)


@settings(max_examples=60, deadline=None)
@given(
    counts=st.lists(st.integers(1, 50), min_size=2, max_size=7),
    kappa=st.floats(0, 1),
    which=st.sampled_from(KAPPAS),
    ordered=st.booleans(),
)
def test_the_table_has_the_kappa_and_the_prevalence_that_were_put_in(counts, kappa, which, ordered):
    prevalence = [count / sum(counts) for count in counts]
    table = joint_table(prevalence, kappa, weights_for(which), ordered=ordered)
    assert kappa_of(table, which) == pytest.approx(kappa, abs=1e-9)
    for i, row in enumerate(table):
        assert sum(row) == pytest.approx(prevalence[i])
        for j, share in enumerate(row):
            assert share >= -1e-12
            assert share == pytest.approx(table[j][i])


def test_a_good_agreement_leaves_errors_to_the_neighbours():
    """Three grades, equally common, linear weights, kappa 0.7, by hand.

    By chance 8/9; with half of every pair mistaken 4 × 1/6 = 2/3, a kappa of 1/4. So a share of
    0.3 / 0.75 = 0.4 of that table: 0.4 / 6 = 1/15 beside the diagonal, of rows of 1/3.
    """
    table = joint_table([1 / 3] * 3, 0.7, weights_for(Coefficient.LINEAR_KAPPA), ordered=True)
    flat = [share * 3 for row in table for share in row]
    assert flat == pytest.approx([0.8, 0.2, 0, 0.2, 0.6, 0.2, 0, 0.2, 0.8])


def test_a_poor_agreement_is_a_guess_in_part():
    """As above with kappa 0.1, below 1/4: 0.4 neighbours and 0.6 guesses of 1/3 each.

    A high grade: 0.4 × (0, 1/2, 1/2) + 0.6 × 1/3 = 0.2, 0.4, 0.4.
    """
    table = joint_table([1 / 3] * 3, 0.1, weights_for(Coefficient.LINEAR_KAPPA), ordered=True)
    assert [share * 3 for share in table[2]] == pytest.approx([0.2, 0.4, 0.4])


def test_options_are_guessed_since_they_have_no_neighbours():
    """Kappa 0.6: 0.4 of the answers are drawn from 0.5, 0.3, 0.2."""
    table = joint_table([0.5, 0.3, 0.2], 0.6, weights_for(Coefficient.KAPPA), ordered=False)
    assert [share / 0.5 for share in table[0]] == pytest.approx([0.8, 0.12, 0.08])


def test_one_answer_alone_has_no_kappa():
    with pytest.raises(ValueError, match="only one answer"):
        joint_table([1.0, 0.0], 0.6, weights_for(Coefficient.KAPPA), ordered=True)


def test_drawn_grades_follow_their_shares():
    random = Random(7)
    repeat = Regraded(("low", "medium", "high"), (0.1, 0.0, 0.9))
    drawn = [repeat.draw(random) for _ in range(4000)]
    assert "medium" not in drawn
    share = drawn.count("low") / 4000
    assert abs(share - 0.1) < 4 * math.sqrt(0.1 * 0.9 / 4000)


def test_drawn_numbers_spread_by_the_error_of_two_readings_in_steps_and_limits():
    random = Random(7)
    repeat = Remeasured(recorded=50, error=3, step=0.5, low=0, high=100)
    drawn = [repeat.draw(random) for _ in range(4000)]
    mean = sum(drawn) / 4000
    spread = math.sqrt(sum((one - mean) ** 2 for one in drawn) / 4000)
    assert abs(mean - 50) < 4 * math.sqrt(18 / 4000)
    # The variance of rounding, 0.5² / 12, comes on top of 2 × 3².
    assert spread == pytest.approx(math.sqrt(18 + 0.25 / 12), rel=4 / math.sqrt(2 * 4000))
    assert all(one * 2 == round(one * 2) for one in drawn)
    near_the_end = Remeasured(recorded=0, error=3, step=1, low=0, high=2)
    assert {near_the_end.draw(random) for _ in range(200)} == {0, 1, 2}
