"""``examwalk config`` shows what is chosen and by whom, and chooses it."""

import contextlib
import json
from pathlib import Path

import pytest

from examwalk.cli import main
from examwalk.settings import SETTINGS


@pytest.fixture
def file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    path = tmp_path / "settings.toml"
    monkeypatch.setenv("EXAMWALK_SETTINGS", str(path))
    return path


def config(*arguments: str) -> int:
    return main(["config", *arguments])


def status_of(*arguments: str) -> object:
    """Return the exit status; the parser ends by itself where the command line is at fault."""
    with contextlib.suppress(SystemExit):
        return config(*arguments)
    return 2


def test_everything_is_listed_with_its_value_its_origin_and_what_it_is(file, capsys):
    file.write_text('examiner = "KL"\n', "utf-8")
    assert config() == 0
    out, err = capsys.readouterr()
    lines = out.splitlines()
    assert len(lines) == 2 * len(SETTINGS)
    assert "examiner   KL   (settings file)" in lines
    assert "protocol   adult   (by default)" in lines
    assert "browser    (not chosen)" in lines
    assert any(line.startswith("sessions ") and "(EXAMWALK_SESSIONS)" in line for line in lines)
    assert str(file) in err


def test_as_json_each_setting_has_its_value_and_origin(file, capsys):
    file.write_text('paper = "letter"\n', "utf-8")
    assert config("--as", "json") == 0
    told = json.loads(capsys.readouterr().out)
    assert set(told) == set(SETTINGS)
    assert told["paper"] == {"value": "letter", "from": "file"}
    assert told["language"] == {"value": "en", "from": "default"}


def test_a_chosen_setting_is_told_and_taken_back(file, capsys):
    assert config("examiner", "KL") == 0
    assert config("examiner") == 0
    assert capsys.readouterr().out == "KL\n"
    assert config("examiner", "--unset") == 0
    assert config("examiner") == 0
    assert capsys.readouterr().out == "\n"


def test_a_folder_is_kept_so_that_it_holds_from_everywhere(file, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("EXAMWALK_SESSIONS")
    assert config("sessions", "visits") == 0
    monkeypatch.chdir("/")
    assert config("sessions") == 0
    assert capsys.readouterr().out.strip() == str(tmp_path / "visits")


def test_a_variable_that_comes_before_is_named(file, monkeypatch, capsys):
    monkeypatch.setenv("EXAMWALK_SESSIONS", "/elsewhere")
    assert config("sessions", "/here") == 0
    assert "EXAMWALK_SESSIONS comes before it" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("arguments", "status", "told"),
    [
        (["protocol", "adullt"], 1, "Did you mean “adult”?"),
        (["paper", "A5"], 1, "A4 or letter"),
        (["language", "xx"], 1, "en or de"),
        (["examiner", ""], 1, "blank"),
        (["langage", "de"], 2, "Did you mean “language”?"),
        (["--unset"], 2, "KEY"),
        (["sessions", __file__], 1, "a folder is needed"),
    ],
)
def test_what_cannot_be_chosen_is_refused_and_nothing_is_written(
    arguments, status, told, file, capsys
):
    assert status_of(*arguments) == status
    assert told in capsys.readouterr().err
    assert not file.exists()


def test_a_broken_file_of_settings_is_told_by_every_command_with_its_line(file, capsys):
    file.write_text('\nlanguage = "dee"\n', "utf-8")
    for command in (["protocol", "list"], ["sessions", "--language", "en", "--sessions", "."]):
        assert main(command) == 1
        assert f"{file}:2: language: This should be en or de" in capsys.readouterr().err


def test_the_chosen_language_is_spoken(file, capsys):
    file.write_text('language = "de"\n', "utf-8")
    assert config("examiner") == 0
    assert config("paper", "A4") == 0
    assert "gewählt" in capsys.readouterr().err


def test_the_chosen_paper_is_that_of_a_page_unless_the_command_names_one(file, capsys):
    file.write_text('paper = "letter"\n', "utf-8")
    example = str(Path(__file__).parents[1] / "sessions" / "heel-pain-right.toml")
    assert main(["report", example, "--kind", "patient"]) == 0
    assert "size: letter" in capsys.readouterr().out
    assert main(["report", example, "--kind", "patient", "--paper", "A4"]) == 0
    assert "size: A4" in capsys.readouterr().out
