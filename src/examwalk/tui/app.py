"""The app: which visit is open, which screen is shown, and leaving safely.

What only a visit needs is imported when one is opened, so that the list of visits is on the screen
sooner.
"""

import os
import random
import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from attrs import evolve, frozen
from textual.app import App
from textual.binding import BindingType
from textual.screen import Screen

from examwalk.drawing.terminals import can_show_braille
from examwalk.language import chosen_language, say
from examwalk.problems import UnusableFileError
from examwalk.settings import chosen
from examwalk.tui.clock import Clock, local_now
from examwalk.tui.ending import HUNG_UP, end_on_signals, has_terminal
from examwalk.tui.keys import EVERYWHERE, bindings_of
from examwalk.tui.screens.confirm import ConfirmSheet, TellSheet
from examwalk.tui.screens.page import Page
from examwalk.tui.screens.start import StartScreen
from examwalk.tui.theme import DARK, LIGHT, THEMES, first_theme

if TYPE_CHECKING:
    from examwalk.protocol.reading import LoadedProtocol
    from examwalk.tui.open_visit import OpenVisit
    from examwalk.tui.trial import Trial

SMALLEST = (60, 18)
"""Columns and rows below which only a line asks for a larger window."""
WIDE = 120
"""Columns from which teaching and reasons stand beside the answers."""
TERMINAL_SECONDS = 2
"""How often the app looks whether its terminal is still there."""
FOLLOW_SECONDS = 1
"""How often the file is looked at of a visit that another window changes."""
TRIAL_CODE = "TRIAL"
"""The patient's code in a trial."""
_OF_A_VISIT = ("exam", "review", "summary")
CLASS_BY_COLUMNS = [(0, "-narrow"), (SMALLEST[0], "-normal"), (WIDE, "-wide")]
CLASS_BY_ROWS = [(0, "-low"), (SMALLEST[1], "-high")]


@frozen
class Start:
    """What the app opens with."""

    kind: str = "menu"
    """``menu``, ``new`` for a new visit, ``open`` for the visit in ``path``, or ``try`` to try the
    protocol in ``path`` on a visit that nobody keeps."""
    path: Path | None = None
    protocol: str = ""
    """Name or path of the protocol that a new visit begins with."""
    patient: str = ""
    examiner: str = ""


