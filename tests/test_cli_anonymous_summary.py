"""An anonymous summary says all that was found and nothing of who was examined, by whom or when."""

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest
from attrs import evolve

from examwalk.cli import main
from examwalk.session.model import Decision, Finding, Place, Reply, Side
from examwalk.session.signing import Grounds, amend, sign
from examwalk.session.storing import read_session, write_session

EXAMPLE = Path(__file__).parents[1] / "sessions" / "heel-pain-right.toml"
WHEN = datetime(2026, 11, 25, 9, 12, tzinfo=UTC)
CANARIES = {
    name: f"CANARY{name}" for name in ("CODE", "WHO", "ABOUT", "NOTE", "WHY", "REPLY", "REASON")
}


@pytest.fixture
def visit(tmp_path: Path) -> Path:
    session = read_session(EXAMPLE)
    here = session.findings[0]
    session = evolve(
        session,
        patient=CANARIES["CODE"],
        examiner=CANARIES["WHO"],
        about=CANARIES["ABOUT"],
        started=WHEN,
        finished=WHEN if session.finished else None,
    ).with_finding(evolve(here, note=CANARIES["NOTE"]))
    session = session.with_decision(
        Decision("heel-lift", Side.LEFT, 2.0, 4.0, WHEN, CANARIES["WHY"])
    )
    session = session.with_finding(
        Finding(Place("single-heel-raise", Side.LEFT), WHEN, not_done=CANARIES["REASON"])
    )
    session = session.with_reply(Reply("lunge-sides-differ", Side.WHOLE, WHEN, CANARIES["REPLY"]))
    signed = sign(session, CANARIES["WHO"], WHEN)
    lunge = Place("lunge-distance", Side.LEFT)
    amended = amend(signed, lunge, 9.5, Grounds(CANARIES["WHO"], WHEN, CANARIES["WHY"]))
    path = tmp_path / "visit.toml"
    write_session(path, amended)
    return path


def told(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    assert main(["summary", *words]) == 0
    return capsys.readouterr().out


@pytest.mark.parametrize("form", ["text", "json"])
def test_it_holds_nothing_that_tells_who_it_is_about(visit, capsys, form):
    plain = told(capsys, str(visit), "--as", form)
    hidden = told(capsys, str(visit), "--as", form, "--anonymous")
    session = read_session(visit)
    for secret in (*CANARIES.values(), session.id, "2026-11", "2026-12", "2027"):
        assert secret not in hidden
    assert CANARIES["CODE"] in plain
    assert CANARIES["WHY"] in plain
    assert CANARIES["REASON"] in plain
    assert "2026" in hidden


def test_what_was_found_and_follows_from_it_is_all_there(visit, capsys):
    plain = json.loads(told(capsys, str(visit), "--as", "json"))
    hidden = json.loads(told(capsys, str(visit), "--as", "json", "--anonymous"))
    assert plain["features"]
    for part in ("features", "cautions", "derived", "advice", "collisions"):
        assert hidden[part] == plain[part]
