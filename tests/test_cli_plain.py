"""``examwalk plain`` in a pipe, as a screen reader's line or a script would use it."""

import os
import subprocess
import sys
from pathlib import Path

from examwalk.session.model import Place, Side
from examwalk.session.storing import read_session

SRC = Path(__file__).parents[1] / "src"


def plain(folder: Path, typed: str, *arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "examwalk", "plain", *arguments, "--sessions", str(folder)],
        input=typed,
        capture_output=True,
        encoding="utf-8",
        env=os.environ | {"PYTHONPATH": str(SRC), "PYTHONIOENCODING": "utf-8"},
        timeout=60,
        check=False,
    )


def the_visit(folder: Path) -> Path:
    (path,) = folder.glob("*.toml")
    return path


def test_a_visit_is_begun_left_and_gone_on_with(tmp_path):
    begun = plain(tmp_path, "P-0042\nAB\n1\nq\n", "--protocol", "short")
    assert (begun.returncode, begun.stderr) == (0, "")
    path = the_visit(tmp_path)
    session = read_session(path)
    assert (session.patient, session.examiner, len(session.answers)) == ("P-0042", "AB", 1)
    again = plain(tmp_path, "1\nq\n", str(path))
    assert (again.returncode, again.stderr) == (0, "")
    assert Place("hot-swollen-foot", Side.LEFT) in read_session(path).answers


def test_a_code_that_looks_like_a_name_is_asked_about_and_another_one_is_taken(tmp_path):
    asked = plain(tmp_path, "Miller\nP-0042\nAB\nq\n")
    assert "looks like a name" in asked.stdout
    assert read_session(the_visit(tmp_path)).patient == "P-0042"


def test_without_a_code_no_visit_is_begun(tmp_path):
    nothing = plain(tmp_path, "")
    assert nothing.returncode == 1
    assert "no visit was begun" in nothing.stderr
    assert list(tmp_path.iterdir()) == []


def test_a_damaged_visit_is_told_in_a_sentence(tmp_path):
    path = tmp_path / "a.toml"
    path.write_text("format = 1\n[session\n")
    told = plain(tmp_path, "", str(path))
    assert told.returncode == 1
    assert "not valid TOML" in told.stderr
    assert "Traceback" not in told.stderr


def test_the_conversation_needs_no_screen():
    code = (
        "import sys, examwalk.tui.plain; "
        "print([name for name in sys.modules if name.split('.')[0] in ('textual', 'rich')])"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        env=os.environ | {"PYTHONPATH": str(SRC)},
        check=True,
    )
    assert ran.stdout.strip() == "[]"
