"""Pages as PDF: printed by a browser where there is one, and a sentence where there is none."""

import os
import re
import stat
import subprocess
import time
from pathlib import Path

import pypdf
import pytest

from examwalk.cli import main
from examwalk.report.printing import CHOSEN_BY, CannotPrintError, browser, pdf_of
from examwalk.session.storing import read_session

SESSIONS = Path(__file__).parents[2] / "sessions"
HEEL, COLLAPSING = (
    SESSIONS / f"{name}.toml" for name in ("heel-pain-right", "collapsing-foot-left")
)
PAGE = "<!DOCTYPE html><html lang=en><title>x</title><p>A page"

needs_browser = pytest.mark.skipif(browser() is None, reason="no Chromium, Chrome or Edge here")
# The longest visit is also tried on the shorter sheets.
on_paper = pytest.mark.parametrize(
    ("visit", "paper"),
    [*((path, "A4") for path in sorted(SESSIONS.glob("*.toml"))), (COLLAPSING, "letter")],
    ids=lambda value: value.stem if isinstance(value, Path) else value,
)
needs_posix = pytest.mark.skipif(os.name == "nt", reason="the stand-in for a browser is a script")


def sheets(path: Path) -> list[pypdf.PageObject]:
    return list(pypdf.PdfReader(path).pages)


def words(sheet: pypdf.PageObject) -> str:
    return " ".join(sheet.extract_text().split())


def report(visit: Path, target: Path, *more: str, kind: str = "order") -> int:
    asked = ["report", str(visit), "--kind", kind, "--as", "pdf", "--out", str(target)]
    return main([*asked, *more])


@needs_browser
@pytest.mark.parametrize(
    ("visit", "kind", "paper", "millimetres"),
    [(HEEL, "record", "A4", (210, 297)), (COLLAPSING, "order", "letter", (215.9, 279.4))],
)
def test_every_sheet_has_its_size_the_patients_code_and_its_number(
    visit, kind, paper, millimetres, tmp_path
):
    code = read_session(visit).patient
    target = tmp_path / "page.pdf"
    assert report(visit, target, "--paper", paper, kind=kind) == 0
    pages = sheets(target)
    for number, sheet in enumerate(pages, 1):
        size = [float(points) / 72 * 25.4 for points in sheet.mediabox[2:]]
        assert size == pytest.approx(millimetres, abs=0.5)
        assert f"Patient {code}" in words(sheet)
        assert f"Page {number} of {len(pages)}" in words(sheet)
    assert len(pages) == 1 or kind == "record"
    whole = " ".join(map(words, pages))
    assert re.search(r"\bLeft\b.*\bRight\b", whole)
    assert not re.search(r"\b[LR]\b", whole)


def smallest_points(sheet: pypdf.PageObject, *, of_words: bool = False) -> float:
    """Return the size of the smallest letters of a sheet, in points."""
    sizes = []

    def seen(text, to_page, to_text, font, size):
        if len(text.strip()) > of_words:
            scale = abs(to_page[0] * to_text[3]) or abs(to_page[3] * to_text[0])
            sizes.append(size * scale)

    sheet.extract_text(visitor_text=seen)
    return min(sizes)


@needs_browser
@on_paper
def test_the_record_of_an_ordinary_visit_is_at_most_six_sheets_with_no_letter_under_nine_points(
    visit, paper, tmp_path
):
    target = tmp_path / "page.pdf"
    assert report(visit, target, "--paper", paper, kind="record") == 0
    pages = sheets(target)
    assert len(pages) <= 6
    assert [one for one in map(smallest_points, pages) if one < 8.95] == []
    # What was found that matters, what is recommended and why is on the first one.
    first = words(pages[0])
    for part in ("In short", "Found, right", "Recommended, left", "Why", "First review"):
        assert part in first


@needs_browser
@on_paper
def test_the_order_of_an_example_is_one_sheet_whose_words_are_not_too_small(visit, paper, tmp_path):
    target = tmp_path / "page.pdf"
    assert report(visit, target, "--paper", paper) == 0
    (sheet,) = sheets(target)
    # The letters in the drawing are single and bold, and stand in the table too.
    assert smallest_points(sheet, of_words=True) >= 8.95
    assert "Tolerances, and all that is not stated: as usual in the workshop." in words(sheet)


@needs_browser
def test_letters_that_are_too_small_are_seen(tmp_path):
    (tmp_path / "x.pdf").write_bytes(pdf_of(f"{PAGE}<small style='font-size:7pt'>small</small>"))
    assert smallest_points(sheets(tmp_path / "x.pdf")[0]) == pytest.approx(7, abs=0.1)


@needs_browser
def test_a_pdf_is_written_in_the_chosen_language(tmp_path):
    assert report(HEEL, tmp_path / "page.pdf", "--language", "de") == 0
    assert "Seite 1 von 1" in words(sheets(tmp_path / "page.pdf")[0])


