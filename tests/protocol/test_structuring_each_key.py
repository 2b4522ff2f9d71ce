"""Each key of a good protocol is broken in turn, in each way, and told once in its place."""

import tomllib
from datetime import date
from math import inf, nan
from typing import Any

import pytest
from good_protocol import EXAM, REASONING, problems_of

from examwalk.protocol.locating import KeyPath
from examwalk.protocol.model import Protocol
from examwalk.protocol.structuring import BROKEN, structure

GOOD: dict[str, Any] = {**tomllib.loads(EXAM), **tomllib.loads(REASONING)}

ANY_SCALAR = {"is", "is_not", "one_of", "at_least", "at_most", "above", "below", "start", "add"}
"""Keys of conditions, effects and features whose value may be a text, a number, true or false."""
FREE_NAMES = {
    "scales",
    "labels",
    "option_sets",
    "options",
    "grades",
    "not_done_reasons",
    "urgencies",
    "assumed_agreement",
    "sources",
    "conditions",
    "parameters",
}
"""Tables whose keys are ids that the file itself gives."""
REQUIRED = {
    "": {"protocol", "position", "test"},
    "protocol": {"id", "title", "version"},
    "position": {"id", "title"},
    "test": {"id", "title", "position", "kind", "basis"},
    "scales": {"grades"},
    "option_sets": {"label"},
    "options": {"label"},
    "grades": {"looks"},
    "assumed_agreement": {"kind", "basis"},
    "sources": {"cite"},
    "bands": {"label"},
    "reliability": {"statistic", "value", "source"},
    "important_change": {"change", "better", "source"},
    "derived": {"id", "title", "calculation", "basis"},
    "points": {"points", "when"},
    "rows": {"value"},
    "crosscheck": {"id", "severity", "when", "says", "recheck", "basis"},
    "caution": {"id", "title", "when", "urgency", "device", "says", "basis"},
    "feature": {"id", "title", "kind", "basis"},
    "rule": {"id", "effects", "because", "basis"},
    "effects": {"feature"},
    "exclusion": {"features", "because", "basis"},
    "advice": {"id", "kind", "says", "basis"},
}
"""The keys that a table cannot do without, by the name of the table."""


def walk(value: Any, path: KeyPath = ()) -> list[tuple[KeyPath, Any]]:
    """List every key and element with its path, the outer before the inner."""
    found: list[tuple[KeyPath, Any]] = []
    items = value.items() if isinstance(value, dict) else enumerate(value)
    for key, inner in items:
        found.append(((*path, key), inner))
        if isinstance(inner, dict | list):
            found.extend(walk(inner, (*path, key)))
    return found


PLACES = walk(GOOD)


def table_name(path: KeyPath) -> str:
    """Name the kind of table that holds a key: the last name on the way that is no id."""
    names = [key for key in path[:-1] if isinstance(key, str)]
    if len(names) > 1 and names[-2] in FREE_NAMES and names[-1] not in REQUIRED:
        return names[-2] if names[-2] != names[-1] else ""
    if len(names) > 2 and names[-3] == "option_sets":
        return "option_sets"
    return names[-1] if names else ""


def is_id_of_the_file(path: KeyPath) -> bool:
    """Say whether a key is an id that the file gives, in a table of such ids."""
    if len(path) == 3 and path[0] == "option_sets":
        return True
    holder = path[-2] if len(path) > 1 else None
    return holder in FREE_NAMES and isinstance(GOOD_AT[path[:-1]], dict)


GOOD_AT = dict(PLACES)


def wrong_values(path: KeyPath, value: Any) -> list[Any]:
    """List values of types that this key never takes."""
    key = next(part for part in reversed(path) if isinstance(part, str))
    of_a_band = "bands" in path
    wrong: list[Any] = [date(2024, 2, 29), inf, nan]
    if isinstance(value, dict):
        return [*wrong, [], *([] if key in ANY_SCALAR else ["x", 1, True])]
    if isinstance(value, list):
        return [*wrong, "x", 1, True, {}, value[0] if not isinstance(value[0], list) else 1]
    if isinstance(value, str):
        wrong += ["a\x1bb", "a\u202eb", ["x"]]
    if key not in ANY_SCALAR or of_a_band:
        # Python takes true for 1; a reader of the file does not.
        wrong += {str: [7, 0.5, True, {}], bool: [1, 0, "true", "no", {}]}.get(
            type(value), ["7", True, False, {}, [value]]
        )
    return wrong


def changed(value: Any, path: KeyPath, new: Any) -> Any:
    """Copy a value with what stands at the path replaced, or taken away."""
    key, rest = path[0], path[1:]
    if isinstance(value, dict):
        if not rest and new is REMOVED:
            return {name: inner for name, inner in value.items() if name != key}
        if not rest and isinstance(new, Renamed):
            return {(new.name if name == key else name): inner for name, inner in value.items()}
    inner = new if not rest else changed(value[key], rest, new)
    if isinstance(value, dict):
        return {**value, key: inner}
    return [*value[:key], inner, *value[key + 1 :]]


REMOVED = object()


class Renamed:
    def __init__(self, name: str) -> None:
        self.name = name


def told(data: Any) -> list[tuple[KeyPath, str]]:
    problems: list[tuple[KeyPath, str]] = []
    read = structure(Protocol, data, lambda path, message: problems.append((path, message)))
    assert (read is BROKEN) is bool(problems)
    return problems


def with_only(top: str | int) -> dict[str, Any]:
    return {"protocol": GOOD["protocol"], "position": [], "test": [], top: GOOD[top]}


