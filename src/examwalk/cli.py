"""The command line. Results go to stdout, words about them to stderr.

Exit status: 0 good, 1 the input is at fault, 2 the command line is.
"""

import argparse
import contextlib
import os
import sys
from collections.abc import Sequence
from pathlib import Path

from examwalk import __version__
from examwalk.catalogues import choose_language, known_languages
from examwalk.cli_config import add_config_command
from examwalk.cli_export import add_export_command
from examwalk.cli_folder import add_folder_option, folder_for_app
from examwalk.cli_parser import PROTOCOL_HELP, VISIT_HELP, CommandLine
from examwalk.cli_plain import add_plain_command
from examwalk.cli_protocol import add_protocol_commands
from examwalk.cli_reasoning import add_reasoning_commands
from examwalk.cli_records import add_records_commands
from examwalk.cli_report import add_report_command
from examwalk.cli_reproduce import add_reproduce_commands
from examwalk.cli_serve import add_serve_command
from examwalk.cli_shell import add_shell_commands
from examwalk.cli_signing import add_signing_commands
from examwalk.cli_streams import harmless_streams
from examwalk.cli_summary import add_summary_command
from examwalk.cli_visits import add_visits_commands
from examwalk.exit_codes import GOOD, INPUT_AT_FAULT, INTERRUPTED
from examwalk.files import SaveFailedError
from examwalk.language import ENGLISH, say
from examwalk.problems import UnusableFileError
from examwalk.protocol.library import DEFAULT_PROTOCOL, find_protocol
from examwalk.session.storing import read_session
from examwalk.settings import chosen


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status."""
    with harmless_streams():
        return _status_of(arguments)


def _status_of(arguments: Sequence[str] | None) -> int:
    """Run one command, and tell in sentences what went wrong."""
    try:
        try:
            return _run(arguments)
        finally:
            if sys.stdout is not None:
                sys.stdout.flush()
    except UnusableFileError as error:
        for problem in error.problems:
            print(f"examwalk: {problem}", file=sys.stderr)
    except SaveFailedError as error:
        print(f"examwalk: {error}", file=sys.stderr)
    except BrokenPipeError:
        # The reader of our output has gone, as with "| head": nothing is wrong.
        _write_no_more()
        return GOOD
    except OSError as error:
        _write_no_more()
        where = f"{error.filename}: " if error.filename else ""
        words = error.strerror or str(error)
        message = say("this cannot be read or written: {fault}.", fault=words)
        print(f"examwalk: {where}{message}", file=sys.stderr)
    except KeyboardInterrupt:
        return INTERRUPTED
    return INPUT_AT_FAULT


def _run(arguments: Sequence[str] | None) -> int:
    parser = _parser()
    options = parser.parse_args(arguments)
    # Chosen, and never guessed from the system: clinical words must not change by surprise.
    told = chosen("language")  # a file of settings at fault is told before anything is opened
    code = options.spoken or told or ENGLISH
    try:
        choose_language(code)
    except UnusableFileError as error:
        if code in known_languages():
            raise  # the catalogue is at fault, not the command line
        parser.error(str(error))
    status: int = options.run(options)
    return status


def _write_no_more() -> None:
    """Send what is left in the buffer of stdout nowhere, or Python complains when it ends."""
    with contextlib.suppress(AttributeError, OSError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _parser() -> argparse.ArgumentParser:
    parser = CommandLine(
        prog="examwalk",
        description="Walk through a hands-on foot and lower-limb examination, test by test,"
        " to a reasoned recommendation for each foot. Without a command the app opens.",
        epilog="It supports a licensed professional's judgement and never replaces it.",
    )
    parser.add_argument("--version", action="version", version=f"examwalk {__version__}")
    parser.set_defaults(run=_open_app, sessions=None, spoken=None)
    add_folder_option(parser)
    _add_language(parser)
    commands = parser.add_subparsers(title="commands", metavar="COMMAND")
    _add_commands_of_the_app(commands)
    add_summary_command(commands)
    add_records_commands(commands)
    add_signing_commands(commands)
    add_folder_option(add_plain_command(commands))
    add_shell_commands(commands)
    add_reasoning_commands(commands)
    add_reproduce_commands(commands)
    add_report_command(commands)
    add_visits_commands(commands)
    add_export_command(commands)
    add_serve_command(commands)
    add_config_command(commands)
    for command in commands.choices.values():
        _add_language(command)
    add_protocol_commands(commands)
    return parser


def _add_commands_of_the_app(
    commands: "argparse._SubParsersAction[argparse.ArgumentParser]",
) -> None:
    new = commands.add_parser("new", help="begin a visit")
    new.add_argument("--protocol", default="", metavar="NAME|PATH", help=PROTOCOL_HELP)
    new.add_argument("--patient", default="", metavar="CODE", help="a code, never a name")
    new.add_argument("--examiner", default="", metavar="INITIALS")
    add_folder_option(new)
    new.set_defaults(run=_new)
    opened = commands.add_parser("open", help="go on with a visit")
    opened.add_argument("file", type=Path, metavar="FILE", help=VISIT_HELP)
    add_folder_option(opened)
    opened.set_defaults(run=_open)


def _add_language(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--language",
        dest="spoken",
        metavar="CODE",
        # Given before the command or after it, as the folder is.
        default=argparse.SUPPRESS,
        help="the language of the screens (or EXAMWALK_LANGUAGE): "
        f"{', '.join(known_languages())}; English unless another is chosen",
    )


def _open_app(options: argparse.Namespace) -> int:
    folder = folder_for_app(options)
    # The app is imported only where it is opened: it makes up most of the start-up time.
    from examwalk.tui.app import Start
    from examwalk.tui.running import run

    return run(folder, Start(kind="menu"))


def _new(options: argparse.Namespace) -> int:
    wanted = options.protocol or chosen("protocol") or DEFAULT_PROTOCOL
    find_protocol(wanted)  # a wrong name is said here, before the screen opens
    folder = folder_for_app(options)
    from examwalk.tui.app import Start
    from examwalk.tui.running import run

    start = Start(
        kind="new",
        protocol=wanted,
        patient=options.patient,
        examiner=options.examiner,
    )
    return run(folder, start)


def _open(options: argparse.Namespace) -> int:
    read_session(options.file)  # a damaged file is said here, before the screen opens
    from examwalk.tui.app import Start
    from examwalk.tui.running import run

    return run(options.file.parent, Start(kind="open", path=options.file))
