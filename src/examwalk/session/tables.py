"""Strict reading of the plain tables of a session file.

Nothing is coerced, and nothing stops at the first mistake: each problem is noted with its place
and a stand-in value is returned, so that all of them can be told at once. The stand-ins are
never used, because a file with a problem is refused.
"""

import math
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, date, datetime, time
from enum import Enum
from pathlib import Path
from typing import Final, TypeGuard, TypeVar

from examwalk.language import later, say, say_number
from examwalk.problems import Problem, nearest
from examwalk.text import clean, clean_line, is_harmful

FORMAT: Final = 1
"""The number of this form of the file."""
TEXT_LIMIT: Final = 20_000
"""The most characters that any one text of a session may have."""
ID_LIMIT: Final = 200
"""The most characters that an id or a code may have."""
_PROBLEMS_LIMIT: Final = 1_000

_LARGEST_WHOLE: Final = 2**63 - 1
_NO_TIME: Final = datetime(1, 1, 1, tzinfo=UTC)
_TIME_EXAMPLE: Final = "2026-11-25T09:20:11+00:00"
_A_TEXT: Final = later("a text in quotes")
_A_TEXT_OR_NUMBER: Final = later("a text in quotes or a number")
_AN_ANSWER: Final = later("a text in quotes, a number or a list of texts")
_A_FLAG: Final = later("true or false")
_A_TIME: Final = later("a date and time with its offset, such as {example}")
_A_TABLE: Final = later("a table under [{key}]")
_AN_INNER_TABLE: Final = later("a table")
_TABLES: Final = later("a list of tables, each under [[{key}]]")
_ONE_OF_TABLES: Final = later("a table under [[{key}]]")

Word = TypeVar("Word", bound=Enum)


class Problems:
    """The problems found so far in one file; beyond a thousand they are only counted."""

    def __init__(self, file: Path | None) -> None:
        self.file = file
        self._found: list[Problem] = []
        self._uncounted = 0

    def __bool__(self) -> bool:
        return bool(self._found)

    @property
    def is_full(self) -> bool:
        """Whether further problems are only counted."""
        return len(self._found) >= _PROBLEMS_LIMIT

    def add(self, place: str, message: str) -> None:
        """Note a problem at a place."""
        if self.is_full:
            self._uncounted += 1
        else:
            self._found.append(Problem(message, file=self.file, place=place))

    def all(self) -> tuple[Problem, ...]:
        """Return the problems, the last of which counts those that are not listed."""
        if not self._uncounted:
            return tuple(self._found)
        message = say("There are {count} more problems.", count=say_number(self._uncounted))
        return (*self._found, Problem(message, file=self.file))


