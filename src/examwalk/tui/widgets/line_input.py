"""A field for one line of text: safe against pasted control characters and against haste."""

from typing import Self

from textual import events
from textual.binding import Binding
from textual.widgets import Input

from examwalk.text import clean

_BLANKS = str.maketrans("\n\t", "  ")
_EDITING_KEYS = frozenset(
    key
    for binding in Input.BINDINGS
    if isinstance(binding, Binding) and binding.action != "submit"
    for key in binding.key.split(",")
)


class LineInput(Input):
    """A field in which keys take effect in the order in which they were pressed.

    Textual hands a printable key to the field at once and lets all others travel to the app
    first. Over a slow line several keys come in one go, and an Enter would then overtake, or be
    overtaken by, its neighbours: a figure meant for the next test would end in this text. So
    the field itself runs what its screen binds to Enter, Tab, Esc and the like, and passes on
    what was pressed before it lost the focus but reached it after.
    """

    def validate_value(self, value: str) -> str:
        """Replace what could drive the terminal, one character for one, so the cursor stays."""
        return clean(value).translate(_BLANKS)

    def focus(self, scroll_visible: bool = True) -> Self:
        """Take the focus at once, so that the next key already comes here."""
        self.screen.set_focus(self, scroll_visible)
        return self

    async def _on_key(self, event: events.Key) -> None:
        # ``has_focus`` is set by a message that may still be waiting behind this key.
        if self.app.focused is not self:
            event.stop()
            event.prevent_default()
            self.app.post_message(events.Key(event.key, event.character))
            return
        if not self.screen.check_action("type", ()):
            event.prevent_default()  # nothing is written while nothing can be seen
            return
        action = self._bound_by_the_screen(event)
        if action is None:
            await super()._on_key(event)
            return
        event.stop()
        event.prevent_default()
        await self.screen.run_action(action)

    def _bound_by_the_screen(self, event: events.Key) -> str | None:
        if event.is_printable or event.key in _EDITING_KEYS:
            return None
        for binding in self.screen.BINDINGS:
            if isinstance(binding, Binding) and binding.key == event.key:
                return binding.action
        return None