def told_of(path: KeyPath, new: Any) -> list[tuple[KeyPath, str]]:
    """Change what stands at a path and read the one table around it, the others left out."""
    top = path[0]
    data = with_only(top)
    if len(path) > 2 and isinstance(path[1], int):
        index = path[1]
        data[top] = changed(GOOD[top][index : index + 1], (0, *path[2:]), new)
        return [((top, index, *found[2:]), message) for found, message in told(data)]
    return told(changed(data, path, new))


def test_the_good_protocol_has_every_kind_of_table():
    names = {table_name(path) for path, _ in PLACES}
    assert set(REQUIRED) <= names
    assert told(GOOD) == []


def test_a_value_of_a_wrong_type_is_told_once_at_its_key():
    tried = 0
    for path, value in PLACES:
        for wrong in wrong_values(path, value):
            problems = told_of(path, wrong)
            assert [one for one, _ in problems] == [path], (path, wrong, problems)
            tried += 1
    assert tried > 3000


def test_a_misspelt_key_is_told_once_at_its_place():
    tried = 0
    for path, _ in PLACES:
        if isinstance(path[-1], int) or is_id_of_the_file(path):
            continue
        name = f"{path[-1][:-1]}q{path[-1][-1]}"
        problems = told_of(path, Renamed(name))
        assert [one for one, _ in problems] == [(*path[:-1], name)], (path, problems)
        assert "not known here" in problems[0][1]
        if len(path[-1]) > 2:
            assert f"“{path[-1]}”" in problems[0][1], problems
        tried += 1
    assert tried > 300


def test_an_id_in_capitals_is_told_once_at_its_place():
    tried = 0
    for path, value in PLACES:
        if path[-1] == "id":
            problems = told_of(path, str(value).upper())
            assert [one for one, _ in problems] == [path]
        elif is_id_of_the_file(path):
            name = str(path[-1]).upper()
            if name == path[-1]:
                continue
            problems = told_of(path, Renamed(name))
            assert [one for one, _ in problems] == [(*path[:-1], name)]
        else:
            continue
        assert "cannot be an id" in problems[0][1]
        tried += 1
    assert tried > 60


def test_a_required_key_that_is_taken_away_is_told_once_at_its_table():
    tried = set()
    for path, _ in PLACES:
        if isinstance(path[-1], int) or is_id_of_the_file(path):
            continue
        name = table_name(path)
        problems = told_of(path, REMOVED)
        if path[-1] in REQUIRED.get(name, ()):
            assert [one for one, _ in problems] == [path[:-1]], (path, problems)
            assert problems[0][1] == f"the key “{path[-1]}” is missing."
            tried.add((name, path[-1]))
        else:
            assert problems == [], (path, name, problems)
    assert tried == {(name, key) for name, keys in REQUIRED.items() for key in keys}


class Lines:
    """Writes a protocol one key a line and remembers the line of each."""

    def __init__(self, data: dict[str, Any]) -> None:
        self.rows: list[str] = []
        self.at: dict[KeyPath, int] = {}
        self._table(data, ())

    def _table(self, table: dict[str, Any], path: KeyPath) -> None:
        tables = {}
        for key, value in table.items():
            is_array = isinstance(value, list) and value and all(isinstance(v, dict) for v in value)
            if (is_array or isinstance(value, dict)) and len(path) < 3:
                tables[key] = value
            else:
                self._row((*path, key), f"{key} = {self._value(value)}")
        for key, value in tables.items():
            header = ".".join(str(part) for part in (*path, key) if isinstance(part, str))
            if isinstance(value, dict):
                self._row((*path, key), f"[{header}]")
                self._table(value, (*path, key))
                continue
            for index, inner in enumerate(value):
                self._row((*path, key, index), f"[[{header}]]")
                self._table(inner, (*path, key, index))

    def _row(self, path: KeyPath, text: str) -> None:
        self.rows.append(text)
        self.at[path] = len(self.rows)

    def _value(self, value: Any) -> str:
        if isinstance(value, dict):
            return "{" + ", ".join(f"{k} = {self._value(v)}" for k, v in value.items()) + "}"
        if isinstance(value, list):
            return "[" + ", ".join(self._value(inner) for inner in value) + "]"
        if isinstance(value, bool):
            return str(value).lower()
        if isinstance(value, str):
            return "'''" + value + "'''" if value.isprintable() else '"a\\u001bb"'
        return str(value)

    def line(self, path: KeyPath) -> int | None:
        while path and path not in self.at:
            path = path[:-1]
        return self.at.get(path)


def test_the_writer_of_this_test_writes_what_it_is_given():
    assert tomllib.loads("\n".join(Lines(GOOD).rows)) == GOOD


@pytest.mark.parametrize("part", range(4))
def test_every_broken_key_is_told_on_its_line_of_the_file(tmp_path, part):
    for number, (path, value) in enumerate(PLACES):
        if number % 4 != part:
            continue
        wrong = wrong_values(path, value)
        new = wrong[number % len(wrong)]
        lines = Lines(changed(with_only(path[0]), path, new))
        file = tmp_path / "broken.toml"
        file.write_text("\n".join(lines.rows), encoding="utf-8")
        problems = problems_of(file)
        assert len(problems) == 1, problems
        (problem,) = problems
        assert problem.file == file
        # A list that became something else stands on a line of its own key.
        assert problem.line == lines.line(path), (path, new, str(problem))
        key = next(part for part in reversed(path) if isinstance(part, str))
        assert key in problem.place
