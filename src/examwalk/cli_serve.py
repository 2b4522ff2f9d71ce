"""The command that shows the app in a browser of this computer."""

from __future__ import annotations

import argparse
import sys
from importlib.util import find_spec

from examwalk.cli_folder import add_folder_option, folder_for_app
from examwalk.exit_codes import GOOD, INPUT_AT_FAULT
from examwalk.language import say

LAST_PORT = 65535


def add_serve_command(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add ``examwalk serve`` to the commands."""
    serve = commands.add_parser("serve", help="show the app in a browser of this computer alone")
    serve.add_argument(
        "--port",
        type=_port,
        default=0,
        metavar="N",
        help="where to listen, on this computer alone; any free port unless one is named",
    )
    add_folder_option(serve)
    serve.set_defaults(run=_serve)


def _port(text: str) -> int:
    if text.isascii() and text.isdecimal() and int(text) <= LAST_PORT:
        return int(text)
    raise argparse.ArgumentTypeError(f"a port is a number from 0 to {LAST_PORT}, not {text!r}")


def _serve(options: argparse.Namespace) -> int:
    if find_spec("textual_serve") is None:
        message = say(
            "serve needs the package textual-serve, which is not installed; in the folder of"
            " examwalk: pip install '.[serve]'"
        )
        print(f"examwalk: {message}", file=sys.stderr)
        return INPUT_AT_FAULT
    from examwalk.tui.serving import PortTakenError, serve

    try:
        serve(folder_for_app(options), options.port, _tell)
    except PortTakenError as error:
        print(f"examwalk: {error}", file=sys.stderr)
        return INPUT_AT_FAULT
    return GOOD


def _tell(address: str) -> None:
    print(address, flush=True)
    message = say(
        "Open this address in a browser of this computer. Whoever knows it can read and change"
        " the visits, so give it to nobody. Ctrl+C ends it."
    )
    print(f"examwalk: {message}", file=sys.stderr, flush=True)
