"""Cleaning of text that came from a file or from a person."""

import re
import unicodedata

REPLACEMENT = "�"
_KEPT = frozenset("\n\t")
_DEVICE_OF_WINDOWS = re.compile(r"(?:con|prn|aux|nul|(?:com|lpt)[0-9])(?:\..*)?", re.IGNORECASE)


def names_a_device(name: str) -> bool:
    """Say whether Windows keeps this name of a file for a device, whatever its ending."""
    return _DEVICE_OF_WINDOWS.fullmatch(name) is not None


def is_harmful(character: str) -> bool:
    """Say whether a character could drive a terminal or reorder a line.

    Harmful is every character of Unicode category C (controls, bidirectional overrides and
    other format characters, lone surrogates, private use), except newline and tab.
    """
    return character not in _KEPT and unicodedata.category(character).startswith("C")


def clean(text: str) -> str:
    """Return the text with every harmful character replaced by U+FFFD."""
    if text.isprintable():
        return text
    return "".join(REPLACEMENT if is_harmful(character) else character for character in text)


def clean_line(text: str) -> str:
    """Return the text cleaned and on one line, its runs of white space folded to one space."""
    return " ".join(clean(text).split())
