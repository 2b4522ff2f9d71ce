"""What is likely wrong where a TOML text cannot be read, for people who have never written code."""

import re
from collections.abc import Sequence
from typing import Final

from examwalk.language import later, say

_SMART_QUOTES: Final = "“”„‟‘’‚«»"
_SIGNS: Final = (
    (
        re.compile(rf"[=\[,{{]\s*[{_SMART_QUOTES}]"),
        later('these are typographic quotation marks; a text stands in straight ones: "…"'),
    ),
    (
        re.compile(r"=\s*[-+]?\d+,\d+\s*(#|$|[,}])"),
        later("a number has a decimal point, not a comma: 3.5"),
    ),
    (
        re.compile(r"=\s*[-+]?0\d"),
        later("a number does not begin with a zero: 5, not 05"),
    ),
    (
        re.compile(r"=\s*(True|False|TRUE|FALSE|yes|no|Yes|No|on|off)\b"),
        later(
            "yes and no are written true and false, in small letters and without quotation marks"
        ),
    ),
    (
        re.compile(r"=\s*[-+]?\d+(\.\d+)?\s*[%°a-zA-Zµ][^=]*$"),
        later("a number stands without its unit; the unit has a key of its own"),
    ),
    (
        re.compile(r"^\s*[\w.-]+\s*(:|[<>≤≥]=?)"),
        later("between a key and its value stands one equals sign: key = value"),
    ),
    (
        re.compile(r"^\s*[\w-]+\s+[\w-]+\s*="),
        later("a key is one word; join its words with hyphens"),
    ),
    (
        re.compile(r"\S\s+//"),
        later("a remark begins with #, not with //"),
    ),
    (
        re.compile(r";\s*(#|$)"),
        later("nothing stands at the end of a line; leave the semicolon out"),
    ),
    (
        re.compile(r"=\s*(#|$)"),
        later("there is no value after the equals sign"),
    ),
    (
        re.compile(r"^\s*\[[^\]]*(#|$)"),
        later(
            "the name of a table stands between brackets that are both closed: [protocol], [[test]]"
        ),
    ),
    (
        re.compile(r"^\s*\[\[[^\]]*\]\s*(#|$)"),
        later("the name of one table among several has two brackets on each side: [[test]]"),
    ),
    (
        re.compile(r"^\s*[\w.-]+\s*$|^\s*[\w.-]+\s+[\"'\d]"),
        later("the equals sign is missing: key = value"),
    ),
    (
        re.compile(r"[^\x00-\x7f].*=|[\u00a0\u2007\u202f]"),
        later("a key has only the letters a to z, digits and hyphens, and plain spaces beside it"),
    ),
)
"""How a line looks, and what is then likely; the first that fits is said."""

_TWICE: Final = later("the table “{name}” stands on line {line} already; join the two into one")
_TWICE_OTHERWISE: Final = later(
    "the table “{name}” stands on line {line} already; one has single and one double brackets;"
    " all of them are [[{name}]]"
)

_HEADER: Final = re.compile(r"^\s*(\[\[?)\s*([^\[\]]+?)\s*\]\]?\s*(?:#.*)?$")
_KEY: Final = re.compile(r"^\s*([\w\"'.-]+)\s*=")
_SINGLE_LINE_TEXT: Final = re.compile(r'"(?:[^"\\]|\\.)*"|\'[^\']*\'')


def likely_cause(text: str, message: str, line: int | None) -> str:
    """Say what is likely wrong, as a clause without a full stop; an empty text where none fits.

    Args:
        text: the whole TOML text.
        message: what the parser of the standard library says.
        line: the line it says it of, from 1; none at the end of the text.
    """
    lines = text.split("\n")
    if line is None or line > len(lines):
        return _left_open(lines)
    here = lines[line - 1]
    if message.startswith("Cannot"):
        return _said_twice(lines, line)
    if message.startswith("Duplicate inline table key"):
        return say("the same key stands twice between these braces; leave one of them out")
    if message.startswith("Unescaped"):
        return say(r"in a text a backslash is written twice: \\")
    bare = _SINGLE_LINE_TEXT.sub('""', here)
    if "Illegal character" in message and '"' in bare.replace('""', ""):
        return say('the closing quotation mark " is missing on this line')
    if re.search(r'""\s*\w[^"]*"', bare):
        return say(r"within a text a quotation mark is written \", or ‘…’ is used")
    for sign, says in _SIGNS:
        if sign.search(bare):
            return say(says)
    return _in_a_list_or_table(message, bare)


def _in_a_list_or_table(message: str, bare: str) -> str:
    if message.startswith("Unclosed array"):
        return say("the list is not closed with ], or a comma is missing between two of its items")
    if message.startswith(("Unclosed inline table", "Invalid initial character for a key")):
        return say(
            "a table between braces { … } stands on one line, with commas between its keys"
            " and none after the last"
        )
    if message.startswith("Invalid value"):
        return say('a text stands in quotation marks: "…"')
    if message.startswith("Expected newline") and bare.count("=") > 1:
        return say("each key has a line of its own")
    if message.startswith("Expected newline") and bare.count('"') % 2:
        return say('there is a quotation mark " too many')
    return ""


def _left_open(lines: Sequence[str]) -> str:
    """Say where a text of several lines begins that is never closed."""
    for marks in ('"""', "'''"):
        places = [number for number, line in enumerate(lines, start=1) for _ in _all(marks, line)]
        if len(places) % 2:
            return say(
                "the text that begins with {marks} on line {line} is not closed",
                marks=marks,
                line=places[-1],
            )
    return say("a list, a table between braces or a text is not closed before the end of the file")


def _all(marks: str, line: str) -> list[str]:
    return re.findall(re.escape(marks), line)


def _said_twice(lines: Sequence[str], line: int) -> str:
    """Say what stands twice, and where it stands first."""
    header = _HEADER.match(lines[line - 1])
    if header is not None:
        name = header[2]
        for number, earlier in enumerate(lines[: line - 1], start=1):
            first = _HEADER.match(earlier)
            if first is not None and first[2] == name:
                how = _TWICE if first[1] == header[1] else _TWICE_OTHERWISE
                return say(how, name=name, line=number)
    key = _KEY.match(lines[line - 1])
    if key is None:
        return say("the same name stands twice")
    start = line - 1
    while start > 0 and _HEADER.match(lines[start - 1]) is None:
        start -= 1
    for number in range(start, line - 1):
        earlier_key = _KEY.match(lines[number])
        if earlier_key is not None and earlier_key[1] == key[1]:
            return say(
                "the key “{key}” stands on line {line} already; leave one of them out",
                key=key[1],
                line=number + 1,
            )
    if start > 0:
        above = _HEADER.match(lines[start - 1])
        if above is not None:
            return _said_twice(lines, start)
    return say("the key “{key}” stands twice in this table; leave one of them out", key=key[1])
