"""The line of keys at the bottom of every screen."""

from collections.abc import Sequence

from textual.content import Content
from textual.geometry import Size
from textual.widget import Widget

from examwalk.language import later, say
from examwalk.tui.keys import Action
from examwalk.tui.text import phrase

GAP = 2
MOST_LINES = 3
ALL_KEYS = later("all keys")


class KeyLine(Widget):
    """Shows keys and what they do, in as many lines as they need.

    Where the window is too narrow for all of them, those that come last give way to the key of the
    help, which then says that it tells them all.
    """

    DEFAULT_CSS = f"""
    KeyLine {{ height: auto; max-height: {MOST_LINES}; width: 1fr; color: $dim; }}
    """

    def __init__(self, actions: Sequence[Action] = (), *, classes: str | None = None) -> None:
        super().__init__(classes=classes)
        self._actions = tuple(actions)

    def show(self, actions: Sequence[Action]) -> None:
        """Show other keys."""
        if tuple(actions) != self._actions:
            width = self.size.width
            before = len(_packed(self._actions, width))
            self._actions = tuple(actions)
            self.refresh(layout=before != len(_packed(actions, width)))

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """Say how many lines the keys need at a width."""
        return len(_packed(self._actions, width))

    def render(self) -> Content:
        """Draw the keys."""
        return Content("\n").join(
            Content(" " * GAP).join(
                phrase((action.key_words, "bold $foreground"), f" {say(action.label)}")
                for action in row
            )
            for row in _packed(self._actions, self.size.width)
        )


def _packed(actions: Sequence[Action], width: int) -> list[list[Action]]:
    """Put actions into rows; where they are too many the last are left out, but not the help."""
    rows = _rows(actions, width)
    kept = list(actions)
    tells_all = [action.called(ALL_KEYS) for action in actions if action.id == "help"]
    while len(rows) > MOST_LINES:
        kept = [action for action in kept if action.id != "help"][:-1]
        rows = _rows([*kept, *tells_all], width)
    return rows


def _rows(actions: Sequence[Action], width: int) -> list[list[Action]]:
    rows: list[list[Action]] = [[]]
    used = 0
    for action in actions:
        needed = Content(f"{action.key_words} {say(action.label)}").cell_length
        if rows[-1] and used + GAP + needed > width:
            rows.append([])
            used = 0
        used += needed + (GAP if rows[-1] else 0)
        rows[-1].append(action)
    return rows
