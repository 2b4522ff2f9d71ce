"""What every screen has in common: room for its content, and a plea for room in a tiny window."""

from typing import TypeVar

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.screen import ModalScreen, Screen
from textual.widget import Widget
from textual.widgets import Input, Static

from examwalk.language import later, say
from examwalk.tui.keys import Action, actions_of
from examwalk.tui.text import literal

Result = TypeVar("Result")

TOO_SMALL = later("Please make the window larger: at least 60 columns and 18 rows.")


class Page(Screen[Result]):
    """A screen that fills the window.

    A subclass sets ``NAME`` (its name in the table of keys), ``BINDINGS = bindings_of(NAME)``,
    and yields its widgets from ``compose_page``.
    """

    NAME = ""
    _left: Widget | None = None
    """The field that was written in when the window became too small to show it."""

    def watch_focused(self, before: Widget | None, now: Widget | None) -> None:
        """Remember a field that is left because nobody can see it."""
        if now is None and self.is_too_small:
            self._left = before

    def on_resize(self) -> None:
        """Let a field that can be seen again be written in again, not its letters act as keys."""
        if self._left is not None and not self.is_too_small:
            self.call_after_refresh(self._go_back_into, self._left)
            self._left = None

    def _go_back_into(self, field: Widget) -> None:
        if not field.is_attached or self.focused is not None:
            return
        self.set_focus(field)
        if isinstance(field, Input):
            # What stands there is written on, not selected and so replaced by the next letter.
            selects, field.select_on_focus = field.select_on_focus, False
            field.call_later(setattr, field, "select_on_focus", selects)

    def compose(self) -> ComposeResult:
        """Lay out the page, and the line that takes its place in a tiny window."""
        yield Static(literal(say(TOO_SMALL)), classes="too-small")
        with Vertical(classes="page"):
            yield from self.compose_page()

    def compose_page(self) -> ComposeResult:
        """Yield the widgets of the page."""
        yield from ()

    @property
    def is_too_small(self) -> bool:
        """Whether the window is so small that the page is not shown."""
        return self.has_class("-narrow") or self.has_class("-low")

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Let no key act on what cannot be seen."""
        return not self.is_too_small

    def key_line(self) -> tuple[Action, ...]:
        """Return the actions for the line of keys, most wanted first."""
        return tuple(action for action in actions_of(self.NAME) if action.on_line)

    def say(self, sentence: str) -> None:
        """Say a sentence on the page, where it has a line for that."""

    def refresh_visit(self) -> None:
        """Show the open visit as it is now."""


class Sheet(Page[Result], ModalScreen[Result]):
    """A page that rises from the bottom over the screen beneath and returns a result."""
