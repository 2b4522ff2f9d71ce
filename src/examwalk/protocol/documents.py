"""The TOML files of a protocol, read as one document that remembers where each key stands."""

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property, lru_cache
from operator import itemgetter
from pathlib import Path
from typing import Any

import tomli_w
from attrs import frozen

from examwalk.problems import Problem, UnusableFileError
from examwalk.protocol.locating import KeyPath, locate
from examwalk.reading_files import decode, parse_toml, read_limited
from examwalk.text import clean_line

LARGEST_FILE_BYTES = 2_000_000
MOST_FILES = 100
MOST_NESTED = 32
"""No table or list of a protocol lies deeper than this in others."""
_CONTAINERS = (dict, list)


@frozen
class Part:
    """One file of a protocol."""

    path: Path
    text: str
    data: Mapping[str, Any]

    @cached_property
    def lines(self) -> Mapping[KeyPath, int]:
        """The line of each key, worked out once there is a problem to report."""
        return locate(self.text)

    def line(self, path: KeyPath) -> int | None:
        """Return the line of a key path, or of the nearest table around it."""
        for length in range(len(path), 0, -1):
            if path[:length] in self.lines:
                return self.lines[path[:length]]
        return None


@frozen
class Document:
    """All parts of a protocol merged; key paths count through all files."""

    path: Path
    data: Mapping[str, Any]
    parts: tuple[Part, ...]
    origins: Mapping[KeyPath, tuple[int, KeyPath]]
    """For each top-level key or array element: which part holds it, and its path there."""

    @property
    def text(self) -> str:
        """The merged document as one TOML text, the same for the same content."""
        return tomli_w.dumps(self.data)

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the content, in hex; layout and comments do not count, order does."""
        canonical = json.dumps(_canonical(self.data), ensure_ascii=False, separators=(",", ":"))
        return hashlib.sha256(canonical.encode()).hexdigest()

    def place(self, path: KeyPath) -> tuple[Path, int | None]:
        """Return the file and line of a key path, or of the nearest table around it."""
        origin = self.origin(path)
        if origin is None:
            return (self.parts[0].path if len(self.parts) == 1 else self.path), None
        number, inner = origin
        return self.parts[number].path, self.parts[number].line(inner)

    def problem_at(self, path: KeyPath, message: str) -> Problem:
        """Return a problem with the file, the line and the name of a key path."""
        file, line = self.place(path)
        return Problem(message, file, line, place=self._place_words(path))

    def _place_words(self, path: KeyPath) -> str:
        """Name a key path as a reader of the file would: ``test "lunge-distance", usual``."""
        words: list[str] = []
        value: object = self.data
        for key in path:
            if isinstance(key, str):
                words.append(clean_line(key))
                value = value.get(key) if isinstance(value, dict) else None
                continue
            value = value[key] if isinstance(value, list) else None
            name = value.get("id") if isinstance(value, dict) else None
            label = f'"{clean_line(name)}"' if isinstance(name, str) else f"number {key + 1}"
            words[-1] = f"{words[-1]} {label}"
        return ", ".join(words)

    def origin(self, path: KeyPath) -> tuple[int, KeyPath] | None:
        """Return which part a key path comes from, and its path there."""
        for length in range(len(path), 0, -1):
            if path[:length] in self.origins:
                number, inner = self.origins[path[:length]]
                return number, (*inner, *path[length:])
        return None


def _canonical(value: object) -> object:
    """Write a table as a list, in an order that is the same for the copy of a protocol.

    The writer puts plain keys first, and an array of tables before or after the tables as its
    length has it. The order of plain keys and of tables can mean something (options, reasons)
    and is kept; that of arrays of tables never does, so they are put by name.
    """
    if isinstance(value, list):
        return [_canonical(inner) if isinstance(inner, _CONTAINERS) else inner for inner in value]
    if not isinstance(value, dict):
        return value
    plain, arrays, tables = [], [], []
    for key, inner in value.items():
        item = [key, _canonical(inner)]
        if isinstance(inner, dict):
            tables.append(item)
        elif _is_array_of_tables(inner):
            arrays.append(item)
        else:
            plain.append(item)
    return [*plain, *sorted(arrays, key=itemgetter(0)), *tables]


def read_document(path: Path) -> Document:
    """Read one TOML file, or all ``*.toml`` files of a folder in the order of their names.

    Raises:
        UnusableFileError: a file is missing, unreadable, too large, wrongly encoded, not TOML
            or nested beyond all use, or two files of a folder give the same key; every such
            problem is listed.
    """
    parts: list[Part] = []
    problems: list[Problem] = []
    for file in _files_of(path):
        try:
            parts.append(_read_part(file))
        except UnusableFileError as error:
            problems.extend(error.problems)
    if problems:
        raise UnusableFileError(problems)
    return _merge(path, parts)


def _files_of(path: Path) -> Sequence[Path]:
    try:
        if not path.is_dir():
            return [path]
    except OSError as error:
        words = f"this cannot be read: {clean_line(error.strerror or str(error))}."
        raise UnusableFileError([Problem(words, path)]) from None
    files = sorted(file for file in path.glob("*.toml") if not file.name.startswith("."))
    if not files:
        raise UnusableFileError(
            [Problem("this folder holds no .toml file; a protocol folder needs one.", path)]
        )
    if len(files) > MOST_FILES:
        raise UnusableFileError(
            [Problem(f"this folder holds {len(files)} .toml files; at most {MOST_FILES}.", path)]
        )
    return files


def _read_part(file: Path) -> Part:
    text = decode(file, read_limited(file, LARGEST_FILE_BYTES))
    part = Part(path=file, text=text, data=_parsed_once(file, text))
    too_deep = _first_too_deep(part.data)
    if too_deep is not None:
        message = f"this is nested more than {MOST_NESTED} levels deep; no protocol needs that."
        raise UnusableFileError([Problem(message, file, part.line(too_deep))])
    return part


def _parsed_once(file: Path, text: str) -> Mapping[str, Any]:
    try:
        return _parsed(text)
    except UnusableFileError:
        return parse_toml(file, text)  # which says of this file what is wrong


@lru_cache(maxsize=MOST_FILES)
def _parsed(text: str) -> Mapping[str, Any]:
    """Parse a text that was not just parsed: many protocols extend the same one."""
    return parse_toml(Path(), text)


def _first_too_deep(data: Mapping[str, Any]) -> KeyPath | None:
    """Find a table or list that lies too deep, level by level, since it may lie any depth down."""
    level: list[tuple[KeyPath, object]] = [((), data)]
    for _ in range(MOST_NESTED + 1):
        level = [
            ((*path, key), inner)
            for path, value in level
            for key, inner in _items(value)
            if isinstance(inner, _CONTAINERS)
        ]
    return level[0][0] if level else None


def _items(value: object) -> Iterable[tuple[str | int, object]]:
    if isinstance(value, dict):
        return value.items()
    return enumerate(value) if isinstance(value, list) else ()


def _merge(path: Path, parts: Sequence[Part]) -> Document:
    data: dict[str, Any] = {}
    origins: dict[KeyPath, tuple[int, KeyPath]] = {}
    problems: list[Problem] = []
    for number, part in enumerate(parts):
        for key, value in part.data.items():
            held = data.get(key)
            if _is_array_of_tables(value) and (held is None or isinstance(held, list)):
                offset = len(held or ())
                data[key] = [*(held or ()), *value]
                for index in range(len(value)):
                    origins[key, offset + index] = (number, (key, index))
                origins.setdefault((key,), (number, (key,)))
            elif isinstance(value, dict) and key != "protocol" and isinstance(held, dict | None):
                data.setdefault(key, {})
                for inner, inner_value in value.items():
                    if inner in data[key]:
                        problems.append(_given_twice(parts, origins, number, (key, inner)))
                    else:
                        data[key][inner] = inner_value
                        origins[key, inner] = (number, (key, inner))
                origins.setdefault((key,), (number, (key,)))
            elif key in data:
                problems.append(_given_twice(parts, origins, number, (key,)))
            else:
                data[key] = value
                origins[(key,)] = (number, (key,))
    if problems:
        raise UnusableFileError(problems)
    return Document(path=path, data=data, parts=tuple(parts), origins=origins)


def _is_array_of_tables(value: object) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(v, dict) for v in value)


def _given_twice(
    parts: Sequence[Part],
    origins: Mapping[KeyPath, tuple[int, KeyPath]],
    number: int,
    path: KeyPath,
) -> Problem:
    first_number, first_path = origins[path]
    first = parts[first_number]
    name = ".".join(str(key) for key in path)
    return Problem(
        f"[{name}] is already given in {first.path.name}, line {first.line(first_path)};"
        " give it once, or give one of them another id.",
        parts[number].path,
        parts[number].line(path),
    )
