"""The app in a browser: nothing for strangers, no process left behind, and a visit is kept."""

import asyncio
import os
import re
import shutil
import signal
import socket
import unicodedata
from pathlib import Path

import pytest

pytest.importorskip("textual_serve", reason="the extra “serve” is not installed")
aiohttp = pytest.importorskip("aiohttp")
if not Path("/proc/self/task").exists():
    pytest.skip("what runs is looked up in /proc", allow_module_level=True)

from served import UPGRADE, end_all, is_running, serving, until  # noqa: E402

from examwalk.cli import main  # noqa: E402
from examwalk.tui.clock import local_now  # noqa: E402
from examwalk.tui.open_visit import OpenVisit  # noqa: E402

SESSIONS = Path(__file__).parents[2] / "sessions"
EXAMPLE = "heel-pain-right.toml"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    visits = tmp_path / "visits"
    visits.mkdir()
    shutil.copy(SESSIONS / EXAMPLE, visits)
    return visits


def test_it_listens_on_the_loopback_address_alone(folder):
    with serving(folder) as served:
        assert served.address.startswith("http://127.0.0.1:")
        listening = Path("/proc/net/tcp").read_text(encoding="utf-8").split("\n")
        places = [line.split()[1] for line in listening if f":{served.port:04X} " in line[:24]]
        assert places == [f"0100007F:{served.port:04X}"]
        others = [*Path("/proc/net/tcp6").read_text(encoding="utf-8").split("\n")]
        assert not [line for line in others if f":{served.port:04X} 0000" in line]


def test_without_the_token_nothing_is_served(folder):
    with serving(folder) as served:
        token = served.start.strip("/")
        assert len(token) >= 32
        wrong = ("A" if token[0] != "A" else "B") + token[1:]
        pages = ("/", "/page.css", "/page.js", "/static/js/textual.js", "/static/css/xterm.css")
        for start in ("", f"/{wrong}", f"/{token[:-1]}", f"/x/{token}"):
            assert {served.status(start + path) for path in ("/ws", *pages)} == {403}
            assert served.status(f"{start}/ws", **UPGRADE) == 403
        for path in (
            "/",
            "/page.css",
            "/page.js",
            "/static/js/textual.js",
            "/static/css/xterm.css",
        ):
            assert served.status(f"/{token}{path}") == 200
        assert served.apps() == []


def test_a_path_that_is_no_text_is_refused_as_any_other(folder):
    with serving(folder) as served, socket.create_connection(("127.0.0.1", served.port)) as line:
        line.sendall(b"GET /\xff\xfe/ HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n")
        status = line.makefile("rb").readline().split()[1]
        assert status in {b"400", b"403"}


def test_each_run_has_a_token_of_its_own(folder):
    with serving(folder) as one, serving(folder) as other:
        assert one.start != other.start
        assert other.status(one.start) == 403


@pytest.mark.parametrize("host", ["evil.example", "evil.example:{port}", "[::1]:{port}", ""])
def test_a_name_that_was_bent_to_this_address_is_refused(folder, host):
    with serving(folder) as served:
        named = host.format(port=served.port)
        assert served.status(served.start, Host=named) == 403
        assert served.status(f"{served.start}ws", **{**UPGRADE, "Host": named}) == 403
        assert served.status(served.start, Host=f"localhost:{served.port}") == 200


def test_a_page_of_another_site_gets_no_app(folder):
    with serving(folder) as served:
        for origin in ("http://evil.example", "null", f"http://127.0.0.1:{served.port + 1}"):
            assert served.status(f"{served.start}ws", **UPGRADE, Origin=origin) == 403
        assert served.apps() == []
        own = f"http://127.0.0.1:{served.port}"
        assert served.status(f"{served.start}ws", **UPGRADE, Origin=own) == 101


