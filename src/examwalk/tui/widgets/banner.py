"""What must stay in sight at the top: work that is not saved, and findings that stop."""

from collections.abc import Sequence

from textual.content import Content

from examwalk.protocol.model import DeviceEffect
from examwalk.reasoning.results import CautionRaised
from examwalk.session.model import Side
from examwalk.tui.open_visit import OpenVisit
from examwalk.tui.text import phrase
from examwalk.tui.widgets.words import Words

STOP_SIGN = "■"
WARN_SIGN = "▲"


class Banner(Words):
    """The banner of the exam, the review and the summary; it is not there when all is well."""

    DEFAULT_CSS = """
    Banner { height: auto; width: 1fr; display: none; }
    Banner.-needed { display: block; }
    """

    def warn(self, visit: OpenVisit, *, is_short: bool = False) -> None:
        """Show what the visit has to say at the top.

        Args:
            visit: the open visit.
            is_short: leave out what a caution says beyond its urgency and whom to refer to,
                where the answers need the room.
        """
        lines = _lines(visit, is_short)
        self.set_class(bool(lines), "-needed")
        self.show(Content("\n").join(lines))


def _lines(visit: OpenVisit, is_short: bool) -> list[Content]:
    lines = []
    if visit.unsaved is not None:
        lines.append(
            phrase((f"{STOP_SIGN} Not saved. Ctrl+S tries again. ", "bold $stop"), visit.unsaved)
        )
    if visit.protocol_note is not None:
        lines.append(phrase((f"{WARN_SIGN} Protocol ", "bold $warn"), visit.protocol_note))
    if visit.misfits:
        others = f" (and {len(visit.misfits) - 1} more)" if len(visit.misfits) > 1 else ""
        says = f"{visit.misfits[0].says}{others}"
        lines.append(phrase((f"{WARN_SIGN} Left out of all reasoning ", "bold $warn"), says))
    if visit.is_finished:
        lines.append(
            phrase(("Finished. ", "bold"), "Nothing changes until it is reopened in the review.")
        )
    return lines + _stops(visit.case.cautions, is_short)


def _stops(cautions: Sequence[CautionRaised], is_short: bool) -> list[Content]:
    """Write each caution that stops once, with its sides; only the first says all."""
    sides: dict[str, list[str]] = {}
    first: dict[str, CautionRaised] = {}
    for caution in cautions:
        if caution.device is DeviceEffect.STOP:
            first.setdefault(caution.id, caution)
            side = [] if caution.side is Side.WHOLE else [caution.side.value]
            sides.setdefault(caution.id, []).extend(side)
    lines: list[Content] = []
    for caution_id, caution in first.items():
        where = f", {' and '.join(sides[caution_id])}" if sides[caution_id] else ""
        refer = f" Refer to {caution.refer_to}." if caution.refer_to else ""
        head = f"{STOP_SIGN} Stop: {caution.title}{where}. {caution.urgency_words}.{refer} "
        lines.append(phrase((head, "bold $stop"), "" if lines or is_short else caution.says))
    return lines
