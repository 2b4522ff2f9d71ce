"""A visit's file cut short at every byte, or with bits turned over: told, never read as another."""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from enum import Enum
from pathlib import Path
from random import Random

from examwalk.problems import UnusableFileError
from examwalk.session.storing import read_session


class Outcome(Enum):
    """What became of a damaged file."""

    EQUAL = "read as it was"
    REPORTED = "reported as damaged"
    SILENT = "READ AS ANOTHER VISIT"


Read = Callable[[Path], object]


def outcomes(
    contents: Iterable[bytes], original: bytes, path: Path, read: Read = read_session
) -> Counter[Outcome]:
    """Read each content from a file and count what became of it.

    Raises:
        Exception: Whatever is not told as an unusable file; it would be a crash of the app.
    """
    path.write_bytes(original)
    expected = read(path)
    counted: Counter[Outcome] = Counter()
    for content in contents:
        path.write_bytes(content)
        try:
            found = read(path)
        except UnusableFileError:
            counted[Outcome.REPORTED] += 1
        else:
            counted[Outcome.EQUAL if found == expected else Outcome.SILENT] += 1
    return counted


def truncations(content: bytes, every: int = 1) -> Iterator[bytes]:
    """Cut the content short after each byte, or after every so many."""
    return (content[:length] for length in range(0, len(content), every))


def flips(content: bytes, count: int, random: Random) -> Iterator[bytes]:
    """Turn one to three bits over at places drawn at random."""
    for _ in range(count):
        damaged = bytearray(content)
        for _ in range(random.choice((1, 1, 1, 2, 3))):
            damaged[random.randrange(len(damaged))] ^= 1 << random.randrange(8)
        yield bytes(damaged)


def every_flip(content: bytes) -> Iterator[bytes]:
    """Turn each single bit over."""
    for place in range(len(content)):
        for bit in range(8):
            damaged = bytearray(content)
            damaged[place] ^= 1 << bit
            yield bytes(damaged)
