"""Cells and lines of CSV (RFC 4180), written so that a spreadsheet reads them as they are meant."""

from collections.abc import Iterable
from typing import Final

LINE_END: Final = "\r\n"
GUARD: Final = "'"
"""Stands before a text that a spreadsheet could run as a formula; a reader takes one away."""
_TO_GUARD: Final = (*"=+-@\t\r\n\0'", *"\uff1d\uff0b\uff0d\uff20")
_TO_QUOTE: Final = frozenset(',"\r\n')


def text_cell(text: str) -> str:
    """Write a text: guarded where it begins like a formula, or with the guard itself."""
    return quoted(GUARD + text if text.lstrip(" ").startswith(_TO_GUARD) else text)


def number_cell(number: float) -> str:
    """Write a number with a decimal point; it is never guarded, so that it stays a number."""
    return repr(number)


def quoted(text: str) -> str:
    """Put a cell in quotes where it holds what would end it."""
    if _TO_QUOTE.isdisjoint(text):
        return text
    return '"' + text.replace('"', '""') + '"'


def line(cells: Iterable[str]) -> str:
    """Join cells that are written already into one line."""
    return ",".join(cells) + LINE_END
