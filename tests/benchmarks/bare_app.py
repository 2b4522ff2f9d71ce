"""The least that Textual can do: one text, and another one after a key. Run as a script."""

from textual import events
from textual.app import App, ComposeResult
from textual.widgets import Static

READY = "ready for keys"


class BareApp(App[None]):
    """Shows how many keys were pressed."""

    ENABLE_COMMAND_PALETTE = False

    def compose(self) -> ComposeResult:
        """Show one text."""
        yield Static(READY)

    def on_key(self, event: events.Key) -> None:
        """Show another text."""
        if event.key == "q":
            self.exit()
        self.count = getattr(self, "count", 0) + 1
        self.query_one(Static).update(pressed_words(self.count))


def pressed_words(count: int) -> str:
    """Return what is shown after so many keys."""
    return f"pressed {count} times"


if __name__ == "__main__":
    BareApp().run()
