"""The meaning of shells: the features they look at, and numbers that can be reckoned with."""

from examwalk.protocol.feature_model import FeatureKind
from examwalk.protocol.locating import KeyPath
from examwalk.protocol.model import Protocol
from examwalk.protocol.references import Report, check_basis, check_known
from examwalk.protocol.shell_model import Shell

CALCULATION = "relative-stiffness"


def check_shells(protocol: Protocol, report: Report) -> None:
    """Report shells of unknown features or materials, and measures that cannot be."""
    for index, shell in enumerate(protocol.shells):
        path: KeyPath = ("shell", index)
        check_basis(shell.basis, path, protocol, report)
        _check_stiffness(shell, path, protocol, report)
        _check_thickness(shell, path, protocol, report)
        _check_materials(shell, path, protocol, report)
        for key in ("load_share", "warm_share"):
            if not 0 < getattr(shell, key) <= 1:
                report((*path, key), "a share lies above 0 and at most at 1.")


def _check_stiffness(shell: Shell, path: KeyPath, protocol: Protocol, report: Report) -> None:
    inner = (*path, "stiffness")
    if check_known(shell.stiffness, protocol.derived_by_id, "derived value", inner, report):
        derived = protocol.derived_by_id[shell.stiffness]
        if derived.calculation != CALCULATION:
            report(inner, f"“{derived.id}” is not worked out by “{CALCULATION}”.")


def _check_thickness(shell: Shell, path: KeyPath, protocol: Protocol, report: Report) -> None:
    inner = (*path, "thickness_feature")
    if check_known(shell.thickness_feature, protocol.features_by_id, "feature", inner, report):
        feature = protocol.features_by_id[shell.thickness_feature]
        if feature.kind is not FeatureKind.AMOUNT or feature.unit != "mm":
            report(inner, f"“{feature.id}” is not an amount in mm.")


def _check_materials(shell: Shell, path: KeyPath, protocol: Protocol, report: Report) -> None:
    inner = (*path, "material_feature")
    known = check_known(shell.material_feature, protocol.features_by_id, "feature", inner, report)
    for name, material in shell.materials.items():
        here = (*path, "materials", name)
        if known:
            options = protocol.features_by_id[shell.material_feature].options
            check_known(name, options, "option", here, report)
        check_basis(material.basis, here, protocol, report)
        for key in ("modulus_mpa", "yield_mpa"):
            value = getattr(material, key)
            if value is not None and value <= 0:
                report((*here, key), "a strength or modulus must be above 0.")
