"""How long reading, saving, reasoning and the plain commands take, beside the bare work."""

import os
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

import tomli_w

from examwalk.protocol.library import DEFAULT_PROTOCOL, find_protocol
from examwalk.protocol.reading import read_protocol
from examwalk.reasoning.summary import summarise
from examwalk.session.storing import to_toml, write_session

from .a_visit import EXAMPLE, adult, full_visit
from .figures import Figure
from .timing import in_turns, seconds

LOAD_BUDGET = 3
SAVE_BUDGET = 3
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
    """Saving a full visit, beside writing the same content through to the disk and renaming."""
    visit = full_visit()
    content = tomllib.loads(to_toml(visit))
    with tempfile.TemporaryDirectory(dir=Path.cwd()) as folder:
        path, bare_path = Path(folder) / "visit.toml", Path(folder) / "bare.toml"
        taken, bare = in_turns(
            rounds, lambda: write_session(path, visit), lambda: _bare_write(bare_path, content)
        )
    anchor = "dumps, write, fsync, rename"
    return [Figure("saving a full visit", taken, anchor, bare, SAVE_BUDGET)]


def _bare_write(path: Path, content: dict[str, object]) -> None:
    writing = path.with_suffix(".writing")
    with writing.open("wb") as stream:
        stream.write(tomli_w.dumps(content).encode())
        stream.flush()
        os.fsync(stream.fileno())
    writing.replace(path)


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
    subprocess.run([sys.executable, *arguments], check=True, capture_output=True, timeout=60)
