"""Line numbers for the keys of a TOML text.

The standard parser keeps no places, so this scanner walks a text that it has already accepted
and notes on which line each key, array element and table header stands. It is run only when
there is a problem to report.
"""

import re
import tomllib
from collections.abc import Mapping

KeyPath = tuple[str | int, ...]

DEEPEST = 64
"""Key paths are noted to this length; what lies deeper counts to the table around it."""

_SPACE = re.compile(r"[ \t]*")
_BLANK_AND_COMMENTS = re.compile(r"(?:[ \t\r\n]+|#[^\n]*)*")
_BARE_KEY = re.compile(r"[^ \t.=\]]+")
_SCALAR = re.compile(r"[^,\]}#\r\n]+")
_STRING = re.compile(
    # Up to two quotes may stand right before the closing three of a long string.
    r'"""(?:[^\\"]+|\\.|"{1,2}(?!"))*"{3,5}'
    r"|'''(?:[^']+|'{1,2}(?!'))*'{3,5}"
    r'|"(?:[^\\"]+|\\.)*"'
    r"|'[^']*'",
    re.DOTALL,
)


def locate(text: str) -> Mapping[KeyPath, int]:
    """Map each key path of a valid TOML text to its line, counted from 1.

    An element of an array, and each ``[[table]]``, is named by its index: the title of the
    third test stands at ``("test", 2, "title")``. A table that is given in several places
    stands where it is first named.
    """
    scanner = _Scanner(text)
    scanner.scan()
    return scanner.lines


class _Scanner:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.line = 1
        self.lines: dict[KeyPath, int] = {}
        self.array_lengths: dict[KeyPath, int] = {}

    def scan(self) -> None:
        table: KeyPath = ()
        while self._skip_blank_and_comments():
            if self.text.startswith("[", self.at):
                table = self._header()
            else:
                self._value(self._key_and_equals(table))

    def _header(self) -> KeyPath:
        brackets = 2 if self.text.startswith("[[", self.at) else 1
        self.at += brackets
        keys = self._dotted_key()
        self.at += brackets
        path: KeyPath = ()
        for key in keys[:-1]:
            path = self._inside(self._noted(path, key))
        path = self._noted(path, keys[-1])
        if brackets == 2:
            length = self.array_lengths.get(path, 0)
            self.array_lengths[path] = length + 1
            path = self._noted(path, length)
        return path

    def _inside(self, path: KeyPath) -> KeyPath:
        """Step into the last element where the path is an array of tables."""
        length = self.array_lengths.get(path)
        return path if length is None else (*path, length - 1)

    def _key_and_equals(self, table: KeyPath) -> KeyPath:
        path = table
        for key in self._dotted_key():
            path = self._noted(path, key)
        self.at += 1  # the equals sign
        self._skip_space()
        return path

    def _value(self, path: KeyPath) -> None:
        """Walk over a value; a stack of what is open around it bears any depth of nesting."""
        open_around: list[_Open] = []
        while True:
            mark = self.text[self.at]
            if mark in "[{":
                self.at += 1
                open_around.append(_Open(path, is_array=mark == "["))
            else:
                self._over(_STRING if mark in "\"'" else _SCALAR)
            while open_around and self._closes():
                open_around.pop()
            if not open_around:
                return
            path = self._next_in(open_around[-1])

    def _closes(self) -> bool:
        """Move to what comes next in an array or inline table; say whether it ends there."""
        while self._skip_blank_and_comments() and self.text[self.at] == ",":
            self.at += 1
        if self.text[self.at] not in "]}":
            return False
        self.at += 1
        return True

    def _next_in(self, container: "_Open") -> KeyPath:
        if not container.is_array:
            return self._key_and_equals(container.path)
        container.length += 1
        return self._noted(container.path, container.length - 1)

    def _noted(self, path: KeyPath, key: str | int) -> KeyPath:
        """Step to a key, and note the line where it stands first."""
        if len(path) == DEEPEST:
            return path
        path = (*path, key)
        self.lines.setdefault(path, self.line)
        return path

    def _dotted_key(self) -> list[str]:
        keys = []
        while True:
            self._skip_space()
            keys.append(self._simple_key())
            self._skip_space()
            if not self.text.startswith(".", self.at):
                return keys
            self.at += 1

    def _simple_key(self) -> str:
        if self.text[self.at] not in "\"'":
            return self._over(_BARE_KEY)
        quoted = self._over(_STRING)
        if quoted.startswith('"') and "\\" in quoted:
            return str(tomllib.loads(f"key = {quoted}")["key"])
        return quoted[1:-1]

    def _skip_blank_and_comments(self) -> bool:
        """Move to the next character that means something; false at the end of the text."""
        self._over(_BLANK_AND_COMMENTS)
        return self.at < len(self.text)

    def _skip_space(self) -> None:
        self._over(_SPACE)

    def _over(self, pattern: re.Pattern[str]) -> str:
        """Move over what matches here, counting its lines, and return it."""
        match = pattern.match(self.text, self.at)
        assert match is not None, f"the scanner is lost in line {self.line}"
        self.line += self.text.count("\n", self.at, match.end())
        self.at = match.end()
        return match[0]


class _Open:
    """An array or inline table that is not closed yet."""

    def __init__(self, path: KeyPath, *, is_array: bool) -> None:
        self.path = path
        self.is_array = is_array
        self.length = 0
