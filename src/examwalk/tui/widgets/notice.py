"""The line that says what the last key did."""

from examwalk.tui.exam_walk import Said
from examwalk.tui.text import phrase
from examwalk.tui.widgets.words import Words


class Notice(Words):
    """One or two lines above the keys: an echo, a question or a refusal."""

    DEFAULT_CSS = """
    Notice { height: auto; min-height: 1; max-height: 2; width: 1fr; }
    """

    def tell(self, said: Said) -> None:
        """Show what was done, or with a mark what was not done and why."""
        mark = ("! ", "bold $warn") if said.is_refusal else ""
        self.show(phrase(mark, (said.sentence, "bold $warn" if said.is_refusal else "$dim")))
