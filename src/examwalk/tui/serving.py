"""The app in a browser of the same computer.

Whoever can ask this server for a page can read and change visits. So it listens on the loopback
address alone, and answers only under a path that begins with a random token; a page of another
site that guesses the port knows neither the token nor may it name another host or origin.
"""

import asyncio
import contextlib
import os
import secrets
import shlex
import signal
import subprocess
import sys
from collections.abc import Awaitable, Callable, Iterator
from pathlib import Path
from typing import Final

import textual_serve
from aiohttp import WSCloseCode, WSMsgType, web
from textual_serve.app_service import AppService
from textual_serve.download_manager import DownloadManager

from examwalk.language import chosen_language, say
from examwalk.tui.served_page import HEADERS, SCRIPT, STYLE, page

LOOPBACK: Final = "127.0.0.1"
NAMES: Final = (LOOPBACK, "localhost")
"""The only hosts under which the server answers: no other name may be bent to this address."""
TOKEN_BYTES: Final = 24
PATIENCE_SECONDS: Final = 5.0
"""How long an app may take to end by itself."""
_STATIC: Final = Path(textual_serve.__file__).parent / "static"


class PortTakenError(Exception):
    """The server cannot listen there; its message is a sentence."""


class _App(AppService):
    """The app behind one page of the browser, in a process of its own."""

    async def end(self) -> None:
        """End the process: by asking, and where that does not help by force."""
        process = self._process
        with contextlib.suppress(TimeoutError):
            await asyncio.wait_for(self.stop(), PATIENCE_SECONDS)
            if process is not None:
                await asyncio.wait_for(process.wait(), PATIENCE_SECONDS)
        if process is not None and process.returncode is None:
            process.kill()
            await process.wait()


class Server:
    """Gives each page that a browser opens an app of its own over one folder of visits."""

    def __init__(self, folder: Path) -> None:
        self.token = secrets.token_urlsafe(TOKEN_BYTES)
        self._command = command_of_app(folder)
        self._sockets: set[web.WebSocketResponse] = set()

    def site(self) -> web.Application:
        """Return what answers requests."""
        site = web.Application(middlewares=[self._guard])
        site.on_response_prepare.append(_add_headers)
        site.on_shutdown.append(self._close_sockets)
        start = f"/{self.token}"
        site.add_routes(
            [
                web.get(f"{start}/", self._page),
                web.get(f"{start}/page.css", _style),
                web.get(f"{start}/page.js", _script),
                web.get(f"{start}/ws", self._socket),
                web.static(f"{start}/static", _STATIC),
            ]
        )
        return site

    @web.middleware
    async def _guard(
        self, request: web.Request, handler: Callable[[web.Request], Awaitable[web.StreamResponse]]
    ) -> web.StreamResponse:
        if not self._admits(request):
            return web.Response(status=403, text=say("This address is not one of examwalk."))
        return await handler(request)

    def _admits(self, request: web.Request) -> bool:
        token = request.path.split("/")[1] if "/" in request.path else ""
        return (
            # A path may hold bytes that are no text at all.
            secrets.compare_digest(token.encode(errors="replace"), self.token.encode())
            and request.host.split(":")[0] in NAMES
            and request.headers.get("Origin", _origin(request)) == _origin(request)
        )

    async def _page(self, request: web.Request) -> web.Response:
        address = f"ws://{request.host}/{self.token}/ws"
        return web.Response(text=page(address), content_type="text/html")

    async def _socket(self, request: web.Request) -> web.WebSocketResponse:
        socket = web.WebSocketResponse(heartbeat=15)
        await socket.prepare(request)
        app = _App(
            self._command,
            write_bytes=socket.send_bytes,
            write_str=socket.send_str,
            close=socket.close,  # type: ignore[arg-type]
            download_manager=DownloadManager(),
        )
        self._sockets.add(socket)
        try:
            await app.start(*_size(request))
            async for message in socket:
                if message.type == WSMsgType.TEXT:
                    await _pass_on(message.json(), app, socket)
        except (ConnectionError, ValueError, TypeError, LookupError):
            # The page has gone, or what came was not from our page: the app ends either way.
            pass
        finally:
            self._sockets.discard(socket)
            await app.end()
        return socket

    async def _close_sockets(self, _site: web.Application) -> None:
        for socket in tuple(self._sockets):
            await socket.close(code=WSCloseCode.GOING_AWAY)


