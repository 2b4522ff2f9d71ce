"""Files of TOML changed by whole lines, so that a fuzzer gets past the syntax now and then."""

import re
from pathlib import Path
from random import Random

STRANGE = (
    *(b'""', b'" "', b"[]", b"{}", b"0", b"-1", b"1e308", b"nan", b"-inf", b"true", b"0.1"),
    *(b"99999999999999999999", b'"left"', b'"\\u0000"', b'"\\u202e"', b"2026-02-29", b"[[[]]]"),
)
"""Values that are the wrong kind, or the edge of the right one."""
_KEY_AND_VALUE = re.compile(rb"\s*[\w-]+ = .")


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
