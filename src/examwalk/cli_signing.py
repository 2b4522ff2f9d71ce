"""The commands that make and compare a record: sign, amend, seal."""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from examwalk.cli_input import NotAskedRightlyError
from examwalk.cli_parser import VISIT_HELP
from examwalk.exit_codes import COMMAND_AT_FAULT, GOOD
from examwalk.language import later, say, say_count
from examwalk.problems import Problem, UnusableFileError, nearest

if TYPE_CHECKING:
    from examwalk.protocol.model import Protocol
    from examwalk.reasoning.typed_values import Typed
    from examwalk.session.model import Ordered, Place, Session
    from examwalk.session.version import Version


def add_signing_commands(
    commands: argparse._SubParsersAction[argparse.ArgumentParser],
) -> None:
    """Add ``examwalk sign``, ``amend`` and ``seal`` to the commands."""
    sign = commands.add_parser(
        "sign", help="sign a finished visit; from then on it changes by amendments alone"
    )
    sign.add_argument("file", type=Path, metavar="FILE", help=VISIT_HELP)
    sign.add_argument("--by", required=True, metavar="INITIALS")
    sign.set_defaults(run=_sign)

    amend = commands.add_parser(
        "amend", help="correct a signed visit; what stood there before stays readable"
    )
    amend.add_argument("file", type=Path, metavar="FILE", help=VISIT_HELP)
    amend.add_argument("id", metavar="TEST", help="the id of the test, or of what was ordered")
    amend.add_argument("--side", choices=("left", "right"))
    change = amend.add_mutually_exclusive_group(required=True)
    change.add_argument("--to", metavar="VALUE", help="what stands there from now on")
    change.add_argument("--retract", action="store_true", help="take back what stands there")
    amend.add_argument("--because", required=True, metavar="TEXT")
    amend.add_argument("--by", required=True, metavar="INITIALS")
    amend.add_argument(
        "--not-known-then",
        action="store_true",
        help="what is added was not known at the visit (an addendum, not a late entry)",
    )
    amend.set_defaults(run=_amend)

    seal = commands.add_parser(
        "seal", help="print the seals of a signed visit, or compare one that was noted elsewhere"
    )
    seal.add_argument("file", type=Path, metavar="FILE", help=VISIT_HELP)
    seal.add_argument("noted", nargs="?", metavar="SEAL", help="the seal as it was noted")
    seal.set_defaults(run=_seal)


def _now() -> datetime:
    return datetime.now().astimezone().replace(microsecond=0)


def _sign(options: argparse.Namespace) -> int:
    from examwalk.session.signing import seal, sign
    from examwalk.session.storing import read_version

    session, version = read_version(options.file)
    session = _changed_file(
        options.file, session, version, lambda visit: sign(visit, options.by, _now())
    )
    print(say("Signed by {by}; seal {seal}.", by=options.by.strip(), seal=seal(session)))
    return GOOD


def _amend(options: argparse.Namespace) -> int:
    from examwalk.report.record_words import KIND_WORDS
    from examwalk.session.protocol_used import protocol_for
    from examwalk.session.signing import Grounds, amend, seal
    from examwalk.session.storing import read_version

    session, version = read_version(options.file)
    loaded, note = protocol_for(session, options.file.parent)
    if note:
        print(f"examwalk: {note}", file=sys.stderr)
    try:
        path, typed = _subject(loaded.protocol, options)
    except NotAskedRightlyError as error:
        print(f"examwalk: {error}", file=sys.stderr)
        return COMMAND_AT_FAULT
    if typed.refusal:
        raise UnusableFileError([Problem(typed.refusal, place=str(path))])
    grounds = Grounds(options.by, _now(), options.because, was_known=not options.not_known_then)
    session = _changed_file(
        options.file, session, version, lambda visit: amend(visit, path, typed.value, grounds)
    )
    number = len(session.amendments)
    print(
        say(
            "Amendment {number}, {place}: {kind}; seal {seal}.",
            number=number,
            place=path,
            kind=say(KIND_WORDS[session.amendments[-1].kind]),
            seal=seal(session),
        )
    )
    return GOOD


def _changed_file(
    path: Path, session: Session, version: Version, change: Callable[[Session], Session]
) -> Session:
    """Change a visit whose record is in order, and save it where nobody else has changed it."""
    from examwalk.report.held import held_words
    from examwalk.session.holding import Hold
    from examwalk.session.recovering import keep_beside
    from examwalk.session.signing import RecordRefusedError
    from examwalk.session.storing import write_session

    broken = _broken(session, path)
    if broken:
        stands = say("Nothing is added to a record that is not as it was signed.")
        raise UnusableFileError([*broken, Problem(stands, path)])
    try:
        changed = change(session)
    except RecordRefusedError as error:
        raise UnusableFileError([Problem(str(error), path)]) from error
    hold = Hold.take(path, datetime.now().astimezone())
    try:
        if hold.rival is not None:
            raise UnusableFileError([Problem(held_words(hold.rival), path)])
        if not version.stands_in(path):
            kept = keep_beside(path, changed, _now())
            raise UnusableFileError([Problem(say(_MEANWHILE, file=kept.name), path)])
        write_session(path, changed)
    finally:
        hold.release()
    return changed


