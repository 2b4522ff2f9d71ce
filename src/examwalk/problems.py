"""A problem in a file, with its place, told as a sentence."""

from collections.abc import Iterable, Sequence
from difflib import get_close_matches
from enum import Enum
from pathlib import Path

from attrs import frozen

from examwalk.language import say
from examwalk.text import clean_line

_LONGEST_WORD = 200


class Severity(Enum):
    """How bad a problem is: an error stops the file from being used, a warning does not."""

    ERROR = "error"
    WARNING = "warning"


@frozen
class Problem:
    """What is wrong, where, and what would be right.

    ``line`` counts from 1; ``place`` names the table and id as a reader of the file would
    (``test "lunge-distance", usual``).
    """

    message: str
    file: Path | None = None
    line: int | None = None
    place: str = ""
    severity: Severity = Severity.ERROR

    def __str__(self) -> str:
        where = str(self.file) if self.file else ""
        if self.line is not None:
            where = f"{where}:{self.line}" if where else say("line {line}", line=self.line)
        parts = (clean_line(part) for part in (where, self.place, self.message))
        return ": ".join(part for part in parts if part)


class UnusableFileError(Exception):
    """A file that cannot be used, with every problem that was found in it."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))


def nearest_word(word: str, known: Iterable[str]) -> str:
    """Return the known word nearest to this one, or an empty text where none is near."""
    if len(word) > _LONGEST_WORD:
        return ""
    matches = get_close_matches(word, list(known), n=1, cutoff=0.6)
    return matches[0] if matches else ""


def did_you_mean(word: str) -> str:
    """Return a hint that names this word, or an empty text where there is none."""
    return f" {say('Did you mean “{word}”?', word=word)}" if word else ""


def nearest(word: str, known: Iterable[str]) -> str:
    """Return a hint that names the known word nearest to this one, or an empty text."""
    return did_you_mean(nearest_word(word, known))
