"""A page as a PDF, printed by a browser of this computer that is kept from the network.

The browser that a person would print with makes the same sheets as its own menu, and no second
reader of styles has to be kept in step with the first.
"""

import contextlib
import os
import shutil
import signal
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Final

from examwalk.language import say, say_decimal
from examwalk.settings import SETTINGS, chosen

CHOSEN_BY: Final = SETTINGS["browser"].variable
"""The variable of the environment that names the browser, where the usual ones are not wanted."""
LIMIT_SECONDS: Final = 60.0

_COMMANDS: Final = (
    *("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome"),
    *("microsoft-edge", "microsoft-edge-stable", "msedge"),
)
_MAC_APPLICATIONS: Final = ("Google Chrome", "Chromium", "Microsoft Edge")
_WINDOWS_PROGRAMS: Final = (
    "Google/Chrome/Application/chrome.exe",
    "Chromium/Application/chrome.exe",
    "Microsoft/Edge/Application/msedge.exe",
)
_WINDOWS_FOLDERS: Final = ("PROGRAMFILES", "PROGRAMFILES(X86)", "LOCALAPPDATA")
_OFFLINE: Final = (
    "--headless",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-default-apps",
    "--disable-extensions",
    "--disable-sync",
    "--no-default-browser-check",
    "--no-first-run",
    "--no-pings",
    # No name of the network leads anywhere.
    "--host-resolver-rules=MAP * ~NOTFOUND",
    "--no-pdf-header-footer",
)


class CannotPrintError(Exception):
    """There is no PDF; its message is a sentence that says why and what would help."""


def browser() -> Path:
    """Return the browser that prints.

    Raises:
        CannotPrintError: none was found, or ``EXAMWALK_BROWSER`` names what is no program.
    """
    named = chosen("browser")
    names = (named,) if named else _COMMANDS
    for found in map(shutil.which, names):
        if found is not None:
            return Path(found)
    if named:
        raise CannotPrintError(
            say(
                "{variable} names “{path}”, which is no program that can be run.",
                variable=CHOSEN_BY,
                path=named,
            )
        )
    for path in _usual_places():
        if path.is_file():
            return path
    raise CannotPrintError(
        say(
            "A PDF is printed by Chromium, Chrome or Edge, and none of them was found. Install"
            " one, name one in {variable}, or print the HTML page from any browser.",
            variable=CHOSEN_BY,
        )
    )


def _usual_places() -> list[Path]:
    """Return where browsers are on systems that do not put programs on the path."""
    if sys.platform == "darwin":
        top = Path("/Applications")
        return [top / f"{name}.app/Contents/MacOS/{name}" for name in _MAC_APPLICATIONS]
    folders = [os.environ[name] for name in _WINDOWS_FOLDERS if name in os.environ]
    return [Path(folder, program) for program in _WINDOWS_PROGRAMS for folder in folders]


def pdf_of(html: str, limit_seconds: float = LIMIT_SECONDS) -> bytes:
    """Print a page on the paper that its style names.

    Args:
        html: the whole page.
        limit_seconds: how long the browser may take.

    Raises:
        CannotPrintError: there is no browser, or it did not print.
    """
    program = browser()
    # What a browser keeps, and the page itself, is gone afterwards; meanwhile only the user
    # may look into the folder.
    with tempfile.TemporaryDirectory(prefix="examwalk-", ignore_cleanup_errors=True) as name:
        folder = Path(name)
        page, printed = folder / "page.html", folder / "page.pdf"
        page.write_text(html, encoding="utf-8")
        _run(program, (f"--print-to-pdf={printed}", page.as_uri()), folder, limit_seconds)
        try:
            data = printed.read_bytes()
        except FileNotFoundError:
            data = b""
    if not data.startswith(b"%PDF-") or b"%%EOF" not in data[-1024:]:
        raise CannotPrintError(
            say(
                "{browser} wrote no PDF. Name another browser in {variable}, or print the HTML"
                " page from any browser.",
                browser=program,
                variable=CHOSEN_BY,
            )
        )
    return data


def _run(program: Path, asked: tuple[str, ...], folder: Path, limit_seconds: float) -> None:
    """Run the browser to its end with a profile of its own, and leave nothing of it running."""
    # As root a browser refuses its own sandbox; the pages run nothing.
    as_root = ("--no-sandbox",) if getattr(os, "geteuid", lambda: 1)() == 0 else ()
    command = (*_OFFLINE, *as_root, f"--user-data-dir={folder / 'profile'}", *asked)
    try:
        process = subprocess.Popen(
            [program, *command],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            env=os.environ | {"XDG_CONFIG_HOME": str(folder), "XDG_CACHE_HOME": str(folder)},
            start_new_session=True,
        )
    except OSError as error:
        raise CannotPrintError(
            say("{browser} cannot be run: {fault}.", browser=program, fault=error.strerror)
        ) from error
    try:
        process.wait(limit_seconds)
    except subprocess.TimeoutExpired:
        raise CannotPrintError(
            say(
                "{browser} did not print within {seconds} seconds.",
                browser=program,
                seconds=say_decimal(f"{limit_seconds:g}"),
            )
        ) from None
    finally:
        _end(process)


def _end(process: subprocess.Popen[bytes]) -> None:
    """End the browser with all that it has started, where anything still runs."""
    with contextlib.suppress(ProcessLookupError, PermissionError):
        if hasattr(os, "killpg"):
            os.killpg(process.pid, signal.SIGKILL)
        else:
            process.kill()
    process.wait()
