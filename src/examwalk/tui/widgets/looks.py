"""What the grades look like: all of them where there is room, else the one at the pointer."""

from attrs import frozen
from textual.content import Content
from textual.geometry import Size
from textual.widget import Widget

from examwalk.tui.text import hanging, phrase
from examwalk.tui.widgets.answers import POINTER

MOST = 5
"""Lines that the grade at the pointer may take from what stands beside it."""


@frozen
class Look:
    """One grade or option and what it looks like."""

    key: str
    words: str
    looks: str


@frozen
class LooksView:
    """What the panel can show."""

    looks: tuple[Look, ...] = ()
    pointed: int | None = None
    """The grade at the pointer, else the one that is recorded on this side."""
    hint: str = ""
    """What stands there while nothing is pointed at and there is no room for all."""

    def __bool__(self) -> bool:
        return bool(self.hint) or any(look.looks for look in self.looks)


class Looks(Widget):
    """Shows what grades look like."""

    DEFAULT_CSS = """
    Looks {
        height: auto; min-height: 2; max-height: 100%; width: 1fr; margin-top: 1;
        text-wrap: nowrap; text-overflow: clip;
    }
    """

    def __init__(self, *, id: str) -> None:  # noqa: A002 (Textual's own word)
        super().__init__(id=id)
        self._view = LooksView()
        self.display = False

    def show(self, view: LooksView) -> None:
        """Show other grades."""
        if view != self._view:
            width = max(1, self.size.width)
            before = self._lines_wanted(width)
            self._view = view
            self.display = bool(view)
            self.set_class(not view.looks, "-one-line")
            self.refresh(layout=before != self._lines_wanted(width))

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """Say how many lines are wanted at a width."""
        return self._lines_wanted(width)

    def _lines_wanted(self, width: int) -> int:
        view = self._view
        if not view.looks or view.pointed is None:
            return len(phrase(view.hint).wrap(max(1, width)))
        return min(len(self._one(view.pointed, width)), MOST)

    def render(self) -> Content:
        """Draw as much as there is room for."""
        width, height = self.size
        every = self._all(width)
        if every and len(every) <= height:
            return Content("\n").join(every)
        if self._view.pointed is None:
            return phrase((self._view.hint, "$dim"))
        lines = self._one(self._view.pointed, width)
        if len(lines) > height:
            cut = lines[height - 1].truncate(max(0, width - 2)).append(" …")
            lines = [*lines[: height - 1], cut]
        return Content("\n").join(lines)

    def _all(self, width: int) -> list[Content]:
        lines: list[Content] = []
        for at, look in enumerate(self._view.looks):
            if look.looks:
                lines += self._one(at, width)
        return lines

    def _one(self, at: int, width: int) -> list[Content]:
        look = self._view.looks[at]
        pointed = at == self._view.pointed
        head = phrase(
            (f"{POINTER if pointed else ' '} ", "bold $here"),
            (f"{look.key}  ", "bold" if pointed else "$dim"),
        )
        words = f"{look.words}: " if look.looks else look.words
        body = phrase(
            (words, "bold" if pointed else "$dim bold"),
            (look.looks, "$foreground" if pointed else "$dim"),
        )
        return hanging(head, body, width)
