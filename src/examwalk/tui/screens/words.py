"""What the review and the summary have in common: signs, cautions in words, a visit's outcome."""

from attrs import frozen

from examwalk.language import later, say_count
from examwalk.protocol.condition_model import DeviceEffect
from examwalk.protocol.model import Protocol
from examwalk.reasoning.results import CrosscheckFired, Summary
from examwalk.report import said, why_text, words
from examwalk.report.differing import Difference
from examwalk.session.model import Place, Reply, Session
from examwalk.tui.outlook import Outlook
from examwalk.tui.text import Part

CAUTION_SIGN = "■"
COLLISION_SIGN = said.COLLISION_SIGN
DONE_SIGN = why_text.DONE_SIGN
OPEN_SIGN = "○"
UNKNOWN_SIGN = "?"

DEVICE_WORDS = {
    DeviceEffect.STOP: later("no device before this is settled"),
    DeviceEffect.MODIFY: later("changes the device"),
    DeviceEffect.ALLOW: "",
}


@frozen
class Outcome:
    """A visit and all that follows from it: what the review and the summary show."""

    protocol: Protocol
    session: Session
    summary: Summary
    differences: tuple[Difference, ...] | None = None
    """In a trial: what follows differently since the protocol was read anew."""
    outlook: Outlook | None = None
    """What hangs on single findings, as far as it is worked out."""


def finding_words(outcome: Outcome, place: Place) -> str:
    """Write what was found at a place: ``Lunge distance, left: 6 cm``."""
    return words.finding_words(outcome.protocol, outcome.session, place)


def lines_words(count: int) -> str:
    """Say how many lines are out of sight."""
    return say_count(count, "{count} more line", "{count} more lines")


def replied_part(outcome: Outcome, fired: CrosscheckFired, reply: Reply) -> Part:
    """Write what stands before a reply; with no done sign where a finding was changed since."""
    is_outdated = outcome.session.is_outdated(reply, fired.findings)
    sign, style = (OPEN_SIGN, "$dim") if is_outdated else (DONE_SIGN, "$here")
    return f"{sign} {words.replied(is_outdated=is_outdated)}: ", style
