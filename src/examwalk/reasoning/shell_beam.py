"""How a shell bends, taken as a flat beam on two supports with its load in the middle.

Source of the formulae: the simply supported beam with a central point load, as in Timoshenko,
*Strength of Materials*, and Roark's *Formulas for Stress and Strain* (both from memory).

A real shell is doubly curved, has flanges, a cup and posts, lies on a shoe and is loaded all over,
so it is several times stiffer than this. Only ratios between shells are to be trusted.
"""

from collections.abc import Mapping

from attrs import frozen

GRAVITY_M_PER_S2 = 9.81
SMALL_DEFLECTION_SHARE = 0.1
"""Beyond this share of the span the formulae for small deflections do not hold (convention)."""
LASTING_STRESS_SHARE = 0.5
"""Beyond this share of the yield strength creep and cracks are looked for (convention)."""
MODULUS_LIMITS_MPA = (500, 150_000)
THICKNESS_LIMITS_MM = (1, 8)
"""What lies outside these limits is no shell, and nothing is worked out (convention)."""


@frozen
class Strip:
    """A shell as a flat strip: its modulus in MPa, and its measures in mm."""

    modulus_mpa: float
    width_mm: float
    span_mm: float
    thickness_mm: float

    @property
    def second_moment_mm4(self) -> float:
        """The second moment of area, width times thickness cubed over 12."""
        return self.width_mm * self.thickness_mm**3 / 12

    @property
    def stiffness_n_per_mm(self) -> float:
        """The force in the middle for each mm of deflection there, 48 E I / L³."""
        return 48 * self.modulus_mpa * self.second_moment_mm4 / self.span_mm**3

    @property
    def is_within_limits(self) -> bool:
        """Whether modulus and thickness are those of a shell."""
        lowest_mpa, highest_mpa = MODULUS_LIMITS_MPA
        thinnest_mm, thickest_mm = THICKNESS_LIMITS_MM
        return (
            lowest_mpa <= self.modulus_mpa <= highest_mpa
            and thinnest_mm <= self.thickness_mm <= thickest_mm
        )


@frozen
class Bent:
    """What a load does to a strip."""

    force_n: float
    deflection_mm: float
    stress_mpa: float
    """The largest, in the outermost fibres of the middle."""
    deflection_share: float
    """The deflection as a share of the span."""


def arch_force_n(mass_kg: float, load_share: float) -> float:
    """Return the force on the arch of one shell: a share of body weight, in N."""
    return load_share * mass_kg * GRAVITY_M_PER_S2


def bend(strip: Strip, force_n: float) -> Bent:
    """Return the deflection F L³ / (48 E I) and the stress 1.5 F L / (b t²)."""
    deflection_mm = force_n / strip.stiffness_n_per_mm
    stress_mpa = 1.5 * force_n * strip.span_mm / (strip.width_mm * strip.thickness_mm**2)
    return Bent(force_n, deflection_mm, stress_mpa, deflection_mm / strip.span_mm)


def relative_stiffness(
    strip: Strip, mass_kg: float, reference: Strip, reference_mass_kg: float
) -> float:
    """Return the stiffness for each kg of patient, over that of the reference for its patient."""
    own = strip.stiffness_n_per_mm / mass_kg
    return own / (reference.stiffness_n_per_mm / reference_mass_kg)


def equally_stiff_mm(thickness_mm: float, modulus_mpa: float, other_modulus_mpa: float) -> float:
    """Return how thick another material is as stiff: t × the third root of E / E of the other."""
    return float(thickness_mm * (modulus_mpa / other_modulus_mpa) ** (1 / 3))


def equally_bent_mm(thickness_mm: float, mass_kg: float, other_mass_kg: float) -> float:
    """Return how thick a shell gives as much under another mass: t × the third root of m2 / m1.

    Deflection goes with the mass and against the cube of the thickness, at the same measures.
    """
    return float(thickness_mm * (other_mass_kg / mass_kg) ** (1 / 3))


def strips_of(parameters: Mapping[str, float], thickness_mm: float) -> tuple[Strip, Strip]:
    """Return a shell of this thickness and the reference, from the numbers of a derived value."""
    own, reference = (
        Strip(
            parameters[f"{prefix}modulus-mpa"],
            parameters[f"{prefix}width-mm"],
            parameters[f"{prefix}span-mm"],
            thick_mm,
        )
        for prefix, thick_mm in (
            ("", thickness_mm),
            ("reference-", parameters["reference-thickness-mm"]),
        )
    )
    return own, reference