class Table:
    """One table of the file, read key by key; what was not asked for is an unknown key."""

    def __init__(self, values: Mapping[str, object], place: str, problems: Problems) -> None:
        self.place = place
        self.is_sound = True
        """Whether no problem was noted with this table so far."""
        self._values = values
        self._problems = problems
        self._known: list[str] = []

    def problem(self, message: str, key: str = "") -> None:
        """Note a problem with this table, or with one of its keys."""
        self.is_sound = False
        where = ", ".join(part for part in (self.place, key) if part)
        self._problems.add(where, message)

    def has(self, key: str) -> bool:
        """Say whether an optional key is there."""
        self._known.append(key)
        return key in self._values

    def name_after(self, *keys: str) -> None:
        """Add the texts under these keys to the place that problems are told with."""
        values = (self._values.get(key) for key in keys)
        names = [clean_line(value[:60]) for value in values if isinstance(value, str)]
        if any(names):
            self.place = f"{self.place} ({', '.join(name for name in names if name)})"

    def close(self) -> None:
        """Note every key that was never asked for."""
        for key in self._values:
            if key in self._known:
                continue
            shown = clean_line(key[:60])
            hint = "" if self._problems.is_full else nearest(shown, self._known)
            unknown = say("This key is not known here.")
            self.problem(unknown + hint, shown or say("a key without a name"))

    def raw(self, key: str) -> object:
        """Return the value of a key as it stands, or None."""
        self._known.append(key)
        return self._values.get(key)

    def id(self, key: str) -> str:
        """Read a required id or code: one line without control characters, kept exactly."""
        return self.id_of(self._required(key, _A_TEXT), key)

    def id_of(self, value: object, key: str) -> str:
        """Check a value that must be an id; None stands for a problem noted before."""
        text = self._text_of(value, key)
        if text is None:
            return ""
        if not text.strip():
            self.problem(say("This is blank."), key)
        elif len(text) > ID_LIMIT:
            self.problem(_too_long(len(text), ID_LIMIT), key)
        elif harmful := _first_harmful(text):
            self.problem(say("This may not hold {character}.", character=harmful), key)
        elif text != text.strip():
            self.problem(say("This may not begin or end with a space."), key)
        return text

    def line(self, key: str) -> str:
        """Read a required text of one line, cleaned."""
        value = self._text_of(self._required(key, _A_TEXT), key)
        return "" if value is None else clean_line(value)

    def text(self, key: str) -> str:
        """Read an optional text, cleaned; an empty text where the key is missing."""
        value = self._text_of(self.raw(key), key)
        return "" if value is None else clean_text(value)

    def spoken(self, key: str) -> str:
        """Read a required text that says something, cleaned."""
        value = self._text_of(self._required(key, _A_TEXT), key)
        if value is None:
            return ""
        if not value.strip():
            self.problem(say("This is blank."), key)
        return clean_text(value)

    def flag(self, key: str) -> bool:
        """Read an optional true or false; false where the key is missing."""
        value = self.raw(key)
        if value is not None and not isinstance(value, bool):
            self._wrong(key, _A_FLAG, value)
        return value is True

    def time(self, key: str) -> datetime:
        """Read a required date and time with its offset from UTC."""
        value = self._required(key, _A_TIME)
        if value is None:
            return _NO_TIME
        if not isinstance(value, datetime):
            self._wrong(key, _A_TIME, value)
            return _NO_TIME
        if value.tzinfo is None:
            lacking = say(
                "The time {time} does not say its offset from UTC; add it at the end, "
                "such as {example}.",
                time=value.isoformat(),
                example=_TIME_EXAMPLE,
            )
            self.problem(lacking, key)
            return _NO_TIME
        return value

    def word(self, key: str, words: Sequence[Word], default: Word | None = None) -> Word:
        """Read one of a few fixed words."""
        allowed = f" {say('or')} ".join(f"“{word.value}”" for word in words)
        value = self.raw(key) if default else self._required(key, allowed)
        if value is None:
            return default or words[0]
        for word in words:
            if word.value == value:
                return word
        hint = nearest(value[:60], [word.value for word in words]) if isinstance(value, str) else ""
        self._wrong(key, allowed, value, hint)
        return words[0]

    def value(self, key: str) -> str | int | float:
        """Read a required id or finite number."""
        value = self._required(key, _A_TEXT_OR_NUMBER)
        if is_number(value):
            return value
        if isinstance(value, str):
            return self.id_of(value, key)
        if value is not None:
            self._wrong(key, _A_TEXT_OR_NUMBER, value)
        return 0

    def answer(self, key: str) -> str | int | float | tuple[str, ...] | None:
        """Read an optional answer: a text, a finite number, or a list of different ids."""
        value = self.raw(key)
        if value is None:
            return None
        if is_number(value):
            return value
        if isinstance(value, str):
            return self.spoken(key)
        if isinstance(value, list):
            return self._options(key, value)
        self._wrong(key, _AN_ANSWER, value)
        return None

    def table(self, key: str) -> "Table":
        """Read a required table inside this one; a stand-in for a missing one says no more."""
        return self._inside(key, self._required(key, _A_TABLE), _A_TABLE)

    def table_or_none(self, key: str) -> "Table | None":
        """Read an optional table inside this one."""
        value = self.raw(key)
        return None if value is None else self._inside(key, value, _AN_INNER_TABLE)

    def _inside(self, key: str, value: object, wanted: str) -> "Table":
        if isinstance(value, dict):
            place = f"{self.place}, {key}" if self.place else key
            return Table(value, place, self._problems)
        if value is not None:
            self._wrong(key, wanted, value)
        return Table({}, "", Problems(None))

    def tables(self, key: str, limit: int) -> "Iterator[Table]":
        """Read a list of tables that may be missing; each is placed by its number, from 1."""
        value = self.raw(key)
        if value is None:
            return
        if not isinstance(value, list):
            self._wrong(key, _TABLES, value)
            return
        if len(value) > limit:
            too_many = say(
                "There are {count} of these; at most {limit} can be.",
                count=say_number(len(value)),
                limit=say_number(limit),
            )
            self.problem(too_many, key)
            return
        for number, values in enumerate(value, start=1):
            if isinstance(values, dict):
                yield Table(values, f"{key} {number}", self._problems)
            else:
                self._wrong(f"{key} {number}", _ONE_OF_TABLES, values)

    def _options(self, key: str, values: Sequence[object]) -> tuple[str, ...]:
        if not values:
            empty = say("This list is empty; leave the key out where nothing was chosen.")
            self.problem(empty, key)
        chosen: list[str] = []
        for value in values:
            option = self.id_of(value, key)
            if option and option in chosen:
                self.problem(say("This list names {option} twice.", option=_shown(option)), key)
            chosen.append(option)
        return tuple(chosen)

    def _required(self, key: str, wanted: str) -> object:
        value = self.raw(key)
        if value is None:
            missing = say("This key is missing; it should be {wanted}.", wanted=_in(wanted, key))
            self.problem(missing, key)
        return value

    def _text_of(self, value: object, key: str) -> str | None:
        if value is None:
            return None
        if not isinstance(value, str):
            self._wrong(key, _A_TEXT, value)
            return None
        if len(value) > TEXT_LIMIT:
            self.problem(_too_long(len(value), TEXT_LIMIT), key)
            return None
        return value

    def _wrong(self, key: str, wanted: str, value: object, hint: str = "") -> None:
        wrong = say(
            "This should be {wanted}, not {kind} ({value}).",
            wanted=_in(wanted, key),
            kind=_kind(value),
            value=_shown(value),
        )
        self.problem(wrong + hint, key)


