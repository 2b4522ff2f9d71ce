"""The sheet that asks why a test is not done."""

from typing import ClassVar

from attrs import frozen
from textual.app import ComposeResult
from textual.widgets import Static

from examwalk.language import say
from examwalk.protocol.model import Protocol
from examwalk.report.sides import side_word
from examwalk.session.model import Side
from examwalk.tui.keys import DIGITS, Action, bindings_of
from examwalk.tui.screens.note import NoteSheet
from examwalk.tui.screens.page import Sheet
from examwalk.tui.text import phrase
from examwalk.tui.widgets.key_line import KeyLine


@frozen
class NotDone:
    """Why a test is not done, and whether that is so on both sides."""

    reason: str
    """A reason's id in the protocol, or free words."""
    both_sides: bool


class NotDoneSheet(Sheet[NotDone]):
    """Lists the reasons of the protocol; one key chooses one."""

    NAME = "not-done"
    BINDINGS: ClassVar = bindings_of(NAME)

    def __init__(self, protocol: Protocol, test_name: str, side: Side) -> None:
        super().__init__()
        self._reasons = tuple(protocol.not_done_reasons.items())[: len(DIGITS)]
        self._test_name = test_name
        self._side = side
        self._both = False

    def compose_page(self) -> ComposeResult:
        """Lay out the question, the reasons and the keys."""
        yield Static(id="not-done-title", classes="sheet-title")
        for key, (_, words) in zip(DIGITS, self._reasons, strict=False):
            yield Static(phrase((f"  {key}  ", "bold"), words))
        yield Static(phrase(("  o  ", "bold"), say("Another reason, in your own words")))
        yield KeyLine(self.key_line(), classes="sheet-keys")

    def on_mount(self) -> None:
        """Show for which side the reason will stand."""
        self._show_title()

    def key_line(self) -> tuple[Action, ...]:
        """Leave the key for both sides out where there are no sides."""
        return tuple(
            action.called(action.label, f"1-{len(self._reasons)}")
            if action.id == "reason"
            else action
            for action in super().key_line()
            if action.id != "both-sides" or self._side is not Side.WHOLE
        )

    def action_reason(self, key: str) -> None:
        """Return the reason with this key."""
        at = DIGITS.index(key)
        if at < len(self._reasons):
            self.dismiss(NotDone(self._reasons[at][0], self._both))

    def action_own_words(self) -> None:
        """Ask for a reason in free words."""

        def given(words: str | None) -> None:
            if words:
                self.dismiss(NotDone(words, self._both))

        self.app.push_screen(NoteSheet(say("Why is it not done?")), given)

    def action_both_sides(self) -> None:
        """Change between this side and both sides."""
        if self._side is not Side.WHOLE:
            self._both = not self._both
            self._show_title()

    def action_close(self) -> None:
        """Return nothing."""
        self.dismiss(None)

    def _show_title(self) -> None:
        where = say("both sides") if self._both else side_word(self._side)
        self.query_one("#not-done-title", Static).update(
            phrase(
                (say("Why is this not done?"), "bold"),
                f"   {self._test_name}, ",
                (where, "bold $here"),
            )
        )
