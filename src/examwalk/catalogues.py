"""The languages there are, and choosing one of them.

``languages/<code>.toml`` is the catalogue of a language: a table ``[words]`` from each English
text that the code says to its translation.
"""

from collections.abc import Mapping
from importlib.resources import files
from pathlib import Path

from examwalk.language import ENGLISH, say, speak
from examwalk.problems import Problem, UnusableFileError, nearest
from examwalk.reading_files import decode, parse_toml, read_limited

LARGEST_CATALOGUE_BYTES = 2_000_000


def known_languages() -> tuple[str, ...]:
    """Return the codes of all languages, English first."""
    return (ENGLISH, *sorted(path.stem for path in _folder().glob("*.toml")))


def choose_language(code: str) -> None:
    """Say everything from here on in a language.

    Raises:
        UnusableFileError: there is no such language, or its catalogue cannot be read.
    """
    speak(code, {} if code == ENGLISH else read_catalogue(code))


def read_catalogue(code: str) -> Mapping[str, str]:
    """Return the words of a language by their English.

    Raises:
        UnusableFileError: there is no such language, or its catalogue cannot be read.
    """
    known = known_languages()
    if code not in known:
        message = say(
            "there is no language “{code}”; there are {known}.", code=code, known=", ".join(known)
        )
        raise UnusableFileError([Problem(message + nearest(code, known))])
    path = _folder() / f"{code}.toml"
    words = parse_toml(path, decode(path, read_limited(path, LARGEST_CATALOGUE_BYTES))).get("words")
    if not isinstance(words, dict) or not all(isinstance(text, str) for text in words.values()):
        message = say("a catalogue has one table [words], English text = translated text.")
        raise UnusableFileError([Problem(message, path)])
    return words


def _folder() -> Path:
    return Path(str(files("examwalk"))) / "languages"
