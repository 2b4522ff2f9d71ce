"""What a terminal can show."""

import codecs
from collections.abc import Mapping

WITHOUT_BRAILLE = ("linux", "dumb")
"""Terminals, as ``TERM`` names them, whose letters have no braille."""


def can_show_braille(environment: Mapping[str, str], encoding: str | None) -> bool:
    """Say whether a terminal can be expected to show braille.

    Args:
        environment: of which ``TERM`` tells the kind of terminal.
        encoding: in which the terminal is written to, if that is known.
    """
    try:
        is_unicode = codecs.lookup(encoding or "ascii").name == "utf-8"
    except LookupError:
        is_unicode = False
    return is_unicode and environment.get("TERM", "") not in WITHOUT_BRAILLE
