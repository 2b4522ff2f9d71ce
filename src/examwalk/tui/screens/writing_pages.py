"""The sheet that writes a page of a visit into a file: which page, in what form, and where."""

import asyncio
import os
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import ClassVar, cast

from attrs import evolve
from textual import events, on, work
from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.widgets import Input, Static

from examwalk.files import SaveFailedError, write_atomically
from examwalk.language import later, say
from examwalk.report.first_day import typed_day, unlikely_start
from examwalk.report.page_files import in_the_way, page_file
from examwalk.report.page_parts import Told
from examwalk.report.pages import (
    FORM_NAMES,
    KIND_NAMES,
    PAGES,
    PAPER_NAMES,
    order_blanks,
    told_about,
    written_bytes,
)
from examwalk.report.printing import CannotPrintError, browser
from examwalk.settings import chosen
from examwalk.tui.keys import bindings_of
from examwalk.tui.open_visit import OpenVisit
from examwalk.tui.screens.confirm import ConfirmSheet
from examwalk.tui.screens.page import Sheet
from examwalk.tui.text import phrase
from examwalk.tui.widgets.choices import Choices
from examwalk.tui.widgets.key_line import KeyLine
from examwalk.tui.widgets.line_input import LineInput

LONGEST_PATH = 1000
LONGEST_DAY = 20
CODES: Mapping[str, str] = {"kept": later("kept"), "without": later("left out, anonymous")}
"""Whether a page tells who was examined by whom, and on which day."""
LEFT_OUT = later(
    "Codes, initials, notes and free answers are left out, dates are cut to the year, and ages"
    " over 89 stand as 90 or older. Rare findings can still tell who it is."
)
PRINTED = ("html", "pdf")
"""The forms for which the size of the paper matters."""