async def drawn(page, *words: str) -> str:
    """Wait until each of these has been drawn in one go, and return all that was drawn."""
    seen = b""
    async with asyncio.timeout(60):
        while not all(word.encode() in seen for word in words):
            message = await page.receive()
            assert message.type == aiohttp.WSMsgType.BINARY
            seen += message.data
    return seen.decode()


async def shown(served, after_that) -> None:
    """Open an app as its page does, wait until it has drawn, and do something."""
    async with (
        aiohttp.ClientSession() as session,
        session.ws_connect(f"{served.address}ws?width=80&height=24") as page,
    ):
        await drawn(page, "P-1041")
        await after_that(page)


async def test_hostile_words_of_a_visit_do_nothing_to_a_page(folder):
    evil = r"\u001b]2;owned\u0007\u001b[2J\u202e[/] <script>alert(1)</script>"
    visit = folder / EXAMPLE
    text = re.sub(r"(?m)^checksum = .*\n", "", visit.read_text("utf-8"))
    for key in ("about", "examiner"):
        hostile = f'{key} = "{key}[red]{evil}"'
        text = re.sub(rf'(?m)^{key} = ".*"$', lambda _, to=hostile: to, text)
    visit.write_text(text, "utf-8")
    (folder / "evil\x1b]2;x\x07\u202e.toml").write_text("x", "utf-8")
    seen = []

    async def look(page):
        # The pointer moves to the visit, and light for dark paints the whole screen anew.
        await page.send_str('["stdin", "\\u001b[B\\u000c"]')
        seen.append(await drawn(page, "examiner[red]", "owned", "evil"))

    with serving(folder) as served:
        await shown(served, look)
    rest = re.sub(r"\x1b\[[<>?0-9;]*[A-Za-z$]p?", "", seen[0])
    assert "owned" in rest
    assert [c for c in rest if c not in "\r\n" and unicodedata.category(c).startswith("C")] == []


async def test_an_app_ends_when_its_page_is_closed(folder):
    with serving(folder) as served:
        apps = []

        async def look(_page):
            apps.extend(served.apps())

        await shown(served, look)
        assert len(apps) == 1
        until(lambda: not served.apps())


@pytest.mark.parametrize("name", ["SIGINT", "SIGTERM", "SIGHUP", "SIGKILL"])
async def test_no_app_outlives_its_server(folder, name):
    with serving(folder) as served:
        apps = []

        async def end(_page):
            apps.extend(served.apps())
            os.kill(served.process.pid, getattr(signal, name))
            # Whether the page is told is not the question.

        try:
            await shown(served, end)
            assert len(apps) == 1
            until(lambda: not is_running(apps[0]))
            code = served.process.wait(60)
            assert code == (-signal.SIGKILL if name == "SIGKILL" else 0)
        finally:
            end_all([one for one in apps if is_running(one)])


async def test_what_is_no_message_of_our_page_ends_that_app_alone(folder):
    with serving(folder) as served:

        async def misbehave(page):
            await page.send_str("{")

        await shown(served, misbehave)
        until(lambda: not served.apps())
        assert served.status(served.start) == 200


async def test_a_visit_that_is_open_in_a_page_can_be_changed_nowhere_else(folder):
    held = []

    async def open_it(page):
        await page.send_str('["stdin", "\\r"]')
        await drawn(page, "undo")  # of the exam; the list of visits has none
        other = OpenVisit.open_held(folder / EXAMPLE, local_now)
        held.append(other.held_elsewhere)
        other.let_go()

    with serving(folder) as served:
        await shown(served, open_it)
        until(lambda: not served.apps())
    assert held[0]
    after = OpenVisit.open_held(folder / EXAMPLE, local_now)
    assert not after.held_elsewhere
    after.let_go()


def test_a_port_that_is_taken_is_said_in_a_sentence(folder, capsys):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        assert main(["serve", "--sessions", str(folder), "--port", str(port)]) == 1
    said = capsys.readouterr()
    assert said.out == ""
    assert f"Port {port} cannot be used" in said.err
