"""A field for one line of text, which a paste cannot fill with anything that drives a terminal."""

from textual.widgets import Input

from examwalk.text import clean

_BLANKS = str.maketrans("\n\t", "  ")


class LineInput(Input):
    """Textual's field shows control characters as they come; here they are replaced at once."""

    def validate_value(self, value: str) -> str:
        """Replace what could drive the terminal, one character for one, so the cursor stays."""
        return clean(value).translate(_BLANKS)
