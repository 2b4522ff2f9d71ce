"""The start: go on with a visit, open another one, or begin a new one."""

from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, cast

from textual import on, work
from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.content import Content
from textual.widgets import Input, Static
from textual.worker import get_current_worker

from examwalk import __version__
from examwalk.dates import time_words
from examwalk.files import SaveFailedError
from examwalk.language import chosen_language, say, say_count
from examwalk.problems import UnusableFileError
from examwalk.session.folder import Entry, list_sessions
from examwalk.session.model import ProtocolUsed, Session
from examwalk.session.recovering import EarlierCopy, bring_back, earlier_copies
from examwalk.tui.keys import Action, action_called, bindings_of
from examwalk.tui.screens.page import Page
from examwalk.tui.screens.start_text import (
    ProtocolOf,
    column_titles,
    empty_lines,
    how_far,
    latest_open,
    matches,
    visit_lines,
    visit_rows,
)
from examwalk.tui.text import filled, literal, phrase
from examwalk.tui.widgets.key_line import KeyLine
from examwalk.tui.widgets.line_input import LineInput
from examwalk.tui.widgets.lines import Line, Pointer
from examwalk.tui.widgets.row_list import Divider, Reader, RowList, Window

if TYPE_CHECKING:
    from examwalk.protocol.model import Protocol
    from examwalk.tui.app import ExamwalkApp


