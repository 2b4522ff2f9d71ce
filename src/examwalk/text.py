"""Cleaning of text that came from a file or from a person."""

import unicodedata

REPLACEMENT = "�"
_KEPT = frozenset("\n\t")


def is_harmful(character: str) -> bool:
    """Say whether a character could drive a terminal or reorder a line.

    Harmful is every character of Unicode category C (controls, bidirectional overrides and
    other format characters, lone surrogates, private use), except newline and tab.
    """
    return character not in _KEPT and unicodedata.category(character).startswith("C")


def clean(text: str) -> str:
    """Return the text with every harmful character replaced by U+FFFD."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(REPLACEMENT if is_harmful(character) else character for character in text)


def clean_line(text: str) -> str:
    """Return the text cleaned and on one line, its runs of white space folded to one space."""
    return " ".join(clean(text).split())
