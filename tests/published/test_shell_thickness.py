"""Polypropylene thickness by body mass and posture.

Published for adults at 75 kg: McCormick et al. 2013, doi 10.1186/1757-1146-6-19, 4.0 mm below
and 4.5 mm from 75 kg up; in feet with a Foot Posture Index below 0, 3.0 and 4.0 mm. Carried on
to other masses by equal relative deflection, 4.0 × (mass / 65) to the third root, rounded up to
stock (convention of the adult protocol): 3.0 below 25 kg, 3.5 below 45, 5.0 from 100, 5.5 from
120 kg. An index of exactly 0 counts as above, exactly 75 kg as heavy.
"""

import math

import pytest

from adult_cases import FPI_ITEMS, case_of, fpi, normal_but
from examwalk.session.model import Side

TRIAL = [
    (74.9, 4, 4.0),
    (75, 4, 4.5),
    (74.9, -2, 3.0),
    (75, -2, 4.0),
    (74.9, 0, 4.0),
    (75, 0, 4.5),
]
CARRIED_ON = [
    (24.9, 3.0),
    (25, 3.5),
    (44.9, 3.5),
    (45, 4.0),
    (99.9, 4.5),
    (100, 5.0),
    (119.9, 5.0),
    (120, 5.5),
    (150, 5.5),
]


def thickness(mass_kg: float, posture: int) -> float | None:
    findings = normal_but({"body-mass": mass_kg})
    for item in FPI_ITEMS:
        del findings[item]
    case = case_of(findings | fpi(posture))
    value = case.derived_value(case.protocol.derived_by_id["shell-by-mass"], Side.LEFT)
    assert value.interval is not None
    assert value.is_settled
    return value.interval.low


@pytest.mark.parametrize(("mass_kg", "posture", "expected_mm"), TRIAL)
def test_the_rule_of_the_trial(mass_kg, posture, expected_mm):
    assert thickness(mass_kg, posture) == expected_mm


@pytest.mark.parametrize(("mass_kg", "expected_mm"), CARRIED_ON)
def test_other_masses(mass_kg, expected_mm):
    assert thickness(mass_kg, 4) == expected_mm


@pytest.mark.parametrize("mass_kg", [25, 44.9, 60, 99.9, 100, 119.9, 130])
def test_no_shell_is_a_stock_step_thinner_than_equal_deflection_asks(mass_kg):
    equal_deflection_mm = 4.0 * (mass_kg / 65) ** (1 / 3)
    stock_mm = math.floor(equal_deflection_mm * 2) / 2
    assert stock_mm <= thickness(mass_kg, 4) <= equal_deflection_mm + 1
