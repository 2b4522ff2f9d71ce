"""The commands that look at protocols say what is wrong, what is useless and what differs."""

import contextlib
import io
import json
from pathlib import Path

import pytest

from examwalk.cli import main

HEAD = '[protocol]\nid = "lane"\ntitle = "Lane"\nversion = "1"\nextends = "adult"\n'


@pytest.fixture
def clinic(tmp_path: Path):
    def write(text: str) -> str:
        path = tmp_path / "lane.toml"
        path.write_text(HEAD + text, encoding="utf-8")
        return str(path)

    return write


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys) -> Path:
    """A small protocol that stands by itself and is good."""
    monkeypatch.chdir(tmp_path)
    assert main(["protocol", "new", "own"]) == 0
    capsys.readouterr()
    return tmp_path / "own.toml"


def test_a_good_protocol_is_said_to_be_good(own: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["protocol", "check", str(own)]) == 0
    out, err = capsys.readouterr()
    assert out == ""
    assert "good" in err


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Return what is told of a protocol that weakens, removes and adds what can never be."""
    path = tmp_path_factory.mktemp("clinic") / "lane.toml"
    text = (
        '[remove]\ncautions = ["foot-infection"]\n'
        '[[caution]]\nid = "ulcer"\ndevice = "allow"\n'
        '[[crosscheck]]\nid = "flat-without-drop"\nwhen = { test = "pain-worst", above = 10 }\n'
    )
    path.write_text(HEAD + text, encoding="utf-8")
    written = io.StringIO()
    with contextlib.redirect_stdout(written):
        assert main(["protocol", "check", str(path)]) == 0
    return written.getvalue()


def test_a_weakened_caution_is_never_silent(told: str) -> None:
    assert 'caution “ulcer”: device: "stop" → "allow"' in told


def test_a_removed_caution_is_never_silent(told: str) -> None:
    assert "caution “foot-infection” removed" in told


def test_what_can_never_happen_is_told_with_its_line(told: str) -> None:
    (line,) = [line for line in told.splitlines() if "can never hold" in line]
    assert line.startswith("useless: ")
    assert "lane.toml:13: " in line
    assert "“flat-without-drop”" in line


def test_a_figure_that_cannot_be_drawn_is_an_error(
    own: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = '[figures.lunge-distance]\nalt = "A lunge."\nview_box = [0, 0, 10, 10]\n'
    text += '[[figures.lunge-distance.parts]]\noutline = "fot"\n'
    own.write_text(f"{own.read_text(encoding='utf-8')}\n{text}", encoding="utf-8")
    assert main(["protocol", "check", str(own)]) == 1
    assert "fot" in capsys.readouterr().out


def test_json_holds_file_line_and_message(clinic, capsys: pytest.CaptureFixture[str]) -> None:
    path = clinic('[[test]]\nid = "lunge-distance"\nusuall = [1, 2]\n')
    assert main(["protocol", "check", path, "--as", "json"]) == 1
    (report,) = json.loads(capsys.readouterr().out)
    (problem,) = report["problems"]
    assert (report["good"], problem["severity"], problem["line"]) == (False, "error", 8)
    assert problem["file"] == path
    assert problem["place"] == 'test "lunge-distance", usuall'


def test_changes_are_shown_in_words(clinic, capsys: pytest.CaptureFixture[str]) -> None:
    path = clinic('[[test]]\nid = "lunge-distance"\nusual = [3, 20]\n')
    assert main(["protocol", "show", "--changes", path]) == 0
    assert "test “lunge-distance”: usual: [2, 18] → [3, 20]" in capsys.readouterr().out


def test_a_protocol_that_extends_none_says_so(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["protocol", "show", "--changes", "adult"]) == 0
    out, err = capsys.readouterr()
    assert out == ""
    assert "extends no other" in err