async def _pass_on(told: object, app: _App, socket: web.WebSocketResponse) -> None:
    """Pass on what the page tells: a list of a word and what belongs to it."""
    match told:
        case ["stdin", str(typed)]:
            await app.send_bytes(typed.encode())
        case ["resize", {"width": int(width), "height": int(height)}]:
            await app.set_terminal_size(width, height)
        case ["ping", data]:
            await socket.send_json(["pong", data])
        case ["focus", *_]:
            await app.focus()
        case ["blur", *_]:
            await app.blur()


def _size(request: web.Request) -> tuple[int, int]:
    return int(request.query.get("width", "80")), int(request.query.get("height", "24"))


def _origin(request: web.Request) -> str:
    return f"http://{request.host}"


async def _style(_request: web.Request) -> web.Response:
    return web.Response(text=STYLE, content_type="text/css")


async def _script(_request: web.Request) -> web.Response:
    return web.Response(text=SCRIPT, content_type="text/javascript")


async def _add_headers(_request: web.Request, response: web.StreamResponse) -> None:
    response.headers.update(HEADERS)


def command_of_app(folder: Path) -> str:
    """Return the command line of one app: it ends when this process does."""
    words = [sys.executable, "-m", "examwalk.tui.served"]
    words += [str(folder), chosen_language(), str(os.getpid())]
    if os.name == "nt":
        return subprocess.list2cmdline(words)
    # Without a shell in between, so that the app sees who its parent is, and is it who is ended.
    return f"exec {shlex.join(words)}"


def serve(folder: Path, port: int, told: Callable[[str], None]) -> None:
    """Serve the app until the user interrupts, then end every app that was opened.

    Args:
        folder: where the visits are.
        port: where to listen; with 0 the system chooses.
        told: is given the address to open.

    Raises:
        PortTakenError: another program listens there, or nobody may.
    """
    asyncio.run(_serve(folder, port, told))


async def _serve(folder: Path, port: int, told: Callable[[str], None]) -> None:
    server = Server(folder)
    # A log of requests would hold the token.
    runner = web.AppRunner(server.site(), access_log=None, shutdown_timeout=3 * PATIENCE_SECONDS)
    await runner.setup()
    try:
        site = web.TCPSite(runner, LOOPBACK, port)
        try:
            await site.start()
        except OSError as error:
            raise PortTakenError(
                say(
                    "Port {port} cannot be used: {fault}. Name another one, or 0 for any.",
                    port=port,
                    fault=os.strerror(error.errno) if error.errno else str(error),
                )
            ) from error
        with _asked_to_end() as end:
            told(f"http://{LOOPBACK}:{runner.addresses[0][1]}/{server.token}/")
            await end.wait()
    finally:
        await runner.cleanup()


@contextlib.contextmanager
def _asked_to_end() -> Iterator[asyncio.Event]:
    """Give an event that is set when the system or the user wants an end."""
    end, loop = asyncio.Event(), asyncio.get_running_loop()
    caught = []
    for name in ("SIGINT", "SIGTERM", "SIGHUP"):
        number = getattr(signal, name, None)
        # Windows has no such handlers; there the interruption itself ends the loop.
        with contextlib.suppress(NotImplementedError):
            if number is not None:
                loop.add_signal_handler(number, end.set)
                caught.append(number)
    try:
        yield end
    finally:
        for number in caught:
            loop.remove_signal_handler(number)
