"""The command that writes visits for other programs."""

from __future__ import annotations

import argparse
import json
from functools import partial
from pathlib import Path

from examwalk.cli_input import add_anonymous_option, say_what_is_left_out, visit_to_advise_on
from examwalk.exit_codes import GOOD, INPUT_AT_FAULT
from examwalk.language import say

TABLES = ("csv", "wide-csv", "dictionary")
FHIR = "fhir"


def add_export_command(
    commands: argparse._SubParsersAction[argparse.ArgumentParser],
) -> None:
    """Add ``examwalk export`` to the commands."""
    export = commands.add_parser("export", help="write visits for spreadsheets and other programs")
    export.add_argument("path", type=Path, metavar="FILE|FOLDER")
    export.add_argument(
        "--as",
        dest="form",
        choices=(FHIR, *TABLES),
        required=True,
        help="fhir: one visit as a Bundle of HL7 FHIR R4; csv: one finding a row;"
        " wide-csv: one visit a row; dictionary: what the columns mean",
    )
    export.add_argument("--out", type=Path, metavar="PATH", help="a file instead of stdout")
    export.add_argument("--force", action="store_true", help="replace the file of --out")
    export.add_argument(
        "--no-bom",
        action="store_true",
        help="begin tables without the mark by which spreadsheets know UTF-8",
    )
    add_anonymous_option(export)
    export.add_argument(
        "--without-snomed",
        action="store_true",
        help="fhir: no codes of SNOMED CT, which need a license in some countries",
    )
    export.set_defaults(run=partial(_export, export))


def _export(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    if options.form == FHIR:
        if options.no_bom:
            parser.error(say("--no-bom is for tables; FHIR never begins with that mark."))
        return _fhir(options)
    if options.without_snomed:
        parser.error(say("--without-snomed is for --as fhir alone."))
    return _tables(options)


def _fhir(options: argparse.Namespace) -> int:
    from examwalk.cli_output import output_to, refuse_to_replace
    from examwalk.reasoning.summary import summarise
    from examwalk.report.fhir_bundle import fhir_bundle

    refuse_to_replace(options.out, force=options.force)
    protocol, session = visit_to_advise_on(options.path, anonymously=options.anonymous)
    if options.anonymous:
        say_what_is_left_out()
    bundle = fhir_bundle(
        protocol,
        session,
        summarise(protocol, session),
        anonymous=options.anonymous,
        snomed=not options.without_snomed,
    )
    text = json.dumps(bundle, ensure_ascii=False, indent=2)
    with output_to(options.out, force=options.force) as stream:
        stream.write(f"{text}\n".encode())
    return GOOD


def _tables(options: argparse.Namespace) -> int:
    from examwalk.cli_output import output_to
    from examwalk.cli_tables import files_of, write_dictionary, write_tidy, write_wide

    write = {"csv": write_tidy, "wide-csv": write_wide, "dictionary": write_dictionary}
    files = files_of(options.path)
    with output_to(options.out, force=options.force) as stream:
        mark = not options.no_bom
        whole = write[options.form](files, stream, mark=mark, anonymous=options.anonymous)
    if options.anonymous:
        say_what_is_left_out()
    return GOOD if whole else INPUT_AT_FAULT
