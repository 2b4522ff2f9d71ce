"""The form for a new visit: a code for the patient, the examiner's initials, the protocol."""

from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, cast

from attrs import evolve, frozen
from textual import events, on
from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.widgets import Input, Static

from examwalk.language import chosen_language, later, say, say_count
from examwalk.problems import UnusableFileError
from examwalk.protocol.identities import read_identity
from examwalk.protocol.library import (
    find_protocol,
    own_protocols,
    refuse_taken_name,
    shipped_protocols,
)
from examwalk.protocol.model import Identity
from examwalk.protocol.reading import read_protocol
from examwalk.session.folder import CODE_LIMIT, DoubtKind, code_doubts
from examwalk.text import clean_line
from examwalk.tui.keys import Action, bindings_of
from examwalk.tui.screens.page import Page
from examwalk.tui.text import literal, phrase
from examwalk.tui.widgets.key_line import KeyLine
from examwalk.tui.widgets.line_input import LineInput
from examwalk.tui.widgets.lines import Line, Row
from examwalk.tui.widgets.row_list import Divider, Reader, RowList

if TYPE_CHECKING:
    from examwalk.tui.app import ExamwalkApp, Start

LONGEST_EXAMINER = 40
MOST_ROWS = 7
TITLE_CELLS = 44
"""How far titles are filled up, so that what stands behind them is in a column."""
"""Protocols in sight at once; the pointer brings the others up."""
NO_EXAMINER = later("The record needs to say who examined, for example AB.")
HINTS = {
    "patient": later("A code that only your clinic can trace; never a name."),
    "examiner": later("Your initials."),
}


@frozen
class Offered:
    """One protocol that can be chosen, or why it cannot."""

    path: Path
    identity: Identity | None
    problem: str = ""
    is_own: bool = False
    """It lies in the folder of the clinic's own protocols."""

    @property
    def title(self) -> str:
        """The protocol's title, or its name where it cannot be read."""
        return self.identity.title if self.identity else self.path.stem


def offered_protocols(wanted: str) -> tuple[Offered, ...]:
    """Return the clinic's own protocols and the shipped ones, and first the one asked for.

    Raises:
        UnusableFileError: the file of settings is at fault.
    """
    own = own_protocols()
    paths = [*own, *shipped_protocols()]
    lacking: tuple[Offered, ...] = ()
    if wanted:
        try:
            path = find_protocol(wanted)
        except UnusableFileError as error:
            lacking = (Offered(Path(wanted), None, str(error)),)
        else:
            paths = [path, *(other for other in paths if other != path)]
    return (*lacking, *(_offered(path, is_own=path in own) for path in paths))


def _offered(path: Path, *, is_own: bool) -> Offered:
    try:
        if is_own:
            refuse_taken_name(path)
        return Offered(path, read_identity(path, chosen_language()), is_own=is_own)
    except UnusableFileError as error:
        return Offered(path, None, _first_of(error), is_own)


def _first_of(error: UnusableFileError) -> str:
    first, others = error.problems[0], len(error.problems) - 1
    if not others:
        return str(first)
    return say_count(
        others,
        "{problem} (and {count} more problem)",
        "{problem} (and {count} more problems)",
        problem=first,
    )


def protocol_row(offered: Offered, title_cells: int = 0) -> Row:
    """Make the row of a protocol: its title, filled up to a width, and how long it takes."""
    identity = offered.identity
    if identity is None:
        text = phrase(("▲ ", "bold $warn"), offered.title, (f"  {say('cannot be used')}", "$warn"))
    else:
        title = phrase(identity.title)
        filled_up = title.pad_right(max(0, title_cells - title.cell_length))
        text = phrase(filled_up, (f"  {_time_and_version(identity)}", "$dim"))
    return Row(text, key=offered.path, hang=2)


def _time_and_version(identity: Identity) -> str:
    version = say("version {version}", version=identity.version)
    if not identity.minutes:
        return version
    minutes = say_count(identity.minutes, "about {count} minute", "about {count} minutes")
    return f"{minutes}, {version}"


def protocol_lines(offered: Offered) -> list[Line]:
    """Say what a protocol is for, or why it cannot be used."""
    if offered.identity is None:
        cannot = say("This protocol cannot be used.")
        says = phrase((f"{cannot} ", "bold $stop"), (offered.problem, "$stop"))
        return [Line(says)]
    about = offered.identity.about
    lines = [Line(phrase((about, "$dim")))] if about else []
    if offered.is_own:
        lines.append(Line(phrase((say("Your own: {path}", path=offered.path), "$dim"))))
    return lines


