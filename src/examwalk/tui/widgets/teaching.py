"""How a test is done: as much as there is room for."""

from textual.content import Content
from textual.widget import Widget

from examwalk.language import later, say
from examwalk.protocol.exam_model import Test
from examwalk.tui.text import goes_on, hanging, phrase

MORE = later("… more: T")


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
        sections = teaching_sections(self._test, width)
        lines = [line for section in sections for line in section]
        if len(lines) + len(sections) - 1 <= height:
            return Content("\n\n").join(Content("\n").join(section) for section in sections)
        if len(lines) > height:
            lines = lines[:height]
            lines[-1:] = [goes_on(lines[-1] if lines else Content(""), width, say(MORE))]
        return Content("\n").join(lines)


def teaching_sections(test: Test, width: int) -> list[list[Content]]:
    """Write the teaching text in sections, each a list of lines of a width."""
    careful: list[Content] = []
    for caution in test.cautions:
        careful += hanging(phrase((f"▲ {say('Careful')}  ", "bold $warn")), phrase(caution), width)
    steps: list[Content] = []
    for number, step in enumerate(test.how, start=1):
        steps += hanging(phrase((f"{number:>2}  ", "$dim")), phrase(step), width)
    sections = [careful, steps]
    for words, text in (
        (say("Mistakes"), " · ".join(mistake.rstrip(".") for mistake in test.mistakes)),
        (say("Reading"), test.reading),
        (say("Why"), test.why),
    ):
        if text:
            body = phrase((text, "$dim"))
            sections.append(hanging(phrase((f"{words:<10}", "bold $dim")), body, width))
    return [section for section in sections if section]
