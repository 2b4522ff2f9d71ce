"""One line of a form on which one of a few words is chosen."""

from collections.abc import Mapping

from textual.content import Content
from textual.widget import Widget

from examwalk.tui.text import phrase

LABEL_CELLS = 10


class Choices(Widget, can_focus=True):
    """Shows all that can be chosen; a full circle marks what is."""

    DEFAULT_CSS = """
    Choices { height: 1; width: 1fr; }
    """

    def __init__(
        self, label: str, words: Mapping[str, str], *, name: str, chosen: str = ""
    ) -> None:
        super().__init__(id=name)
        self._label = label
        self._words = words
        self.chosen = chosen or next(iter(words))

    def move(self, by: int) -> None:
        """Choose the next one, or the one before; the line ends where it ends."""
        known = list(self._words)
        self.chosen = known[min(max(0, known.index(self.chosen) + by), len(known) - 1)]
        self.refresh()

    def render(self) -> Content:
        """Draw the line."""
        here = ("▸ ", "bold $here") if self.has_focus else "  "
        words = [
            phrase((f"● {word}", "bold")) if key == self.chosen else phrase((f"○ {word}", "$dim"))
            for key, word in self._words.items()
        ]
        return phrase(here, self._label.ljust(LABEL_CELLS)) + Content("   ").join(words)
