"""A visit from a stranger is refused in sentences or told harmlessly, as text and as JSON."""

import json
import re
import unicodedata
from pathlib import Path

import pytest

from examwalk.cli import main

EXAMPLE = Path(__file__).parents[2] / "sessions" / "heel-pain-right.toml"
NUMBERS = ["9" * 400, "1e400", "-1e400", "nan", "inf", "9" * 5000]
IDS = ["../../etc/passwd", "/etc/passwd", "CON", "nul.txt", "a\\\\b", ".hidden", "x\\u0000y"]


def changed(tmp_path: Path, pattern: str, replacement: str) -> Path:
    text = re.sub(r"(?m)^checksum = .*\n", "", EXAMPLE.read_text("utf-8"))
    text, count = re.subn(pattern, lambda _: replacement, text, count=1)
    assert count == 1
    path = tmp_path / "visit.toml"
    path.write_text(text, "utf-8")
    return path


def is_harmless(words: str) -> bool:
    return not any(c != "\n" and unicodedata.category(c).startswith("C") for c in words)


def refusal(capsys: pytest.CaptureFixture[str], path: Path, form: str) -> str:
    assert main(["summary", str(path), "--as", form]) == 1
    out, err = capsys.readouterr()
    assert out == ""
    assert "Traceback" not in err
    assert is_harmless(err)
    return err


@pytest.mark.parametrize("number", NUMBERS, ids=lambda number: number[:6])
def test_a_number_beyond_all_measure_is_refused_in_a_sentence(tmp_path, capsys, number):
    path = changed(tmp_path, r"(?m)^answer = \d+(\.\d+)?$", f"answer = {number}")
    assert "visit.toml" in refusal(capsys, path, "json")


@pytest.mark.parametrize("name", IDS)
def test_an_id_that_leads_elsewhere_or_is_reserved_is_refused(tmp_path, capsys, name):
    path = changed(tmp_path, r'(?m)^id = ".*"$', f'id = "{name}"')
    assert refusal(capsys, path, "text")


def test_lists_nested_beyond_all_use_are_refused(tmp_path, capsys):
    path = changed(tmp_path, r"(?m)^format = ", "deep = " + "[" * 5000 + "]" * 5000 + "\nformat = ")
    assert refusal(capsys, path, "text")


def test_a_file_of_very_many_lines_is_refused_by_its_size(tmp_path, capsys):
    path = tmp_path / "visit.toml"
    path.write_text("#\n" * 10_000_000, "utf-8")
    assert "bytes" in refusal(capsys, path, "text")


@pytest.mark.parametrize("form", ["text", "json"])
@pytest.mark.parametrize("escape", ["\\u001b[2J", "\\u009b31m", "\\u202e", "\\u0000", "\\u0007"])
def test_no_control_character_of_a_visit_reaches_the_terminal(tmp_path, capsys, form, escape):
    path = changed(tmp_path, r'(?m)^examiner = ".*"$', f'examiner = "A{escape}B"')
    status = main(["summary", str(path), "--as", form])
    out, err = capsys.readouterr()
    assert status in (0, 1)
    assert is_harmless(out)
    assert is_harmless(err)
    if form == "json" and status == 0:
        assert is_harmless(json.loads(out)["session"]["examiner"])


@pytest.mark.parametrize(
    ("pattern", "replacement"),
    [
        (r'(?m)^id = ".*"$', 'id = "20261125-0912-abcd"'),
        (r'(?m)^examiner = ".*"$', 'examiner = "CD"'),
        (r"(?m)^answer = \d+(\.\d+)?$", "answer = 9"),
    ],
)
def test_the_same_file_with_a_harmless_change_is_told(tmp_path, capsys, pattern, replacement):
    assert main(["summary", str(changed(tmp_path, pattern, replacement))]) == 0
    assert "Traceback" not in capsys.readouterr().err
