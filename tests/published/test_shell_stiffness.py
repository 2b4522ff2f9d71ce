"""The flat beam against handbook values, and ratios between shells.

Simply supported beam with a central point load (Timoshenko, Strength of Materials; Roark; from
memory): I = b t³ / 12, k = 48 E I / L³, deflection = F / k, stress = 1.5 F L / (b t²). The values
were worked from these formulae apart from this program; the first one stands here in full:
80 kg × 9.81 × 0.2 = 156.96 N; I = 70 × 64 / 12 = 373.333 mm⁴; k = 48 × 1300 × 373.333 / 110³ =
17.5026 N/mm; 156.96 / 17.5026 = 8.9678 mm; 1.5 × 156.96 × 110 / (70 × 16) = 23.124 MPa.
"""

import pytest

from adult_cases import ADULT, case_of, normal_but
from examwalk.reasoning.shell_beam import (
    Strip,
    arch_force_n,
    bend,
    equally_bent_mm,
    equally_stiff_mm,
    relative_stiffness,
    strips_of,
)
from examwalk.session.model import Side

REFERENCE = Strip(modulus_mpa=1300, width_mm=70, span_mm=110, thickness_mm=4)
REFERENCE_KG = 65

# mass kg, span mm, width mm, thickness mm, modulus MPa:
# second moment mm⁴, force N, stiffness N/mm, deflection mm, stress MPa, deflection / span
BEAMS = [
    (80, 110, 70, 4.0, 1300, 373.333, 156.960, 17.5026, 8.9678, 23.124, 0.0815),
    (80, 110, 70, 4.5, 1300, 531.562, 156.960, 24.9207, 6.2984, 18.270, 0.0573),
    (80, 110, 70, 5.0, 1300, 729.167, 156.960, 34.1848, 4.5915, 14.799, 0.0417),
    (80, 110, 70, 3.0, 1300, 157.500, 156.960, 7.3839, 21.2570, 41.109, 0.1932),
    (62, 105, 65, 4.0, 1300, 346.667, 121.644, 18.6865, 6.5097, 18.422, 0.0620),
    (96, 115, 75, 5.0, 1300, 781.250, 188.352, 32.0539, 5.8761, 17.328, 0.0511),
    (80, 110, 70, 4.0, 1000, 373.333, 156.960, 13.4636, 11.6581, 23.124, 0.1060),
    (80, 110, 70, 1.8, 50000, 34.020, 156.960, 61.3434, 2.5587, 114.190, 0.0233),
    (78, 110, 70, 4.5, 1300, 531.562, 153.036, 24.9207, 6.1409, 17.814, 0.0558),
    (30, 85, 55, 3.0, 1300, 123.750, 58.860, 12.5740, 4.6811, 15.161, 0.0551),
]


@pytest.mark.parametrize("row", BEAMS)
def test_the_beam_bends_as_the_handbook_says(row):
    mass, span, width, thickness, modulus, *expected = row
    strip = Strip(modulus, width, span, thickness)
    bent = bend(strip, arch_force_n(mass, load_share=0.2))
    found = [
        *(strip.second_moment_mm4, bent.force_n, strip.stiffness_n_per_mm),
        *(bent.deflection_mm, bent.stress_mpa, bent.deflection_share),
    ]
    for value, printed, decimals in zip(found, expected, (3, 3, 4, 4, 3, 4), strict=True):
        assert value == pytest.approx(printed, abs=0.5001 * 10**-decimals)


@pytest.mark.parametrize(
    ("mass", "span", "width", "thickness", "ratio"),
    [
        (65, 110, 70, 4.0, 1.000),
        (80, 110, 70, 4.0, 0.813),
        (80, 110, 70, 4.5, 1.157),
        (78, 110, 70, 4.5, 1.187),
        (96, 115, 75, 4.5, 0.904),
        (96, 115, 75, 5.0, 1.240),
        (62, 105, 65, 3.0, 0.472),
        (62, 105, 65, 4.0, 1.119),
        (30, 85, 55, 3.0, 1.557),
    ],
)
def test_stiffness_for_the_patient_over_that_of_the_reference(mass, span, width, thickness, ratio):
    strip = Strip(1300, width, span, thickness)
    found = relative_stiffness(strip, mass, REFERENCE, REFERENCE_KG)
    assert found == pytest.approx(ratio, abs=0.0005001)


@pytest.mark.parametrize(
    ("modulus", "thickness"),
    [(1300, 4.00), (1000, 4.37), (1500, 3.81), (2000, 3.46), (30_000, 1.40), (50_000, 1.18)],
)
def test_four_millimetres_of_polypropylene_in_another_material(modulus, thickness):
    assert equally_stiff_mm(4, 1300, modulus) == pytest.approx(thickness, abs=0.005001)


@pytest.mark.parametrize("modulus", [800, 1000, 30_000])
def test_an_equally_stiff_shell_is_equally_stiff(modulus):
    other = Strip(modulus, 70, 110, equally_stiff_mm(4, 1300, modulus))
    assert other.stiffness_n_per_mm == pytest.approx(REFERENCE.stiffness_n_per_mm)


@pytest.mark.parametrize(
    ("mass", "thickness"),
    [(20, 2.70), (40, 3.40), (50, 3.67), (65, 4.00), (75, 4.20), (100, 4.62), (120, 4.91)],
)
def test_equal_deflection_under_another_mass(mass, thickness):
    found = equally_bent_mm(4.0, REFERENCE_KG, mass)
    assert found == pytest.approx(thickness, abs=0.005001)


@pytest.mark.parametrize(
    ("modulus", "thickness", "is_shell"),
    [
        *((500, 4, True), (499, 4, False), (150_000, 4, True), (150_001, 4, False)),
        *((1300, 1, True), (1300, 0.9, False), (1300, 8, True), (1300, 8.1, False)),
    ],
)
def test_what_is_no_shell_is_not_reckoned(modulus, thickness, is_shell):
    assert Strip(modulus, 70, 110, thickness).is_within_limits is is_shell


def test_the_reference_of_the_adult_protocol_is_the_one_above():
    parameters = ADULT.derived_by_id["shell-stiffness"].parameters
    own, reference = strips_of(parameters, 4)
    assert own == reference == REFERENCE
    assert parameters["reference-mass-kg"] == REFERENCE_KG


@pytest.mark.parametrize(
    ("mass", "ratio", "band"), [(78, 1.187, "semi-rigid"), (30, 1.452, "rigid")]
)
def test_the_derived_value_is_that_of_the_thickness_by_mass(mass, ratio, band):
    """30 kg has 3.5 mm: (3.5 / 4)³ × 65 / 30 = 1.4515."""
    case = case_of(normal_but({"body-mass": mass}))
    derived = ADULT.derived_by_id["shell-stiffness"]
    value = case.derived_value(derived, Side.LEFT).interval
    assert value.low == value.high == pytest.approx(ratio, abs=0.001)
    assert [one.label for one in derived.bands if one.holds(value.low)] == [band]


def test_without_the_mass_the_stiffness_lies_between_bounds():
    findings = normal_but({})
    del findings["body-mass"]
    value = case_of(findings).derived_value(ADULT.derived_by_id["shell-stiffness"], Side.LEFT)
    assert not value.is_settled
    assert value.interval.low < 1 < value.interval.high
