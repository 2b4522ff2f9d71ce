"""The banner of the review and the summary, kept short because the rows below say it all."""

from textual.content import Content
from textual.widgets import Static

from examwalk.protocol.model import DeviceEffect
from examwalk.tui.open_visit import OpenVisit
from examwalk.tui.screens.words import CAUTION_SIGN, with_side
from examwalk.tui.text import phrase


class StopBanner(Static):
    """Says what is not saved and what stops; it is not there when all is well."""

    DEFAULT_CSS = """
    StopBanner { height: auto; width: 1fr; }
    """

    def show(self, visit: OpenVisit) -> None:
        """Show what the visit has to say at the top."""
        lines = banner_lines(visit)
        self.display = bool(lines)
        self.update(Content("\n").join(lines))


def banner_lines(visit: OpenVisit) -> list[Content]:
    """Write what must stay in sight: one line for what stops, however much it is."""
    lines = []
    if visit.unsaved is not None:
        head = (f"{CAUTION_SIGN} Not saved ", "bold $stop")
        lines.append(phrase(head, f"{visit.unsaved} Ctrl+S tries again."))
    if visit.protocol_note is not None:
        lines.append(phrase(("▲ Protocol ", "bold $warn"), visit.protocol_note))
    stops = [one for one in visit.case.cautions if one.device is DeviceEffect.STOP]
    if stops:
        worst = stops[0]
        refer = f" Refer to {worst.refer_to}." if worst.refer_to else ""
        more = len(stops) - 1
        rest = f" And {more} more that stop a device, listed below." if more else ""
        what = with_side(worst.title, worst.side)
        words = f"{CAUTION_SIGN} Stop: {what}. {worst.urgency_words}.{refer}"
        lines.append(phrase((words, "bold $stop"), rest))
    return lines
