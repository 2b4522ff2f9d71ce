"""The commands that look at protocols: list, check, show, try, figures, new, schema."""

import argparse
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

from examwalk.cli_output import print_json
from examwalk.cli_parser import PROTOCOL_HELP
from examwalk.exit_codes import GOOD, INPUT_AT_FAULT
from examwalk.language import chosen_language, say, say_count
from examwalk.problems import Problem, UnusableFileError
from examwalk.protocol.library import (
    find_protocol,
    own_folder,
    own_protocols,
    refuse_taken_name,
    shipped_protocols,
    translations_of,
    unread_translations,
)

if TYPE_CHECKING:
    from examwalk.protocol.model import Protocol
    from examwalk.protocol.reading import LoadedProtocol


def add_protocol_commands(
    commands: "argparse._SubParsersAction[argparse.ArgumentParser]",
) -> None:
    """Add ``examwalk protocol …`` to the commands."""
    protocol = commands.add_parser("protocol", help="look at protocols")
    actions = protocol.add_subparsers(title="actions", metavar="ACTION", required=True)
    _add_looking(actions)
    _add_making(actions)


def _add_looking(actions: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    listing = actions.add_parser("list", help="list the shipped protocols and your own")
    listing.set_defaults(run=_list)
    check = actions.add_parser(
        "check", help="report every problem, and what is useless or unsafe, in protocol files"
    )
    check.add_argument("paths", nargs="+", metavar="NAME|PATH", help=PROTOCOL_HELP)
    check.add_argument("--as", dest="form", choices=("text", "json"), default="text")
    check.add_argument("--notes", action="store_true", help="also what is merely worth knowing")
    check.add_argument(
        "--language", metavar="CODE", help="only what this language, such as de, still lacks"
    )
    check.set_defaults(run=_check)
    show = actions.add_parser("show", help="print a protocol in words")
    show.add_argument("name", metavar="NAME|PATH", help=PROTOCOL_HELP)
    show.add_argument("--changes", action="store_true", help="only how it differs from its base")
    show.set_defaults(run=_show)
    trying = actions.add_parser(
        "try", help="walk a protocol on a visit that nobody keeps; saving its file shows the change"
    )
    trying.add_argument("name", metavar="NAME|PATH", help=PROTOCOL_HELP)
    trying.set_defaults(run=_try)


def _add_making(actions: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    figures = actions.add_parser("figures", help="write every figure, and a sheet of all")
    figures.add_argument("name", metavar="NAME|PATH", help=PROTOCOL_HELP)
    figures.add_argument("--out", type=Path, required=True, metavar="DIR")
    figures.set_defaults(run=_figures)
    new = actions.add_parser("new", help="write a commented starter of a protocol of your own")
    new.add_argument("name", metavar="NAME", help="such as our-clinic; the file is NAME.toml here")
    new.add_argument("--extends", metavar="NAME|PATH", help="the protocol to inherit from")
    new.add_argument(
        "--own",
        action="store_true",
        help="write it into the folder of your own protocols, which every new visit offers",
    )
    new.set_defaults(run=_new)
    schema = actions.add_parser("schema", help="print a JSON Schema for editors of TOML")
    schema.add_argument(
        "--extending", action="store_true", help="for the files of a folder that extends another"
    )
    schema.set_defaults(run=_schema)


def _list(options: argparse.Namespace) -> int:
    from examwalk.protocol.identities import read_identity
    from examwalk.protocol.reading import read_protocol

    del options
    status = GOOD
    own = own_protocols()
    name_cells = max(len(path.stem) for path in (*shipped_protocols(), *own))
    for path in (*own, *shipped_protocols()):
        try:
            refuse_taken_name(path)
            identity = (
                read_protocol(path, chosen_language()).protocol.identity  # tells what is wrong
                if path in own
                else read_identity(path, chosen_language())
            )
        except UnusableFileError as error:
            print(f"examwalk: {error.problems[0]}", file=sys.stderr)
            status = INPUT_AT_FAULT
            continue
        minutes = say("{count} min", count=identity.minutes) if identity.minutes else ""
        row = f"{path.stem:<{name_cells}} {identity.version:<8} {minutes:<7} {identity.title}"
        print(f"{row} ({say('own')})" if path in own else row)
    told = say("your own protocols are looked for in {folder}", folder=own_folder())
    print(f"examwalk: {told}", file=sys.stderr)
    return status


def _check(options: argparse.Namespace) -> int:
    from examwalk.protocol.reading import read_protocol

    status = GOOD
    reports = []
    for name in options.paths:
        try:
            loaded = read_protocol(find_protocol(name), options.language)
        except UnusableFileError as error:
            found = [("error", problem) for problem in error.problems]
            verdict = say_count(len(found), "{count} problem", "{count} problems")
        else:
            if options.language:
                found = [("untranslated", problem) for problem in loaded.untranslated]
                verdict = _translated_words(loaded, options.language)
            else:
                found = [
                    *_translation_faults(loaded),
                    *_figure_faults(loaded),
                    *_remarks(loaded, notes=options.notes),
                ]
                verdict = _checked_words(loaded.protocol, len(found))
        if any(severity == "error" for severity, _ in found):
            status = INPUT_AT_FAULT
        reports.append((name, found))
        if options.form == "text":
            for severity, problem in found:
                print(problem if severity == "error" else f"{severity}: {problem}")
            print(f"examwalk: {name}: {verdict}.", file=sys.stderr)
    if options.form == "json":
        print_json([_as_data(name, found) for name, found in reports])
    return status


def _checked_words(protocol: "Protocol", remarks: int) -> str:
    parts = (
        say_count(len(protocol.tests), "{count} test", "{count} tests"),
        say_count(len(protocol.rules), "{count} rule", "{count} rules"),
        say_count(len(protocol.crosschecks), "{count} cross-check", "{count} cross-checks"),
    )
    found = say_count(remarks, "{count} remark", "{count} remarks") if remarks else say("good")
    return f"{', '.join(parts)}; {found}"


def _translated_words(loaded: "LoadedProtocol", language: str) -> str:
    if loaded.words is None:
        return say("all of it is written in “{language}”", language=language)
    lacking = len(loaded.untranslated)
    if not lacking:
        return say("all its words have their translation into “{language}”", language=language)
    return say_count(
        lacking,
        "{count} text is not translated into “{language}” yet",
        "{count} texts are not translated into “{language}” yet",
        language=language,
    )


def _translation_faults(loaded: "LoadedProtocol") -> list[tuple[str, Problem]]:
    """Read the protocol in every language that is beside it, for what is wrong there."""
    from examwalk.protocol.reading import read_protocol

    faults = []
    for language in translations_of(loaded.path):
        try:
            read_protocol(loaded.path, language)
        except UnusableFileError as error:
            faults += [("error", problem) for problem in error.problems]
    named = "<language>" if loaded.path.is_dir() else f"{loaded.path.stem}.<language>"
    says = f"nothing reads this translation; the name that is looked for is {named}.toml."
    faults += [("useless", Problem(says, path)) for path in unread_translations(loaded.path)]
    return faults


def _figure_faults(loaded: "LoadedProtocol") -> list[tuple[str, Problem]]:
    from examwalk.protocol.figures import figure_problems

    faults = figure_problems(loaded.protocol)
    return [("error", loaded.problem_at(fault.path, fault.message)) for fault in faults]


def _remarks(loaded: "LoadedProtocol", *, notes: bool) -> list[tuple[str, Problem]]:
    from examwalk.reasoning.auditing import audit
    from examwalk.reasoning.remarks import Weight

    found = [
        ("safety", Problem(f"changed from the base: {change.says.rstrip('.')}.", loaded.path))
        for change in loaded.changes
        if change.touches_safety
    ]
    found += [
        (remark.weight.value, loaded.problem_at(remark.path, remark.says))
        for remark in audit(loaded.protocol)
        if notes or remark.weight is not Weight.NOTE
    ]
    return found


def _as_data(name: str, found: list[tuple[str, Problem]]) -> dict[str, Any]:
    return {
        "protocol": name,
        "good": all(severity != "error" for severity, _ in found),
        "problems": [
            {
                "severity": severity,
                "file": str(problem.file) if problem.file else None,
                "line": problem.line,
                "place": problem.place,
                "message": problem.message,
            }
            for severity, problem in found
        ],
    }


def _show(options: argparse.Namespace) -> int:
    from examwalk.protocol.reading import read_protocol

    loaded = read_protocol(find_protocol(options.name), chosen_language())
    if not options.changes:
        from examwalk.report.protocol_text import protocol_text

        print(protocol_text(loaded.protocol), end="")
        return GOOD
    if loaded.base is None:
        print(f"examwalk: {say('this protocol extends no other.')}", file=sys.stderr)
    for change in loaded.changes:
        print(f"safety: {change.says}" if change.touches_safety else change.says)
    return GOOD


def _try(options: argparse.Namespace) -> int:
    from examwalk.protocol.reading import read_protocol

    path = find_protocol(options.name)
    read_protocol(path, chosen_language())  # what is wrong is said here, before the screen opens
    from examwalk.tui.app import Start
    from examwalk.tui.running import run

    with tempfile.TemporaryDirectory(prefix="examwalk-trial-") as folder:
        return run(Path(folder), Start(kind="try", path=path))


def _figures(options: argparse.Namespace) -> int:
    from examwalk.protocol.reading import read_protocol
    from examwalk.report.figure_files import write_figures

    loaded = read_protocol(find_protocol(options.name))
    written = write_figures(loaded.protocol, options.out)
    for alike in written.alike:
        print(alike)
    outcome = say(
        "{count} figures written; all of them on {sheet}.", count=written.count, sheet=written.sheet
    )
    print(f"examwalk: {outcome}", file=sys.stderr)
    return GOOD


def _new(options: argparse.Namespace) -> int:
    from examwalk.protocol.starter import write_starter

    path = (
        write_starter(options.name, options.extends, own_folder())
        if options.own
        else write_starter(options.name, options.extends)
    )
    print(path)
    print(
        f"examwalk: {say('edit it, then: {command}', command=f'examwalk protocol check {path}')}\n"
        f"examwalk: {say('and walk it: {command}', command=f'examwalk protocol try {path}')}",
        file=sys.stderr,
    )
    return GOOD


def _schema(options: argparse.Namespace) -> int:
    from examwalk.protocol.schema import schema_text

    print(schema_text(extending=options.extending), end="")
    return GOOD
