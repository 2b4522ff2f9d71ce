"""The option that says where the visits are, which several commands have."""

import argparse
from pathlib import Path

from examwalk.session.folder import default_folder


def add_folder_option(parser: argparse.ArgumentParser) -> None:
    """Add ``--sessions`` to a command."""
    parser.add_argument(
        "--sessions",
        type=Path,
        metavar="DIR",
        # Given before the command or after it; the later parser must not undo the earlier.
        default=argparse.SUPPRESS,
        help="the folder of the visits (or EXAMWALK_SESSIONS); your data folder by default",
    )


def folder_of(options: argparse.Namespace) -> Path:
    """Return the folder of the visits that a command is about."""
    return options.sessions if options.sessions is not None else default_folder()
