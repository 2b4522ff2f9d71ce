"""From plain TOML values to the classes of the model, strictly: nothing is coerced.

Every mismatch is reported with the path of its key, and reading goes on, so that all of them
are found at once.
"""

import re
import types
from collections.abc import Callable, Iterable, Mapping
from enum import Enum
from functools import cache, partial
from typing import Any, Union, get_args, get_origin, get_type_hints

import attrs

from examwalk.problems import did_you_mean, nearest, nearest_word
from examwalk.protocol.locating import KeyPath
from examwalk.text import clean_line, is_harmful, names_a_device

Report = Callable[[KeyPath, str], None]
"""Called for each problem with the key path and a sentence."""
_Reader = Callable[[Any, KeyPath, Report], Any]
"""Reads a value that stands at a key path."""

LONGEST_TEXT = 20_000
LONGEST_ID = 100
"""Characters; a visit that names a longer id or version could not be read back."""
LARGEST_NUMBER = 1_000_000_000
"""No amount of a protocol comes near it; far beyond it arithmetic itself fails."""
_ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_KIND_WORDS = {
    str: "text in quotes",
    int: "a whole number",
    float: "a number",
    bool: "true or false",
}


class _Broken:
    """Stands for a value that could not be read."""


BROKEN = _Broken()


def structure(cls: type, value: object, report: Report, path: KeyPath = ()) -> Any:
    """Read a value as this class, or report what is wrong and return ``BROKEN``."""
    return _reader_of(cls)(value, path, report)


def _reader_of(expected: Any) -> _Reader:
    """Return what reads values of a type: thousands of values are read of a few types."""
    origin = get_origin(expected)
    if origin in (Union, types.UnionType):
        return _union_reader(get_args(expected))
    if origin is tuple:
        return _list_reader(get_args(expected))
    if origin is not None and issubclass(origin, Mapping):
        return partial(_read_mapping, _reader_of(get_args(expected)[1]))
    if attrs.has(expected):
        return partial(_read_class, expected)  # its keys may hold tables of the same class
    if issubclass(expected, Enum):
        return partial(_read_enum, {str(member.value): member for member in expected})
    return partial(_read_scalar, (expected,))


def _union_reader(members: tuple[Any, ...]) -> _Reader:
    members = tuple(member for member in members if member is not type(None))
    scalars = tuple(member for member in members if member in _KIND_WORDS)
    others = [
        (list if get_origin(member) is tuple else dict, _reader_of(member))
        for member in members
        if member not in _KIND_WORDS
    ]
    otherwise = partial(_read_scalar, scalars) if scalars or not others else others[0][1]

    def read(value: object, path: KeyPath, report: Report) -> Any:
        for kind, reader in others:
            if isinstance(value, kind):
                return reader(value, path, report)
        return otherwise(value, path, report)

    return read if len(others) + bool(scalars) > 1 else otherwise


def _read_scalar(allowed: tuple[type, ...], value: object, path: KeyPath, report: Report) -> Any:
    if type(value) not in allowed and not (float in allowed and type(value) is int):
        wanted = " or ".join(
            _KIND_WORDS[kind] for kind in allowed if not (kind is int and float in allowed)
        )
        report(path, f"expected {wanted}, found {describe(value)}.")
        return BROKEN
    if isinstance(value, int | float) and not abs(value) <= LARGEST_NUMBER:  # nan is neither
        report(
            path,
            f"expected an ordinary number, at most {LARGEST_NUMBER:,} either way,"
            f" found {describe(value)}.",
        )
        return BROKEN
    if isinstance(value, str):
        return _read_text(value, path, report)
    return value


def _read_text(value: str, path: KeyPath, report: Report) -> Any:
    if len(value) > LONGEST_TEXT:
        report(path, f"this text has {len(value)} characters; at most {LONGEST_TEXT}.")
        return BROKEN
    if not value.isprintable():
        for number, character in enumerate(value, 1):
            if is_harmful(character):
                report(
                    path,
                    f"character {number} is U+{ord(character):04X}, a control or direction"
                    " character that could disturb the screen; remove it.",
                )
                return BROKEN
    return value


def _list_reader(items: tuple[Any, ...]) -> _Reader:
    """Return what reads a list of any length, or one with an item of each of these types."""
    if items[-1] is Ellipsis:
        return partial(_read_list, _reader_of(items[0]), None)
    if len(set(items)) > 1:
        raise TypeError(f"all items of a list are of one type, not {items}")
    return partial(_read_list, _reader_of(items[0]), len(items))


def _read_list(
    item: _Reader, length: int | None, value: object, path: KeyPath, report: Report
) -> Any:
    if not isinstance(value, list):
        hint = f" Write [{describe(value)}]." if isinstance(value, str | int | float) else ""
        report(path, f"expected a list, found {describe(value)}.{hint}")
        return BROKEN
    if length is not None and len(value) != length:
        report(path, f"expected a list of {length}, found {len(value)}.")
        return BROKEN
    read = tuple([item(inner, (*path, index), report) for index, inner in enumerate(value)])
    return BROKEN if _holds_broken(read) else read


