"""Reading files that others may have written: limited in size, decoded and parsed with care."""

import os
import re
import stat
import tomllib
from pathlib import Path
from typing import Final

from examwalk.language import later, say, say_number
from examwalk.problems import Problem, UnusableFileError
from examwalk.text import clean_line
from examwalk.toml_causes import likely_cause

_MOST_DOTS_IN_A_LINE: Final = 100
_STRINGS_AND_COMMENTS: Final = re.compile(
    r'"""[^\\]*?(?:\\.[^\\]*?)*?"""'
    r"|'''.*?'''"
    r'|"[^"\\\n]*(?:\\.[^"\\\n]*)*"'
    r"|'[^'\n]*'"
    r"|\#[^\n]*",
    re.DOTALL,
)
_PLACE_IN_TOML: Final = re.compile(r"\(at line (\d+), column \d+\)")


def read_limited(path: Path, limit_bytes: int) -> bytes:
    """Return the content of a file that is not larger than the limit.

    Raises:
        UnusableFileError: See ``read_with_status``.
    """
    return read_with_status(path, limit_bytes)[1]


def read_with_status(path: Path, limit_bytes: int) -> tuple[os.stat_result, bytes]:
    """Return the status of a file, as it was just before, and its content.

    Raises:
        UnusableFileError: The file is missing, a folder, not an ordinary file, unreadable, too
            large or empty; one problem says which.
    """
    try:
        about = path.stat()
        if stat.S_ISDIR(about.st_mode):
            raise _unusable(path, say("This is a folder; a file is needed here."))
        if not stat.S_ISREG(about.st_mode):
            raise _unusable(path, say("This is not an ordinary file, so it is not read."))
        with path.open("rb") as stream:
            data = stream.read(limit_bytes + 1)
    except (FileNotFoundError, NotADirectoryError):
        raise _unusable(path, say("There is no such file.")) from None
    except PermissionError:
        raise _unusable(path, say("You are not permitted to read this file.")) from None
    except (OSError, ValueError) as error:
        words = getattr(error, "strerror", None) or str(error)
        message = say("The file cannot be read: {fault}.", fault=clean_line(words))
        raise _unusable(path, message) from None
    if len(data) > limit_bytes:
        message = say(
            "The file has {size} bytes; at most {limit} bytes are read.",
            size=say_number(max(about.st_size, len(data))),
            limit=say_number(limit_bytes),
        )
        raise _unusable(path, message)
    if not data:
        raise _unusable(path, say("The file is empty."))
    return about, data


def decode(path: Path, data: bytes) -> str:
    """Return the text of a file in UTF-8, without a byte order mark.

    Raises:
        UnusableFileError: The bytes are not UTF-8 text; the problem says where they stop being
            that, and which encoding they look like.
    """
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        reason = say("The text is in UTF-16, not in UTF-8, from byte offset 0 on.")
        raise _unusable(path, f"{reason} {say(_SAVE_AS_UTF8)}", 1)
    data = data.removeprefix(b"\xef\xbb\xbf")
    zero = data.find(b"\0")
    if zero >= 0:
        even, odd = data[::2].count(0), data[1::2].count(0)
        if max(even, odd) > len(data) // 4 and min(even, odd) * 4 < max(even, odd):
            reason = f"{say('The text looks like UTF-16, not UTF-8.')} {say(_SAVE_AS_UTF8)}"
        else:
            reason = say(
                "The file is damaged: it holds zero bytes, the first at byte offset {offset}.",
                offset=zero,
            )
        raise _unusable(path, reason, data.count(b"\n", 0, zero) + 1)
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise _unusable(path, _not_utf8(data, error), line) from None


_SAVE_AS_UTF8: Final = later("Save it as UTF-8.")


def _not_utf8(data: bytes, error: UnicodeDecodeError) -> str:
    if error.reason == "unexpected end of data":
        return say(
            "The file is cut off in the middle of a character, at byte offset {offset}.",
            offset=error.start,
        )
    found = say(
        "The text is not UTF-8: byte {byte} at byte offset {offset} does not belong.",
        byte=f"0x{data[error.start]:02X}",
        offset=error.start,
    )
    neighbours = data[error.start + 1 : error.start + 2]
    if not neighbours or neighbours.isascii():
        found = f"{found} {say('It looks like Latin-1 or Windows-1252.')}"
    return f"{found} {say(_SAVE_AS_UTF8)}"


def parse_toml(path: Path, text: str) -> dict[str, object]:
    """Return the tables of a TOML text.

    Raises:
        UnusableFileError: The text is not valid TOML, or nested beyond all use; the problem has
            the line.
    """
    _refuse_long_keys(path, text)
    try:
        return tomllib.loads(text)
    except RecursionError:
        message = say("The lists or tables in this file are nested too deeply.")
        raise _unusable(path, message) from None
    except ValueError as error:
        place = _PLACE_IN_TOML.search(str(error))
        line = int(place[1]) if place else None
        message = say("This is not valid TOML: {fault}.", fault=clean_line(str(error)))
        cause = likely_cause(text, str(error), line)
        if cause:
            message = f"{message} {say('Likely {cause}.', cause=clean_line(cause))}"
        raise _unusable(path, message, line) from None


def _refuse_long_keys(path: Path, text: str) -> None:
    """Refuse keys of very many parts, on which the parser would take minutes."""
    if max(line.count(".") for line in text.split("\n")) <= _MOST_DOTS_IN_A_LINE:
        return
    bare = _STRINGS_AND_COMMENTS.sub(lambda match: "\n" * match[0].count("\n"), text)
    for number, line in enumerate(bare.split("\n"), start=1):
        if line.count(".") > _MOST_DOTS_IN_A_LINE:
            message = say(
                "This line has more than {count} dots outside of texts; "
                "no key has that many parts.",
                count=_MOST_DOTS_IN_A_LINE,
            )
            raise _unusable(path, message, number)


def _unusable(path: Path, message: str, line: int | None = None) -> UnusableFileError:
    return UnusableFileError([Problem(message, file=path, line=line)])
