"""Headings and remarks between the rows of a list."""

from examwalk.tui.text import phrase
from examwalk.tui.widgets.lines import Row


def heading(text: str) -> Row:
    """Make the heading of a section."""
    return Row(phrase((text, "bold $here")))


def remark(text: str) -> Row:
    """Make a sentence that stands between the rows."""
    return Row(phrase((f"  {text}", "$dim")), hang=2)


BLANK = Row()
