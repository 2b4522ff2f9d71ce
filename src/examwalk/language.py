"""The program's own words in the user's language.

The code says them in English through :func:`say`; ``catalogues`` holds what stands for it in
another language. What a catalogue lacks is said in English. The words of a protocol are not
here but beside it.
"""

from collections.abc import Mapping
from types import MappingProxyType

ENGLISH = "en"


class _Chosen:
    """The language of this process: chosen once, at the rim, before anything is said."""

    code: str = ENGLISH
    words: Mapping[str, str] = MappingProxyType({})


def say(english: str, /, **values: object) -> str:
    """Return a text in the chosen language, with values put in where it names them.

    Args:
        english: the text, with ``{name}`` where a value belongs.
        **values: what belongs there; a value is put in as it is and never read as a pattern.
    """
    words = _Chosen.words.get(english, english)
    return words.format(**values) if values else words


def say_count(count: int, one: str, many: str, /, **values: object) -> str:
    """Return the text for one thing or the one for several; ``{count}`` stands for how many."""
    return say(one if count == 1 else many, count=count, **values)


def say_number(number: int) -> str:
    """Write a whole number with its thousands set apart, as in ``5,000,000``."""
    return f"{number:,}".replace(",", say(","))


def say_decimal(written: str) -> str:
    """Put the decimal sign of the language into a number that is written in digits."""
    return written.replace(".", say("."))


def later(english: str, /) -> str:
    """Mark a text of a table that is made before a language is chosen; say it where it is used."""
    return english


def chosen_language() -> str:
    """Return the code of the language in use, such as ``en``."""
    return _Chosen.code


def speak(code: str, words: Mapping[str, str]) -> None:
    """Say everything from here on with these words; what they lack is said in English."""
    _Chosen.code, _Chosen.words = code, MappingProxyType(dict(words))
