"""Line numbers for the keys of a TOML text.

The standard parser keeps no places, so this scanner walks a text that it has already accepted
and notes on which line each key, array element and table header stands. It is run only when
there is a problem to report.
"""

from collections.abc import Mapping

KeyPath = tuple[str | int, ...]

_SPACE = " \t"
_BLANK = " \t\r\n"
_SCALAR_END = ",]}#\r\n"


def locate(text: str) -> Mapping[KeyPath, int]:
    """Map each key path of a valid TOML text to its line, counted from 1.

    An element of an array, and each ``[[table]]``, is named by its index: the title of the
    third test stands at ``("test", 2, "title")``.
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
                self._pair(table)

    def _header(self) -> KeyPath:
        line = self.line
        is_array = self.text.startswith("[[", self.at)
        self._advance(2 if is_array else 1)
        keys = self._dotted_key()
        self._advance(2 if is_array else 1)
        path: KeyPath = ()
        for key in keys[:-1]:
            path = self._inside((*path, key))
        path = (*path, keys[-1])
        if is_array:
            self.lines.setdefault(path, line)
            self.array_lengths[path] = self.array_lengths.get(path, 0) + 1
        path = self._inside(path)
        self.lines.setdefault(path, line)
        return path

    def _inside(self, path: KeyPath) -> KeyPath:
        """Step into the last element where the path is an array of tables."""
        length = self.array_lengths.get(path)
        return path if length is None else (*path, length - 1)

    def _pair(self, table: KeyPath) -> None:
        line = self.line
        path = table
        for key in self._dotted_key():
            path = (*path, key)
            self.lines.setdefault(path, line)
        self._skip(_SPACE)
        self._advance(1)  # the equals sign
        self._skip(_SPACE)
        self._value(path)

    def _value(self, path: KeyPath) -> None:
        character = self.text[self.at]
        if character in "\"'":
            self._string()
        elif character == "[":
            self._array(path)
        elif character == "{":
            self._inline_table(path)
        else:
            while self.at < len(self.text) and self.text[self.at] not in _SCALAR_END:
                self._advance(1)

    def _array(self, path: KeyPath) -> None:
        self._advance(1)
        index = 0
        while self._skip_blank_and_comments() and self.text[self.at] != "]":
            self.lines[*path, index] = self.line
            self._value((*path, index))
            index += 1
            self._skip_blank_and_comments()
            if self.text[self.at] == ",":
                self._advance(1)
        self._advance(1)

    def _inline_table(self, path: KeyPath) -> None:
        self._advance(1)
        while self._skip_blank_and_comments() and self.text[self.at] != "}":
            self._pair(path)
            self._skip_blank_and_comments()
            if self.text[self.at] == ",":
                self._advance(1)
        self._advance(1)

    def _string(self) -> str:
        quote = self.text[self.at]
        is_long = self.text.startswith(quote * 3, self.at)
        mark = quote * 3 if is_long else quote
        self._advance(len(mark))
        start = self.at
        while not self.text.startswith(mark, self.at):
            self._advance(2 if quote == '"' and self.text[self.at] == "\\" else 1)
        if is_long:  # up to two quotes may stand right before the closing three
            while self.text.startswith(quote, self.at + 3):
                self._advance(1)
        content = self.text[start : self.at]
        self._advance(len(mark))
        return content

    def _dotted_key(self) -> list[str]:
        keys = []
        while True:
            self._skip(_SPACE)
            keys.append(self._simple_key())
            self._skip(_SPACE)
            if not self.text.startswith(".", self.at):
                return keys
            self._advance(1)

    def _simple_key(self) -> str:
        if self.text[self.at] in "\"'":
            return self._string()
        start = self.at
        while self.text[self.at] not in " \t.=]":
            self._advance(1)
        return self.text[start : self.at]

    def _skip_blank_and_comments(self) -> bool:
        """Move to the next character that means something; false at the end of the text."""
        self._skip(_BLANK)
        while self.at < len(self.text) and self.text[self.at] == "#":
            while self.at < len(self.text) and self.text[self.at] != "\n":
                self._advance(1)
            self._skip(_BLANK)
        return self.at < len(self.text)

    def _skip(self, characters: str) -> None:
        while self.at < len(self.text) and self.text[self.at] in characters:
            self._advance(1)

    def _advance(self, count: int) -> None:
        self.line += self.text.count("\n", self.at, self.at + count)
        self.at += count