def _holds_broken(read: Iterable[object]) -> bool:
    # Not “in”, which would ask every value whether it equals another.
    return any(value is BROKEN for value in read)


def _read_mapping(item: _Reader, value: object, path: KeyPath, report: Report) -> Any:
    if not isinstance(value, dict):
        report(path, f"expected a table, found {describe(value)}.")
        return BROKEN
    read = {}
    for key, inner in value.items():
        is_id = check_id(key, (*path, key), report)
        read[key] = item(inner, (*path, key), report) if is_id else BROKEN
    return BROKEN if _holds_broken(read.values()) else read


def _read_enum(members: Mapping[str, Enum], value: object, path: KeyPath, report: Report) -> Any:
    if not isinstance(value, str) or value not in members:
        listed = ", ".join(f'"{word}"' for word in members)
        hint = nearest(value, members) if isinstance(value, str) else ""
        report(path, f"expected one of {listed}, found {describe(value)}.{hint}")
        return BROKEN
    return members[value]


def _read_class(cls: type, value: object, path: KeyPath, report: Report) -> Any:
    if not isinstance(value, dict):
        report(path, f"expected a table, found {describe(value)}.")
        return BROKEN
    readers = _readers_of(cls)
    arguments: dict[str, Any] = {}
    for key, inner in value.items():
        if key in readers:
            name, reader, required = readers[key]
            read = reader(inner, (*path, key), report)
            if isinstance(read, str) and not _fits_key(key, read, required, path, report):
                read = BROKEN
            arguments[name] = read
    if not _keys_fit(keys_of(cls), value, path, report):
        return BROKEN
    return BROKEN if _holds_broken(arguments.values()) else cls(**arguments)


@cache
def _readers_of(cls: type) -> Mapping[str, tuple[str, _Reader, bool]]:
    """Map each key of a class's table to its field's name, reader, and whether it is required."""
    return {
        key: (name, _reader_of(expected), required)
        for key, (name, expected, required) in keys_of(cls).items()
    }


def _fits_key(key: str, text: str, required: bool, path: KeyPath, report: Report) -> bool:
    if key == "id":
        return check_id(text, (*path, key), report)
    if key == "version" and (len(text) > LONGEST_ID or text != " ".join(text.split())):
        says = f"a version is one line of at most {LONGEST_ID} characters, as in 1.0.0."
        report((*path, key), says)
        return False
    if required and not text.strip():
        report((*path, key), "this text is needed, and it is empty.")
        return False
    return True


def _keys_fit(
    keys: Mapping[str, tuple[str, Any, bool]],
    given: Mapping[str, object],
    path: KeyPath,
    report: Report,
) -> bool:
    """Report each key that is unknown or missing; a misspelt one is both, and is told once."""
    unknown = [key for key in given if key not in keys]
    free = [key for key in keys if key not in given]
    missing = [key for key in free if keys[key][2]]
    for key in unknown:
        meant = nearest_word(key, missing) or nearest_word(key, free)
        report((*path, key), f"this key is not known here.{did_you_mean(meant)}")
        missing = [other for other in missing if other != meant]
    for key in missing:
        report(path, f"the key “{key}” is missing.")
    return not unknown and not missing


@cache
def keys_of(cls: type) -> Mapping[str, tuple[str, Any, bool]]:
    """Map each key of a class's table to its field's name, type, and whether it is required."""
    hints = get_type_hints(cls)
    return {
        attribute.metadata.get("key", attribute.name): (
            attribute.name,
            hints[attribute.name],
            attribute.default is attrs.NOTHING,
        )
        for attribute in attrs.fields(cls)
    }


def check_id(text: str, path: KeyPath, report: Report) -> bool:
    """Report a text that cannot be an id; say whether it can."""
    if names_a_device(text):
        # Files are named after it, such as those of its figures.
        report(path, f'"{_shortened(text)}" cannot be an id: Windows keeps that name for a device.')
        return False
    if len(text) > LONGEST_ID:
        report(path, f"an id has at most {LONGEST_ID} characters; this one has {len(text)}.")
        return False
    if _ID.fullmatch(text):
        return True
    report(
        path,
        f'"{_shortened(text)}" cannot be an id; ids are lower-case letters and digits'
        " in words joined by hyphens.",
    )
    return False


def describe(value: object) -> str:
    """Name a TOML value as a reader of the file sees it."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return f'"{_shortened(value)}"'
    if isinstance(value, int) and abs(value) > 10**15:
        return "a number of very many digits"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    return str(value)


def _shortened(text: str) -> str:
    text = clean_line(text[:200])
    return text if len(text) <= 40 else text[:37] + "…"
