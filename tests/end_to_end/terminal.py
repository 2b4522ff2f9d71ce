"""The app in a real terminal: one window of tmux, with a server of its own.

Nothing here sleeps for a fixed time: everything waits until it is so, and fails with the screen
in its message where it is not so in time.
"""

import contextlib
import os
import shlex
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TypeVar

Seen = TypeVar("Seen")

PATIENCE_SECONDS = 30
"""How long anything is waited for before the test fails."""
LOOK_AGAIN_SECONDS = 0.01
LOOK_AT_SCREEN_SECONDS = 0.03
"""Each look at a screen is a process of its own, which takes time from the app."""
PROMPT = "the shell> "

_SETTINGS = """
set -g status off
set -g default-terminal screen-256color
set -g remain-on-exit off
set -g set-clipboard on
"""
_SCRIPT = """
sh -c 'echo $$ >"$0"; exec "$@"' {pid} {command}
echo $? >{left}
unset ENV
PS1={prompt} exec sh -i
"""


def wait_until(
    so: Callable[[], Seen], else_say: Callable[[], str], every: float = LOOK_AGAIN_SECONDS
) -> Seen:
    """Return what is seen once it is something true.

    Raises:
        AssertionError: It has not become so; ``else_say`` tells what is there instead.
    """
    deadline = time.monotonic() + PATIENCE_SECONDS
    while not (seen := so()):
        assert time.monotonic() < deadline, else_say()
        time.sleep(every)
    return seen


class Terminal:
    """A window in which the app has been started from a shell script.

    Args:
        arguments: the arguments of ``examwalk``.
        environment: what to set beside the present environment.
        size: columns and rows.
    """

    def __init__(
        self, arguments: tuple[str, ...], environment: dict[str, str], size: tuple[int, int]
    ) -> None:
        # Not in the folder of the test: the path of a socket has at most some 100 bytes.
        self._folder = Path(tempfile.mkdtemp(prefix="examwalk-"))
        settings = [f"{name}={value}" for name, value in environment.items()]
        command = shlex.join(
            ["env", *settings, sys.executable, "-m", "examwalk", *arguments],
        )
        pid, left, prompt = (
            shlex.quote(str(part)) for part in (self._folder / "pid", self._folder / "left", PROMPT)
        )
        script = _SCRIPT.format(command=command, pid=pid, left=left, prompt=prompt)
        (self._folder / "script").write_text(script, "utf-8")
        (self._folder / "settings").write_text(_SETTINGS, "utf-8")
        columns, rows = (str(number) for number in size)
        self._tmux("new-session", "-d", "-x", columns, "-y", rows)

    def _tmux(self, command: str, *arguments: str) -> str:
        if command == "new-session":
            arguments = (*arguments, "sh", str(self._folder / "script"))
        where = ("-S", str(self._folder / "socket"), "-f", str(self._folder / "settings"))
        ran = subprocess.run(
            ["tmux", "-u", *where, command, *arguments],
            capture_output=True,
            encoding="utf-8",
            timeout=PATIENCE_SECONDS,
            check=True,
        )
        return ran.stdout

    # --- what is seen ---

    def screen(self) -> str:
        """Return what the window shows, as lines of plain text."""
        return self._tmux("capture-pane", "-p")

    def coloured_screen(self) -> str:
        """Return what the window shows with the codes of its colours."""
        return self._tmux("capture-pane", "-p", "-e")

    def mode(self, name: str) -> str:
        """Return what tmux knows of the window, for example ``alternate_on``."""
        return self._tmux("display-message", "-p", f"#{{{name}}}").strip()

    def clipboard(self) -> str:
        """Return what the app has put into the clipboard, as tmux keeps it."""
        return self._tmux("list-buffers")

    def wait_for(self, *texts: str) -> str:
        """Return the screen once all these texts are on it; do not wait for an app that ends."""
        was_running = not self._read("left")

        def shown() -> str:
            has_left = was_running and bool(self._read("left"))
            screen = self.screen()
            if all(text in screen for text in texts):
                return screen
            assert not has_left, f"the app has ended without {texts}:\n{screen}"
            return ""

        return wait_until(
            shown,
            lambda: f"{texts} is not on the screen:\n{self.screen()}",
            LOOK_AT_SCREEN_SECONDS,
        )

    def wait_without(self, text: str) -> str:
        """Return the screen once a text is no longer on it."""
        return wait_until(
            lambda: (screen := self.screen()) and text not in screen and screen,
            lambda: f"{text!r} is still on the screen:\n{self.screen()}",
            LOOK_AT_SCREEN_SECONDS,
        )

    # --- what is done ---

    def press(self, *keys: str) -> None:
        """Press keys one after the other, named as tmux names them: ``3``, ``Enter``, ``C-s``."""
        self._tmux("send-keys", *keys)

    def type(self, text: str) -> None:
        """Type a text as it stands."""
        self._tmux("send-keys", "-l", text)

    def resize(self, columns: int, rows: int) -> None:
        """Make the window larger or smaller."""
        self._tmux("resize-window", "-x", str(columns), "-y", str(rows))

    def close_window(self) -> None:
        """Close the window while the app is running in it."""
        with contextlib.suppress(subprocess.CalledProcessError):
            self._tmux("kill-server")

    # --- the process of the app ---

    @property
    def pid(self) -> int:
        """The app's own process."""
        return int(wait_until(lambda: self._read("pid"), lambda: "the app was not started"))

    def signal(self, number: signal.Signals) -> None:
        """Send a signal to the app alone."""
        os.kill(self.pid, number)

    def exit_status(self) -> int:
        """Wait until the app has left, and return its exit status."""
        told = wait_until(
            lambda: self._read("left"), lambda: f"the app is still there:\n{self.screen()}"
        )
        return int(told)

    def wait_until_gone(self) -> None:
        """Wait until the app's process has ended, whether or not the window is still there."""
        wait_until(lambda: not is_running(self.pid), lambda: f"process {self.pid} is still there")

    def _read(self, name: str) -> str:
        try:
            return (self._folder / name).read_text("ascii").strip()
        except FileNotFoundError:
            return ""

    def end(self) -> None:
        """End all that was started."""
        told = self._read("pid")
        if told and not self._read("left"):
            with contextlib.suppress(ProcessLookupError):
                os.kill(int(told), signal.SIGKILL)
        self.close_window()
        wait_until(self._remove_folder, lambda: f"{self._folder} cannot be removed")

    def _remove_folder(self) -> bool:
        # The shell may be writing its last line there while it is being ended.
        shutil.rmtree(self._folder, ignore_errors=True)
        return not self._folder.exists()


