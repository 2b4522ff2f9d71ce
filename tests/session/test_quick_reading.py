"""Reading finding by finding gives what reading the whole file gives, or the same problems."""

import random
import re
from pathlib import Path

import pytest

from examwalk.problems import UnusableFileError
from examwalk.session import quick_reading
from examwalk.session.quick_reading import read_session_quickly
from examwalk.session.storing import read_session, write_session

HERE = Path(__file__)
SESSIONS = sorted((HERE.parents[2] / "sessions").glob("*.toml"))
KEPT = sorted((HERE.parent / "visits").glob("*.toml"))


def outcome(read, path):
    try:
        return read(path)
    except UnusableFileError as error:
        return error.problems


@pytest.fixture
def written(tmp_path):
    """An example as the program itself writes it, so with a checksum."""
    path = tmp_path / "visit.toml"
    write_session(path, read_session(SESSIONS[0]))
    return path


@pytest.mark.parametrize("path", [*SESSIONS, *KEPT], ids=lambda path: path.stem)
def test_open_finished_signed_and_amended_visits_are_read_alike(path):
    quick, whole = read_session_quickly(path), read_session(path)
    assert quick == whole
    assert quick.as_signed == whole.as_signed


def test_a_file_that_the_program_wrote_is_never_read_as_a_whole(written, monkeypatch):
    monkeypatch.setattr(quick_reading, "from_toml", None)
    assert read_session_quickly(written) == read_session(written)


def test_a_changed_file_is_refused_by_its_checksum(written):
    text = written.read_text(encoding="utf-8")
    written.write_text(text.replace('answer = "no"', 'answer = "yes"', 1), encoding="utf-8")
    with pytest.raises(UnusableFileError, match="checksum"):
        read_session_quickly(written)


def hostile(text: str, chance: random.Random) -> str:
    """Damage a file in one of the ways in which a line could be taken for what it is not."""
    text = re.sub(r"(?m)^checksum = .*\n", "", text)
    lines = text.split("\n")
    at = chance.randrange(len(lines))
    line = lines[at]
    lines[at] = chance.choice(
        (
            *("", "]", "[", '"""', "'''", "answer = [", '"', "#", "[[finding]]", "[[finding]] # x"),
            *("[finding]", "[[decision]]", "[finding.at]", "at = 2026-09-14T09:05:21+00:00"),
            *(f"{line}\n{line}", f"{line}]", f"{line} # note", f" {line}", f"{line}\r", line[:-1]),
            *("[[finding]]\n[[finding]]", "finding = 1", "x" * 3, "at = 2026-13-14T09:05:21+00:00"),
            *("format = 2", "side = 'left'", 'test = "consent"', "at = 2026-09-14T24:00:00+00:00"),
        )
    )
    if chance.random() < 0.2:
        del lines[chance.randrange(len(lines)) :]
    return "\n".join(lines)


@pytest.mark.parametrize("seed", range(150))
def test_a_damaged_file_is_read_alike_or_refused_for_the_same_problems(seed, tmp_path):
    chance = random.Random(seed)
    text = chance.choice(SESSIONS).read_text(encoding="utf-8")
    path = tmp_path / "visit.toml"
    # A short file, so that the damage falls upon its joints.
    head, *blocks = text.split("\n[[finding]]\n")
    text = "\n[[finding]]\n".join((head, *blocks[:4], blocks[-1]))
    path.write_text(hostile(text, chance), encoding="utf-8", newline="")
    assert outcome(read_session_quickly, path) == outcome(read_session, path)
