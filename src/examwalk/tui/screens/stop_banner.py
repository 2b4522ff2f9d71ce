"""The banner of the review and the summary, kept short because the rows below say it all."""

from textual.content import Content
from textual.widgets import Static

from examwalk.language import say, say_count
from examwalk.protocol.condition_model import DeviceEffect
from examwalk.report.sides import with_side
from examwalk.tui.cautions import stop_words
from examwalk.tui.open_visit import OpenVisit
from examwalk.tui.screens.words import CAUTION_SIGN
from examwalk.tui.text import phrase
from examwalk.tui.widgets.banner import held_lines, record_lines


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
        head = (f"{CAUTION_SIGN} {say('Not saved')} ", "bold $stop")
        lines.append(phrase(head, f"{visit.unsaved} {say('Ctrl+S tries again.')}"))
    lines += held_lines(visit)
    if visit.trial_note is not None:
        lines.append(phrase((f"▲ {say('Trial.')} ", "bold $warn"), visit.trial_note))
    if visit.protocol_note is not None:
        lines.append(phrase((f"▲ {say('Protocol')} ", "bold $warn"), visit.protocol_note))
    lines += record_lines(visit)
    stops = [one for one in visit.case.cautions if one.device is DeviceEffect.STOP]
    if stops:
        worst, others = stops[0], len(stops) - 1
        words = stop_words(with_side(worst.title, worst.side), worst)
        more = say_count(
            others,
            "And {count} more that stops a device, listed below.",
            "And {count} more that stop a device, listed below.",
        )
        rest = f" {more}" if others else ""
        lines.append(phrase((f"{CAUTION_SIGN} {words}", "bold $stop"), rest))
    return lines
