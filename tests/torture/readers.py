"""The readers as a fuzzer meets them: bytes in; a value or problems in words, and nothing else."""

import unicodedata
from collections.abc import Callable
from pathlib import Path

from examwalk.problems import UnusableFileError
from examwalk.protocol.reading import read_protocol
from examwalk.reading_files import decode
from examwalk.session.storing import from_toml, to_toml

CORPUS = Path(__file__).with_name("corpus")
GOOD = Path(__file__).parents[1] / "protocol" / "good"
BASE = "\n".join(path.read_text(encoding="utf-8") for path in sorted(GOOD.glob("*.toml")))
"""A protocol in one file; what a fuzzer makes finds it beside itself and may extend it."""


def read_as_session(data: bytes, folder: Path) -> bool:
    """Read bytes as a visit, which must come back as it was when it is written.

    Returns:
        Whether they are a visit; if not, every problem was told in harmless words.
    """
    path = folder / "visit.toml"
    try:
        session = from_toml(decode(path, data), path)
    except UnusableFileError as error:
        _told_in_words(error)
        return False
    assert from_toml(to_toml(session), path) == session
    return True


def read_as_protocol(data: bytes, folder: Path) -> bool:
    """Read bytes as a protocol, whose copy beside a visit must be the same protocol.

    Returns:
        Whether they are a protocol; if not, every problem was told in harmless words.
    """
    base = folder / "base.toml"
    if not base.exists():
        base.write_text(BASE, encoding="utf-8", newline="")
    path = folder / "protocol.toml"
    path.write_bytes(data)
    try:
        loaded = read_protocol(path)
    except UnusableFileError as error:
        _told_in_words(error)
        return False
    path.write_text(loaded.text, encoding="utf-8", newline="")
    copy = read_protocol(path)
    assert copy.fingerprint == loaded.fingerprint
    assert copy.protocol == loaded.protocol
    return True


def _told_in_words(error: UnusableFileError) -> None:
    assert error.problems
    for problem in error.problems:
        assert problem.message.strip()
        control = [sign for sign in str(problem) if unicodedata.category(sign).startswith("C")]
        assert not control, f"{control} in {problem}"


READERS: dict[str, Callable[[bytes, Path], bool]] = {
    "session": read_as_session,
    "protocol": read_as_protocol,
}
"""Each reader by its name, which is also that of its folder in the corpus."""
