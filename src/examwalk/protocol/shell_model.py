"""What a protocol file says of shells, as immutable classes like those of ``model``."""

from collections.abc import Mapping

from attrs import frozen

from examwalk.protocol.key_types import Number


@frozen
class ShellMaterial:
    """What a shell may be made of, as far as bending goes."""

    modulus_mpa: Number
    """Modulus of elasticity in MPa, at room temperature and for a short load."""
    basis: tuple[str, ...]
    yield_mpa: Number | None = None
    """Yield strength in MPa."""


@frozen
class Shell:
    """How a shell that was ordered compares in stiffness with a reference shell."""

    id: str
    stiffness: str
    """The derived value of the calculation ``relative-stiffness``: mass, span and reference."""
    thickness_feature: str
    """The amount, in mm, that is the shell's thickness."""
    material_feature: str
    """The feature whose options are the materials."""
    load_share: Number
    """Which share of body weight the arch of one shell is taken to carry."""
    warm_share: Number
    """Which share of its modulus a warm shell is taken to keep."""
    materials: Mapping[str, ShellMaterial]
    """By options of the material feature; what is not listed is no beam."""
    basis: tuple[str, ...]
