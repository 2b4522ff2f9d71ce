"""The named calculations that have a formula or a table of their own, each with its source."""

import math


def body_mass_index(mass_kg: float, height_cm: float) -> float:
    """Return the body mass index in kg/m².

    Source: World Health Organization definition, mass in kg over height in m squared (from
    memory).
    """
    height_m = height_cm / 100
    return mass_kg / height_m**2


def iwgdf_risk(
    *, loss_of_sensation: bool, artery_disease: bool, deformity: bool, history: bool
) -> int:
    """Return the foot risk category in diabetes, 0 (very low) to 3 (high).

    Args:
        loss_of_sensation: loss of protective sensation on either foot.
        artery_disease: peripheral artery disease.
        deformity: a foot deformity, limited joint motion included.
        history: a healed foot ulcer, an amputation, or end-stage renal disease.

    Source: Schaper et al. 2020, table 1, doi 10.1002/dmrr.3266 (IWGDF risk system). History or
    deformity alone, with neither of the first two, stays in category 0, as the table reads.
    """
    if not (loss_of_sensation or artery_disease):
        return 0
    if history:
        return 3
    if deformity or (loss_of_sensation and artery_disease):
        return 2
    return 1


def limb_length_lift(
    difference_mm: float,
    *,
    this_side_is_shorter: bool,
    linked_symptom: bool,
    fraction: float,
    ignore_below_mm: float,
) -> int:
    """Return the first lift under this foot for a limb-length difference, in whole mm.

    The longer side gets 0, and so does a difference below ``ignore_below_mm`` or one without
    a linked symptom (back, hip or leg pain that it may explain) while it is below 20 mm. Else
    the lift is the fraction of the difference, rounded down.

    Sources: a small difference is ordinary, mean 5.2 (SD 4.1) mm, and unlikely to matter below
    about 20 mm (Knutson 2005, doi 10.1186/1746-1340-13-11); starting with half of it is common
    practice, 70 % was used in a trial (Rannisto 2019, doi 10.1186/s12891-019-2478-3).
    """
    matters = linked_symptom or difference_mm >= 20
    if not this_side_is_shorter or difference_mm < ignore_below_mm or not matters:
        return 0
    # 0.7 × 10 is 7.000000000000001 or 6.999999999999999 depending on the factors.
    return math.floor(round(fraction * difference_mm, 6))
