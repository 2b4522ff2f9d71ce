"""Braille text read back as dots, by the names that Unicode gives its characters."""

import re
import unicodedata
from collections.abc import Sequence

# Braille dots are numbered down the left column and then down the right one; 7 and 8 were added
# below.
PLACES = {
    "1": (0, 0),
    "2": (0, 1),
    "3": (0, 2),
    "4": (1, 0),
    "5": (1, 1),
    "6": (1, 2),
    "7": (0, 3),
    "8": (1, 3),
}


def dots_in(lines: Sequence[str]) -> set[tuple[int, int]]:
    dots = set()
    for row, line in enumerate(lines):
        for column, character in enumerate(line):
            if character == " ":
                continue
            name = unicodedata.name(character)
            numbers = re.fullmatch(r"BRAILLE PATTERN DOTS-(\d+)", name)
            assert numbers, name
            for number in numbers[1]:
                right, down = PLACES[number]
                dots.add((2 * column + right, 4 * row + down))
    return dots
