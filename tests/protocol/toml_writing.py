"""Writes TOML in many styles and remembers the line of every key, as ground to check against.

Every key that is written is unlike any other word of the text.
"""

import json
import random
from datetime import date, datetime, time
from typing import Any

Path = tuple[str | int, ...]

_TRICKY_COMMENTS = (
    "# a = 1",
    "# [[table]]",
    "# \"\"\" and '''",
    '# "unclosed',
    "#",
    "# ] } , = \\",
)
_TRICKY_TEXTS = (
    "",
    "plain",
    'a "quoted" word',
    "it's",
    "# no comment",
    "[not] {a} = table, ]",
    "back\\slash",
    "ends in \\",
    "line\nbreaks\n\nand # more = [x]",
    '"',
    '""',
    "''",
    "tab\there",
    "umläut – 足 🦶",
    "= 1\nkey = 2\n[[x]]",
)
_SCALARS = (
    0,
    -17,
    1_000,
    3.25,
    -1e-7,
    True,
    False,
    date(2024, 2, 29),
    time(7, 32, 0),
    datetime(1979, 5, 27, 7, 32, 0),
)


class Writer:
    """One document being written; ``lines`` says on which line each key path begins."""

    def __init__(self, chance: random.Random, newline: str = "\n") -> None:
        self.chance = chance
        self.newline = newline
        self.text = ""
        self.data: dict[str, Any] = {}
        self.lines: dict[Path, int] = {}
        self.keys = 0

    def document(self) -> None:
        self._noise()
        self._pairs(self.data, (), self.chance.randint(0, 4))
        for _ in range(self.chance.randint(0, 5)):
            self._table(self.data, (), [], depth=0)
        if self.chance.random() < 0.3:
            self.text = self.text.removesuffix(self.newline)

    def _write(self, text: str) -> None:
        self.text += text

    def _end_line(self) -> None:
        if self.chance.random() < 0.2:
            self._write(" " + self.chance.choice(_TRICKY_COMMENTS))
        self._write(self.newline)
        self._noise()

    def _noise(self) -> None:
        while self.chance.random() < 0.2:
            self._write(self._space() + self.chance.choice(("", *_TRICKY_COMMENTS)) + self.newline)

    def _space(self) -> str:
        return self.chance.choice(("", "", " ", "\t", "  "))

    def _note(self, path: Path) -> Path:
        self.lines.setdefault(path, self.text.count("\n") + 1)
        return path

    def _new_key(self) -> str:
        self.keys += 1
        return self.chance.choice(
            ("k{}", "k-{}", "k_{}", "7{}", "k {}", "k.{}", "ü{}", 'k"{}', "[k{}]")
        ).format(f"{self.keys}w")

    def _key(self, key: str) -> None:
        is_bare = all(letter in _BARE for letter in key)
        styles = [json.dumps(key, ensure_ascii=False), json.dumps(key)]
        styles += [f"'{key}'"] * ("'" not in key) + [key] * 3 * is_bare
        styles.append('"' + "".join(f"\\U{ord(letter):08x}" for letter in key) + '"')
        self._write(self.chance.choice(styles))

    def _dotted(self, keys: list[str]) -> None:
        for number, key in enumerate(keys):
            if number:
                self._write(self._space() + "." + self._space())
            self._key(key)

    def _pairs(self, into: dict[str, Any], path: Path, count: int) -> None:
        for _ in range(count):
            self._write(self._space())
            self._pair(into, path)
            self._end_line()

    def _pair(self, into: dict[str, Any], path: Path) -> None:
        """Write ``key = value``, the key of one part or of several."""
        keys = [self._new_key() for _ in range(self.chance.choice((1, 1, 1, 2, 3)))]
        for key in keys[:-1]:
            into = into.setdefault(key, {})
            path = self._note((*path, key))
        path = self._note((*path, keys[-1]))
        self._dotted(keys)
        self._write(self._space() + "=" + self._space())
        into[keys[-1]] = self._value(path)

    def _value(self, path: Path) -> Any:
        kind = self.chance.random()
        if len(path) < 5 and kind < 0.25:
            return self._array(path)
        if len(path) < 5 and kind < 0.45:
            return self._inline_table(path)
        if kind < 0.75:
            return self._string(self.chance.choice(_TRICKY_TEXTS))
        value = self.chance.choice(_SCALARS)
        written = value.isoformat() if isinstance(value, date | time) else json.dumps(value)
        self._write(written.replace("T", self.chance.choice("T ")))
        return value

    def _string(self, value: str) -> str:
        literal = "'" not in value and "\n" not in value and "\t" not in value
        style = self.chance.choice(("basic", "long", "long literal", *["literal"] * literal))
        if style == "literal":
            self._write(f"'{value}'")
        elif style == "basic":
            self._write(
                json.dumps(value, ensure_ascii=self.chance.random() < 0.2 and value.isascii())
            )
        elif style == "long literal" and "'''" not in value and "\t" not in value:
            # What ends in quotes may end in up to two of them.
            self._write("'''" + self.newline + value.replace("\n", self.newline) + "'''")
        else:
            inner = value.replace("\\", "\\\\").replace('"""', '""\\"').replace("\t", "\\t")
            inner = inner.replace("\n", self.newline)
            folded = (
                "\\" + self.newline + "   " + self.newline if self.chance.random() < 0.3 else ""
            )
            if folded and inner[:1] in (" ", "\r", "\n"):
                folded = ""
            self._write('"""' + self.newline * (not folded) + folded + inner + '"""')
        return value

    def _array(self, path: Path) -> list[Any]:
        self._write("[")
        values: list[Any] = []
        count = self.chance.randint(0, 3)
        for index in range(count):
            self._break_in_array()
            values.append(self._value(self._note((*path, index))))
            self._break_in_array()
            if index < count - 1 or self.chance.random() < 0.5:
                self._write(",")
        self._break_in_array()
        self._write("]")
        return values

    def _break_in_array(self) -> None:
        if self.chance.random() < 0.4:
            comment = self.chance.choice(("", *_TRICKY_COMMENTS))
            self._write(comment + self.newline + self._space())

    def _inline_table(self, path: Path) -> dict[str, Any]:
        self._write("{" + self._space())
        table: dict[str, Any] = {}
        for number in range(self.chance.randint(0, 3)):
            if number:
                self._write(self._space() + "," + self._space())
            self._pair(table, path)
        self._write(self._space() + "}")
        return table

    def _table(self, into: dict[str, Any], path: Path, header: list[str], depth: int) -> None:
        """Write ``[table]`` or ``[[table]]`` with what is in it and the tables below it."""
        above = [self._new_key() for _ in range(self.chance.choice((0, 0, 0, 1, 2)))]
        for key in above:
            into = into.setdefault(key, {})
            path = (*path, key)
        key = self._new_key()
        header = [*header, *above, key]
        path = (*path, key)
        is_array = self.chance.random() < 0.5
        for index in range(self.chance.randint(1, 3) if is_array else 1):
            for length in range(1, len(above) + 2):
                self._note(path[: len(path) - len(above) - 1 + length])
            here = self._note((*path, index)) if is_array else path
            self._write(self._space() + "[[" if is_array else self._space() + "[")
            self._write(self._space())
            self._dotted(header)
            self._write(self._space() + ("]]" if is_array else "]"))
            self._end_line()
            table: dict[str, Any] = {}
            if is_array:
                into.setdefault(key, []).append(table)
            else:
                into[key] = table
            self._pairs(table, here, self.chance.randint(0, 3))
            for _ in range(self.chance.randint(0, 2) if depth < 2 else 0):
                self._table(table, here, header, depth + 1)


_BARE = frozenset("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_")
