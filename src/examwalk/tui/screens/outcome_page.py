"""What the review and the summary have in common: rows, and the reasons behind one of them."""

import asyncio
import time
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, cast

from attrs import evolve
from textual import on, work
from textual.app import ComposeResult
from textual.containers import Container, Vertical
from textual.content import Content
from textual.widget import Widget

from examwalk.dates import time_words
from examwalk.language import later, say
from examwalk.reasoning.deciding import undecided
from examwalk.session.model import Side
from examwalk.tui.keys import Action, action_called
from examwalk.tui.offering import offered
from examwalk.tui.open_visit import OpenVisit
from examwalk.tui.outlook import look_ahead
from examwalk.tui.screens.exam_parts import complaint_of
from examwalk.tui.screens.page import Page
from examwalk.tui.screens.reading import help_page
from examwalk.tui.screens.records import ask_to_sign
from examwalk.tui.screens.review_text import finishing_question
from examwalk.tui.screens.stop_banner import StopBanner
from examwalk.tui.screens.words import Outcome, lines_words
from examwalk.tui.screens.writing_pages import PagesSheet
from examwalk.tui.text import phrase, shortened
from examwalk.tui.widgets.key_line import KeyLine
from examwalk.tui.widgets.lines import Line, Pointer, Row
from examwalk.tui.widgets.row_list import Divider, Reader, RowList, Window

if TYPE_CHECKING:
    from examwalk.tui.app import ExamwalkApp

PAINTED_EACH_SECONDS = 0.3
"""How often progress is shown; most visits are worked out before the first time."""


class VisitLine(Widget):
    """The top line: whose visit this is, which screen, and how far it has come."""

    DEFAULT_CSS = """
    VisitLine { height: 1; width: 1fr; }
    """

    def __init__(self, title: str) -> None:
        super().__init__()
        self._title = title
        self._patient = ""
        self._about = ""
        self._how_far = ""
        self._states: tuple[str, ...] = ()

    def show(self, visit: OpenVisit, how_far: str, states: tuple[str, ...] = ()) -> None:
        """Show the visit as it is now.

        Args:
            visit: the open visit.
            how_far: what is done and what is left.
            states: the state of the visit in many words and in fewer; the first that fits is told.
        """
        self._patient = shortened(visit.session.patient, 20)
        invented = (say("invented"),) if visit.session.invented else ()
        self._about = " · ".join(filter(None, (*invented, complaint_of(visit))))
        self._how_far = how_far
        self._states = states
        self.refresh()

    def render(self) -> Content:
        """Draw the line."""
        width = self.size.width
        patient = phrase((self._patient, "bold"))
        right = self._right(width - patient.cell_length - 2)
        room = width - right.cell_length - patient.cell_length - 4
        about = shortened(self._about, room) if room > 8 else ""
        head = patient + phrase((f"  {about}", "$dim"))
        return head.truncate(max(0, width - right.cell_length - 2), pad=True) + "  " + right

    def _right(self, room: int) -> Content:
        """Write the screen's name and how far the visit is, in as many words as there is room."""
        for state in (*self._states, ""):
            told = f"  {state}  {self._how_far}" if state else f"  {self._how_far}"
            right = phrase((say(self._title), "bold"), (told, "$dim"))
            if right.cell_length <= room:
                return right
        return right.truncate(max(0, room), ellipsis=True)


