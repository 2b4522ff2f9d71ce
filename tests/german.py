"""What tells English words of the program's own apart from all other words."""

import re
from collections.abc import Mapping
from string import Formatter

TELLING = 12
"""Characters; a shorter English text may stand on a screen by chance."""


def pieces(english: str) -> list[str]:
    """Return what stands of a text on the screen whatever its values are, where it is telling."""
    found = [piece.strip() for piece, _, _, _ in Formatter().parse(english)]
    return [piece for piece in found if len(piece) > TELLING]


def english_on(screen: str, words: Mapping[str, str], protocol: str) -> list[str]:
    """Return the English texts of the program that can be read on a screen or page.

    Args:
        screen: what is read.
        words: a catalogue, by its English texts.
        protocol: the words of protocols, which are not the program's own.
    """
    shown = " ".join(screen.split()).casefold()
    return [
        piece
        for english, translated in words.items()
        if english != translated
        for piece in pieces(english)
        if _stands_in(shown, piece) and piece.casefold() not in protocol.casefold()
    ]


def _stands_in(shown: str, piece: str) -> bool:
    """Say whether a piece is there, and not as the end of another word."""
    words = piece.casefold()
    if words not in shown:
        return False
    return not piece[:1].isalnum() or re.search(rf"(?<!\w){re.escape(words)}", shown) is not None


class OnlyKnown(dict[str, str]):
    """A catalogue that remembers which texts it was asked for."""

    def __init__(self, words: Mapping[str, str]) -> None:
        super().__init__(words)
        self.asked: set[str] = set()

    def get(self, english, default=None):
        self.asked.add(english)
        return super().get(english, default)
