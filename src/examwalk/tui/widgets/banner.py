"""What must stay in sight at the top: work that is not saved, and findings that stop."""

from collections.abc import Sequence

from textual.content import Content

from examwalk.language import later, say
from examwalk.protocol.condition_model import DeviceEffect
from examwalk.reasoning.results import CautionRaised
from examwalk.report.record_words import signature_words
from examwalk.report.sides import with_both_sides, with_side
from examwalk.session.model import Side
from examwalk.session.signing import Weight, verify
from examwalk.tui.cautions import stop_words
from examwalk.tui.open_visit import OpenVisit
from examwalk.tui.text import goes_on, phrase
from examwalk.tui.widgets.words import Words

_MEANS = later("To correct: c in the exam, Enter at an order in the summary.")
MORE = later("… more: r")
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

    def render(self) -> Content:
        """Draw the lines there is room for, and say where the rest is."""
        width, height = self.size
        if not width:
            return self._shown
        lines = self._shown.wrap(width)
        if len(lines) > height > 0:
            lines = [*lines[: height - 1], goes_on(lines[height - 1], width, say(MORE))]
        return Content("\n").join(lines)


def _lines(visit: OpenVisit, is_short: bool) -> list[Content]:
    lines = []
    if visit.unsaved is not None:
        lines.append(
            _warning(STOP_SIGN, say("Not saved. Ctrl+S tries again."), "bold $stop", visit.unsaved)
        )
    lines += held_lines(visit)
    if visit.trial_note is not None:
        lines.append(_warning(WARN_SIGN, say("Trial."), "bold $warn", visit.trial_note))
    if visit.protocol_note is not None:
        lines.append(_warning(WARN_SIGN, say("Protocol"), "bold $warn", visit.protocol_note))
    if visit.misfits:
        others = len(visit.misfits) - 1
        more = f" {say('(and {count} more)', count=others)}" if others else ""
        head = say("Left out of all reasoning")
        lines.append(_warning(WARN_SIGN, head, "bold $warn", f"{visit.misfits[0].says}{more}"))
    lines += record_lines(visit)
    if visit.is_finished and not visit.is_signed:
        lines.append(
            phrase(
                (f"{say('Finished.')} ", "bold"),
                say("To change something, reopen it with f in review or summary."),
            )
        )
    return lines + _stops(visit.case.cautions, is_short)


def held_lines(visit: OpenVisit) -> list[Content]:
    """Write who may change the visit instead of this window, if anybody."""
    held = visit.held_elsewhere
    if not held:
        return []
    takes = say("Ctrl+T takes it over.")
    return [_warning(WARN_SIGN, say("Read only."), "bold $warn", f"{held} {takes}")]


def record_lines(visit: OpenVisit) -> list[Content]:
    """Write who signed the visit and what that means, and what is wrong with its record."""
    faults = [fault for fault in verify(visit.session) if fault.weight is Weight.WRONG]
    lines = [_warning(STOP_SIGN, say("Record"), "bold $stop", fault.says) for fault in faults]
    if visit.is_signed:
        signed = signature_words(visit.session)
        lines.append(phrase((f"{signed}. ", "bold"), say(_MEANS)))
    return lines


def _warning(sign: str, head: str, style: str, says: str) -> Content:
    return phrase((f"{sign} {head} ", style), says)


def _stops(cautions: Sequence[CautionRaised], is_short: bool) -> list[Content]:
    """Write each caution that stops once, with its sides; only the first says all."""
    sides: dict[str, list[Side]] = {}
    first: dict[str, CautionRaised] = {}
    for caution in cautions:
        if caution.device is DeviceEffect.STOP:
            first.setdefault(caution.id, caution)
            sides.setdefault(caution.id, []).append(caution.side)
    lines: list[Content] = []
    for caution_id, caution in first.items():
        is_both = len(sides[caution_id]) > 1
        title = caution.title
        what = with_both_sides(title) if is_both else with_side(title, caution.side)
        head = f"{STOP_SIGN} {stop_words(what, caution)} "
        lines.append(phrase((head, "bold $stop"), "" if lines or is_short else caution.says))
    return lines
