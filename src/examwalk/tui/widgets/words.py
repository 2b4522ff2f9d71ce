"""A piece of text that is painted again only when it changes."""

from textual.content import Content
from textual.widgets import Static


class Words(Static):
    """Text of one or more lines."""

    DEFAULT_CSS = """
    Words { height: auto; width: 1fr; }
    """

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002 (Textual's own word)
        super().__init__(id=id)
        self._shown = Content("")

    def show(self, content: Content) -> None:
        """Show other text; the page is laid out anew only where it takes other room."""
        if content.is_same(self._shown):
            return
        width = self.size.width
        same_room = bool(width) and len(content.wrap(width)) == len(self._shown.wrap(width))
        self._shown = content
        self.update(content, layout=not same_room)