@needs_browser
def test_a_pdf_is_for_the_user_alone_and_leaves_nothing_behind(tmp_path, monkeypatch):
    temporary = tmp_path / "temporary"
    temporary.mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(temporary))
    target = tmp_path / "page.pdf"
    old_mask = os.umask(0o022)
    try:
        assert report(HEEL, target) == 0
    finally:
        os.umask(old_mask)
    assert stat.S_IMODE(target.stat().st_mode) == 0o600
    assert list(temporary.iterdir()) == []
    assert sorted(one.name for one in tmp_path.iterdir()) == ["page.pdf", "temporary"]


@needs_browser
def test_an_existing_pdf_is_left_alone_unless_it_is_forced(tmp_path, capsys):
    target = tmp_path / "page.pdf"
    target.write_bytes(b"mine")
    assert report(HEEL, target) == 1
    assert target.read_bytes() == b"mine"
    assert "--force" in capsys.readouterr().err
    assert report(HEEL, target, "--force") == 0
    assert len(sheets(target)) == 1


@needs_browser
def test_the_page_reaches_no_server_while_it_is_printed(tmp_path):
    """Even a page that asks, which ours never does, is answered by nobody."""
    asks = "<!DOCTYPE html><html lang=en><title>x</title><img alt=none src='http://localhost.example/'>"
    started = time.monotonic()
    (tmp_path / "x.pdf").write_bytes(pdf_of(asks))
    assert time.monotonic() - started < 30
    assert "none" in words(sheets(tmp_path / "x.pdf")[0])


def test_without_a_browser_a_sentence_says_what_would_help(tmp_path, monkeypatch, capsys):
    monkeypatch.delenv(CHOSEN_BY, raising=False)
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr("examwalk.report.printing._usual_places", list)
    assert report(HEEL, tmp_path / "page.pdf") == 1
    said = capsys.readouterr().err
    assert "Chromium, Chrome or Edge" in said
    assert CHOSEN_BY in said
    assert list(tmp_path.iterdir()) == []


def test_a_browser_that_is_not_there_is_named(tmp_path, monkeypatch, capsys):
    monkeypatch.setenv(CHOSEN_BY, "/nowhere/browser")
    assert report(HEEL, tmp_path / "page.pdf") == 1
    assert "/nowhere/browser" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


@pytest.fixture
def stand_in(tmp_path, monkeypatch):
    """Return a function that makes a script the browser."""

    def make(lines: str) -> Path:
        path = tmp_path / "stand-in"
        path.write_text(f"#!/bin/sh\n{lines}\n", encoding="utf-8")
        path.chmod(0o700)
        monkeypatch.setenv(CHOSEN_BY, str(path))
        return path

    return make


@needs_posix
@pytest.mark.parametrize(
    "lines",
    [
        "exit 1",
        "exit 0",
        'for a; do case $a in --print-to-pdf=*) echo text > "${a#*=}";; esac; done',
        'for a; do case $a in --print-to-pdf=*) echo %PDF-1.4 > "${a#*=}";; esac; done',
    ],
    ids=["fails", "writes nothing", "writes something else", "stops half-way"],
)
def test_what_is_no_whole_pdf_is_never_handed_on(lines, stand_in, tmp_path, capsys):
    path, target = stand_in(lines), tmp_path / "page.pdf"
    target.write_bytes(b"mine")
    assert report(HEEL, target, "--force") == 1
    assert target.read_bytes() == b"mine"
    said = capsys.readouterr().err
    assert f"{path} wrote no PDF" in said
    assert "Traceback" not in said


@needs_posix
def test_a_browser_that_hangs_is_ended_with_all_that_it_started(stand_in, tmp_path):
    children = tmp_path / "children"
    stand_in(f"sleep 600 & echo $! > {children}; wait")
    with pytest.raises(CannotPrintError, match="within 1 seconds"):
        pdf_of(PAGE, limit_seconds=1)
    child = children.read_text().strip()
    state = subprocess.run(
        ["ps", "-o", "stat=", "-p", child], capture_output=True, text=True, check=False
    ).stdout.strip()
    assert state == "" or state.startswith("Z")


@needs_posix
def test_the_browser_is_given_a_profile_of_its_own_and_no_names_of_the_network(stand_in, tmp_path):
    told = tmp_path / "told"
    stand_in(f'for a; do echo "$a" >> {told}; done')
    with pytest.raises(CannotPrintError):
        pdf_of(PAGE)
    options = told.read_text().splitlines()
    assert "--host-resolver-rules=MAP * ~NOTFOUND" in options
    (profile,) = (one.partition("=")[2] for one in options if one.startswith("--user-data-dir="))
    assert not Path(profile).parent.exists()


def test_a_folder_that_takes_no_file_is_said_before_the_browser_is_asked(
    stand_in, tmp_path, capsys
):
    asked = tmp_path / "asked"
    stand_in(f"touch {asked}")
    assert report(HEEL, tmp_path / "nowhere" / "page.pdf") == 1
    assert "Could not save" in capsys.readouterr().err
    assert not asked.exists()


def test_a_pdf_is_not_poured_into_a_terminal(monkeypatch, capsys):
    monkeypatch.setattr("sys.stdout.isatty", lambda: True)
    assert main(["report", str(HEEL), "--kind", "order", "--as", "pdf"]) == 1
    out, err = capsys.readouterr()
    assert out == ""
    assert "--out" in err