class PagesSheet(Sheet[Path]):
    """Asks for a page, writes it, and returns its file; nothing is replaced unasked."""

    NAME = "pages"
    BINDINGS: ClassVar = bindings_of(NAME)
    CSS_PATH: ClassVar = "writing_pages.tcss"
    AUTO_FOCUS = "#kind"

    def __init__(self, visit: OpenVisit) -> None:
        super().__init__()
        self._visit = visit
        self._told = told_about(visit.protocol, visit.session)
        self._is_writing = False
        self._starts: date | None = None
        forms = dict(FORM_NAMES)
        self._no_pdf = ""
        try:
            browser()
        except CannotPrintError as error:
            del forms["pdf"]
            self._no_pdf = str(error)
        self._rows = (
            Choices(say("Page"), {kind: say(KIND_NAMES[kind]) for kind in PAGES}, name="kind"),
            Choices(say("Form"), {form: say(name) for form, name in forms.items()}, name="form"),
            Choices(
                say("Paper"),
                {key: say(name) for key, name in PAPER_NAMES.items()},
                name="paper",
                chosen=chosen("paper"),
            ),
            Choices(say("Codes"), {key: say(name) for key, name in CODES.items()}, name="codes"),
        )
        self._proposed = ""

    def compose_page(self) -> ComposeResult:
        """Lay out a line for each question."""
        yield Static(phrase((say("Write a page of this visit"), "bold")), classes="sheet-title")
        yield from self._rows
        with Horizontal(id="day-row"):
            yield Static(id="day-label")
            hint = say("such as 2027-01-31; empty: to be written in by hand")
            yield LineInput(id="day", compact=True, max_length=LONGEST_DAY, placeholder=hint)
        with Horizontal(id="file-row"):
            yield Static(id="file-label")
            yield LineInput(id="file", compact=True, max_length=LONGEST_PATH, select_on_focus=False)
        yield Static(id="says")
        yield KeyLine(self.key_line())

    def on_mount(self) -> None:
        """Propose a file."""
        self._propose()
        self._say(self._no_pdf, "$dim")
        self._show_pointer()

    @on(events.DescendantFocus)
    def _show_pointer(self) -> None:
        for field, label in ((self._day, say("Worn from")), (self._file, say("File"))):
            here = ("▸ ", "bold $here") if self.focused is field else "  "
            self.query_one(f"#{field.id}-label", Static).update(phrase(here, label))

    @property
    def _fields(self) -> list[Choices | Input]:
        """The lines that the pointer can stand on."""
        lines = [row for row in self._rows if row.display]
        return [*lines, *([self._day] if self._asks_for_day else []), self._file]

    @property
    def _kind(self) -> str:
        return self._rows[0].chosen

    @property
    def _form(self) -> str:
        return self._rows[1].chosen

    @property
    def _is_anonymous(self) -> bool:
        return self._rows[3].chosen != "kept"

    @property
    def _asks_for_day(self) -> bool:
        """Only the patient's page has days, and an anonymous one has none."""
        return self._kind == "patient" and not self._is_anonymous

    @property
    def _day(self) -> Input:
        return self.query_one("#day", Input)

    @property
    def _file(self) -> Input:
        return self.query_one("#file", Input)

    def _propose(self) -> None:
        """Name a file for what is chosen; a name that was typed stays."""
        self._rows[2].display = self._form in PRINTED
        self.query_one("#day-row").display = self._asks_for_day
        if self._file.value == self._proposed:
            proposed = page_file(
                self._visit.path, self._kind, self._form, anonymous=self._is_anonymous
            )
            self._proposed = str(proposed)
            self._file.value = self._proposed
            self._file.cursor_position = len(self._proposed)

    def _say(self, sentence: str, style: str = "$stop") -> None:
        says = self.query_one("#says", Static)
        says.update(phrase((sentence, style)))
        says.display = bool(sentence)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Let no key act while a page is being written."""
        return not self._is_writing and super().check_action(action, parameters)

    def action_field(self, key: str) -> None:
        """Go to the next line, or the one before."""
        fields = self._fields
        at = fields.index(cast("Choices | Input", self.focused)) if self.focused else 0
        by = -1 if key in {"up", "shift+tab"} else 1
        self.set_focus(fields[(at + by) % len(fields)])  # at once, before the next key

    def action_choose(self, key: str) -> None:
        """Choose another word of the line at the pointer."""
        if isinstance(self.focused, Choices):
            self.focused.move(-1 if key == "left" else 1)
            self._propose()
            self._say(say(LEFT_OUT) if self._is_anonymous else "", "$dim")

    @on(Input.Changed)
    def _typed(self, event: Input.Changed) -> None:
        event.stop()
        if event.value != self._proposed:
            self._say("")

    def action_close(self) -> None:
        """Write nothing."""
        self.dismiss(None)

    def action_write(self) -> None:
        """Write the page, after asking about whatever would surprise."""
        typed = self._file.value.strip()
        if not typed:
            self._say(say("The page needs the name of a file."))
            return
        # A bare name is meant beside the visit, as the proposed one is.
        home_known = os.path.expanduser(typed)  # noqa: PTH111 — the other one fails on "~nobody"
        target = self._visit.path.parent / home_known
        refusal = _refusal(target, self._visit.path)
        if refusal:
            self._say(f"{target}: {refusal}")
            return
        try:
            self._starts = self._first_day()
        except ValueError as error:
            self._say(str(error))
            self.set_focus(self._day)
            return
        self._ask(_doubts(self._told, self._kind, target), target)

    def _first_day(self) -> date | None:
        """Return the day on which the device is first worn, where it is known.

        Raises:
            ValueError: what was typed cannot be this day; the message says why.
        """
        typed = self._day.value.strip()
        if not typed or not self._asks_for_day:
            return None
        starts = typed_day(typed)
        unlikely = unlikely_start(starts, self._visit.session.started.date())
        if unlikely:
            raise ValueError(unlikely)
        return starts

    def _ask(self, doubts: list[str], target: Path) -> None:
        """Put each doubt as a question, and write after the last yes."""
        if not doubts:
            self._write(target)
            return

        def answered(yes: bool | None) -> None:
            if yes:
                self._ask(doubts[1:], target)
            else:
                self._say(say("Nothing was written."), "$warn")

        self.app.push_screen(ConfirmSheet(doubts[0]), answered)

    @work(exclusive=True)
    async def _write(self, target: Path) -> None:
        self._is_writing = True
        self._say(say("Writing …"), "$dim")
        asked = self._kind, self._form, self._rows[2].chosen
        told = self._told_now()
        try:
            # A browser takes seconds; the window must follow its keys and its size meanwhile.
            data = await asyncio.to_thread(written_bytes, told, *asked)
            write_atomically(target, data, keep_previous=False)
        except (CannotPrintError, SaveFailedError) as error:
            self._say(str(error))
        else:
            self.dismiss(target)
        finally:
            self._is_writing = False

    def _told_now(self) -> Told:
        """Return what the page is written from, as it was asked for."""
        if self._is_anonymous:
            return told_about(self._visit.protocol, self._visit.session, anonymous=True)
        return evolve(self._told, starts=self._starts)


def _refusal(target: Path, visit: Path) -> str:
    """Return why nothing is written there, or an empty text."""
    try:
        if not target.parent.is_dir():
            return say("There is no folder of this name.")
        return in_the_way(target, visit)
    except (OSError, ValueError):
        return say("This is not the name of a file.")


def _doubts(told: Told, kind: str, target: Path) -> list[str]:
    """Return the questions that are put before a page is written."""
    doubts = []
    blanks = order_blanks(told) if kind == "order" else ()
    if blanks:
        doubts.append(
            say(
                "The order has blanks: {features}. Answer what they wait for, or decide on them."
                " Write it all the same, with its blanks?",
                features=", ".join(blanks),
            )
        )
    if os.path.lexists(target):
        doubts.append(say("{path} exists already. Replace it?", path=target))
    return doubts
