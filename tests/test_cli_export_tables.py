"""Visits as tables: read back by the rules of CSV themselves, and by Python's strict reader."""

import csv
import re
from io import BytesIO, StringIO
from pathlib import Path

import pytest
from attrs import evolve

from examwalk import cli_tables
from examwalk.cli import main
from examwalk.cli_tables import write_tidy, write_wide
from examwalk.report.csv_text import number_cell, text_cell
from examwalk.report.tables import VISIT_COLUMNS
from examwalk.session.model import Finding, Place, Side
from examwalk.session.storing import read_session, write_session

SESSIONS = Path(__file__).parents[1] / "sessions"
FIRST = SESSIONS / "heel-pain-right.toml"
COLLAPSING = SESSIONS / "collapsing-foot-left.toml"

# RFC 4180, section 2: a field is bare, or in quotes with each quote inside doubled.
FIELD = re.compile(r'"((?:[^"]|"")*)"|([^",\r\n]*)')


def by_the_grammar(text: str) -> list[list[str]]:
    """Read CSV by the grammar of RFC 4180; anything that it does not allow fails."""
    rows: list[list[str]] = [[]]
    at = 0
    while at < len(text):
        field = FIELD.match(text, at)
        rows[-1].append(field[2] if field[1] is None else field[1].replace('""', '"'))
        at = field.end()
        if text.startswith("\r\n", at):
            at += 2
            rows.append([])
        else:
            assert text[at] == ",", f"at {at}: {text[at : at + 40]!r}"
            at += 1
    assert rows.pop() == [], "the last line has its end"
    return rows


def table(data: bytes) -> list[dict[str, str]]:
    """Read a table by two readers, which must agree, and with equal numbers of fields."""
    text = data.decode("utf-8-sig")
    rows = list(csv.reader(StringIO(text, newline=""), strict=True))
    assert rows == by_the_grammar(text)
    assert {len(row) for row in rows} == {len(rows[0])}
    return [dict(zip(rows[0], row, strict=True)) for row in rows[1:]]


def exported(capfdbinary, *arguments: object, status: int = 0) -> bytes:
    assert main(["export", *map(str, arguments)]) == status
    return capfdbinary.readouterr().out


def unguarded(text: str) -> str:
    return text.removeprefix("'")


def side_of(row: dict[str, str]) -> Side:
    return Side(row["side"])


@pytest.fixture
def noted(tmp_path):
    """An example whose notes hold what a table could trip over."""
    session = read_session(FIRST)
    notes = (
        '=HYPERLINK("http://example.org","x")',
        "@SUM(1)",
        "-3.5",
        "+49",
        "'quoted",
        "\t=1",
        'two\nlines, "and" commas',
        " =1",
        "\uff1d1",
        "über 30°, עברית, 🦶",
        "x" * 5_000,
    )
    findings = tuple(
        evolve(finding, note=note) for finding, note in zip(session.findings, notes, strict=False)
    )
    session = evolve(session, id="noted", findings=findings + session.findings[len(notes) :])
    path = tmp_path / "noted.toml"
    write_session(path, session)
    return path, session, notes


