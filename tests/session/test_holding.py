"""Only one window may change a visit, and no dead one stands in the way."""

import errno
import os
import platform
import signal
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from examwalk.session import holding
from examwalk.session.holding import Hold, lock_beside

NOW = datetime(2026, 11, 25, 9, 12, tzinfo=UTC)
HOLDING = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from examwalk.session.holding import Hold
hold = Hold.take(Path(sys.argv[1]), datetime(2026, 11, 25, 9, 12, tzinfo=UTC))
print("held" if hold.rival is None else "refused", flush=True)
for line in sys.stdin:
    print("refused" if hold.rival else "held", flush=True)
hold.release()
"""


class OtherWindow:
    """A process of its own that holds a visit until it is told to go, or killed."""

    def __init__(self, visit: Path) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-c", HOLDING, str(visit)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        self.said = self._line()

    def _line(self) -> str:
        assert self.process.stdout is not None
        return self.process.stdout.readline().strip()

    def asks_again(self) -> str:
        assert self.process.stdin is not None
        self.process.stdin.write("\n")
        self.process.stdin.flush()
        return self._line()

    def leaves(self) -> None:
        self.process.communicate(timeout=20)

    def is_killed(self) -> None:
        self.process.send_signal(signal.SIGKILL)
        self.process.communicate(timeout=20)


@pytest.fixture
def visit(tmp_path: Path) -> Path:
    path = tmp_path / "20261125-0912-abcd.toml"
    path.write_text("format = 1\n")
    return path


@pytest.fixture
def other(visit: Path):
    window = OtherWindow(visit)
    yield window
    window.process.kill()
    window.process.communicate()


def without_locks(monkeypatch: pytest.MonkeyPatch, number: int) -> None:
    def refuse(*_: object) -> None:
        raise OSError(number, os.strerror(number))

    assert holding.fcntl is not None
    monkeypatch.setattr(holding.fcntl, "flock", refuse)


def left_behind(visit: Path, host: str, pid: int) -> None:
    lock_beside(visit).write_text(
        f'who = "anna"\nhost = "{host}"\npid = {pid}\nstarted = 2026-11-25T08:00:00Z\n'
    )


def a_dead_pid() -> int:
    process = subprocess.Popen([sys.executable, "-c", ""])
    process.wait()
    return process.pid


def test_the_second_window_is_refused_and_told_who_holds_the_visit(visit, other):
    assert other.said == "held"
    rival = Hold.take(visit, NOW).rival
    assert rival is not None
    assert (rival.pid, rival.host, rival.started) == (other.process.pid, platform.node(), NOW)


def test_a_visit_is_free_again_when_its_window_is_closed_and_nothing_is_left(visit, other):
    other.leaves()
    assert not lock_beside(visit).exists()
    hold = Hold.take(visit, NOW)
    assert hold.rival is None
    hold.release()
    assert [path.name for path in visit.parent.iterdir()] == [visit.name]


def test_a_window_that_was_killed_stands_in_nobodys_way(visit, other):
    other.is_killed()
    assert lock_beside(visit).exists()
    hold = Hold.take(visit, NOW)
    assert hold.rival is None
    third = OtherWindow(visit)
    third.leaves()
    assert third.said == "refused"


def test_whoever_insists_has_the_visit_and_the_other_window_notices(visit, other):
    assert Hold.take(visit, NOW).rival is not None
    hold = Hold.take(visit, NOW, insist=True)
    assert hold.rival is None
    assert other.asks_again() == "refused"
    other.leaves()
    assert hold.rival is None
    assert lock_beside(visit).exists()


def test_what_another_computer_left_is_asked_about_and_can_be_taken_over(visit):
    left_behind(visit, "laptop-of-the-clinic", 4242)
    rival = Hold.take(visit, NOW).rival
    assert rival is not None
    assert (rival.who, rival.host) == ("anna", "laptop-of-the-clinic")
    assert rival.may_live
    assert not rival.is_here
    assert Hold.take(visit, NOW, insist=True).rival is None


@pytest.mark.parametrize("number", [errno.ENOTSUP, errno.ENOLCK, errno.EINVAL])
def test_where_locks_do_not_work_a_living_window_is_respected(visit, other, monkeypatch, number):
    without_locks(monkeypatch, number)
    rival = Hold.take(visit, NOW).rival
    assert rival is not None
    assert rival.pid == other.process.pid


def test_where_locks_do_not_work_a_dead_window_is_not_waited_for(visit, monkeypatch):
    without_locks(monkeypatch, errno.EOPNOTSUPP)
    left_behind(visit, platform.node(), a_dead_pid())
    assert Hold.take(visit, NOW).rival is None


def test_without_a_module_for_locks_the_file_alone_decides(visit, monkeypatch):
    monkeypatch.setattr(holding, "fcntl", None)
    first = Hold.take(visit, NOW)
    assert first.rival is None
    second = Hold.take(visit, NOW)
    assert second.rival is not None
    assert second.rival.pid == os.getpid()
    first.release()
    assert Hold.take(visit, NOW).rival is None


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"\0" * 100,
        b"\xff\xfe",
        b"pid = -1",
        b"pid = true\nhost = 7",
        b"pid = 1" + b"0" * 3000,
        b"x = " + b"[" * 4000,
        b'who = "\\u001b[2J\\u202e"\nhost = "h"',
    ],
)
def test_a_file_of_nonsense_is_no_hindrance(visit, content):
    lock_beside(visit).write_bytes(content)
    assert Hold.take(visit, NOW).rival is None


def test_what_a_lock_file_says_cannot_drive_the_terminal(visit):
    lock_beside(visit).write_text(
        'who = "\\u001b[2J\\u202eanna"\nhost = "h\\u0007\\n2"\npid = 7\nstarted = 1e400\n'
    )
    rival = Hold.take(visit, NOW).rival
    assert rival is not None
    assert (rival.who, rival.host) == ("�[2J�anna", "h� 2")
    assert rival.started is None


def test_a_folder_or_a_link_in_the_place_of_the_lock_is_left_alone(visit, tmp_path):
    lock_beside(visit).mkdir()
    assert Hold.take(visit, NOW).rival is None
    lock_beside(visit).rmdir()
    elsewhere = tmp_path / "elsewhere"
    elsewhere.write_text("keep me")
    lock_beside(visit).symlink_to(elsewhere)
    Hold.take(visit, NOW).release()
    assert elsewhere.read_text() == "keep me"


def test_the_file_beside_a_visit_is_private(visit):
    hold = Hold.take(visit, NOW)
    assert lock_beside(visit).stat().st_mode & 0o777 == 0o600
    hold.release()
    hold.release()
