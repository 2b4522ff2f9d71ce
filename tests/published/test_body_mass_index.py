"""Body mass index. Definition: mass in kg over height in m squared (WHO, from memory)."""

import pytest

from adult_cases import normal_but, summary_of
from examwalk.reasoning.calculations import body_mass_index
from examwalk.session.model import Side

# 82.0 / (1.75 × 1.75) = 82 / 3.0625; 78 / (1.64 × 1.64) = 78 / 2.6896;
# 96 / (1.78 × 1.78) = 96 / 3.1684; 62 / (1.58 × 1.58) = 62 / 2.4964.
BY_HAND = [(82, 175, 26.78), (78, 164, 29.00), (96, 178, 30.30), (62, 158, 24.84), (70, 100, 70)]

# Bands of the WHO classes (from memory), a tenth below and at each limit, for 1 m of height.
BANDS = [
    (18.4, "underweight"),
    (18.5, "ordinary"),
    (24.9, "ordinary"),
    (25, "overweight"),
    (29.9, "overweight"),
    (30, "obesity, class I"),
    (35, "obesity, class II"),
    (40, "obesity, class III"),
]


@pytest.mark.parametrize(("mass_kg", "height_cm", "expected"), BY_HAND)
def test_the_definition(mass_kg, height_cm, expected):
    assert round(body_mass_index(mass_kg, height_cm), 2) == expected


@pytest.mark.parametrize(("mass_kg", "band"), BANDS)
def test_the_bands(mass_kg, band):
    summary = summary_of(normal_but({"body-mass": mass_kg, "height": 100}))
    assert summary.derived_value("body-mass-index", Side.WHOLE).band == band