class TestOneFindingARow:
    def test_every_finding_is_read_back_as_it_was_recorded(self, noted, capfdbinary):
        path, session, _ = noted
        rows = table(exported(capfdbinary, path, "--as", "csv"))
        found = {Place(row["test_id"], side_of(row)): row for row in rows if row["entered_at"]}
        assert set(found) == {finding.place for finding in session.findings}
        for finding in session.findings:
            row = found[finding.place]
            assert row["entered_at"] == finding.at.isoformat()
            assert unguarded(row["note"]) == finding.note
            if isinstance(finding.answer, int | float):
                assert float(row["value"]) == finding.answer
            elif finding.answer is None:
                assert row["status"] == "not_done"
                assert row["not_done_reason"]
            else:
                codes = row["value_code"] or row["value_text"]
                options = finding.answer
                written = ";".join(options) if isinstance(options, tuple) else options
                assert unguarded(codes) == written

    def test_what_was_not_examined_is_a_row_that_says_so(self, tmp_path, capfdbinary):
        session = read_session(FIRST)
        path = tmp_path / "empty.toml"
        write_session(path, evolve(session, findings=(), decisions=(), replies=()))
        rows = table(exported(capfdbinary, path, "--as", "csv"))
        assert len(rows) > 100
        assert {(row["status"], row["value"], row["value_text"]) for row in rows} == {
            ("no_answer", "", "")
        }

    def test_an_answer_that_cannot_be_is_named_so_and_not_interpreted(self, tmp_path, capfdbinary):
        session = read_session(FIRST)
        place = Place("lunge-distance", Side.LEFT)
        at = session.started
        session = session.with_finding(Finding(place, at, answer=900))
        session = session.with_finding(Finding(Place("gone", Side.WHOLE), at, answer="yes"))
        path = tmp_path / "odd.toml"
        write_session(path, session)
        rows = table(exported(capfdbinary, path, "--as", "csv"))
        odd = [row for row in rows if row["status"] == "does_not_fit"]
        assert [
            (row["test_id"], row["value"], row["value_text"], row["interpretation"]) for row in odd
        ] == [("lunge-distance", "900", "", ""), ("gone", "", "yes", "")]

    def test_a_measure_has_its_unit_and_its_band(self, capfdbinary):
        rows = table(exported(capfdbinary, FIRST, "--as", "csv"))
        found = {
            row["side"]: (float(row["value"]), row["unit"], row["interpretation"])
            for row in rows
            if row["test_id"] == "lunge-distance"
        }
        # As the visit's file and the bands of the protocol's file have it.
        assert found == {"left": (9.0, "cm", "not limited"), "right": (7.0, "cm", "limited")}


class TestAGuardAgainstFormulas:
    @pytest.mark.parametrize(
        ("text", "cell"),
        [
            ("-3.5", "'-3.5"),
            ("=1+1", "'=1+1"),
            ("@SUM(A1)", "'@SUM(A1)"),
            ("+49", "'+49"),
            ("\t=1", "'\t=1"),
            ("\r=1", '"\'\r=1"'),
            (" =1", "' =1"),
            ("\uff0b1", "'\uff0b1"),
            ("'own", "''own"),
            ("3 - 2", "3 - 2"),
            ("a=b", "a=b"),
            ("", ""),
        ],
    )
    def test_a_text_is_guarded_where_it_could_run_and_only_there(self, text, cell):
        assert text_cell(text) == cell

    def test_a_number_stays_a_number(self):
        assert number_cell(-3.5) == "-3.5"
        assert number_cell(4) == "4"

    def test_a_reader_takes_exactly_one_guard_away(self, noted, capfdbinary):
        path, _, notes = noted
        rows = table(exported(capfdbinary, path, "--as", "csv"))
        cells = [row["note"] for row in rows if row["note"]]
        assert sorted(map(unguarded, cells)) == sorted(notes)
        # The quote that a text begins with itself is guarded as well.
        assert not [cell for cell in cells if cell.startswith(("=", "@", "-", "+", "\t", " ="))]


class TestOneVisitARow:
    def test_both_tables_say_the_same_of_every_place(self, capfdbinary):
        rows = table(exported(capfdbinary, SESSIONS, "--as", "csv"))
        wide = table(exported(capfdbinary, SESSIONS, "--as", "wide-csv"))
        assert {row["visit_id"] for row in wide} == {path.stem for path in SESSIONS.glob("*.toml")}
        of_visit = {row["visit_id"]: row for row in wide}
        told = 0
        for row in rows:
            side = "" if row["side"] == "whole" else f"_{row['side']}"
            cell = of_visit[row["visit_id"]][row["test_id"] + side]
            if row["status"] != "done":
                assert cell == row["status"]
            elif row["unit"] or not row["value_code"]:
                assert cell == (row["value"] or row["value_text"])
            else:
                assert cell == row["value_code"]
            told += 1
        columns = len(wide[0]) - len(VISIT_COLUMNS)
        assert told == columns * len(wide)

    def test_visits_under_several_protocols_stand_in_one_rectangle(self, tmp_path, capfdbinary):
        first = read_session(FIRST)
        write_session(tmp_path / "b.toml", evolve(first, id="b"))
        protocol = evolve(first.protocol, id="short", fingerprint="")
        write_session(tmp_path / "a.toml", evolve(first, id="a", protocol=protocol))
        wide = table(exported(capfdbinary, tmp_path, "--as", "wide-csv"))
        both = {row["visit_id"]: row for row in wide}
        assert set(both) == {"a", "b"}
        assert both["a"]["lunge-distance_left"] == both["b"]["lunge-distance_left"]
        assert "not_in_protocol" in both["b"].values() or "not_in_protocol" in both["a"].values()


