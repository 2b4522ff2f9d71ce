"""Writing a page from the screens: what is asked first, what is never replaced, what is said."""

import shutil
import stat
from contextlib import asynccontextmanager
from pathlib import Path

import pypdf
import pytest
from ordering_protocol import CALM, LEFT, a_visit
from screen_text import an_app, keys, screen_text, starting_with, type_text

from examwalk.cli import main
from examwalk.report.pages import KIND_NAMES, PAGES
from examwalk.report.printing import CHOSEN_BY, CannotPrintError, browser
from examwalk.session.signing import sign
from examwalk.tui.clock import local_now
from examwalk.tui.screens.review import ReviewScreen
from examwalk.tui.screens.summary import SummaryScreen
from examwalk.tui.screens.writing_pages import PagesSheet

CUSTOM = {**CALM, ("posture", LEFT): "pronated", ("resistance", LEFT): "hard"}
BLANK = {key: answer for key, answer in CUSTOM.items() if key[0] != "hot-foot"}


def can_print() -> bool:
    try:
        browser()
    except CannotPrintError:
        return False
    return True


needs_browser = pytest.mark.skipif(not can_print(), reason="no Chromium, Chrome or Edge here")


@asynccontextmanager
async def pages_of(folder: Path, answers=CUSTOM, size=(80, 24), key="s"):
    app = an_app(folder)

    def show() -> None:
        app.visit = a_visit(folder, answers)
        app.show_summary() if key == "s" else app.show_review()

    async with starting_with(show, app).run_test(size=size) as pilot:
        await pilot.pause()
        await keys(pilot, "e")
        assert isinstance(app.screen, PagesSheet)
        yield app, pilot


async def settled(pilot) -> None:
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


def beside(app, ending: str) -> Path:
    return app.visit.path.with_name(app.visit.path.stem + ending)


def flat(app) -> str:
    return " ".join(screen_text(app).split())


@pytest.mark.parametrize("key", ["s", "r"])
async def test_enter_alone_writes_the_record_beside_the_visit_for_the_user_alone(tmp_path, key):
    async with pages_of(tmp_path, key=key, size=(140, 45)) as (app, pilot):
        await keys(pilot, "enter")
        await settled(pilot)
        target = beside(app, "-record.html")
        assert target.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
        assert stat.S_IMODE(target.stat().st_mode) == 0o600
        assert f"Written: {target}" in flat(app).replace(" ", "").replace("Written:", "Written: ")
        await keys(pilot, "enter")
        assert isinstance(app.screen, SummaryScreen if key == "s" else ReviewScreen)


async def test_the_name_of_the_file_tells_nothing_of_the_patient(tmp_path):
    async with pages_of(tmp_path) as (app, _):
        proposed = app.screen.query_one("#file").value
        assert app.visit.session.patient not in proposed.removeprefix(str(tmp_path))
        assert app.visit.session.examiner not in Path(proposed).name


async def test_every_kind_of_page_can_be_chosen_and_has_a_name(tmp_path):
    async with pages_of(tmp_path) as (app, pilot):
        assert set(PAGES) <= set(KIND_NAMES)
        for kind in PAGES:
            assert f"● {KIND_NAMES[kind]}" in screen_text(app)
            assert app.screen.query_one("#file").value.endswith(f"-{kind}.html")
            await keys(pilot, "right")


async def test_paper_is_asked_only_for_what_is_printed(tmp_path):
    async with pages_of(tmp_path) as (app, pilot):
        assert "● A4" in screen_text(app)
        await keys(pilot, "down", "right", "right", "right")
        assert "● Markdown" in screen_text(app)
        assert "A4" not in screen_text(app)
        await keys(pilot, "down", "down")
        assert app.focused is app.screen.query_one("#file")


