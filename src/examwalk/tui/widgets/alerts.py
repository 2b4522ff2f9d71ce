"""Cautions that are raised and findings that do not fit together, a few lines of each."""

from collections.abc import Collection, Iterable, Sequence
from typing import TypeVar

from attrs import frozen
from textual.content import Content
from textual.geometry import Size
from textual.widget import Widget

from examwalk.language import later, say
from examwalk.protocol.caution_model import CheckSeverity
from examwalk.protocol.condition_model import DeviceEffect
from examwalk.reasoning.results import CautionRaised, CrosscheckFired
from examwalk.report.sides import side_heading
from examwalk.session.model import Place, Side
from examwalk.tui.cautions import refer_words
from examwalk.tui.exam_walk import RaisedAt
from examwalk.tui.open_visit import OpenVisit
from examwalk.tui.text import phrase, shortened

MOST = 5
"""Alerts shown at most, however much room there is."""
SIGNS = {
    CheckSeverity.IMPOSSIBLE: (later("▲ impossible"), "bold $stop"),
    CheckSeverity.UNLIKELY: (later("△ unlikely"), "bold $warn"),
    CheckSeverity.LOOK_AGAIN: (later("◇ look again"), "bold $foreground"),
}
"""The sign and the word of each severity, and how they are drawn."""
KEY_WORDS = later("w goes there")


@frozen
class Alert:
    """One line of the panel."""

    sign: str
    style: str
    says: str
    is_here: bool = False
    """It questions the test that is on the screen."""
    is_new: bool = False
    """The last answer raised it."""
    key_words: str = ""
    """The key that acts on it."""


class Alerts(Widget):
    """Shows the topmost alerts; it is not there when there are none."""

    DEFAULT_CSS = """
    Alerts { height: auto; width: 1fr; text-wrap: nowrap; text-overflow: clip; }
    """

    def __init__(self, lines: int = 4) -> None:
        super().__init__()
        self._alerts: tuple[Alert, ...] = ()
        self._lines = lines

    def show(self, alerts: tuple[Alert, ...], lines: int) -> None:
        """Show other alerts in so many lines at most."""
        if (alerts, lines) != (self._alerts, self._lines):
            width = max(1, self.size.width)
            before = _drawn(self._alerts, width, self._lines)
            self._alerts, self._lines = alerts, lines
            self.display = bool(alerts)
            self.refresh(layout=len(before) != len(_drawn(alerts, width, lines)))

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """Say how many lines the alerts need at a width."""
        return len(_drawn(self._alerts, width, self._lines))

    def render(self) -> Content:
        """Draw the alerts."""
        return Content("\n").join(_drawn(self._alerts, self.size.width, self._lines))


def alerts_of(visit: OpenVisit, here: Place, fresh: Collection[RaisedAt]) -> tuple[Alert, ...]:
    """Return what the visit warns of: what is new first, then what concerns the present test.

    Cautions that stop the device are not among them: they stand in the banner.

    Args:
        visit: the open visit.
        here: the place under the cursor.
        fresh: the cautions and cross-checks that the last answer raised.
    """
    cautions = [c for c in visit.case.cautions if c.device is not DeviceEffect.STOP]
    checks = sorted(visit.open_crosschecks, key=lambda check: (check.id, check.side) not in fresh)
    first = checks[0].id if checks else ""
    alerts = [_of_caution(both, here, fresh) for both in _by_id(cautions)]
    alerts += [_of_crosscheck(both, here, fresh, first) for both in _by_id(checks)]
    return tuple(sorted(alerts, key=lambda alert: (not alert.is_new, not alert.is_here)))


Raised = TypeVar("Raised", CautionRaised, CrosscheckFired)


def _by_id(raised: Iterable[Raised]) -> list[list[Raised]]:
    """Put what is raised on both sides together."""
    together: dict[str, list[Raised]] = {}
    for one in raised:
        together.setdefault(one.id, []).append(one)
    return list(together.values())


def _of_caution(both: list[CautionRaised], here: Place, fresh: Collection[RaisedAt]) -> Alert:
    caution = both[0]
    refer = f" {refer_words(caution)}".rstrip()
    return Alert(
        f"■ {caution.urgency_words}",
        "bold $warn",
        _on_sides(both, f"{caution.title}. {caution.says}{refer}"),
        is_here=any(place.test == here.test for one in both for place in one.findings),
        is_new=any((one.id, one.side) in fresh for one in both),
    )


def _of_crosscheck(
    both: list[CrosscheckFired], here: Place, fresh: Collection[RaisedAt], first: str
) -> Alert:
    check = both[0]
    sign, style = SIGNS[check.severity]
    questioned = (place for one in both for place in (*one.recheck, *one.findings))
    return Alert(
        say(sign),
        style,
        _on_sides(both, check.says),
        is_here=any(place.test == here.test for place in questioned),
        is_new=any((one.id, one.side) in fresh for one in both),
        key_words=say(KEY_WORDS) if check.id == first else "",
    )


def _on_sides(both: Sequence[CautionRaised | CrosscheckFired], says: str) -> str:
    """Write what is said with the side or the sides that it holds for."""
    sides = {one.side for one in both if one.side is not Side.WHOLE}
    if len(sides) > 1:
        return say("Left and right: {says}", says=says)
    return f"{side_heading(sides.pop())}: {says}" if sides else says


def _drawn(alerts: Sequence[Alert], width: int, lines: int) -> list[Content]:
    """Draw the alerts: the first may take two lines, the others take one each."""
    drawn: list[Content] = []
    shown = 0
    for alert in alerts[:MOST]:
        room = lines - len(drawn) - (1 if shown + 1 < len(alerts) else 0)
        if room < 1:
            break
        drawn += _alert(alert, width, min(room, 2 if shown == 0 else 1))
        shown += 1
    if shown < len(alerts):
        more = phrase((say("+{count} more in the review (r)", count=len(alerts) - shown), "$dim"))
        drawn.append(more)
    return drawn


def _alert(alert: Alert, width: int, lines: int) -> list[Content]:
    about = say("new") if alert.is_new else say("this test") if alert.is_here else ""
    head = phrase((alert.sign, alert.style), (f"  {about}" if about else "", "$here"), "  ")
    tail = phrase((f"  {alert.key_words}", "$dim")) if alert.key_words else Content("")
    room = max(1, width - tail.cell_length)
    wrapped = head.append(phrase(alert.says)).wrap(room)
    if len(wrapped) > lines:
        rest = " ".join(line.plain for line in wrapped[lines - 1 :])
        last = phrase(shortened(rest, room))
        if lines == 1:
            last = head.append(phrase(shortened(alert.says, room - head.cell_length)))
        wrapped = [*wrapped[: lines - 1], last]
    wrapped[-1] = wrapped[-1].truncate(room, pad=bool(alert.key_words)).append(tail)
    return wrapped
