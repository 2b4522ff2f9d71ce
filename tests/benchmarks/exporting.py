"""Tables of many visits, against parsing the TOML of the same files alone on the same cores."""

import random
import tomllib
from concurrent.futures import ProcessPoolExecutor
from contextlib import redirect_stderr
from datetime import timedelta
from io import BytesIO, StringIO
from pathlib import Path
from tempfile import TemporaryDirectory

from attrs import evolve

from examwalk.cli_tables import FILES_AT_ONCE, cores_to_use, write_tidy, write_wide
from examwalk.protocol.exam_model import Kind
from examwalk.protocol.model import Protocol
from examwalk.protocol.wording import choices_of
from examwalk.session.model import Answer, Finding, Session
from examwalk.session.protocol_used import protocol_for
from examwalk.session.storing import read_session, to_toml

from .figures import Figure
from .timing import in_turns

SESSIONS = Path(__file__).parents[2] / "sessions"
VISITS = 300
BUDGET = 1.3


def varied(protocol: Protocol, session: Session, number: int) -> Session:
    """Make another visit of one: other answers, other times, a note here and there."""
    chance = random.Random(number)
    moved = timedelta(minutes=97 * number, seconds=chance.randrange(60))

    def other(finding: Finding) -> Finding:
        test = protocol.tests_by_id[finding.place.test]
        answer: Answer | None = finding.answer
        if test.kind is Kind.MEASURE and test.hard is not None and answer is not None:
            low, high = test.usual or test.hard
            answer = low + test.step * chance.randrange(int((high - low) / test.step) + 1)
        elif isinstance(answer, str) and (choices := choices_of(protocol, test)):
            answer = chance.choice(choices).id
        note = f"note {number} of this one" if chance.random() < 0.03 else finding.note
        at = finding.at + moved + timedelta(seconds=chance.randrange(20))
        return evolve(finding, answer=answer, at=at, note=note)

    findings = tuple(other(finding) for finding in session.findings)
    return evolve(
        session, id=f"visit-{number}", patient=f"P-{number}", invented=True, findings=findings
    )


def write_visits(folder: Path, count: int) -> list[Path]:
    """Write this many different visits."""
    session = read_session(SESSIONS / "heel-pain-right.toml")
    protocol = protocol_for(session, SESSIONS)[0].protocol
    paths = [folder / f"visit-{number:05}.toml" for number in range(count)]
    for number, path in enumerate(paths):
        path.write_text(to_toml(varied(protocol, session, number)), encoding="utf-8")
    return paths


def parse_all(paths: list[Path]) -> None:
    """Do nothing but parse, in as many processes and in pieces as large."""
    pieces = [paths[at : at + FILES_AT_ONCE] for at in range(0, len(paths), FILES_AT_ONCE)]
    with ProcessPoolExecutor(cores_to_use()) as pool:
        for _ in pool.map(parse_piece, pieces):
            pass


def parse_piece(paths: list[Path]) -> int:
    """Parse some files."""
    return sum(len(tomllib.loads(path.read_text(encoding="utf-8"))) for path in paths)


def exporting(rounds: int) -> list[Figure]:
    """Both tables of a folder; the files are written beforehand and read by all alike."""
    with TemporaryDirectory() as folder, redirect_stderr(StringIO()):
        paths = write_visits(Path(folder), VISITS)
        tidy, parsed = in_turns(
            rounds, lambda: write_tidy(paths, BytesIO(), mark=True), lambda: parse_all(paths)
        )
        wide, parsed_again = in_turns(
            rounds, lambda: write_wide(paths, BytesIO(), mark=True), lambda: parse_all(paths)
        )
    name = f"{VISITS:,} visits as a table"
    return [
        Figure(f"{name}, one finding a row", tidy, "parsing them alone", parsed, BUDGET),
        Figure(f"{name}, one visit a row", wide, "parsing them alone", parsed_again, BUDGET),
    ]
