"""LibreOffice opens the tables: numbers are numbers, days are days, and no text runs."""

import subprocess
from pathlib import Path
from xml.etree import ElementTree

import pytest
from attrs import evolve, frozen
from outside_tools import OFFICE, needs_office

from examwalk.cli import main
from examwalk.session.storing import read_session, write_session

pytestmark = needs_office
SESSIONS = Path(__file__).parents[2] / "sessions"
HEEL = read_session(SESSIONS / "heel-pain-right.toml")
OFFICE_NS = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
TABLE_NS = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
TEXT_NS = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"
RUNNABLE = ['=HYPERLINK("http://x.example","y")', "@SUM(1)", "-3.5", "+49", "\t=1", " =1+1", "'=1"]


@frozen
class Cell:
    """A cell as the spreadsheet took it."""

    type: str
    text: str
    value: str
    formula: str | None


def opened(table: Path, folder: Path) -> list[list[Cell]]:
    """Let LibreOffice open a table and say what it made of each cell."""
    profile = (folder / "profile").as_uri()
    subprocess.run(
        [
            *(str(OFFICE), "--headless", f"-env:UserInstallation={profile}"),
            *("--convert-to", "fods", "--outdir", str(folder / "out"), str(table)),
        ],
        capture_output=True,
        check=True,
        timeout=300,
    )
    tree = ElementTree.parse(folder / "out" / f"{table.stem}.fods")
    return [
        [cell for element in row.iter(f"{TABLE_NS}table-cell") for cell in _cells(element)]
        for row in tree.iter(f"{TABLE_NS}table-row")
    ]


def _cells(element: ElementTree.Element) -> list[Cell]:
    cell = Cell(
        type=element.get(f"{OFFICE_NS}value-type", "empty"),
        text="\n".join("".join(p.itertext()) for p in element.iter(f"{TEXT_NS}p")),
        value=element.get(f"{OFFICE_NS}value", element.get(f"{OFFICE_NS}date-value", "")),
        formula=element.get(f"{TABLE_NS}formula"),
    )
    return [cell] * int(element.get(f"{TABLE_NS}number-columns-repeated", "1"))


@pytest.fixture(scope="module")
def visit(tmp_path_factory) -> Path:
    """A visit with a note for each text that a spreadsheet could run."""
    session = HEEL
    for finding, note in zip(HEEL.findings, RUNNABLE, strict=False):
        session = session.with_finding(evolve(finding, note=note))
    path = tmp_path_factory.mktemp("visits") / "visit.toml"
    write_session(path, session)
    return path


@pytest.fixture(scope="module", params=["csv", "wide-csv"])
def rows(request, visit, tmp_path_factory) -> tuple[str, list[dict[str, Cell]]]:
    folder = tmp_path_factory.mktemp("office")
    table = folder / "table.csv"
    assert main(["export", str(visit.parent), "--as", request.param, "--out", str(table)]) == 0
    head, *rest = opened(table, folder)
    names = [cell.text for cell in head]
    return request.param, [dict(zip(names, row, strict=False)) for row in rest if row]


def test_no_cell_is_a_formula(rows):
    _, found = rows
    assert [cell for row in found for cell in row.values() if cell.formula is not None] == []


def test_days_are_days(rows):
    _, found = rows
    assert found
    for row in found:
        assert (row["visit_date"].type, row["visit_date"].value) == ("date", "2026-09-14")


def test_letters_beyond_ascii_survive(rows, visit):
    _, found = rows
    assert "\ufeff" not in "".join(next(iter(found)))
    assert "Â" not in "".join(cell.text for row in found for cell in row.values())


def test_numbers_are_numbers_and_codes_are_words(rows):
    kind, found = rows
    if kind == "csv":
        measured = {(row["test_id"].text, row["side"].text): row["value"] for row in found}
        left = measured["lunge-distance", "left"]
        assert {row["value"].type for row in found} <= {"float", "empty"}
    else:
        left = found[0]["lunge-distance_left"]
    # 9 cm is what the visit's file says.
    assert (left.type, float(left.value)) == ("float", 9.0)


def test_what_could_run_is_still_the_text_that_was_written(rows):
    kind, found = rows
    if kind != "csv":
        assert "note" not in found[0]  # one row a visit has no room for them
        return
    notes = [row["note"] for row in found if row["note"].text]
    assert {cell.type for cell in notes} == {"string"}
    # A tab is drawn as space in one line of a cell.
    shown = [cell.text.lstrip("'").strip() for cell in notes]
    assert [one for one in RUNNABLE if one.strip("' \t") not in " ".join(shown)] == []


def test_a_formula_that_is_not_guarded_would_be_seen(tmp_path):
    table = tmp_path / "table.csv"
    table.write_text("a,b\r\n=1+1,x\r\n", encoding="utf-8")
    cells = [cell for row in opened(table, tmp_path) for cell in row]
    assert [cell for cell in cells if cell.formula is not None]
