"""How a test is done: as much as there is room for."""

from textual.content import Content
from textual.widget import Widget

from examwalk.protocol.model import Test
from examwalk.tui.text import hanging, phrase

MORE = "… more: T "


class Teaching(Widget):
    """Shows the teaching text of a test, what keeps the patient safe first."""

    DEFAULT_CSS = """
    Teaching { height: 1fr; width: 1fr; text-wrap: nowrap; text-overflow: clip; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._test: Test | None = None

    def show(self, test: Test) -> None:
        """Show another test."""
        if test is not self._test:
            self._test = test
            self.refresh()

    def render(self) -> Content:
        """Draw as many lines as fit, and say where the rest is."""
        width, height = self.size
        if self._test is None or not width:
            return Content("")
        lines = teaching_lines(self._test, width)
        if len(lines) > height:
            lines = lines[:height]
            last = lines[-1].truncate(max(0, width - len(MORE) - 1), pad=True)
            lines[-1] = phrase(last, (f" {MORE}", "$here"))
        return Content("\n").join(lines)


def teaching_lines(test: Test, width: int) -> list[Content]:
    """Write the teaching text in lines of a width."""
    lines: list[Content] = []
    for caution in test.cautions:
        lines += hanging(phrase(("▲ Careful  ", "bold $warn")), phrase(caution), width)
    for number, step in enumerate(test.how, start=1):
        lines += hanging(phrase((f"{number:>2}  ", "$dim")), phrase(step), width)
    for words, texts in (
        ("Mistakes", test.mistakes),
        ("Reading", (test.reading,) if test.reading else ()),
        ("Why", (test.why,) if test.why else ()),
    ):
        if texts:
            body = phrase((" · ".join(texts), "$dim"))
            lines += hanging(phrase((f"{words:<10}", "bold $dim")), body, width)
    return lines
