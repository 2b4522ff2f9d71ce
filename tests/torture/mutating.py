"""Files of TOML changed by whole lines, so that a fuzzer gets past the syntax now and then.

Most of what ``by_lines`` makes is no visit and no protocol any more; much of what ``gently`` makes
still is one, so that what comes after the reading is reached as well.
"""

import re
from pathlib import Path
from random import Random

STRANGE = (
    *(b'""', b'" "', b"[]", b"{}", b"0", b"-1", b"1e308", b"nan", b"-inf", b"true", b"0.1"),
    *(b"99999999999999999999", b'"left"', b'"\\u0000"', b'"\\u202e"', b"2026-02-29", b"[[[]]]"),
)
"""Values that are the wrong kind, or the edge of the right one."""
_KEY_AND_VALUE = re.compile(rb"\s*[\w-]+ = .")
_TABLES = re.compile(rb"(?m)^(?=\[\[)")
_ID = re.compile(rb'"([a-z][a-z0-9-]*)"')
_CHECKSUM = re.compile(rb'(?m)^checksum = "[0-9a-f]+"\n')


def values_in(folder: Path) -> tuple[bytes, ...]:
    """Return the values that stand alone on a line in the TOML files of a folder."""
    texts = (path.read_bytes() for path in sorted(folder.glob("*.toml")))
    lines = (line for text in texts for line in text.splitlines() if _KEY_AND_VALUE.match(line))
    return tuple(sorted({line.partition(b" = ")[2] for line in lines}))


def by_lines(data: bytes, values: tuple[bytes, ...], random: Random) -> bytes:
    """Change one to three things of a file: a line, a block of lines, or the value of a line."""
    lines = data.split(b"\n")
    for _ in range(random.choice((1, 1, 2, 3))):
        at = random.randrange(len(lines))
        match random.randrange(5):
            case 0:
                del lines[at : at + random.choice((1, 1, 2, 8))]
            case 1:
                begin = random.randrange(len(lines))
                lines[at:at] = lines[begin : begin + random.choice((1, 1, 4, 12))]
            case 2:
                other = random.randrange(len(lines))
                lines[at], lines[other] = lines[other], lines[at]
            case _:
                key, equals, _ = lines[at].partition(b" = ")
                if equals:
                    lines[at] = key + equals + random.choice(random.choice((values, STRANGE)))
        lines = lines or [b""]
    return b"\n".join(lines)


def gently(data: bytes, random: Random) -> bytes:
    """Change one to four things of a whole file, each in a way that may leave it whole.

    A value becomes one that the same key has elsewhere, a table of an array is taken away or put
    elsewhere or given twice, a number moves, and a name becomes another throughout.
    """
    data = _CHECKSUM.sub(b"", data)
    for _ in range(random.choice((1, 1, 2, 4))):
        match random.randrange(5):
            case 0:
                data = _value_of_the_same_key(data, random)
            case 1:
                data = _table_elsewhere(data, random)
            case 2:
                data = _renamed(data, random)
            case 3:
                data = _number_moved(data, random)
            case _:
                data = _value_of_the_same_key(_table_elsewhere(data, random), random)
    return data


def _value_of_the_same_key(data: bytes, random: Random) -> bytes:
    lines = data.split(b"\n")
    at = random.choice([at for at, line in enumerate(lines) if b" = " in line] or [0])
    key, equals, _ = lines[at].partition(b" = ")
    others = [line for line in lines if line.startswith(key + equals)]
    lines[at] = random.choice(others)
    return b"\n".join(lines)


def _table_elsewhere(data: bytes, random: Random) -> bytes:
    head, *tables = _TABLES.split(data)
    if tables:
        taken = random.choice(tables)
        for _ in range(random.randrange(2)):
            tables.remove(taken)
        for _ in range(random.randrange(2)):
            tables.insert(random.randrange(len(tables) + 1), taken)
    return head + b"".join(tables)


def _renamed(data: bytes, random: Random) -> bytes:
    names = sorted(set(_ID.findall(data)))
    if not names:
        return data
    new = random.choice((*names, b"a", b"z" * 60, b"other-one"))
    return re.sub(rb"\b" + random.choice(names) + rb"\b", new, data)


def _number_moved(data: bytes, random: Random) -> bytes:
    numbers = list(re.finditer(rb"(?<== )-?\d+(\.\d+)?$", data, re.MULTILINE))
    if not numbers:
        return data
    one = random.choice(numbers)
    moved = float(one[0]) + random.choice((-1, 1, -0.5, 0.1, 10, -100, 1e6))
    return data[: one.start()] + f"{moved:g}".encode() + data[one.end() :]