@needs_browser
async def test_a_pdf_is_printed_on_the_chosen_paper(tmp_path):
    async with pages_of(tmp_path) as (app, pilot):
        await keys(pilot, "right", "down", "right", "down", "right")
        await keys(pilot, "enter")
        assert "Writing" in screen_text(app)
        await settled(pilot)
        sheet = pypdf.PdfReader(beside(app, "-order.pdf")).pages[0]
        assert [round(float(points)) for points in sheet.mediabox[2:]] == [612, 792]


async def test_without_a_browser_no_pdf_is_offered_and_why_is_said(tmp_path, monkeypatch):
    monkeypatch.setenv(CHOSEN_BY, "/nowhere/browser")
    async with pages_of(tmp_path) as (app, _):
        assert "/nowhere/browser" in flat(app)
        assert "○ PDF" not in screen_text(app)


async def test_a_browser_that_fails_is_told_and_another_form_can_be_chosen(tmp_path, monkeypatch):
    script = tmp_path / "browser"
    script.write_text("#!/bin/sh\nexit 1\n", encoding="utf-8")
    script.chmod(0o700)
    monkeypatch.setenv(CHOSEN_BY, str(script))
    async with pages_of(tmp_path) as (app, pilot):
        await keys(pilot, "down", "right", "enter")
        await settled(pilot)
        assert "wrote no PDF" in flat(app)
        assert not beside(app, "-record.pdf").exists()
        await keys(pilot, "left", "enter")
        await settled(pilot)
        assert beside(app, "-record.html").exists()


async def test_an_order_with_blanks_is_written_only_after_yes(tmp_path):
    async with pages_of(tmp_path, BLANK) as (app, pilot):
        await keys(pilot, "right", "enter")
        assert "The order has blanks: Kind of device" in flat(app)
        await keys(pilot, "n")
        assert "Nothing was written." in screen_text(app)
        assert not beside(app, "-order.html").exists()
        await keys(pilot, "enter", "y")
        await settled(pilot)
        assert "BLANK" in beside(app, "-order.html").read_text(encoding="utf-8")


async def test_an_existing_file_is_replaced_only_after_yes(tmp_path):
    async with pages_of(tmp_path) as (app, pilot):
        target = beside(app, "-record.html")
        target.write_text("mine", encoding="utf-8")
        await keys(pilot, "enter")
        assert "exists already. Replace it?" in flat(app)
        await keys(pilot, "n")
        assert target.read_text(encoding="utf-8") == "mine"
        await keys(pilot, "enter", "y")
        await settled(pilot)
        assert target.read_text(encoding="utf-8") != "mine"
        assert not list(tmp_path.rglob("*.previous*.html"))


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("", "needs the name of a file"),
        ("   ", "needs the name of a file"),
        ("VISIT", "the visit itself"),
        ("FOLDER", "This is a folder"),
        ("nowhere/page.html", "no folder of this name"),
        ("~nobody-of-this-name/page.html", "no folder of this name"),
        ("x" * 300, "not the name of a file"),
    ],
)
async def test_a_file_that_cannot_be_is_refused_in_a_sentence(tmp_path, typed, said):
    async with pages_of(tmp_path, size=(100, 30)) as (app, pilot):
        before = app.visit.path.read_bytes()
        named = {"VISIT": app.visit.path.name, "FOLDER": str(app.visit.path.parent)}
        app.screen.query_one("#file").value = ""
        await keys(pilot, "up")
        await type_text(pilot, named.get(typed, typed))
        await keys(pilot, "enter")
        await settled(pilot)
        assert isinstance(app.screen, PagesSheet)
        assert said in flat(app)
        assert app.visit.path.read_bytes() == before


async def test_a_typed_name_stays_whatever_is_chosen_and_a_bare_one_is_beside_the_visit(tmp_path):
    async with pages_of(tmp_path) as (app, pilot):
        app.screen.query_one("#file").value = ""
        await keys(pilot, "up")
        await type_text(pilot, "mine.html")
        await keys(pilot, "down", "right", "enter")
        await settled(pilot)
        written = (app.visit.path.parent / "mine.html").read_text(encoding="utf-8")
        assert 'class="order"' in written