class ExamwalkApp(App[None]):
    """Walks through an examination."""

    TITLE = "examwalk"
    CSS_PATH = "app.tcss"
    BINDINGS: ClassVar[list[BindingType]] = bindings_of(EVERYWHERE)
    ENABLE_COMMAND_PALETTE = False
    HORIZONTAL_BREAKPOINTS = CLASS_BY_COLUMNS
    VERTICAL_BREAKPOINTS = CLASS_BY_ROWS

    def __init__(
        self,
        folder: Path,
        start: Start | None = None,
        now: Clock = local_now,
        chance: random.Random | None = None,
    ) -> None:
        super().__init__()
        self.folder = folder
        """Where the visits are."""
        self.starting = start or Start()
        self.now = now
        self.chance = chance or random.Random()
        self.visit: OpenVisit | None = None
        """The visit that is open, if one is."""
        self.trial: Trial | None = None
        """What is tried, if the visit that is open is a trial."""
        self._was_held = False
        """Another window had the visit when it was last looked at."""
        self._had_terminal = has_terminal()
        self.is_folded = False
        """Whether the teaching text of the exam is folded away."""
        encoding = getattr(sys.__stderr__, "encoding", None)  # Textual paints on this stream
        self.shows_braille = can_show_braille(os.environ, encoding)
        """Whether figures are drawn; else their words are shown."""
        self.animation_level = "none"
        for theme in THEMES:
            self.register_theme(theme)
        first = first_theme(os.environ, chosen("theme"))
        self.theme = first if first in self.available_themes else DARK.name

    async def on_mount(self) -> None:
        """Listen for the system's wish to end, and open the first screen."""
        end_on_signals(self._end)
        self.set_interval(TERMINAL_SECONDS, self._end_without_terminal)
        self.set_interval(FOLLOW_SECONDS, self._follow)
        if self.starting.kind == "open" and self.starting.path is not None:
            self.open_visit(self.starting.path)
        elif self.starting.kind == "try" and self.starting.path is not None:
            self.try_protocol(self.starting.path)
        elif self.starting.kind == "new":
            self.new_visit()
        else:
            self.show_start()

    def show_start(self) -> None:
        """Go to the start screen; the visit that was open is closed."""
        self.let_go()
        self.visit = None
        self._show(StartScreen(self.folder))

    def new_visit(self) -> None:
        """Go to the form for a new visit."""
        from examwalk.tui.screens.visit import VisitScreen

        try:
            starting = evolve(
                self.starting,
                protocol=self.starting.protocol or chosen("protocol"),
                examiner=self.starting.examiner or chosen("examiner"),
            )
            self._show(VisitScreen(starting))
        except UnusableFileError as error:
            self.tell(str(error))  # the file of settings was changed since the app was opened

    def begin_visit(self, loaded: "LoadedProtocol", patient: str, examiner: str) -> None:
        """Begin a new visit and go to its exam."""
        self._start_visit(loaded, patient, examiner)
        self.show_exam()

    def _start_visit(self, loaded: "LoadedProtocol", patient: str, examiner: str) -> "OpenVisit":
        from examwalk.session.holding import Hold
        from examwalk.tui.open_visit import OpenVisit

        self.let_go()
        visit = OpenVisit.start(self.folder, loaded, patient, examiner, self.now, self.chance)
        visit.hold = Hold.take(visit.path, self.now())
        self.visit = visit
        return visit

    def try_protocol(self, path: Path) -> None:
        """Begin a trial of a protocol, and read it anew whenever one of its files is saved."""
        from examwalk.protocol.reading import read_protocol
        from examwalk.tui.trial import WATCH_SECONDS, Trial

        try:
            loaded = read_protocol(path, chosen_language())
        except UnusableFileError as error:
            self.show_start()
            self.tell(str(error))
            return
        visit = self._start_visit(loaded, TRIAL_CODE, "")
        visit.mark_invented()
        self.trial = Trial(loaded, visit)
        self.set_interval(WATCH_SECONDS, self._look_at_trial)
        self.show_exam()

    def _look_at_trial(self) -> None:
        screen = self._visit_screen()
        if self.trial is None or self.visit is None or screen is None:
            return
        if not self.trial.look(self.visit):
            return
        if screen.NAME == "exam":
            self.show_exam()  # other tests, other grades: the exam is laid out anew
        else:
            self._refresh_screens()

    def _visit_screen(self) -> "Page[object] | None":
        """Return the screen of the visit that stands on top and is laid out.

        A sheet above it is about the visit or protocol as it was: look again once it is closed.
        """
        if not self.screen_stack:  # a clock may still tick while the app is closing
            return None
        screen = self.screen
        if isinstance(screen, Page) and screen.NAME in _OF_A_VISIT and screen.is_mounted:
            return screen
        return None

    def _follow(self) -> None:
        """Show what the window that holds the visit has changed, and when one takes it over."""
        screen = self._visit_screen()
        if self.visit is None or screen is None:
            return
        is_held = bool(self.visit.held_elsewhere)
        is_new = self.visit.follow()
        if is_new or is_held is not self._was_held:
            self._was_held = is_held
            self._refresh_screens()
        if is_new:
            screen.say(say("The other window has changed this visit; here it is as it is now."))

    def open_visit(self, path: Path, *, insist: bool = False) -> None:
        """Open the visit in a file and go to its exam; say why where it cannot be used.

        Where another window has the visit it is only shown, unless this one insists.
        """
        from examwalk.tui.open_visit import OpenVisit

        self.let_go()
        try:
            self.visit = OpenVisit.open_held(path, self.now, insist=insist)
        except UnusableFileError as error:
            if not isinstance(self.screen, Page):
                self.show_start()
            self.tell(str(error))
        else:
            self.show_exam()

    def show_exam(self) -> None:
        """Go to the exam of the open visit."""
        from examwalk.tui.screens.exam import ExamScreen

        assert self.visit is not None
        self._show(ExamScreen(self.visit, in_braille=self.shows_braille))

    def show_review(self) -> None:
        """Go to the review of the open visit."""
        from examwalk.tui.screens.review import ReviewScreen

        assert self.visit is not None
        self._show(ReviewScreen(self.visit))

    def show_summary(self) -> None:
        """Go to the summary of the open visit."""
        from examwalk.tui.screens.summary import SummaryScreen

        assert self.visit is not None
        self._show(SummaryScreen(self.visit))

    def leave_visit(self) -> None:
        """Leave the open visit and go to the start; ask first where something would be lost.

        With a trial the app ends: there is nothing to go back to.
        """
        if self.trial is not None:
            self.exit()
            return
        self._unless_lost(say("Leave all the same?"), self.show_start)

    def tell(self, sentence: str) -> None:
        """Show a sentence over the present screen until a key is pressed."""
        self.push_screen(TellSheet(sentence))

    def ask(self, question: str, then: Callable[[], None]) -> None:
        """Ask a yes-or-no question and act on yes."""

        def answered(yes: bool | None) -> None:
            if yes:
                then()

        self.push_screen(ConfirmSheet(question), answered)

    def _show(self, screen: Screen[None]) -> None:
        # The base of the stack is Textual's own empty screen; one of ours stands on it.
        while len(self.screen_stack) > 2:
            self.pop_screen()
        if len(self.screen_stack) == 2:
            self.switch_screen(screen)
        else:
            self.push_screen(screen)

    def action_save(self) -> None:
        """Try again to save what could not be saved."""
        if self.visit is None:
            return
        if not self.visit.save() and self.visit.is_changed_elsewhere:
            question = say("Save what is here as a visit of its own?")
            self.ask(f"{self.visit.unsaved} {question}", self._apart)
        self._refresh_screens()

    def action_take_over(self) -> None:
        """Take the open visit over from the window that may change it, after asking."""
        visit = self.visit
        if visit is None or not visit.held_elsewhere:
            return
        if visit.unsaved is not None:
            self.action_save()  # what stands here alone is first kept as a visit of its own
            return
        self.open_visit(visit.path)  # the other window may have let it go meanwhile
        reopened = self.visit
        if reopened is None or reopened is visit or not reopened.held_elsewhere:
            return
        question = say("Take it over? The other window can then change nothing more.")
        self.ask(
            f"{reopened.held_elsewhere} {question}",
            partial(self.open_visit, reopened.path, insist=True),
        )

    def let_go(self) -> None:
        """Give back the right to change the visit that is open."""
        if self.visit is not None:
            self.visit.let_go()

    def action_light(self) -> None:
        """Change between the light and the dark theme."""
        self.theme = DARK.name if self.theme == LIGHT.name else LIGHT.name

    def action_leave_app(self) -> None:
        """Quit; ask first where something would be lost."""
        self._unless_lost(say("Quit all the same?"), self.exit)

    def _unless_lost(self, question: str, then: Callable[[], None]) -> None:
        """Do something that closes the visit, at once or after asking."""
        lost = self.visit.would_be_lost() if self.visit is not None else ""
        if lost:
            self.ask(f"{lost} {question}", then)
        else:
            then()

    def _apart(self) -> None:
        if self.visit is not None:
            self.visit.save_apart(self.chance)
            self._refresh_screens()

    def _refresh_screens(self) -> None:
        for screen in self.screen_stack:
            if isinstance(screen, Page) and screen.is_mounted:
                screen.refresh_visit()

    def _end(self, code: int) -> None:
        """End because the system wants it; every answer is on disk already."""
        if not self._had_terminal or has_terminal():
            self.exit(return_code=code)
            return
        # Textual would wait for ever for a thread that can write no more.
        if self.visit is not None and self.visit.unsaved is not None:
            self.visit.save()
        self.let_go()
        os._exit(code)

    def _end_without_terminal(self) -> None:
        if self._had_terminal and not has_terminal():
            self._end(HUNG_UP)

    def _fatal_error(self) -> None:
        # Textual would print every local variable, patients' notes among them.
        self._close_messages_no_wait()
