"""How stiff the shell of each foot is for its patient, beside the protocol's reference shell."""

from attrs import frozen

from examwalk.protocol.derived_model import Derived
from examwalk.protocol.model import Protocol
from examwalk.protocol.shell_model import Shell
from examwalk.reasoning.places import place_of
from examwalk.reasoning.results import FeatureResult, FeatureStatus, Summary
from examwalk.reasoning.shell_beam import (
    Bent,
    Strip,
    arch_force_n,
    bend,
    equally_bent_mm,
    equally_stiff_mm,
    relative_stiffness,
    strips_of,
)
from examwalk.session.model import BOTH_FEET, Session, Side


@frozen
class ShellStiffness:
    """What can be said of the shell of one foot; ratios first, absolute figures with caution."""

    shell: str
    feature: str
    """The id of the feature that is its thickness."""
    side: Side
    material: str
    """The id of the option."""
    ordered: bool
    """Whether thickness or material is what was ordered, rather than what is recommended."""
    mass_kg: float
    strip: Strip
    ratio: float
    """Stiffness for this patient over that of the reference."""
    band: str
    warm_ratio: float
    warm_share: float
    equally_stiff: tuple[tuple[str, float], ...]
    """Each other material and the thickness, in mm, in which it is as stiff."""
    equally_bent_mm: float
    """The thickness in the reference material that gives as much as the reference does."""
    bent: Bent
    load_share: float
    yield_mpa: float | None
    reference_mass_kg: float
    reference: Strip


@frozen
class NoStiffness:
    """Why nothing can be said of the shell of one foot."""

    shell: str
    feature: str
    side: Side
    lacks: str
    """``thickness``, ``material``, ``mass`` or ``limits``."""


def shells_of(
    protocol: Protocol, session: Session, summary: Summary
) -> tuple[ShellStiffness | NoStiffness, ...]:
    """Return what can be said of the shell of each foot, as ordered, else as recommended."""
    return tuple(
        _shell(protocol, shell, side, session, summary)
        for shell in protocol.shells
        for side in BOTH_FEET
    )


def _shell(
    protocol: Protocol, shell: Shell, side: Side, session: Session, summary: Summary
) -> ShellStiffness | NoStiffness:
    thickness, is_thickness_ordered = _value(session, summary, shell.thickness_feature, side)
    option, is_material_ordered = _value(session, summary, shell.material_feature, side)
    derived = protocol.derived_by_id[shell.stiffness]
    mass_kg = _mass_kg(protocol, derived, session)
    lacks = ""
    if not isinstance(option, str) or option not in shell.materials:
        lacks = "material"
    elif not isinstance(thickness, int | float):
        lacks = "thickness"
    elif mass_kg is None:
        lacks = "mass"
    else:
        found = _stiffness(shell, derived, option, float(thickness), mass_kg)
        if found.strip.is_within_limits:
            is_ordered = is_thickness_ordered or is_material_ordered
            return _on_side(found, side, is_ordered)
        lacks = "limits"
    return NoStiffness(shell.id, shell.thickness_feature, side, lacks)


@frozen
class _Found:
    shell: Shell
    material: str
    strip: Strip
    reference: Strip
    mass_kg: float
    reference_mass_kg: float
    band: str
    ratio: float


def _stiffness(
    shell: Shell, derived: Derived, material: str, thickness_mm: float, mass_kg: float
) -> _Found:
    numbers = {**derived.parameters, "modulus-mpa": shell.materials[material].modulus_mpa}
    strip, reference = strips_of(numbers, thickness_mm)
    reference_mass_kg = float(derived.parameters["reference-mass-kg"])
    ratio = relative_stiffness(strip, mass_kg, reference, reference_mass_kg)
    band = next((band.label for band in derived.bands if band.holds(ratio)), "")
    return _Found(shell, material, strip, reference, mass_kg, reference_mass_kg, band, ratio)


def _on_side(found: _Found, side: Side, is_ordered: bool) -> ShellStiffness:
    shell, strip, reference = found.shell, found.strip, found.reference
    return ShellStiffness(
        shell=shell.id,
        feature=shell.thickness_feature,
        side=side,
        material=found.material,
        ordered=is_ordered,
        mass_kg=found.mass_kg,
        strip=strip,
        ratio=found.ratio,
        band=found.band,
        warm_ratio=found.ratio * shell.warm_share,
        warm_share=shell.warm_share,
        equally_stiff=tuple(
            (
                name,
                equally_stiff_mm(strip.thickness_mm, strip.modulus_mpa, material.modulus_mpa),
            )
            for name, material in shell.materials.items()
            if name != found.material
        ),
        equally_bent_mm=equally_bent_mm(
            reference.thickness_mm, found.reference_mass_kg, found.mass_kg
        ),
        bent=bend(strip, arch_force_n(found.mass_kg, shell.load_share)),
        load_share=shell.load_share,
        yield_mpa=shell.materials[found.material].yield_mpa,
        reference_mass_kg=found.reference_mass_kg,
        reference=reference,
    )


def _value(
    session: Session, summary: Summary, feature: str, side: Side
) -> tuple[str | float | None, bool]:
    """Return what was ordered for a feature, else what is recommended, and which it is."""
    for decision in session.decisions:
        if decision.feature == feature and decision.side in (side, Side.WHOLE):
            return decision.value, True
    result: FeatureResult = summary.feature(feature, side)
    return (result.value if result.status is FeatureStatus.RECOMMENDED else None), False


def _mass_kg(protocol: Protocol, derived: Derived, session: Session) -> float | None:
    test = protocol.tests_by_id[derived.inputs[0]]
    answer = session.answers.get(place_of(test, Side.WHOLE))
    is_possible = isinstance(answer, int | float) and test.hard is not None
    if not is_possible or not test.hard[0] <= answer <= test.hard[1]:  # type: ignore
        return None
    return float(answer)  # type: ignore