class TestTheDictionary:
    def test_it_names_every_column_of_both_tables_and_no_other(self, capfdbinary):
        rows = table(exported(capfdbinary, SESSIONS, "--as", "dictionary"))
        for name, form in (("tidy", "csv"), ("wide", "wide-csv")):
            columns = list(table(exported(capfdbinary, SESSIONS, "--as", form))[0])
            assert [row["column"] for row in rows if row["table"] == name] == columns

    def test_every_value_of_the_wide_table_is_one_that_it_allows(self, capfdbinary):
        dictionary = table(exported(capfdbinary, SESSIONS, "--as", "dictionary"))
        wide = table(exported(capfdbinary, SESSIONS, "--as", "wide-csv"))
        checked = 0
        for column in dictionary:
            if column["table"] == "wide" and column["type"] == "code":
                allowed = set(unguarded(column["allowed"]).split("; "))
                for row in wide:
                    assert set(unguarded(row[column["column"]]).split(";")) <= allowed, column
                    checked += 1
        assert checked > 100


class TestTheFile:
    def test_it_begins_with_the_mark_that_spreadsheets_look_for_unless_unwanted(self, capfdbinary):
        assert exported(capfdbinary, FIRST, "--as", "csv").startswith(b"\xef\xbb\xbfvisit_id,")
        bare = exported(capfdbinary, FIRST, "--as", "csv", "--no-bom")
        assert bare.startswith(b"visit_id,")

    def test_it_is_written_whole_for_the_user_alone_and_never_over_another(
        self, tmp_path, capfdbinary
    ):
        out = tmp_path / "table.csv"
        exported(capfdbinary, FIRST, "--as", "csv", "--out", out)
        first = out.read_bytes()
        assert out.stat().st_mode & 0o777 == 0o600
        assert main(["export", str(COLLAPSING), "--as", "csv", "--out", str(out)]) == 1
        assert b"exists already" in capfdbinary.readouterr().err
        assert out.read_bytes() == first
        exported(capfdbinary, COLLAPSING, "--as", "csv", "--out", out, "--force")
        assert out.read_bytes() != first
        assert [path.name for path in tmp_path.iterdir()] == ["table.csv"]

    def test_a_folder_that_is_not_there_is_said_in_a_sentence(self, tmp_path, capfdbinary):
        out = tmp_path / "gone" / "table.csv"
        assert main(["export", str(FIRST), "--as", "csv", "--out", str(out)]) == 1
        assert b"Could not save" in capfdbinary.readouterr().err

    def test_a_folder_without_visits_is_said_and_makes_no_file(self, tmp_path, capfdbinary):
        out = tmp_path / "table.csv"
        assert main(["export", str(tmp_path), "--as", "csv", "--out", str(out)]) == 1
        assert b"no visits in this folder" in capfdbinary.readouterr().err
        assert not out.exists()


class TestManyVisits:
    @pytest.fixture
    def many(self, tmp_path):
        """Enough visits for several processes, one of them damaged."""
        session = read_session(FIRST)
        write_session(tmp_path / "visit-000.toml", session)
        text = (tmp_path / "visit-000.toml").read_text(encoding="utf-8")
        for number in range(1, 110):
            (tmp_path / f"visit-{number:03}.toml").write_text(text, encoding="utf-8")
        (tmp_path / "visit-050.toml").write_text(text[:3_000], encoding="utf-8")
        return tmp_path

    @pytest.mark.parametrize("cores", [1, 2])
    def test_a_damaged_file_is_named_and_all_others_are_there(
        self, many, cores, monkeypatch, capfdbinary
    ):
        monkeypatch.setattr(cli_tables, "cores_to_use", lambda: cores)
        assert main(["export", str(many), "--as", "wide-csv"]) == 1
        written = capfdbinary.readouterr()
        assert len(table(written.out)) == 109
        told = written.err.decode()
        assert "visit-050.toml" in told
        assert "one file is not in the table" in told
        assert "110 of 110 visits" in told

    def test_the_table_does_not_depend_on_the_number_of_cores(self, many, monkeypatch):
        paths = sorted(many.glob("*.toml"))
        for write in (write_tidy, write_wide):
            tables = []
            for cores in (1, 2):
                monkeypatch.setattr(cli_tables, "cores_to_use", lambda cores=cores: cores)
                stream = BytesIO()
                write(paths, stream, mark=True)
                tables.append(stream.getvalue())
            assert tables[0] == tables[1]