class VisitScreen(Page[None]):
    """Asks for what a visit needs, one field after the other."""

    NAME = "visit"
    BINDINGS: ClassVar = bindings_of(NAME)
    CSS_PATH: ClassVar = "visit.tcss"
    AUTO_FOCUS = "#patient"

    def __init__(self, starting: "Start") -> None:
        super().__init__()
        self._starting = starting
        self._offered = offered_protocols(starting.protocol)
        self._asked_about = ""

    def compose_page(self) -> ComposeResult:
        """Lay out the form."""
        yield Static(literal(say("New visit"), "bold"), id="visit-title")
        for name, label, value, longest in (
            ("patient", say("Patient's code"), self._starting.patient, CODE_LIMIT + 20),
            ("examiner", say("Examiner"), self._starting.examiner, LONGEST_EXAMINER),
        ):
            with Horizontal(classes="field"):
                yield Static(literal(label), classes="field-label")
                yield LineInput(clean_line(value), id=name, compact=True, max_length=longest)
            yield Static(literal(say(HINTS[name]), "$dim"), id=f"{name}-says", classes="field-says")
        yield Static(literal(say("Protocol")), classes="field-label")
        protocols = RowList("protocols")
        protocols.can_focus = True
        yield protocols
        yield Divider()
        yield Reader("about-protocol")
        yield KeyLine(self.key_line())

    def on_mount(self) -> None:
        """List the protocols with the first one at the pointer."""
        protocols = self.query_one("#protocols", RowList)
        protocols.styles.height = min(len(self._offered), MOST_ROWS)
        longest = max(phrase(one.title).cell_length for one in self._offered)
        protocols.show([protocol_row(one, min(longest, TITLE_CELLS)) for one in self._offered])
        if self._starting.examiner and not code_doubts(self._starting.patient):
            self._focus_last()

    @on(events.DescendantFocus)
    def _show_keys(self) -> None:
        self.query_one(KeyLine).show(self.key_line())

    def key_line(self) -> tuple[Action, ...]:
        """Return the actions for the line of keys, in the words that fit the field."""
        is_last = self.focused is not None and self.focused.id == self._last_field
        return tuple(
            action.called(later("begin the exam")) if action.id == "next" and is_last else action
            for action in super().key_line()
        )

    @property
    def _last_field(self) -> str:
        return "protocols" if len(self._offered) > 1 else "examiner"

    def _focus_last(self) -> None:
        self.set_focus(self.query_one(f"#{self._last_field}"))  # at once, before the next key

    @on(RowList.Pointed)
    def _pointed(self, event: RowList.Pointed) -> None:
        self.query_one("#about-protocol", Reader).show(protocol_lines(self._chosen()))

    @on(Input.Changed)
    def _typed(self, event: Input.Changed) -> None:
        name = str(event.input.id)
        self._say(name, say(HINTS[name]), "$dim")

    def _chosen(self) -> Offered:
        key = self.query_one("#protocols", RowList).pointer.key
        return next(one for one in self._offered if one.path == key)

    def _say(self, name: str, sentence: str, style: str = "$stop") -> None:
        self.query_one(f"#{name}-says", Static).update(phrase((sentence, style)))

    def action_next(self) -> None:
        """Take this field and go to the next; begin the visit after the last."""
        focused = self.focused.id if self.focused else None
        if not self._takes_patient():
            self.query_one("#patient").focus()
        elif focused == "patient" or not self._takes_examiner():
            self.query_one("#examiner").focus()
        elif focused == "examiner" and len(self._offered) > 1:
            self._focus_last()
        else:
            self._begin()

    def action_field(self, key: str) -> None:
        """Go to the next or the previous field without taking this one."""
        if key == "tab":
            self.focus_next()
        else:
            self.focus_previous()

    def action_protocol(self, key: str) -> None:
        """Move the pointer through the protocols."""
        self.query_one("#protocols", RowList).move(-1 if key == "up" else 1)

    def action_back(self) -> None:
        """Go back to the start; nothing is begun."""
        self._app.show_start()

    def _takes_patient(self) -> bool:
        code = self.query_one("#patient", Input).value.strip()
        doubt = code_doubts(code)
        if doubt is None or (doubt.kind is DoubtKind.ASK and code == self._asked_about):
            return True
        if doubt.kind is DoubtKind.ASK:
            self._asked_about = code
            keeps = say("Enter again keeps it.")
            self._say("patient", f"{doubt.sentence} {keeps}", "$warn")
        else:
            self._say("patient", doubt.sentence)
        return False

    def _takes_examiner(self) -> bool:
        if clean_line(self.query_one("#examiner", Input).value):
            return True
        self._say("examiner", say(NO_EXAMINER))
        return False

    def _begin(self) -> None:
        chosen = self._chosen()
        try:
            loaded = read_protocol(chosen.path, chosen_language())
        except UnusableFileError as error:
            self.set_focus(self.query_one("#protocols"))  # at once, before the next key
            broken = Offered(chosen.path, None, _first_of(error))
            self.query_one("#about-protocol", Reader).show(protocol_lines(broken))
            return
        patient = self.query_one("#patient", Input).value.strip()
        examiner = clean_line(self.query_one("#examiner", Input).value)
        # What the command line gave is for the first visit alone: the next patient is another.
        self._app.starting = evolve(self._starting, patient="")
        self._app.begin_visit(loaded, patient, examiner)

    @property
    def _app(self) -> "ExamwalkApp":
        return cast("ExamwalkApp", self.app)
