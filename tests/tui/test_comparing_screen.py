"""The comparison of a patient's visits as a person uses it."""

from contextlib import asynccontextmanager
from datetime import timedelta
from functools import partial

import pytest
from attrs import evolve
from ordering_protocol import CALM, LEFT, ORDERING, RIGHT, WHOLE, a_session
from screen_text import an_app, keys, screen_text, starting_with
from small_protocol import small_protocol

from examwalk.session.folder import keep_protocol, path_for
from examwalk.session.model import ProtocolUsed, State
from examwalk.session.storing import read_session, write_session
from examwalk.tui.screens.comparing import ComparingPage
from examwalk.tui.screens.earlier_visits import compared_with_earlier
from examwalk.tui.screens.start import StartScreen
from examwalk.tui.screens.summary import SummaryScreen

EARLIER = {**CALM, ("lunge", LEFT): 8.0, ("resistance", LEFT): "easy", ("jack", LEFT): "easy"}
LATER = {
    **CALM,
    ("lunge", LEFT): 11.0,
    ("resistance", LEFT): "hard",
    ("jack", LEFT): "middling",
    ("hot-foot", RIGHT): "yes",
}
HOSTILE = "[/] [@click=app.quit] \x1b]2;x\x07"


def put(folder, week, answers, state=State.FINISHED, patient="P-0042", text=ORDERING):
    """Write a visit of some week into a folder and return its path."""
    loaded = small_protocol(folder.parent, text)
    keep_protocol(folder, loaded.fingerprint, loaded.text)
    session = a_session(loaded.protocol, answers)
    begun = session.started + timedelta(weeks=week)
    used = ProtocolUsed("small", loaded.protocol.identity.version, loaded.fingerprint)
    session = evolve(
        session,
        id=f"visit-{patient.lower()}-{week}",
        started=begun,
        finished=begun if state is State.FINISHED else None,
        state=state,
        patient=patient,
        protocol=used,
    )
    path = path_for(folder, session.id)
    write_session(path, session)
    return path


@pytest.fixture
def folder(tmp_path):
    path = tmp_path / "visits"
    path.mkdir()
    return path


async def settle(pilot):
    await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


@asynccontextmanager
async def compared(folder, path, size=(80, 24)):
    """Show the comparison of the visit in a file over the start."""
    app = an_app(folder)
    async with app.run_test(size=size) as pilot:
        session = read_session(path)
        page = ComparingPage(session.patient, partial(compared_with_earlier, folder, session))
        app.push_screen(page)
        await settle(pilot)
        yield app, pilot


@asynccontextmanager
async def compared_from_summary(folder, path, size=(80, 24)):
    """Ask for the comparison of the visit in a file from its summary."""
    app = an_app(folder)

    def show() -> None:
        app.open_visit(path)
        app.show_summary()

    async with starting_with(show, app).run_test(size=size) as pilot:
        await settle(pilot)
        await keys(pilot, "c")
        await settle(pilot)
        assert isinstance(app.screen, ComparingPage)
        yield app, pilot


@pytest.mark.parametrize("size", [(80, 24), (140, 45)])
async def test_new_cautions_stand_above_what_changed(folder, size):
    put(folder, 0, EARLIER)
    async with compared(folder, put(folder, 12, LATER), size) as (app, _):
        text = screen_text(app)
        assert "2 visits, 25 November 2026 to 17 February 2027" in text
        assert "The clinician decides." in text
        assert text.index("New: Hot swollen foot, right") < text.index("Real change")
        assert "Supination resistance, left: easy → hard  2 grades higher" in text


async def test_the_row_at_the_pointer_tells_why_it_is_judged_so(folder):
    put(folder, 0, EARLIER)
    async with compared(folder, put(folder, 12, LATER), (140, 45)) as (app, pilot):
        await keys(pilot, "down")
        said = " ".join(screen_text(app).replace("│", " ").split())
        assert "25 November 2026 AB: easy" in said
        assert "17 February 2027 AB: hard" in said


async def test_a_third_visit_shows_the_course_of_a_number(folder):
    for week, distance in ((0, 8.0), (4, 12.0)):
        put(folder, week, {**EARLIER, ("lunge", LEFT): distance})
    path = put(folder, 12, {**EARLIER, ("lunge", LEFT): 11.0})
    async with compared(folder, path, (140, 45)) as (app, _):
        text = screen_text(app)
        assert "Lunge distance, left: 8.0 cm → 11.0 cm" in text
        # The largest and the smallest of all three visits.
        assert "12.0 cm" in text
        assert "25 Nov 2026" in text
        assert "17 Feb 2027" in text


