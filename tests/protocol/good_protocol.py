"""A good protocol in two files that uses every table, and mistakes put into it one at a time."""

from pathlib import Path

from examwalk.problems import Problem, UnusableFileError
from examwalk.protocol.reading import LoadedProtocol, read_protocol

GOOD = Path(__file__).with_name("good")
EXAM = (GOOD / "exam.toml").read_text(encoding="utf-8")
REASONING = (GOOD / "reasoning.toml").read_text(encoding="utf-8")
FILES = {"exam.toml": EXAM, "reasoning.toml": REASONING}
HERE = "#!"
"""Marks the line on which a mistake must be reported; for TOML it is a comment."""


def write_files(folder: Path, files: dict[str, str]) -> Path:
    folder.mkdir(exist_ok=True)
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8", newline="")
    return folder


def read_good(folder: Path) -> LoadedProtocol:
    return read_protocol(write_files(folder / "good", FILES))


def problems_of(path: Path) -> tuple[Problem, ...]:
    """Read a protocol and return its problems, none where it is good."""
    try:
        read_protocol(path)
    except UnusableFileError as error:
        return error.problems
    return ()


def with_mistake(old: str, new: str) -> tuple[dict[str, str], str]:
    """Put a mistake into the one place where the old text stands; name the file it is in."""
    holding = [name for name, text in FILES.items() if old in text]
    assert len(holding) == 1, f"{old!r} stands in {holding or 'no file'}"
    (name,) = holding
    assert FILES[name].count(old) == 1, f"{old!r} stands {FILES[name].count(old)} times"
    return {**FILES, name: FILES[name].replace(old, new)}, name


def line_of(mark: str, text: str) -> int:
    """Count from 1 to the one line that holds the mark."""
    lines = [number for number, line in enumerate(text.splitlines(), 1) if mark in line]
    assert len(lines) == 1, f"{mark!r} stands in lines {lines}"
    return lines[0]


def assert_told(folder: Path, old: str, new: str, words: tuple[str, ...]) -> None:
    """The mistake gives one problem, in its file and marked line, and these words tell it."""
    files, name = with_mistake(old, new)
    problems = problems_of(write_files(folder / "mistaken", files))
    told = "\n".join(str(problem) for problem in problems)
    assert len(problems) == 1, told or "nothing was reported"
    (problem,) = problems
    assert (problem.file.name, problem.line) == (name, line_of(HERE, files[name])), told
    for word in words:
        assert word in f"{problem.place}: {problem.message}", told
