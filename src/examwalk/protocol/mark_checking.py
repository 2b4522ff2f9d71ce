"""The meaning of marks: what is drawn of a feature, on which view of the foot, and when."""

from examwalk.protocol.feature_model import Feature, FeatureKind
from examwalk.protocol.locating import KeyPath
from examwalk.protocol.model import Protocol
from examwalk.protocol.references import Report, check_known


def check_marks(feature: Feature, path: KeyPath, protocol: Protocol, report: Report) -> None:
    """Report marks that cannot be drawn, and those for what the feature cannot be."""
    is_amount = feature.kind is FeatureKind.AMOUNT
    for number, mark in enumerate(feature.marks):
        here: KeyPath = (*path, "marks", number)
        if check_known(mark.figure, protocol.figures, "figure", (*here, "figure"), report):
            figure = protocol.figures[mark.figure]
            if figure.like is None:
                says = f"“{mark.figure}” must be “like” the view of the foot that it is drawn on."
                report((*here, "figure"), says)
            if not figure.alt:
                says = f"“{mark.figure}” needs an “alt” of its own that says the place in words."
                report((*here, "figure"), says)
        for index, option in enumerate(mark.options):
            if is_amount:
                report((*here, "options"), f"“{feature.id}” is an amount and has no options.")
                break
            check_known(option, feature.options, "option", (*here, "options", index), report)
        for key in ("above", "below"):
            if getattr(mark, key) is not None and not is_amount:
                report((*here, key), f"“{feature.id}” is a choice of options, not an amount.")
