"""The option that says where the visits are, which several commands have."""

import argparse
from pathlib import Path

from examwalk.language import say
from examwalk.problems import Problem, UnusableFileError
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
    """Return the folder of the visits that a command is about.

    Raises:
        UnusableFileError: the file of settings is at fault.
    """
    return options.sessions if options.sessions is not None else default_folder()


def folder_for_app(options: argparse.Namespace) -> Path:
    """Return the folder of the visits; a file of that name is said before the screen opens.

    Raises:
        UnusableFileError: there is a file where the folder would be.
    """
    folder = folder_of(options)
    try:
        is_no_folder = folder.exists() and not folder.is_dir()
    except OSError:
        return folder  # it may be out of reach for now; the start screen says why
    if is_no_folder:
        message = say("This is a file; visits need a folder.")
        raise UnusableFileError([Problem(message, file=folder)])
    return folder
