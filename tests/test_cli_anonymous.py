"""Anonymous results say all that was found and nothing of who was examined, by whom or when."""

import csv
import io
import json
from datetime import UTC, datetime
from pathlib import Path

import pytest
from attrs import evolve

from examwalk.cli import main
from examwalk.session.model import Decision, Finding, Place, Reply, Session, Side
from examwalk.session.signing import Grounds, amend, sign
from examwalk.session.storing import read_session, write_session

EXAMPLE = Path(__file__).parents[1] / "sessions" / "heel-pain-right.toml"
WHEN = datetime(2026, 11, 25, 9, 12, tzinfo=UTC)
LATER = datetime(2027, 3, 7, 8, 41, tzinfo=UTC)
AGE = 93
CANARIES = {
    name: f"CANARY{name}"
    for name in ("CODE", "WHO", "ABOUT", "NOTE", "WHY", "REPLY", "REASON", "STRAY")
}
DAYS = ("2026-", "2027-", "Nov", "09:12", "08:41")
"""What the days and times of these visits would look like."""
COMMANDS = [
    "summary {one}",
    "summary {one} --as json",
    "summary {one} --pairs",
    "report {one} --kind record --as html --force",
    "report {one} --kind record --as markdown --force",
    "report {one} --kind record --as text --force --out {out}",
    "report {one} --kind order --as text --force",
    "report {one} --kind order --as html --force --out {out}",
    "why {one} heel-lift",
    "why {one} heel-lift --side left --not 6",
    "shell {one} --absolute",
    "shell {one} --as json",
    "reproduce {one} --repeats 3",
    "reproduce {one} --repeats 3 --as json",
    "compare {one} {two}",
    "compare {one} {two} --as json",
    "agree {one} {two}",
    "agree {one} {two} --as json",
    "export {one} --as fhir",
    "export {one} --as fhir --out {out}",
    "export {folder} --as csv",
    "export {folder} --as csv --out {out}",
    "export {folder} --as wide-csv",
    "export {folder} --as dictionary",
]


def telling(began: datetime, examiner: str, session_id: str) -> Session:
    """A visit that holds something telling wherever a visit can."""
    session = read_session(EXAMPLE)
    findings = tuple(evolve(one, at=began) for one in session.findings)
    session = evolve(
        session,
        id=session_id,
        patient=CANARIES["CODE"],
        examiner=examiner,
        about=CANARIES["ABOUT"],
        started=began,
        finished=began,
        findings=findings,
    )
    for finding in (
        evolve(findings[0], note=CANARIES["NOTE"]),
        Finding(Place("age", Side.WHOLE), began, answer=AGE),
        Finding(Place("single-heel-raise", Side.LEFT), began, not_done=CANARIES["REASON"]),
        Finding(Place("patient-story", Side.WHOLE), began, answer=CANARIES["STRAY"]),
    ):
        session = session.with_finding(finding)
    session = session.with_decision(
        Decision("heel-lift", Side.LEFT, 2.0, 4.0, began, CANARIES["WHY"])
    )
    session = session.with_reply(Reply("lunge-sides-differ", Side.WHOLE, began, CANARIES["REPLY"]))
    signed = sign(session, CANARIES["WHO"], began)
    lunge = Place("lunge-distance", Side.LEFT)
    return amend(signed, lunge, 9.5, Grounds(CANARIES["WHO"], began, CANARIES["WHY"]))


@pytest.fixture
def visits(tmp_path: Path) -> dict[str, Path]:
    folder = tmp_path / "visits"
    one = folder / f"{CANARIES['CODE'].lower()}-1.toml"
    two = folder / f"{CANARIES['CODE'].lower()}-2.toml"
    write_session(one, telling(WHEN, CANARIES["WHO"], one.stem))
    write_session(two, telling(LATER, f"{CANARIES['WHO']}2", two.stem))
    return {"one": one, "two": two, "folder": folder, "out": tmp_path / "written"}


def told(capfd: pytest.CaptureFixture[str], command: str, visits: dict[str, Path]) -> str:
    """Everything that a command says, on both streams and into its file."""
    assert main(command.format(**visits).split()) == 0
    out, err = capfd.readouterr()
    written = visits["out"].read_text("utf-8") if visits["out"].exists() else ""
    assert out or written
    return out + err.replace(str(visits["out"]), "") + written


