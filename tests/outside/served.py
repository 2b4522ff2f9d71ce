"""A running ``examwalk serve``, and what a stranger on the same computer would send it."""

import contextlib
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from http.client import HTTPConnection
from pathlib import Path
from urllib.parse import urlsplit

from attrs import frozen

PATIENCE_SECONDS = 60


@frozen
class Served:
    """A server that runs, and the address that it printed."""

    process: subprocess.Popen[str]
    address: str

    @property
    def port(self) -> int:
        port = urlsplit(self.address).port
        assert port is not None
        return port

    @property
    def start(self) -> str:
        """The path that begins with the token."""
        return urlsplit(self.address).path

    def status(self, path: str, **headers: str) -> int:
        """Ask for a path and return the status of the answer."""
        connection = HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE_SECONDS)
        with contextlib.closing(connection):
            connection.request(
                "GET", path, headers={k.replace("_", "-"): v for k, v in headers.items()}
            )
            return connection.getresponse().status

    def apps(self) -> list[int]:
        """Return the processes that the server has started and that still run."""
        task = Path(f"/proc/{self.process.pid}/task/{self.process.pid}/children")
        return [int(one) for one in task.read_text().split()]


UPGRADE = {
    "Connection": "Upgrade",
    "Upgrade": "websocket",
    "Sec_WebSocket_Version": "13",
    "Sec_WebSocket_Key": "dGhlIHNhbXBsZSBub25jZQ==",  # of RFC 6455, 1.3
}


@contextlib.contextmanager
def serving(folder: Path, *more: str) -> Iterator[Served]:
    """Run ``examwalk serve`` over a folder until the end of the block."""
    process = subprocess.Popen(
        [sys.executable, "-m", "examwalk", "serve", "--sessions", str(folder), *more],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    )
    assert process.stdout is not None
    try:
        yield Served(process, process.stdout.readline().strip())
    finally:
        process.send_signal(signal.SIGINT)
        with contextlib.suppress(subprocess.TimeoutExpired):
            process.wait(30)
        process.kill()
        process.wait()
        process.stdout.close()


def until(found: Callable[[], object]) -> object:
    """Wait until something is found, and return it."""
    end = time.monotonic() + PATIENCE_SECONDS
    while time.monotonic() < end:
        thing = found()
        if thing:
            return thing
        time.sleep(0.1)
    raise AssertionError("it never came")


def is_running(process_id: int) -> bool:
    """Say whether a process runs and is no mere remainder."""
    try:
        state = Path(f"/proc/{process_id}/stat").read_text(encoding="utf-8").rpartition(")")[2]
    except FileNotFoundError:
        return False
    return state.split()[0] != "Z"


def end_all(process_ids: list[int]) -> None:
    """End what a test may have left running."""
    for process_id in process_ids:
        with contextlib.suppress(ProcessLookupError):
            os.kill(process_id, signal.SIGKILL)
