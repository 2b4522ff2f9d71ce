"""An app to try things on, and its screen as plain text."""

import random
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

from small_protocol import SMALL, small_protocol
from textual import events
from textual.pilot import Pilot

from examwalk.tui.app import ExamwalkApp, Start

NAMES = {" ": "space", ",": "comma", ".": "full_stop"}
"""Characters that Textual names in words."""
BEGUN = datetime(2026, 11, 25, 9, 12, tzinfo=UTC)


def ticking_clock(seconds: int = 1) -> Callable[[], datetime]:
    """Return a clock that goes on by some seconds each time it is read."""
    time = BEGUN - timedelta(seconds=seconds)

    def now() -> datetime:
        nonlocal time
        time += timedelta(seconds=seconds)
        return time

    return now


def an_app(folder: Path, start: Start | None = None) -> ExamwalkApp:
    """Return an app over a folder, with a clock and a chance of its own."""
    return ExamwalkApp(folder, start, ticking_clock(), random.Random(1))


def starting_with(show: Callable[[], None], app: ExamwalkApp) -> ExamwalkApp:
    """Let an app show another screen first, where a test never looks at the start."""

    def show_first() -> None:
        del app.show_start
        show()

    app.show_start = show_first  # type: ignore[method-assign]
    return app


def begin_small_visit(app: ExamwalkApp, folder: Path, text: str = SMALL) -> None:
    """Begin a visit under the small protocol and show its exam."""
    app.begin_visit(small_protocol(folder, text), "P-0042", "AB")


async def keys(pilot: Pilot[None], *names: str) -> None:
    """Press keys, named as Textual names them, and let each be handled."""
    for name in names:
        pilot.app.simulate_key(name)
        await pilot.pause(0)
    await pilot.pause(0)


async def type_text(pilot: Pilot[None], text: str) -> None:
    """Type a text into the field that has the focus."""
    for character in text:
        pilot.app.post_message(events.Key(NAMES.get(character, character), character))
        await pilot.pause(0)
    await pilot.pause(0)


def screen_text(app: ExamwalkApp) -> str:
    """Return what the screen shows, as lines of plain text."""
    # Textual has no public way to the painted screen; this is the one place that goes around.
    strips = app.screen._compositor.render_strips()
    return "\n".join("".join(segment.text for segment in strip).rstrip() for strip in strips)