async def test_a_folder_that_is_read_only_is_told(tmp_path, monkeypatch):
    def refuse(*_arguments, **_options):
        raise PermissionError(13, "Permission denied")

    async with pages_of(tmp_path) as (app, pilot):
        monkeypatch.setattr("examwalk.files.os.open", refuse)
        await keys(pilot, "enter")
        await settled(pilot)
        assert "not permitted to write there" in flat(app)
        monkeypatch.undo()


async def test_a_signed_visit_is_written_as_signed_and_stays_as_it_is(tmp_path):
    app = an_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        visit = a_visit(tmp_path, CUSTOM)
        visit.finish()
        visit.session = sign(visit.session, "QX", local_now())
        visit.save()
        before = visit.path.read_bytes()
        app.visit = visit
        app.show_summary()
        await pilot.pause()
        await keys(pilot, "e", "enter")
        await settled(pilot)
        assert "Signed by QX" in beside(app, "-record.html").read_text(encoding="utf-8")
        assert visit.path.read_bytes() == before


async def test_no_page_is_written_of_a_trial(tmp_path):
    app = an_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        app.visit = a_visit(tmp_path, CUSTOM)
        app.visit.trial_note = "Nothing here is kept."
        app.show_summary()
        await pilot.pause()
        await keys(pilot, "e")
        assert isinstance(app.screen, SummaryScreen)
        assert "no page is written" in screen_text(app)


async def test_pages_beside_visits_trouble_neither_the_list_nor_the_check(tmp_path, capsys):
    async with pages_of(tmp_path) as (app, pilot):
        await keys(pilot, "enter")
        await settled(pilot)
        folder = app.visit.path.parent
    (folder / "small.toml").unlink()  # of this test alone, and no visit
    assert main(["--sessions", str(folder), "sessions", "--check"]) == 0
    assert "html" not in "".join(capsys.readouterr())


async def test_escape_writes_nothing(tmp_path):
    async with pages_of(tmp_path) as (app, pilot):
        before = sorted(tmp_path.rglob("*"))
        await keys(pilot, "escape")
        assert isinstance(app.screen, SummaryScreen)
        assert sorted(tmp_path.rglob("*")) == before


async def test_the_patients_page_is_dated_from_the_first_day_of_wear(tmp_path):
    example = Path(__file__).parents[2] / "sessions" / "heel-pain-right.toml"
    app = an_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_visit(Path(shutil.copy(example, tmp_path)))
        await keys(pilot, "s", "e")
        assert "Worn from" not in screen_text(app)
        await keys(pilot, "right", "right", "down", "down", "down", "down")
        assert "▸ Worn from" in screen_text(app)
        await type_text(pilot, "2026-09-13")
        await keys(pilot, "enter")
        assert "it lies before the visit of 2026-09-14" in flat(app)
        await keys(pilot, "ctrl+u")
        await type_text(pilot, "soon")
        await keys(pilot, "enter")
        assert "“soon” is no day; write it as 2027-01-31" in flat(app)
        assert not beside(app, "-patient.html").exists()
        await keys(pilot, "ctrl+u")
        await type_text(pilot, "2026-10-01")
        await keys(pilot, "enter")
        await settled(pilot)
        assert "1 October 2026" in beside(app, "-patient.html").read_text(encoding="utf-8")


async def test_a_page_can_leave_out_who_it_is_and_so_does_its_name(tmp_path):
    async with pages_of(tmp_path) as (app, pilot):
        session = app.visit.session
        await keys(pilot, "down", "down", "down", "right")
        assert "● left out, anonymous" in screen_text(app)
        assert "Rare findings can still tell who it is." in flat(app)
        assert Path(app.screen.query_one("#file").value).name == "anonymous-record.html"
        await keys(pilot, "enter")
        await settled(pilot)
        page = app.visit.path.with_name("anonymous-record.html").read_text(encoding="utf-8")
        assert "withheld" in page
        assert session.id not in page
        assert session.patient not in page
