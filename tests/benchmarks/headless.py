"""How long reading, saving, reasoning and the plain commands take, beside the bare work."""

import os
import subprocess
import sys
import tempfile
import tomllib
from itertools import count
from pathlib import Path

from attrs import evolve

from examwalk.files import write_atomically
from examwalk.protocol.library import DEFAULT_PROTOCOL, find_protocol
from examwalk.protocol.reading import read_protocol
from examwalk.reasoning.summary import summarise
from examwalk.session.storing import to_toml, write_session
from examwalk.tui.clock import local_now
from examwalk.tui.open_visit import OpenVisit

from .a_visit import EXAMPLE, adult, full_visit
from .figures import Figure
from .timing import as_installed, in_turns, seconds

LOAD_BUDGET = 3
SAVE_BUDGET = 1.5
COMMAND_BUDGET = 2.5
BARE_IMPORTS = ["-c", "import attrs, tomllib, tomli_w, argparse"]


def protocol_load(rounds: int) -> list[Figure]:
    """Reading and checking the adult protocol, beside parsing its files."""
    path = find_protocol(DEFAULT_PROTOCOL)
    files = sorted(path.glob("*.toml")) if path.is_dir() else [path]
    taken, bare = in_turns(
        rounds,
        lambda: read_protocol(path),
        lambda: [tomllib.loads(file.read_text("utf-8")) for file in files],
    )
    return [Figure("reading the adult protocol", taken, "tomllib alone", bare, LOAD_BUDGET)]


def save(rounds: int) -> list[Figure]:
    """Saving after an answer, beside writing the same bytes through to the disk and renaming.

    Every round has another answer, as only what is new has to be put into words. The anchor
    writes the folder through too: without that a new name does not outlive a loss of power.
    """
    with tempfile.TemporaryDirectory(dir=Path.cwd()) as folder:
        path, bare_path = Path(folder) / "visit.toml", Path(folder) / "bare.toml"
        write_session(path, full_visit())
        visit = OpenVisit.open_held(path, local_now)
        answered = (
            evolve(visit.session, findings=(*others, evolve(last, note=f"answer {number}")))
            for number in count()
            for *others, last in [visit.session.findings]
        )
        data = to_toml(visit.session).encode()

        def save_next() -> None:
            visit.session = next(answered)
            assert visit.save()

        def write_bare() -> None:
            _bare_write(bare_path, data)

        saved, bare = in_turns(rounds, save_next, write_bare)
        written, bare_again = in_turns(rounds, lambda: write_atomically(path, data), write_bare)
        put_in_words = [seconds(lambda: to_toml(next(answered))) for _ in range(rounds)]
        visit.let_go()
    anchor = "write, fsync, rename, folder"
    return [
        Figure("saving after an answer, all told", saved, anchor, bare, SAVE_BUDGET),
        Figure("  of that the writing", written, anchor, bare_again, SAVE_BUDGET),
        Figure("  of that putting into TOML", put_in_words),
    ]


def _bare_write(path: Path, data: bytes) -> None:
    writing = path.with_suffix(".writing")
    descriptor = os.open(writing, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    os.write(descriptor, data)
    os.fsync(descriptor)
    os.close(descriptor)
    writing.replace(path)
    descriptor = os.open(path.parent, os.O_RDONLY)
    os.fsync(descriptor)
    os.close(descriptor)


def summarising(rounds: int) -> list[Figure]:
    """All that follows from a full visit."""
    protocol, visit = adult(), full_visit()
    taken = [seconds(lambda: summarise(protocol, visit)) for _ in range(rounds)]
    return [Figure("summarise() on a full visit", taken)]


def commands(rounds: int) -> list[Figure]:
    """The processes of commands without a screen, beside one that only imports."""
    anchor_name = "importing attrs, TOML, argparse"
    figures = []
    for name, arguments in (
        ("examwalk summary FILE", ["summary", str(EXAMPLE)]),
        ("examwalk protocol check adult", ["protocol", "check", DEFAULT_PROTOCOL]),
    ):
        taken, bare = in_turns(
            rounds,
            lambda arguments=arguments: _run(["-m", "examwalk", *arguments]),
            lambda: _run(BARE_IMPORTS),
        )
        figures.append(Figure(name, taken, anchor_name, bare, COMMAND_BUDGET))
    return figures


def _run(arguments: list[str]) -> None:
    command = [sys.executable, *arguments]
    subprocess.run(command, check=True, capture_output=True, timeout=60, env=as_installed())