class OutcomePage(Page[None]):
    """Rows to walk through above or beside the reasons for the one at the pointer."""

    TITLE_WORDS = ""
    LEGEND = ""
    ON_LINE: tuple[str, ...] = ()
    """The actions in the line of keys, the most wanted first."""
    CSS_PATH: ClassVar = "outcome_page.tcss"

    def __init__(self, visit: OpenVisit) -> None:
        super().__init__()
        self.visit = visit
        self._said = ""
        self.outcome = self._outcome_now()

    def _outcome_now(self) -> Outcome:
        visit = self.visit
        known = visit.outlook
        fits = known is not None and known.is_of(visit.protocol, visit.session)
        return Outcome(
            visit.protocol,
            visit.session,
            visit.summary,
            visit.differences,
            known if fits else None,
        )

    @work(exclusive=True, group="outlook")
    async def _look_ahead(self) -> None:
        """Work out what hangs on single findings, a little at a time."""
        outcome = self.outcome
        painted = time.monotonic()
        for outlook in look_ahead(outcome.protocol, outcome.session, outcome.summary):
            is_done = outlook.robustness is not None
            if is_done:
                self.visit.outlook = outlook
            if is_done or time.monotonic() - painted > PAINTED_EACH_SECONDS:
                painted = time.monotonic()
                self._show(evolve(outcome, outlook=outlook))
            # A key that waits is handled between two findings.
            await asyncio.sleep(0)

    def _show(self, outcome: Outcome) -> None:
        """Show an outcome; nothing is left to show it on where the page is being closed."""
        if self.query("#rows") and self.query("#reasons"):
            self.outcome = outcome
            self.row_list.show(self.rows())
            self._show_reasons()

    def rows(self) -> Sequence[Row]:
        """Return the rows as the visit is now."""
        return ()

    def reasons(self, pointer: Pointer) -> Sequence[Line]:
        """Return what stands behind the row at the pointer."""
        return ()

    def how_far(self) -> str:
        """Say in a few words what is done and what is left."""
        return ""

    def key_line(self) -> tuple[Action, ...]:
        """Return the actions for the line of keys, in the order of ``ON_LINE``."""
        return tuple(action_called(self.NAME, action_id) for action_id in self.ON_LINE)

    def compose_top(self) -> ComposeResult:
        """Yield what stands under the top line."""
        yield from ()

    def compose_above(self) -> ComposeResult:
        """Yield what stands between the banner and the rows."""
        yield from ()

    def compose_page(self) -> ComposeResult:
        """Lay out the page."""
        yield VisitLine(self.TITLE_WORDS)
        yield from self.compose_top()
        yield StopBanner()
        with Container(id="outcome"):
            with Vertical(id="walked"):
                yield from self.compose_above()
                yield RowList("rows")
                yield Divider("below-rows")
            with Vertical(id="told"):
                yield Reader("reasons")
                yield Divider("below-reasons")
        yield KeyLine(self.key_line())

    def on_mount(self) -> None:
        """Show the visit."""
        self.refresh_visit()

    @property
    def examwalk(self) -> "ExamwalkApp":
        """The app."""
        return cast("ExamwalkApp", self.app)

    @property
    def row_list(self) -> RowList:
        """The rows."""
        return self.query_one("#rows", RowList)

    def refresh_visit(self) -> None:
        """Show the open visit as it is now."""
        visit = self.visit
        self.outcome = self._outcome_now()
        finished = visit.session.finished
        self.query_one(KeyLine).show(self._keys_now())
        states: tuple[str, ...] = ()
        if finished and visit.is_finished and not visit.is_signed:
            states = (say("finished {time}", time=time_words(finished)), say("finished"))
        self.query_one(VisitLine).show(visit, self.how_far(), states)
        self.query_one(StopBanner).show(visit)
        self.row_list.show(self.rows())
        self._show_reasons()
        if self.outcome.outlook is None:
            self._look_ahead()

    def _keys_now(self) -> tuple[Action, ...]:
        """Return the actions of the line of keys that would not be refused."""
        return tuple(map(self.called_now, offered(self.visit, self.key_line())))

    def called_now(self, action: Action) -> Action:
        """Return an action with the words that fit the visit as it is."""
        if action.id == "finish" and self.visit.is_finished:
            return action.called(later("reopen"))
        return action

    def say(self, sentence: str) -> None:
        """Show a sentence until the pointer moves."""
        self._said = sentence
        self._show_dividers()

    @on(RowList.Pointed)
    def pointed(self, event: RowList.Pointed) -> None:
        """Show the reasons for the row that the pointer stands on now."""
        event.stop()
        self._show_reasons()

    @on(Window.Moved)
    def moved(self, event: Window.Moved) -> None:
        """Say how much lies out of sight."""
        event.stop()
        self._show_dividers()

    def _show_dividers(self) -> None:
        rows, reader = self.row_list, self.query_one("#reasons", Reader)
        below = lines_words(rows.lines_below) if rows.lines_below else ""
        self.query_one("#below-rows", Divider).show(say(self.LEGEND), below)
        said = f"─ {self._said}" if self._said else ""
        self.query_one("#below-reasons", Divider).show(said, self._more(reader), "bold $here")

    @staticmethod
    def _more(reader: Reader) -> str:
        if reader.lines_below:
            return say("Space: {lines}", lines=lines_words(reader.lines_below))
        return say("Space: from the beginning") if reader.lines_above else ""

    def _show_reasons(self) -> None:
        lines = self.reasons(self.row_list.pointer)
        self.query_one("#reasons", Reader).show(lines)

    def action_row(self, key: str) -> None:
        """Move the pointer through the rows."""
        self._said = ""
        self.row_list.move_by_key(key)

    def action_side(self, key: str) -> None:
        """Go to the left or to the right column."""
        self._said = ""
        self.row_list.move_to_side(Side(key))

    def action_read_on(self) -> None:
        """Scroll the reasons; after their end begin again."""
        reader = self.query_one("#reasons", Reader)
        if reader.lines_below:
            reader.scroll_page(1)
        else:
            reader.scroll_to(0)

    def action_reading(self) -> None:
        """Give the reasons the whole page, or their place again."""
        self.query_one("#outcome").toggle_class("-reading")

    def action_exam(self) -> None:
        """Go back to the exam."""
        self.examwalk.show_exam()

    def action_leave(self) -> None:
        """Leave the visit."""
        self.examwalk.leave_visit()

    def action_help(self) -> None:
        """Show the keys of this screen."""
        self.app.push_screen(help_page(self.NAME))

    def action_undo(self) -> None:
        """Take back the last change and say what it was."""
        said = self.visit.undo()
        self.refresh_visit()
        self.say(said or self.visit.held_elsewhere or say("There is nothing to take back."))

    def action_pages(self) -> None:
        """Write a page of the visit into a file."""
        if self.visit.trial_note is not None:
            self.say(say("A trial is not kept, so no page is written of it."))
            return
        if any(not misfit.unknown_test for misfit in self.visit.misfits):
            self.say(say("No page is written of findings that cannot be."))
            return

        def wrote(target: Path | None) -> None:
            if target is not None:
                self.examwalk.tell(say("Written: {path}", path=target))

        self.app.push_screen(PagesSheet(self.visit), wrote)

    def action_finish(self) -> None:
        """Finish the visit after asking, or reopen it."""
        if self.visit.held_elsewhere or self.visit.is_signed:
            self.say(self.visit.frozen)
            return
        if self.visit.is_finished:
            self.examwalk.ask(say("Reopen this visit?"), self._reopen)
            return
        left = undecided(self.outcome.session, self.outcome.summary)
        question = finishing_question(self.outcome, len(left))
        self.examwalk.ask(question, self._finish)

    def action_sign(self) -> None:
        """Sign a finished visit, after saying what that means and asking for initials."""

        def done(sentence: str) -> None:
            self.refresh_visit()
            self.say(sentence)

        ask_to_sign(self.app, self.visit, done)

    def _finish(self) -> None:
        self.changed(self.visit.finish(), say("This visit is finished."))

    def _reopen(self) -> None:
        self.changed(self.visit.reopen(), say("This visit is open again."))

    def changed(self, done: bool, sentence: str) -> None:
        """Show a change and say what was done, or why nothing was."""
        self.refresh_visit()
        self.say(sentence if done else self.visit.frozen)
