"""However the app is ended, the visit is on disk and the shell is as it was before."""

import signal

import pytest
from examination import Examination
from terminal import PROMPT, Terminal


def is_as_before(terminal: Terminal) -> None:
    """Check that the shell echoes and runs what is typed, on the screen of before."""
    terminal.wait_for(PROMPT.strip())
    terminal.type("echo $((6 * 7)) here")
    terminal.press("Enter")
    screen = terminal.wait_for("42 here")
    assert f"{PROMPT}echo $((6 * 7)) here" in screen
    assert "Traceback" not in screen
    for mode in ("alternate_on", "mouse_any_flag", "keypad_flag", "insert_flag"):
        assert terminal.mode(mode) == "0", mode
    assert terminal.mode("cursor_flag") == "1"
    terminal.type("stty -a; echo listed")
    terminal.press("Enter")
    terminal.wait_for("\nlisted")
    settings = terminal.screen().split()
    assert {"icanon", "echo", "isig", "opost"} <= {word.rstrip(";") for word in settings}


@pytest.mark.parametrize(("number", "status"), [(signal.SIGTERM, 143), (signal.SIGHUP, 129)])
def test_a_signal_ends_the_app_with_its_status_and_leaves_the_terminal_usable(
    examination: Examination, number: signal.Signals, status: int
):
    examination.answer(3)
    examination.terminal.signal(number)
    assert examination.terminal.exit_status() == status
    is_as_before(examination.terminal)
    assert dict(examination.stored.answers) == examination.typed


def test_leaving_by_the_keyboard_ends_with_status_0_and_leaves_the_terminal_usable(
    examination: Examination,
):
    examination.answer(3)
    assert examination.leave() == 0
    is_as_before(examination.terminal)
    assert dict(examination.stored.answers) == examination.typed


def test_closing_the_window_ends_the_app_and_what_was_answered_is_there(
    examination: Examination,
):
    examination.answer(3)
    examination.terminal.close_window()
    examination.terminal.wait_until_gone()
    assert dict(examination.stored.answers) == examination.typed
    examination.open_again()
    examination.terminal.wait_for(*examination.signs_of(examination.here))
