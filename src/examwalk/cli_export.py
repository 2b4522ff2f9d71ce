"""The command that writes visits for other programs."""

from __future__ import annotations

import argparse
from pathlib import Path

from examwalk.exit_codes import GOOD, INPUT_AT_FAULT

TABLES = ("csv", "wide-csv", "dictionary")


def add_export_command(
    commands: argparse._SubParsersAction[argparse.ArgumentParser],
) -> None:
    """Add ``examwalk export`` to the commands."""
    export = commands.add_parser("export", help="write visits for spreadsheets and other programs")
    export.add_argument("path", type=Path, metavar="FILE|FOLDER")
    export.add_argument(
        "--as",
        dest="form",
        choices=TABLES,
        required=True,
        help="csv: one finding a row; wide-csv: one visit a row; dictionary: what the columns mean",
    )
    export.add_argument("--out", type=Path, metavar="PATH", help="a file instead of stdout")
    export.add_argument("--force", action="store_true", help="replace the file of --out")
    export.add_argument(
        "--no-bom",
        action="store_true",
        help="begin tables without the mark by which spreadsheets know UTF-8",
    )
    export.set_defaults(run=_export)


def _export(options: argparse.Namespace) -> int:
    from examwalk.cli_output import output_to
    from examwalk.cli_tables import files_of, write_dictionary, write_tidy, write_wide

    write = {"csv": write_tidy, "wide-csv": write_wide, "dictionary": write_dictionary}
    files = files_of(options.path)
    with output_to(options.out, force=options.force) as stream:
        whole = write[options.form](files, stream, mark=not options.no_bom)
    return GOOD if whole else INPUT_AT_FAULT
