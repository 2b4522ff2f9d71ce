"""Headings, items and paragraphs of a report in plain text."""

from collections.abc import Iterable, Sequence
from textwrap import wrap

from examwalk.language import say

WIDTH = 88
MOST_NAMES = 6
"""Longer lists of names are cut short."""
DEEP = " " * 6
"""How far the reasons of a value stand in."""


def item(text: str) -> list[str]:
    """Write one of several things, after a dash."""
    return paragraph(text, indent="  - ")


def labelled(label: str, text: str, indent: str = "    ") -> list[str]:
    """Write something after a word or two that tell what it is."""
    return paragraph(f"{label}: {text}", indent)


def heading(title: str) -> Iterable[str]:
    """Write an underlined heading, apart from what stands above it."""
    return ("", title, "-" * len(title))


def paragraph(text: str, indent: str = "", width: int = WIDTH, hang: int = 0) -> list[str]:
    """Break a text into lines, never within a word or an id.

    Args:
        text: the words.
        indent: what the first line begins with; the others stand in as far.
        width: how many characters fit a line.
        hang: how much further the others stand in.
    """
    inner = " " * (len(indent) + hang)
    return wrap(text, width, initial_indent=indent, subsequent_indent=inner, break_on_hyphens=False)


def listed(names: Sequence[str]) -> str:
    """List names, the first few of many; all unanswered tests are listed below once more."""
    left = len(names) - MOST_NAMES
    if left <= 1:
        return ", ".join(names)
    return say("{names} and {count} more", names=", ".join(names[:MOST_NAMES]), count=left)
