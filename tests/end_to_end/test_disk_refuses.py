"""The disk refuses to save: the screen says so, nothing typed is lost, and a key tries again."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from examination import Examination
from terminal import Terminals, wait_until

SAVE_AGAIN = "C-s"


def everything_is_saved(examination: Examination) -> None:
    """Press the key that tries again, and compare the disk with what was typed."""
    examination.terminal.press(SAVE_AGAIN)
    examination.terminal.wait_without("Not saved")
    wait_until(
        lambda: dict(examination.stored.answers) == examination.typed,
        lambda: f"on disk is {examination.stored.answers}, typed was {examination.typed}",
    )


def answer_unsaved(examination: Examination, *tests: str) -> None:
    """Answer tests on both sides while the disk does not tell where the exam is."""
    for test in tests:
        for place in examination.places_of(test):
            reply = examination.reply_at(place)
            examination.terminal.wait_for(*examination.signs_of(place))
            examination.terminal.press(*reply.keys)
            examination.typed[place] = reply.answer


def test_a_folder_that_cannot_be_made_is_told_and_saving_works_once_it_can(
    terminals: Terminals,
):
    in_the_way = terminals.sessions
    in_the_way.write_text("a file\n", "utf-8")
    terminals.sessions = in_the_way / "visits"
    examination = Examination(terminals)
    examination.terminal = terminals.open()
    examination.terminal.wait_for("cannot be read", "n new visit")
    examination.fill_in_the_form()
    screen = examination.terminal.wait_for("Not saved", "Ctrl+S tries again")
    assert "a part of the path is a file" in " ".join(screen.split())
    answer_unsaved(examination, "consent", "hot-swollen-foot", "calf-swelling")
    examination.terminal.wait_for("Not saved", "Recorded: ")
    assert in_the_way.read_text("utf-8") == "a file\n"

    in_the_way.unlink()
    everything_is_saved(examination)
    assert examination.leave() == 0


def test_a_folder_that_becomes_read_only_is_told_and_saving_works_once_it_is_not(
    examination: Examination,
):
    examination.answer(1)
    sessions = examination.terminals.sessions
    sessions.chmod(0o500)
    try:
        if os.access(sessions, os.W_OK):
            pytest.skip("this user may write anywhere")
        answer_unsaved(examination, "hot-swollen-foot")
        screen = examination.terminal.wait_for("Not saved", "Ctrl+S tries again")
        assert "not permitted to write" in " ".join(screen.split())
    finally:
        sessions.chmod(0o700)
    everything_is_saved(examination)


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux limits another process's files")
def test_a_disk_with_no_room_left_is_told_and_saving_works_once_there_is(
    examination: Examination,
):
    import resource  # noqa: PLC0415 (not there on Windows)

    examination.answer(3)
    saved = dict(examination.typed)
    assert examination.path is not None
    size = examination.path.stat().st_size
    before = resource.prlimit(examination.terminal.pid, resource.RLIMIT_FSIZE)
    resource.prlimit(examination.terminal.pid, resource.RLIMIT_FSIZE, (size - 20, before[1]))
    answer_unsaved(examination, "calf-swelling", "push-off-loss")
    screen = examination.terminal.wait_for("Not saved", "Ctrl+S tries again")
    assert "Nothing that was saved before is lost." in " ".join(screen.split())
    assert dict(examination.stored.answers) == saved

    examination.terminal.press("q")
    screen = examination.terminal.wait_for("Leave all the same?", "y yes", "n no")
    examination.terminal.press("n")
    examination.terminal.wait_without("Leave all the same?")
    examination.terminal.press(SAVE_AGAIN)
    examination.terminal.wait_for("Not saved")

    resource.prlimit(examination.terminal.pid, resource.RLIMIT_FSIZE, before)
    everything_is_saved(examination)
    assert examination.leave() == 0


@pytest.mark.parametrize("command", [[], ["new"], ["sessions"]], ids=["app", "new", "sessions"])
def test_a_file_named_as_the_folder_of_visits_is_refused_in_a_sentence(
    tmp_path: Path, command: list[str]
):
    file = tmp_path / "visits"
    file.write_text("not a folder\n", "utf-8")
    ran = subprocess.run(
        [sys.executable, "-m", "examwalk", *command, "--sessions", str(file)],
        capture_output=True,
        encoding="utf-8",
        stdin=subprocess.DEVNULL,
        timeout=30,
        check=False,
    )
    assert ran.returncode == 1
    assert ran.stdout == ""
    assert ran.stderr.startswith("examwalk: ")
    assert str(file) in ran.stderr
    assert "folder" in ran.stderr.lower()
    assert ran.stderr.count("\n") == 1
    assert file.read_text("utf-8") == "not a folder\n"


def test_it_is_refused_in_a_terminal_too(terminals: Terminals):
    terminals.sessions.write_text("not a folder\n", "utf-8")
    terminal = terminals.open("--sessions", str(terminals.sessions))
    assert terminal.exit_status() == 1
    screen = wait_until(terminal.screen, lambda: "nothing is on the screen")
    assert "examwalk: " in screen
    assert "Traceback" not in screen
