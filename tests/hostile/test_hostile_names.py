"""What files are called, and what stands on the command line, drives no terminal either."""

import io
import json
import os
import shutil
import sys
import unicodedata
from pathlib import Path

import pytest

from examwalk.cli import main
from examwalk.cli_streams import harmless_streams

EXAMPLE = Path(__file__).parents[2] / "sessions" / "heel-pain-right.toml"
EVIL = "evil\x1b]2;owned\x07\x9b31m\u202e"

pytestmark = pytest.mark.skipif(os.name == "nt", reason="Windows has no such names")


def harmful_in(words: str) -> set[str]:
    return {c for c in words if c not in "\n\t" and unicodedata.category(c).startswith("C")}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Visits and a protocol whose names, and that of their folder, hold control characters."""
    folder = tmp_path / EVIL
    folder.mkdir()
    shutil.copy(EXAMPLE, folder / f"a{EVIL}.toml")
    (folder / f"damaged{EVIL}.toml").write_text("x", "utf-8")
    (folder / f".a{EVIL}.toml.writing").write_text("x", "utf-8")
    return folder


COMMANDS = (
    ("sessions", "--sessions", "{folder}"),
    ("sessions", "--check", "--sessions", "{folder}"),
    ("sessions", "--check", "--as", "json", "--sessions", "{folder}"),
    ("sessions", "--sessions", "{folder}/none"),
    ("summary", "{folder}/none"),
    ("summary", "{folder}"),
    ("report", "{visit}", "--kind", "record", "--as", "html", "--out", "{folder}/a.html"),
    ("compare", "{visit}", "{visit}"),
    ("export", "{folder}", "--as", "csv"),
    ("protocol", "check", "{folder}"),
    ("protocol", "show", "{folder}"),
    ("protocol", "new", EVIL),
    ("protocol", "figures", "adult", "--out", "{visit}"),
    ("plain", "{visit}"),
    ("sign", "{visit}", "--by", EVIL),
    ("amend", "{visit}", EVIL, "--to", EVIL, "--because", EVIL, "--by", EVIL),
    ("seal", "{visit}", EVIL),
)


@pytest.mark.parametrize("command", COMMANDS, ids=lambda command: " ".join(command[:3])[:30])
def test_a_hostile_name_is_told_harmlessly(command, folder, capfd, monkeypatch):
    monkeypatch.setattr(sys, "stdin", io.StringIO(f"n {EVIL}\nx {EVIL}\n{EVIL}\nv\n"))
    visit = folder / f"a{EVIL}.toml"
    assert main([part.format(folder=folder, visit=visit) for part in command]) in (0, 1, 2)
    out, err = capfd.readouterr()
    assert harmful_in(out.replace("\r\n", "\n").removeprefix("\ufeff")) == set()
    assert harmful_in(err) == set()
    assert "Traceback" not in err
    # It was really to be told: what is left of it is there. A table of numbers has no file names.
    assert "evil" in out + err or command[0] == "compare"


@pytest.mark.parametrize("command", [EVIL, "--" + EVIL, "--language=" + EVIL])
def test_a_hostile_command_line_is_refused_harmlessly(command, capsys):
    with pytest.raises(SystemExit):
        main([command])
    said = capsys.readouterr().err
    assert "evil" in said
    assert harmful_in(said) == set()


def test_as_data_a_hostile_name_is_harmless_and_comes_out_exactly(folder, capsys):
    assert main(["sessions", "--as", "json", "--sessions", str(folder)]) == 1
    out = capsys.readouterr().out
    assert harmful_in(out) == set()
    told = {visit["file"] for visit in json.loads(out)["visits"]}
    assert told == {str(path) for path in folder.glob("[ad]*.toml")}


def test_a_name_that_is_no_text_is_told_too(folder, capfd):
    try:
        shutil.copy(EXAMPLE, os.fsencode(folder) + b"/z\xff\xfe.toml")
    except OSError:
        pytest.skip("this disk has no such names")
    assert main(["sessions", "--sessions", str(folder)]) == 1
    told = capfd.readouterr().out.splitlines()
    assert len(told) == 2
    assert harmful_in("".join(told)) == set()


def test_words_and_a_progress_line_are_printed_as_they_are(capsys):
    with harmless_streams():
        print("1 of 2 „°−→“ 足\tx", end="\r", file=sys.stderr)
        print("two\nlines", file=sys.stderr)
    assert capsys.readouterr().err == "1 of 2 „°−→“ 足\tx\rtwo\nlines\n"