@pytest.mark.parametrize("command", COMMANDS)
def test_nothing_tells_who_it_is_about_who_examined_or_on_which_day(command, visits, capfd):
    hidden = told(capfd, f"{command} --anonymous", visits)
    ages = (f"{AGE} years", f'"{AGE}"', f": {AGE},", f",{AGE},")
    for secret in (*CANARIES.values(), *DAYS, *ages):
        assert secret.casefold() not in hidden.casefold()


def test_the_same_commands_without_it_tell_all_of_that(visits, capfd):
    plain = ""
    for command in COMMANDS:
        visits["out"].unlink(missing_ok=True)
        plain += told(capfd, command, visits)
    for secret in (*CANARIES.values(), *DAYS, f"{AGE} years", f",{AGE},"):
        assert secret in plain, secret


def test_what_was_found_and_follows_from_it_is_all_there(visits, capfd):
    plain, hidden = (
        json.loads(
            told(capfd, f"summary {{one}} --as json {option}", visits).partition("examwalk:")[0]
        )
        for option in ("", "--anonymous")
    )
    assert plain["features"]
    for part in ("features", "cautions", "derived", "advice", "collisions"):
        assert hidden[part] == plain[part]
    assert (hidden["session"]["started"], hidden["session"]["patient"]) == ("2026", None)


def test_what_was_typed_as_an_answer_is_withheld(capfd):
    """This visit has an answer in words, a reason in words and a note."""
    visit = Path(__file__).parent / "session" / "visits" / "open.toml"
    for command in ("report {one} --kind record --as text", "export {one} --as csv"):
        plain, hidden = (
            told(capfd, command + end, {"one": visit, "out": Path("/-")})
            for end in ("", " --anonymous")
        )
        for typed in ("First steps hurt", "She would rather not", "slowly."):
            assert typed in plain
            assert typed not in hidden


def test_an_age_over_89_stands_as_90_or_older(visits, capfd):
    page = told(capfd, "report {one} --kind record --as text --anonymous", visits)
    assert "90 years or older" in page
    table = told(capfd, "export {folder} --as csv --anonymous", visits).partition("examwalk:")[0]
    ages = [row for row in csv.DictReader(io.StringIO(table)) if row["test_id"] == "age"]
    assert [(row["value"], row["unit"]) for row in ages] == [("90", "years or older")] * 2


def test_an_age_that_many_have_stays_as_it_is(tmp_path, capsys):
    assert main(["report", str(EXAMPLE), "--kind", "record", "--as", "text", "--anonymous"]) == 0
    assert "46 years" in capsys.readouterr().out
    assert main(["export", str(EXAMPLE), "--as", "csv", "--anonymous"]) == 0


def test_visits_in_a_table_are_numbered_and_their_years_stand(visits, capfd):
    table = told(capfd, "export {folder} --as csv --anonymous", visits).partition("examwalk:")[0]
    rows = list(csv.DictReader(io.StringIO(table.lstrip("\ufeff"))))
    assert {(row["visit_id"], row["visit_date"]) for row in rows} == {("1", "2026"), ("2", "2027")}
    assert {row["entered_at"] for row in rows} == {"2026", "2027", ""}


def test_a_comparison_tells_the_days_between_visits_and_the_year_of_the_first(visits, capfd):
    text = told(capfd, "compare {two} {one} --anonymous", visits)
    assert "one patient, the first in 2026" in text
    assert "day 1 " in text
    assert f"day {(LATER.date() - WHEN.date()).days + 1} " in text


def test_a_visit_changed_after_signing_is_told_without_naming_its_file(visits, capfd):
    path = visits["one"]
    lines = path.read_text("utf-8").splitlines(keepends=True)
    kept = [line for line in lines if not line.startswith("checksum = ")]
    path.write_text("".join(kept).replace("answer = 46", "answer = 47"), "utf-8")
    text = path.read_text("utf-8")
    path.write_text(text.replace(CANARIES["NOTE"], f"{CANARIES['NOTE']}!"), "utf-8")
    hidden = told(capfd, "why {one} heel-lift --anonymous", visits)
    assert "the visit: it was changed after signing." in hidden
    assert CANARIES["CODE"].casefold() not in hidden.casefold()


def test_a_file_left_out_of_a_table_is_counted_and_not_named(visits, capfd):
    damaged = visits["folder"] / f"{CANARIES['CODE']}-3.toml"
    damaged.write_text("format = 1\n", "utf-8")
    assert main(["export", str(visits["folder"]), "--as", "csv", "--anonymous"]) == 1
    _, err = capfd.readouterr()
    assert "one file is not in the table." in err
    assert CANARIES["CODE"] not in err