class StartScreen(Page[None]):
    """Lists the visits of a folder, the one changed last first."""

    NAME = "start"
    BINDINGS: ClassVar = bindings_of(NAME)
    CSS_PATH: ClassVar = "start.tcss"
    AUTO_FOCUS = ""

    def __init__(self, folder: Path) -> None:
        super().__init__()
        self._folder = folder
        self._entries: tuple[Entry, ...] = ()
        self._states: tuple[str, ...] = ()
        self._shown: tuple[Entry, ...] = ()
        self._protocols: dict[ProtocolUsed, Protocol | None] = {}
        self._trouble = ""
        self._is_finding = False

    def compose_page(self) -> ComposeResult:
        """Lay out the page."""
        yield Static(_name_line(), id="name")
        yield Static(id="going-on")
        with Horizontal(id="finding"):
            yield Static(literal(f"{say('Find')} ", "$dim"), id="find-label")
            yield LineInput(compact=True, placeholder=say("code, date, protocol or state"))
        yield Static(id="columns")
        yield RowList("visits")
        yield Reader("empty")
        yield Divider("below-visits")
        yield Reader("about-visit")
        yield KeyLine(self.key_line())

    def on_mount(self) -> None:
        """Read the folder."""
        self.query_one("#finding").display = False
        self.query_one("#columns").display = False
        self.query_one("#visits").display = False
        reading = phrase((say("Reading the visits …"), "$dim"))
        self.query_one("#empty", Reader).show([Line(reading)])
        self._read()

    def key_line(self) -> tuple[Action, ...]:
        """Return the actions for the line of keys; what cannot be done is not among them."""
        if self._is_finding:
            return (
                action_called(self.NAME, "open"),
                action_called(self.NAME, "row"),
                action_called(self.NAME, "all"),
            )
        left_out = set()
        if not self._entries:
            left_out |= {"open", "row", "find", "compare"}
        if latest_open(self._entries) is None:
            left_out.add("resume")
        return tuple(action for action in super().key_line() if action.id not in left_out)

    @work(thread=True, exclusive=True)
    def _read(self) -> None:
        """Read the folder beside the screen, which stays usable however many visits there are.

        Protocols take the longest: how far each visit has come is shown once they are read.
        """
        entries: tuple[Entry, ...] = ()
        trouble = ""
        try:
            entries = list_sessions(self._folder)
        except UnusableFileError as error:
            trouble = str(error)
        self.app.call_from_thread(self._has_read, entries, trouble)
        if not get_current_worker().is_cancelled:
            states = _how_far_all(entries, self._protocol)
            self.app.call_from_thread(self._knows_how_far, entries, states)

    def _still_stands(self) -> bool:
        """Return whether the list is there; what was read may come after the screen was left."""
        return self.is_attached and self.is_running and bool(self.query(Input))

    def _has_read(self, entries: tuple[Entry, ...], trouble: str) -> None:
        if not self._still_stands():
            return
        self._entries, self._trouble = entries, trouble
        self._states = _how_far_all(entries, lambda _: None)
        self._show(self.query_one(Input).value)
        newest = latest_open(entries)
        if newest is not None:
            self.query_one("#visits", RowList).point_at(Pointer(newest.path))
        self._show_going_on(newest)
        self.query_one(KeyLine).show(self.key_line())

    def _knows_how_far(self, entries: tuple[Entry, ...], states: tuple[str, ...]) -> None:
        if not self._still_stands() or self._entries is not entries:
            return
        self._states = states
        self._show(self.query_one(Input).value)
        self._show_going_on(latest_open(entries))

    def _protocol(self, session: Session) -> "Protocol | None":
        from examwalk.session.protocol_used import protocol_for

        used = session.protocol
        if used not in self._protocols:
            try:
                loaded, _ = protocol_for(session, self._folder, chosen_language())
            except UnusableFileError:
                self._protocols[used] = None
            else:
                self._protocols[used] = loaded.protocol
        return self._protocols[used]

    def _show_going_on(self, newest: Entry | None) -> None:
        going_on = self.query_one("#going-on", Static)
        if newest is None or newest.session is None:
            going_on.display = False
            return
        state = self._states[self._entries.index(newest)]
        going_on.update(
            phrase(
                filled(
                    say("{key}  goes on with {patient}"),
                    key=("r", "bold $here"),
                    patient=(newest.session.patient, "bold"),
                ),
                (f", {state}", "$dim"),
            )
        )

    def _show(self, typed: str) -> None:
        kept = [
            (entry, state)
            for entry, state in zip(self._entries, self._states, strict=True)
            if matches(entry, state, typed)
        ]
        self._shown = tuple(entry for entry, _ in kept)
        visits = self.query_one("#visits", RowList)
        visits.show(visit_rows(self._shown, [state for _, state in kept], self.size.width))
        visits.display = bool(kept)
        columns = self.query_one("#columns", Static)
        columns.update(column_titles(self.size.width))
        columns.display = bool(kept)
        empty = self.query_one("#empty", Reader)
        empty.display = not kept
        if not kept:
            empty.show(self._nothing_lines(typed))
        self._show_about()

    def _nothing_lines(self, typed: str) -> Sequence[Line]:
        if self._trouble:
            return [Line(phrase((self._trouble, "$stop")))]
        if typed:
            return [Line(phrase((say("No visit has “{typed}” in it.", typed=typed), "$dim")))]
        return empty_lines(self._folder)

    def _pointed(self) -> Entry | None:
        key = self.query_one("#visits", RowList).pointer.key
        return next((entry for entry in self._shown if entry.path == key), None)

    def _show_about(self) -> None:
        entry = self._pointed()
        about = visit_lines(entry) if entry else []
        self.query_one("#about-visit", Reader).show(about)

    @on(RowList.Pointed)
    def _moved(self, event: RowList.Pointed) -> None:
        self._show_about()
        if event.chosen:
            self.action_open()

    @on(Window.Moved, "#visits")
    def _scrolled(self, event: Window.Moved) -> None:
        below = event.window.lines_below
        words = say("{count} more", count=below) if below else ""
        self.query_one("#below-visits", Divider).show("", words)

    def on_resize(self) -> None:
        """Use the room there is."""
        super().on_resize()
        if self._entries:
            self._show(self.query_one(Input).value)

    @on(Input.Changed)
    def _narrow(self, event: Input.Changed) -> None:
        self._show(event.value)

    def refresh_visit(self) -> None:
        """Nothing is open here."""

    def action_row(self, key: str) -> None:
        """Move the pointer through the visits."""
        self.query_one("#visits", RowList).move_by_key(key)

    def action_open(self) -> None:
        """Open the visit at the pointer, or say why it cannot be opened."""
        entry = self._pointed()
        if entry is None:
            return
        if entry.session is None:
            self._tell_damage(entry)
        else:
            self._app.open_visit(entry.path)

    def _tell_damage(self, entry: Entry) -> None:
        told = f"{entry.path.name}\n{entry.problem}"
        copies = earlier_copies(entry.path)
        if not copies:
            self._app.tell(told)
            return
        newest = copies[0]
        question = say_count(
            len(newest.session.answers),
            "Bring back the copy saved at {time}, which holds {count} answer? The damaged file "
            "is kept beside it under another name.",
            "Bring back the copy saved at {time}, which holds {count} answers? The damaged file "
            "is kept beside it under another name.",
            time=time_words(newest.changed),
        )
        self._app.ask(f"{told}\n\n{question}", lambda: self._bring_back(entry.path, newest))

    def _bring_back(self, path: Path, copy: EarlierCopy) -> None:
        try:
            damaged = bring_back(path, copy, self._app.now())
        except (SaveFailedError, UnusableFileError) as error:
            self._app.tell(str(error))
            return
        self._read()
        self._app.tell(
            say(
                "{visit} is back. The damaged file is kept as {damaged}.",
                visit=path.name,
                damaged=damaged.name,
            )
        )

    def action_resume(self) -> None:
        """Go on with the open visit that was changed last."""
        newest = latest_open(self._entries)
        if newest is not None:
            self._app.open_visit(newest.path)

    def action_compare(self) -> None:
        """Compare the visit at the pointer with the same patient's earlier ones."""
        from examwalk.tui.screens.comparing import ComparingPage
        from examwalk.tui.screens.earlier_visits import compared_with_earlier

        entry = self._pointed()
        if entry is None:
            return
        if entry.session is None:
            self._app.tell(f"{entry.path.name}\n{entry.problem}")
            return
        read = partial(compared_with_earlier, self._folder, entry.session)
        self.app.push_screen(ComparingPage(entry.session.patient, read))

    def action_new(self) -> None:
        """Begin a new visit."""
        self._app.new_visit()

    def action_find(self) -> None:
        """Narrow the list by typing."""
        self._find(True)
        self.query_one(Input).focus()

    def action_all(self) -> None:
        """List all visits again."""
        self.query_one(Input).value = ""
        self._find(False)
        self.set_focus(None)

    def _find(self, is_finding: bool) -> None:
        self._is_finding = is_finding
        self.query_one("#finding").display = is_finding
        self.query_one(KeyLine).show(self.key_line())

    def action_help(self) -> None:
        """Show the keys of this screen."""
        from examwalk.tui.screens.reading import help_page

        self.app.push_screen(help_page(self.NAME))

    def action_quit(self) -> None:
        """Quit the app."""
        self._app.action_leave_app()

    @property
    def _app(self) -> "ExamwalkApp":
        return cast("ExamwalkApp", self.app)


def _how_far_all(entries: tuple[Entry, ...], protocol_of: ProtocolOf) -> tuple[str, ...]:
    return tuple(how_far(entry.session, protocol_of) if entry.session else "" for entry in entries)


def _name_line() -> Content:
    about = say("a hands-on foot and lower-limb examination, test by test")
    return phrase(("examwalk", "bold $here"), (f"  {__version__}   {about}", "$dim"))
