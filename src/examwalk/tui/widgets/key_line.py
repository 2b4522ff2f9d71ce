"""The line of keys at the bottom of every screen."""

from collections.abc import Sequence

from textual.content import Content
from textual.geometry import Size
from textual.widget import Widget

from examwalk.language import say
from examwalk.tui.keys import Action
from examwalk.tui.text import phrase

GAP = 2


class KeyLine(Widget):
    """Shows keys and what they do, in as many lines as fit; what comes last is left out first."""

    DEFAULT_CSS = """
    KeyLine { height: auto; max-height: 2; width: 1fr; color: $dim; }
    """

    def __init__(
        self,
        actions: Sequence[Action] = (),
        lines: int = 2,
        *,
        id: str | None = None,  # noqa: A002 (Textual's own word)
        classes: str | None = None,
    ) -> None:
        super().__init__(id=id, classes=classes)
        self._actions = tuple(actions)
        self._lines = lines

    def show(self, actions: Sequence[Action]) -> None:
        """Show other keys."""
        if tuple(actions) != self._actions:
            width = self.size.width
            before = len(_packed(self._actions, width, self._lines))
            self._actions = tuple(actions)
            self.refresh(layout=before != len(_packed(actions, width, self._lines)))

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """Say how many lines the keys need at a width."""
        return len(_packed(self._actions, width, self._lines))

    def render(self) -> Content:
        """Draw the keys."""
        rows = _packed(self._actions, self.size.width, self._lines)
        return Content("\n").join(
            Content(" " * GAP).join(
                phrase((action.key_words, "bold $foreground"), f" {say(action.label)}")
                for action in row
            )
            for row in rows
        )


def _packed(actions: Sequence[Action], width: int, most: int) -> list[list[Action]]:
    """Put actions into rows; the last one always has a place, since it is the way to help."""
    rows: list[list[Action]] = [[]]
    used = 0
    for action in actions:
        needed = Content(f"{action.key_words} {say(action.label)}").cell_length
        if rows[-1] and used + GAP + needed > width:
            if len(rows) == most:
                break
            rows.append([])
            used = 0
        used += needed + (GAP if rows[-1] else 0)
        rows[-1].append(action)
    return rows
