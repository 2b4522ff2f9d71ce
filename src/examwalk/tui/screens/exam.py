"""The exam: one test after the other, one key for each answer."""

from collections.abc import Callable
from typing import TYPE_CHECKING, ClassVar, ParamSpec, cast

from textual import on
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.geometry import Region
from textual.widgets import Input

from examwalk.language import say
from examwalk.protocol.condition_model import DeviceEffect
from examwalk.protocol.exam_model import Kind
from examwalk.session.model import Place, Side
from examwalk.tui.exam_walk import ExamWalk
from examwalk.tui.keys import bindings_of
from examwalk.tui.open_visit import OpenVisit
from examwalk.tui.pictures import Pictures
from examwalk.tui.screens.exam_figure import drawn_side, picture_at
from examwalk.tui.screens.exam_parts import columns_of, exam_keys, looks_of, title_line, top_line
from examwalk.tui.screens.jump import JumpSheet
from examwalk.tui.screens.not_done import NotDone, NotDoneSheet
from examwalk.tui.screens.note import NoteSheet
from examwalk.tui.screens.page import Page
from examwalk.tui.screens.reading import help_page, teaching_page
from examwalk.tui.screens.records import ask_to_correct
from examwalk.tui.text import phrase
from examwalk.tui.widgets.alerts import Alerts, alerts_of
from examwalk.tui.widgets.answers import Answers
from examwalk.tui.widgets.banner import Banner
from examwalk.tui.widgets.drawing import Drawing, Showing
from examwalk.tui.widgets.key_line import KeyLine
from examwalk.tui.widgets.line_input import LineInput
from examwalk.tui.widgets.looks import Looks, LooksView
from examwalk.tui.widgets.notice import Notice
from examwalk.tui.widgets.teaching import Teaching
from examwalk.tui.widgets.words import Words

if TYPE_CHECKING:
    from examwalk.tui.app import ExamwalkApp

Arguments = ParamSpec("Arguments")

TYPED = {"full_stop": ".", "comma": ",", "minus": "-", "backspace": "backspace"}
CLOCK_SECONDS = 20
MARGINS = 4
"""Columns at the left and right that a page leaves free."""
LONG_ANSWERS = 9
"""Lines of answers from which a low window leaves out its blank lines."""
ROOMY_ROWS = 32
ALERT_LINES = {False: 3, True: 10}
"""How many lines alerts may take in an ordinary and in a wide window."""