def _in(wanted: str, key: str) -> str:
    """Say what is wanted under a key, behind which the number of one table may stand."""
    return say(wanted, key=key.split(" ", maxsplit=1)[0], example=_TIME_EXAMPLE)


def _too_long(count: int, limit: int) -> str:
    return say(
        "This has {count} characters; at most {limit} can be.",
        count=say_number(count),
        limit=say_number(limit),
    )


def is_number(value: object) -> TypeGuard[int | float]:
    """Say whether a value is a finite number of ordinary size; true and false are none."""
    if isinstance(value, bool):
        return False
    if isinstance(value, int):
        return abs(value) <= _LARGEST_WHOLE
    return isinstance(value, float) and math.isfinite(value)


def clean_text(text: str) -> str:
    """Return a text of several lines cleaned, its line ends made ``\\n``."""
    return clean(text.replace("\r\n", "\n") if "\r" in text else text)


def _first_harmful(text: str) -> str:
    if text.isascii() and text.isprintable():
        return ""
    for character in text:
        if is_harmful(character) or character in "\n\t\u2028\u2029":
            name = unicodedata.name(character, say("a control character"))
            return f"U+{ord(character):04X} ({name.lower()})"
    return ""


def _kind(value: object) -> str:
    for kind, words in _KINDS:
        if isinstance(value, kind):
            return say(words)
    return say("something else")


_KINDS: Final = (
    (bool, later("true or false")),
    (int, later("a whole number")),
    (float, later("a decimal number")),
    (str, later("a text")),
    (datetime, later("a date and time")),
    (date, later("a date")),
    (time, later("a time of day")),
    (list, later("a list")),
    (dict, later("a table")),
)


def _shown(value: object) -> str:
    if isinstance(value, list | dict):
        return say("{count} in it", count=len(value))
    if isinstance(value, str):
        return f"“{clean_line(value[:60])}”"
    if isinstance(value, int) and abs(value) > _LARGEST_WHOLE:
        return say("too large to be one")
    return str(value).lower() if isinstance(value, bool) else str(value)
