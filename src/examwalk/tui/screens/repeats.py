"""Repeat examinations by simulation: a bar while they run, then what came out."""

import asyncio
import time
from typing import ClassVar

from textual import work
from textual.content import Content

from examwalk.language import say
from examwalk.protocol.model import Protocol
from examwalk.reasoning.reproducing import (
    DEFAULT_REPEATS,
    DEFAULT_SEED,
    Reproduced,
    Simulation,
)
from examwalk.report.reproduction_text import reproduction_lines
from examwalk.session.model import Session
from examwalk.tui.keys import SCREEN_TITLES, Action, bindings_of
from examwalk.tui.screens.reading import ReadingPage
from examwalk.tui.text import literal
from examwalk.tui.widgets.key_line import KeyLine

PAINTED_EACH_SECONDS = 0.1
BAR_CELLS = 40


class RepeatsPage(ReadingPage):
    """Runs a simulation as long as the page is open, and shows its result."""

    NAME = "repeats"
    BINDINGS: ClassVar = bindings_of(NAME)

    def __init__(
        self, protocol: Protocol, session: Session, repeats: int = DEFAULT_REPEATS
    ) -> None:
        super().__init__(say(SCREEN_TITLES[self.NAME]), self._lines)
        self._protocol = protocol
        self._session = session
        self._repeats = repeats
        self._done = 0
        self._stopped = False
        self._result: Reproduced | None = None

    def on_mount(self) -> None:
        """Begin at once."""
        self._run()

    def key_line(self) -> tuple[Action, ...]:
        """Return the actions for the line of keys; what is over cannot be stopped."""
        line = super().key_line()
        return tuple(one for one in line if one.id != "stop" or self._result is None)

    @work(exclusive=True)
    async def _run(self) -> None:
        simulation = Simulation(self._protocol, self._session, seed=DEFAULT_SEED)
        painted = 0.0
        for done in simulation.run(self._repeats):
            self._done = done
            if self._stopped:
                break
            if time.monotonic() - painted > PAINTED_EACH_SECONDS:
                painted = time.monotonic()
                self._paint()
            # A key that waits is handled between two repeats.
            await asyncio.sleep(0)
        self._result = simulation.result()
        self._paint()

    def _paint(self) -> None:
        """Show how far it is; nothing is left to show it on where the app is being closed."""
        if self.query("#reading-text") and self.query(KeyLine):
            self.query_one(KeyLine).show(self.key_line())
            self.on_resize()

    def _lines(self, width: int) -> list[Content]:
        if self._result is None:
            return self._progress(width)
        found = reproduction_lines(self._protocol, self._result, width)
        return [*(literal(line) for line in found), Content(""), *self._disclaimer(width)]

    def _progress(self, width: int) -> list[Content]:
        cells = min(width, BAR_CELLS)
        full = cells * self._done // self._repeats
        told = say("{done} of {count} repeats", done=self._done, count=self._repeats)
        return [
            literal("█" * full + "░" * (cells - full), "$here"),
            literal(told),
            Content(""),
            *self._disclaimer(width),
        ]

    def _disclaimer(self, width: int) -> list[Content]:
        return list(literal(self._protocol.identity.disclaimer, "$dim").wrap(width))

    def action_stop(self) -> None:
        """Stop, and show what has come out so far."""
        self._stopped = True