class ExamScreen(Page[None]):
    """Shows the test under the cursor and turns keys into steps of the walk."""

    NAME = "exam"
    BINDINGS: ClassVar = bindings_of(NAME)
    CSS_PATH = "exam.tcss"
    AUTO_FOCUS = ""

    def __init__(self, visit: OpenVisit, *, in_braille: bool = True) -> None:
        super().__init__()
        self._visit = visit
        self._pictures = Pictures(visit.protocol, in_braille=in_braille)
        self._walk = ExamWalk(visit)
        self._field_for: Place | None = None
        self._is_tight = False
        """The answers leave little room for anything else."""

    def compose_page(self) -> ComposeResult:
        """Lay out the exam."""
        yield Words(id="top")
        yield Banner()
        yield Words(id="title")
        with Vertical(id="body"):
            with Showing():
                with Vertical(id="telling"):
                    yield Teaching()
                    yield Looks(id="looks-beside")
                yield Drawing(self._pictures)
            yield Answers()
            yield LineInput(id="words", compact=True)
            yield Looks(id="looks")
            yield Words(id="note")
            yield Alerts()
        yield Notice()
        yield KeyLine()

    def on_mount(self) -> None:
        """Start the clock in the top line."""
        self.set_interval(CLOCK_SECONDS, self._show_top)

    def on_resize(self) -> None:
        """Lay the exam out for the room there is."""
        # The first size may be told before the innermost widgets are mounted.
        if self.query("#looks-beside"):
            self._show()
        else:
            self.call_after_refresh(self.on_resize)

    def refresh_visit(self) -> None:
        """Show the visit as it is now."""
        self._show()

    def say(self, sentence: str) -> None:
        """Show the visit as it is now, and a sentence until the next key."""
        self._do(self._walk.tell, sentence)

    # --- answering ---

    def action_answer(self, key: str) -> None:
        """Record or tick the answer with this key, or type a figure."""
        self._do(self._walk.answer, key)

    def action_type(self, key: str) -> None:
        """Type a sign into a number, or take the last figure back."""
        self._do(self._walk.type, TYPED[key])

    def action_accept(self) -> None:
        """Record what is written, typed, ticked or pointed at; go to a field that was left."""
        field = self.query_one("#words", Input)
        if self._walk.test.kind is not Kind.TEXT:
            self._do(self._walk.accept)
        elif field.has_focus:
            self._do(self._walk.write, field.value)
        else:
            field.focus()

    def action_tick(self) -> None:
        """Tick the option at the pointer."""
        self._do(self._walk.tick)

    def action_leave_field(self) -> None:
        """Let the keys work again while words are being written."""
        self.set_focus(None)

    @on(Input.Changed, "#words")
    def _keep_words(self, event: Input.Changed) -> None:
        # The message may come after the walk has moved on; then the field says otherwise.
        if event.value == event.input.value:
            self._keep_field()

    @on(Answers.Clicked)
    def _clicked(self, event: Answers.Clicked) -> None:
        self._do(self._walk.side, event.side)
        if event.key:
            self._do(self._walk.answer, event.key)

    # --- what else can be said of a test ---

    def action_not_done(self) -> None:
        """Ask why this test is not done."""

        def chosen(given: NotDone | None) -> None:
            if given is not None:
                self._walk.not_done(given.reason, both_sides=given.both_sides)
                self._after()

        walk = self._walk
        sheet = NotDoneSheet(self._visit.protocol, walk.test.name, walk.here.side)
        self.app.push_screen(sheet, chosen)

    def action_note(self) -> None:
        """Ask for a note on this test and side."""

        def written(text: str | None) -> None:
            if text is not None:
                self._do(self._walk.note, text)

        finding = self._visit.session.finding(self._walk.here)
        title = say("Note on {place}", place=self._visit.name_of(self._walk.here))
        self.app.push_screen(NoteSheet(title, finding.note if finding else ""), written)

    def action_correct(self) -> None:
        """Correct the answer of a signed visit, after asking for what, why and by whom."""

        ask_to_correct(self.app, self._visit, self._walk.here, self.say)

    def action_clear(self) -> None:
        """Take the answer away."""
        self._do(self._walk.clear)

    def action_undo(self) -> None:
        """Take back the last change."""
        self._do(self._walk.undo)

    # --- moving ---

    def action_other_side(self) -> None:
        """Go to the other side."""
        self._do(self._walk.other_side)

    def action_side(self, key: str) -> None:
        """Go to the left or to the right side."""
        self._do(self._walk.side, Side.LEFT if key == "left" else Side.RIGHT)

    def action_look(self, key: str) -> None:
        """Move the pointer through the answers."""
        self._do(self._walk.look, 1 if key == "down" else -1)
        self.call_after_refresh(self._scroll_to_pointer)

    def action_back(self) -> None:
        """Go to the previous test."""
        self._do(self._walk.step, -1)

    def action_forward(self) -> None:
        """Go to the next test."""
        self._do(self._walk.step, 1)

    def action_look_again(self) -> None:
        """Go to what the topmost cross-check asks to look at again, then to the next."""
        self._do(self._walk.look_again)

    def action_jump(self) -> None:
        """Ask for a test by part of its name and go there."""

        def chosen(place: Place | None) -> None:
            if place is not None:
                self._do(self._walk.go, place)

        self.app.push_screen(JumpSheet(self._visit, self._walk.here), chosen)

    # --- elsewhere ---

    def action_fold(self) -> None:
        """Fold the teaching text away, or back."""
        self._app.is_folded = not self._app.is_folded
        self._show()

    def action_teaching(self) -> None:
        """Read everything about this test."""
        walk = self._walk
        side = drawn_side(self._visit, walk.test, walk.here)
        page = teaching_page(self._visit.protocol, walk.test, self._pictures, side)
        self.app.push_screen(page)

    def action_help(self) -> None:
        """Show the keys."""
        self.app.push_screen(help_page(self.NAME))

    def action_review(self) -> None:
        """Go to the review."""
        self._app.show_review()

    def action_summary(self) -> None:
        """Go to the summary."""
        self._app.show_summary()

    def action_leave(self) -> None:
        """Leave the visit."""
        self._app.leave_visit()

    # --- painting ---

    @property
    def _app(self) -> "ExamwalkApp":
        return cast("ExamwalkApp", self.app)

    def _do(
        self,
        step: Callable[Arguments, None],
        *arguments: Arguments.args,
        **named: Arguments.kwargs,
    ) -> None:
        """Take a step of the walk and show where it led."""
        self._keep_field()
        step(*arguments, **named)
        self._after()

    def _keep_field(self) -> None:
        """Keep what stands in the field of a test in words, which is not accepted yet."""
        if self._field_for == self._walk.here and self._walk.test.kind is Kind.TEXT:
            self._walk.draft(self.query_one("#words", Input).value)

    def _after(self) -> None:
        if self._walk.is_over:
            self._app.show_review()
        else:
            self._show()

    def _show(self) -> None:
        """Paint the place under the cursor; widgets leave alone what stays the same."""
        visit, walk = self._visit, self._walk
        with self.app.batch_update():
            self.set_class(self._app.is_folded, "-folded")
            self._show_top()
            self.query_one("#title", Words).show(title_line(visit, walk.test))
            self.query_one(Teaching).show(walk.test)
            self._show_answers()
            self.query_one(Banner).warn(visit, is_short=not self._tells_what_stops)
            if self._field_for != walk.here:
                self.query_one("#body").scroll_home(animate=False)
            self._show_words()
            alerts = alerts_of(visit, walk.here, walk.fresh)
            self.query_one(Alerts).show(alerts, ALERT_LINES[self.has_class("-wide")])
            self.query_one(Notice).tell(walk.said)
            self.query_one(KeyLine).show(exam_keys(visit, walk.test, walk.here))

    @property
    def _tells_what_stops(self) -> bool:
        """Whether the banner says all about what stops, not just whom to refer to and when.

        In a low window it does so until the next key, or it would take the room of every test.
        """
        if self._is_tight:
            return False
        stops = [one for one in self._visit.case.cautions if one.device is DeviceEffect.STOP]
        is_new = any((one.id, one.side) in self._walk.fresh for one in stops)
        return is_new or self.size.height >= ROOMY_ROWS

    def _scroll_to_pointer(self) -> None:
        """Bring the row at the pointer into sight, where not all answers have room."""
        answers = self.query_one(Answers)
        line = answers.pointed_line()
        if line is not None:
            row = Region(0, answers.virtual_region.y + line, 1, 1)
            self.query_one("#body").scroll_to_region(row, animate=False)

    def _show_top(self) -> None:
        line = top_line(self._visit, self._walk.test, max(1, self.size.width - MARGINS))
        self.query_one("#top", Words).show(line)

    def _show_answers(self) -> None:
        walk = self._walk
        answers = self.query_one(Answers)
        answers.show(columns_of(self._visit, walk.test, walk.cursor))
        is_long = answers.lines_at(max(1, self.size.width - MARGINS)) > LONG_ANSWERS
        self._is_tight = is_long and self.size.height < ROOMY_ROWS
        self.query_one("#body").set_class(self._is_tight, "-tight")
        self._show_looks()
        finding = self._visit.session.finding(walk.here)
        note = self.query_one("#note", Words)
        note.display = bool(finding and finding.note)
        note.show(phrase((f"{say('Note')}  ", "bold $dim"), finding.note if finding else ""))

    def _show_looks(self) -> None:
        """Say and draw what an answer looks like; the words stand beside the drawing."""
        walk = self._walk
        picture = picture_at(self._visit, walk.test, walk.cursor)
        self.query_one(Drawing).show(picture)
        looks = looks_of(self._visit, walk.test, walk.cursor)
        is_apart = self._app.is_folded or self.has_class("-wide")
        is_beside = picture is not None and bool(looks.looks) and not is_apart
        self.query_one("#looks-beside", Looks).show(looks if is_beside else LooksView())
        self.query_one("#looks", Looks).show(LooksView() if is_beside else looks)

    def _show_words(self) -> None:
        """Show the field for an answer in words; it has the keys until Esc or Enter."""
        field, here = self.query_one("#words", Input), self._walk.here
        was_for, self._field_for = self._field_for, here
        field.display = self._walk.test.kind is Kind.TEXT
        if not field.display:
            self.set_focus(None)
        elif was_for != here:
            recorded = str(self._visit.session.answers.get(here, ""))
            with self.prevent(Input.Changed):
                field.value = self._visit.drafts.typed(here) or recorded
            field.focus()