_MEANWHILE = later(
    "The visit was changed by another window meanwhile, and nothing of that was overwritten. What "
    "this command would have written is kept as {file}. Look at the visit, then try again."
)


def _broken(session: Session, path: Path) -> list[Problem]:
    """Return in what a record is not as it was signed."""
    from examwalk.session.signing import Weight, verify

    return [Problem(fault.says, path) for fault in verify(session) if fault.weight is Weight.WRONG]


def _subject(protocol: Protocol, options: argparse.Namespace) -> tuple[Place | Ordered, Typed]:
    """Find what is amended, and read what shall stand there."""
    from examwalk.reasoning.typed_values import Typed, read_answer, read_order
    from examwalk.session.model import Ordered, Place, Side

    side = Side(options.side) if options.side else Side.WHOLE
    test = protocol.tests_by_id.get(options.id)
    feature = protocol.features_by_id.get(options.id)
    if test is None and feature is None:
        known = (*protocol.tests_by_id, *protocol.features_by_id)
        message = say(
            "The protocol “{protocol}” has neither a test nor a feature “{id}”.",
            protocol=protocol.identity.id,
            id=options.id,
        )
        raise NotAskedRightlyError(message + nearest(options.id, known))
    subject = test or feature
    assert subject is not None
    is_sided = subject.sides.value == "each"
    if is_sided is (side is Side.WHOLE):
        needs = say("“{id}” is told apart by side: add --side left or --side right.", id=options.id)
        once = say("“{id}” is one for both sides: leave --side out.", id=options.id)
        raise NotAskedRightlyError(needs if is_sided else once)
    path = Place(options.id, side) if test else Ordered(options.id, side)
    if options.retract:
        return path, Typed()
    if test:
        return path, read_answer(protocol, test, options.to)
    assert feature is not None
    return path, read_order(feature, options.to)


def _seal(options: argparse.Namespace) -> int:
    from examwalk.session.signing import seal_number, seals
    from examwalk.session.storing import read_session

    noted = "".join((options.noted or "").split()).casefold()
    if options.noted is not None and not _SEAL.fullmatch(noted):
        form = say("“{noted}” is not a seal; one looks like 0-1f2e3d4c5b6a.", noted=options.noted)
        print(f"examwalk: {form}", file=sys.stderr)
        return COMMAND_AT_FAULT
    session = read_session(options.file)
    broken = _broken(session, options.file)
    if not seals(session):
        unsigned = say("This visit is not signed, so it has no seal.")
        broken = [*broken, Problem(unsigned, options.file)]
    if broken:
        raise UnusableFileError(broken)
    if options.noted is None:
        _print_seals(session)
        return GOOD
    number = seal_number(session, noted)
    if number is None:
        raise UnusableFileError([Problem(_never_had(session, noted), options.file)])
    print(_had_words(session, number))
    return GOOD


_SEAL = re.compile(r"\d+-[0-9a-f]{12}|[0-9a-f]{64}")


def _print_seals(session: Session) -> None:
    from examwalk.dates import time_words
    from examwalk.report.record_words import KIND_WORDS, signed_words
    from examwalk.session.signing import seals

    at_signing, *later_ones = seals(session)
    print(f"{at_signing}  {signed_words(session)}")
    for one, amendment in zip(later_ones, session.amendments, strict=True):
        kind, when = say(KIND_WORDS[amendment.kind]), time_words(amendment.at)
        print(f"{one}  {say('{kind} by {by}, {time}', kind=kind, by=amendment.by, time=when)}")


def _had_words(session: Session, number: int) -> str:
    """Say what it means that a visit had a seal after so many amendments."""
    from examwalk.report.record_words import signed_words
    from examwalk.session.signing import seals

    since = len(session.amendments) - number
    signed = signed_words(session)
    if not since:
        return say(
            "{signed}. The seal {seal} is that of the visit as it stands.",
            signed=signed,
            seal=seals(session)[number],
        )
    return say_count(
        since,
        "{signed}. The seal {seal} is an earlier one of this visit: {count} amendment was made"
        " since, and nothing before it was changed.",
        "{signed}. The seal {seal} is an earlier one of this visit: {count} amendments were made"
        " since, and nothing before them was changed.",
        signed=signed,
        seal=seals(session)[number],
    )


def _never_had(session: Session, noted: str) -> str:
    from examwalk.session.signing import seal

    return say(
        "This visit never had the seal {noted}; its seal is {seal}. It is another visit than the"
        " one that was sealed, or it was written and signed anew, or amendments were cut off, or"
        " the seal was noted with a slip.",
        noted=noted,
        seal=seal(session),
    )