async def test_what_did_not_change_is_folded_until_it_is_asked_for(folder):
    put(folder, 0, EARLIER)
    async with compared(folder, put(folder, 12, EARLIER), (80, 45)) as (app, pilot):
        # Both hot-foot answers, the lunge, two grades, and the sum of these two.
        assert "+ Unchanged (6)" in screen_text(app)
        assert "8.0 cm → 8.0 cm" not in screen_text(app)
        await keys(pilot, "enter")
        assert "− Unchanged (6)" in screen_text(app)
        assert "Lunge distance, left: 8.0 cm → 8.0 cm" in screen_text(app)
        await keys(pilot, "enter")
        assert "8.0 cm → 8.0 cm" not in screen_text(app)


async def test_no_earlier_answer_is_shown_before_this_visits_own_is_in(folder):
    put(folder, 0, {**LATER, ("lunge", LEFT): 7.3})
    here = {("jack", LEFT): "easy"}
    async with compared(folder, put(folder, 12, here, State.OPEN), (140, 45)) as (app, pilot):
        for _ in range(12):
            text = screen_text(app)
            for secret in ("7.3", "Lunge", "Supination resistance", "Hot"):
                assert secret not in text
            await keys(pilot, "down", "enter")
        assert "Jack's test, left: middling → easy" in text
        assert "The last visit is still open: " in text


async def test_an_answer_given_since_is_compared_though_the_file_is_still_open(folder):
    put(folder, 0, {**CALM, ("lunge", LEFT): 7.3})
    async with compared_from_summary(folder, put(folder, 12, CALM, State.OPEN), (140, 45)) as (
        app,
        pilot,
    ):
        assert "7.3" not in screen_text(app)
        await keys(pilot, "escape")
        place = next(p for p in app.visit.case.places if (p.test, p.side) == ("lunge", LEFT))
        app.visit.answer(place, 9.0)
        await keys(pilot, "c")
        await settle(pilot)
        assert "Lunge distance, left: 7.3 cm → 9.0 cm" in screen_text(app)


async def test_it_goes_back_to_where_it_was_asked_for(folder):
    put(folder, 0, EARLIER)
    async with compared_from_summary(folder, put(folder, 12, LATER)) as (app, pilot):
        for key in ("escape", "c", "q"):
            await keys(pilot, key)
            assert isinstance(app.screen, SummaryScreen)
            await keys(pilot, "c")
            await settle(pilot)
            assert isinstance(app.screen, ComparingPage)


async def test_without_an_earlier_visit_it_says_what_would_be_needed(folder):
    put(folder, 20, EARLIER)
    put(folder, 0, EARLIER, patient="P-9")
    async with compared_from_summary(folder, put(folder, 12, LATER)) as (app, pilot):
        text = screen_text(app)
        assert "There is no earlier visit of P-0042 here to compare with." in text
        assert "unfold" not in text
        await keys(pilot, "enter", "down", "space", "t", "escape")
        assert isinstance(app.screen, SummaryScreen)


async def test_the_start_compares_the_visit_at_the_pointer_with_earlier_ones_only(folder):
    put(folder, 0, EARLIER)
    put(folder, 4, {**EARLIER, ("lunge", LEFT): 9.5})
    put(folder, 12, {**EARLIER, ("lunge", LEFT): 13.0})
    app = an_app(folder)
    async with app.run_test(size=(80, 30)) as pilot:
        await settle(pilot)
        rows = app.screen.query_one("#visits")
        rows.point_at(evolve(rows.pointer, key=path_for(folder, "visit-p-0042-4")))
        await keys(pilot, "c")
        await settle(pilot)
        assert "Lunge distance, left: 8.0 cm → 9.5 cm" in screen_text(app)
        assert "13.0" not in screen_text(app)
        await keys(pilot, "escape")
        assert isinstance(app.screen, StartScreen)


async def test_the_start_offers_no_comparison_where_there_is_no_visit(folder):
    app = an_app(folder)
    async with app.run_test() as pilot:
        await settle(pilot)
        assert "compare" not in screen_text(app)
        await keys(pilot, "c")
        assert isinstance(app.screen, StartScreen)


async def test_a_file_that_cannot_be_read_is_told(folder):
    put(folder, 0, EARLIER)
    (folder / "broken.toml").write_text("format = ", encoding="utf-8")
    async with compared(folder, put(folder, 12, LATER), (140, 45)) as (app, _):
        said = " ".join(screen_text(app).replace("│", " ").split())
        assert "1 file in the folder" in said
        assert "Real change" in said


async def test_hostile_text_is_shown_and_not_obeyed(folder):
    put(folder, 0, {**EARLIER, ("story", WHOLE): HOSTILE})
    path = put(folder, 12, {**EARLIER, ("story", WHOLE): "calm"})
    async with compared(folder, path, (140, 45)) as (app, _):
        text = screen_text(app)
        assert "[/] [@click=app.quit]" in text
        assert "\x1b" not in text
