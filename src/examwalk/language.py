"""The program's own words in the user's language.

The code says them in English through :func:`say`; ``languages/<code>.toml`` is the catalogue of
another language: a table ``[words]`` from each English text to its translation. What a catalogue
lacks is said in English. The words of a protocol are not here but beside it.
"""

from collections.abc import Mapping
from importlib.resources import files
from pathlib import Path
from types import MappingProxyType

from examwalk.files import decode, parse_toml, read_limited
from examwalk.problems import Problem, UnusableFileError, nearest

ENGLISH = "en"
LARGEST_CATALOGUE_BYTES = 2_000_000


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


def later(english: str, /) -> str:
    """Mark a text of a table that is made before a language is chosen; say it where it is used."""
    return english


def chosen_language() -> str:
    """Return the code of the language in use, such as ``en``."""
    return _Chosen.code


def known_languages() -> tuple[str, ...]:
    """Return the codes of all languages, English first."""
    return (ENGLISH, *sorted(path.stem for path in _folder().glob("*.toml")))


def choose_language(code: str) -> None:
    """Say everything from here on in a language.

    Raises:
        UnusableFileError: there is no such language, or its catalogue cannot be read.
    """
    words: Mapping[str, str] = {} if code == ENGLISH else read_catalogue(code)
    _Chosen.code, _Chosen.words = code, MappingProxyType(dict(words))


def read_catalogue(code: str) -> Mapping[str, str]:
    """Return the words of a language by their English.

    Raises:
        UnusableFileError: there is no such language, or its catalogue cannot be read.
    """
    known = known_languages()
    if code not in known:
        listed = ", ".join(known)
        message = f"there is no language “{code}”; there are {listed}.{nearest(code, known)}"
        raise UnusableFileError([Problem(message)])
    path = _folder() / f"{code}.toml"
    words = parse_toml(path, decode(path, read_limited(path, LARGEST_CATALOGUE_BYTES))).get("words")
    if not isinstance(words, dict) or not all(isinstance(text, str) for text in words.values()):
        message = "a catalogue has one table [words], English text = translated text."
        raise UnusableFileError([Problem(message, path)])
    return words


def _folder() -> Path:
    return Path(str(files("examwalk"))) / "languages"
