"""The main job asks nothing of any network: it works where every way to one is closed."""

import json
import os
import subprocess
import sys
from pathlib import Path

from made_protocols import SMALL_FILE

ROOT = Path(__file__).parents[2]
CLOSED = """
import sys

def refuse(event, arguments):
    asks_outside = event in {
        "socket.connect", "socket.bind", "socket.sendto", "socket.getaddrinfo",
        "socket.gethostbyname", "socket.gethostbyaddr", "urllib.Request", "ftplib.connect",
        "smtplib.connect", "http.client.connect",
    }
    if asks_outside:
        print(f"REFUSED {event} {arguments}", file=sys.stderr)
        raise PermissionError(f"{event} is not allowed here")

sys.addaudithook(refuse)
"""
COMMANDS = {
    "a visit in lines of text": (
        "P-0042\nAB\n1\n1\n1\nq\n",
        ("plain", "--protocol", "short", "--sessions", "{folder}"),
    ),
    "what follows": ("", ("summary", "{example}")),
    "what follows, as data": ("", ("summary", "{example}", "--as", "json")),
    "a check of a protocol": ("", ("protocol", "check", "{protocol}")),
    "the figures": ("", ("protocol", "figures", "{protocol}", "--out", "{folder}/figures")),
    "the list of visits": ("", ("sessions", "--sessions", "{folder}")),
    "a comparison": ("", ("compare", "{example}", "{example}")),
}


def run_closed(code: str, typed: str = "") -> subprocess.CompletedProcess[str]:
    """Run code in a Python that may open no way to a network."""
    return subprocess.run(
        [sys.executable, "-c", CLOSED + code],
        input=typed,
        capture_output=True,
        encoding="utf-8",
        env=os.environ | {"PYTHONPATH": str(ROOT / "src"), "PYTHONIOENCODING": "utf-8"},
        timeout=120,
        check=False,
    )


FIGURE = """
[figures.sore-yes]
view_box = [0, 0, 60, 40]
alt = "A sore heel."
[[figures.sore-yes.parts]]
line = [[6, 4], [6, 36]]
"""
ONE_AFTER_THE_OTHER = """
import io, json
from examwalk.cli import main
for name, typed, arguments in json.load(sys.stdin):
    sys.stdin = io.StringIO(typed)
    # A visit cannot be compared with itself: that is refused in words.
    expected = 1 if name == "a comparison" else 0
    assert main(arguments) == expected, name
    print(f"ENDED {name}", file=sys.stderr)
"""


def test_commands_work_where_every_way_to_a_network_is_closed(tmp_path: Path):
    protocol = tmp_path / "own" / "small.toml"
    protocol.parent.mkdir()
    protocol.write_text(SMALL_FILE + FIGURE, encoding="utf-8")
    named = {
        "folder": tmp_path,
        "example": ROOT / "sessions" / "heel-pain-right.toml",
        "protocol": protocol,
    }
    commands = [
        (name, typed, [argument.format(**named) for argument in arguments])
        for name, (typed, arguments) in COMMANDS.items()
    ]
    ran = run_closed(ONE_AFTER_THE_OTHER, json.dumps(commands))
    assert ran.returncode == 0, ran.stderr
    ended = [line[6:] for line in ran.stderr.splitlines() if line.startswith("ENDED ")]
    assert ended == list(COMMANDS)
    assert "REFUSED" not in ran.stderr
    assert "Traceback" not in ran.stderr
    assert (tmp_path / "figures" / "sore-yes.svg").exists()


def test_the_app_opens_takes_an_answer_and_closes_where_every_way_is_closed(tmp_path: Path):
    code = f"""
import asyncio
from pathlib import Path
from examwalk.protocol.library import find_protocol
from examwalk.protocol.reading import read_protocol
from examwalk.tui.app import ExamwalkApp

async def walk():
    app = ExamwalkApp(Path({str(tmp_path)!r}))
    async with app.run_test(size=(80, 24)) as pilot:
        app.begin_visit(read_protocol(find_protocol("short")), "P-0042", "AB")
        await pilot.pause()
        await pilot.press("1", "1", "r", "s")
        print(len(app.visit.session.answers))

asyncio.run(walk())
"""
    ran = run_closed(code)
    assert "REFUSED" not in ran.stderr
    assert (ran.returncode, ran.stdout.strip()) == (0, "2"), ran.stderr


def test_a_way_to_a_network_is_really_closed_in_these_tests():
    ran = run_closed("import socket\nsocket.create_connection(('127.0.0.1', 9))")
    assert ran.returncode != 0
    assert "REFUSED socket." in ran.stderr