def is_running(pid: int) -> bool:
    """Say whether a process is there and more than a name that nobody has collected yet."""
    try:
        os.kill(pid, 0)
        return Path(f"/proc/{pid}/stat").read_text("ascii").rpartition(")")[2].split()[0] != "Z"
    except ProcessLookupError:
        return False
    except FileNotFoundError:
        # Either it has just ended, or this system has no /proc.
        return not Path("/proc/self").exists()


class Terminals:
    """Opens terminals on one folder of visits, and ends them all."""

    def __init__(self, sessions: Path, home: Path) -> None:
        self.sessions = sessions
        self._home = home
        self._opened: list[Terminal] = []

    def open(
        self, *arguments: str, size: tuple[int, int] = (80, 24), **environment: str
    ) -> Terminal:
        """Start ``examwalk`` with these arguments in a window of its own."""
        everywhere = {
            "EXAMWALK_SESSIONS": str(self.sessions),
            "XDG_STATE_HOME": str(self._home),
            "TERM": "screen-256color",
            "LANG": "C.UTF-8",
        }
        terminal = Terminal(arguments, everywhere | environment, size)
        self._opened.append(terminal)
        return terminal

    def end(self) -> None:
        """End every terminal that was opened."""
        for terminal in self._opened:
            terminal.end()


@contextlib.contextmanager
def terminals_in(folder: Path) -> Iterator[Terminals]:
    """Open terminals on the folder ``sessions`` in a folder, and end them whatever happens."""
    terminals = Terminals(folder / "sessions", folder / "home")
    try:
        yield terminals
    finally:
        terminals.end()
