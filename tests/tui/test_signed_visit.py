"""A visit is signed, stays as it is, and is corrected beside what stands."""

from contextlib import asynccontextmanager

from ordering_protocol import CALM, LEFT, a_visit
from screen_text import an_app, keys, screen_text, type_text

from examwalk.session.model import AmendmentKind, Place
from examwalk.session.signing import verify
from examwalk.session.storing import read_session

JACK = Place("jack", LEFT)
ANSWERS = {**CALM, ("jack", LEFT): "easy"}


@asynccontextmanager
async def finished_visit(folder, size=(80, 24)):
    app = an_app(folder)
    async with app.run_test(size=size) as pilot:
        app.visit = a_visit(folder, ANSWERS)
        app.visit.finish()
        app.show_summary()
        await pilot.pause()
        yield app, pilot


async def sign(pilot):
    await keys(pilot, "S", "y")
    await type_text(pilot, "AB")
    await keys(pilot, "enter")


async def at_jack(app, pilot):
    app.show_exam()
    await pilot.pause()
    app.screen._walk.go(JACK)
    app.screen.refresh_visit()
    await pilot.pause()


async def correct(pilot, value, because="one row too low"):
    await keys(pilot, "c")
    await type_text(pilot, value)
    await keys(pilot, "enter")
    await type_text(pilot, because)
    await keys(pilot, "enter")
    await type_text(pilot, "CD")
    await keys(pilot, "enter")


async def test_signing_says_what_it_means_and_asks_for_initials(tmp_path):
    async with finished_visit(tmp_path) as (app, pilot):
        await keys(pilot, "S")
        assert "you stand for this visit as it is" in " ".join(screen_text(app).split())
        await keys(pilot, "y")
        assert "Sign with your initials" in screen_text(app)
        await type_text(pilot, "AB")
        await keys(pilot, "enter")
        signature = read_session(app.visit.path).signature
        assert signature is not None
        assert signature.by == "AB"
        assert "This visit is signed." in screen_text(app)


async def test_no_leaves_the_visit_unsigned(tmp_path):
    async with finished_visit(tmp_path) as (app, pilot):
        await keys(pilot, "S", "n")
        assert read_session(app.visit.path).signature is None


async def test_without_initials_nothing_is_signed(tmp_path):
    async with finished_visit(tmp_path) as (app, pilot):
        await keys(pilot, "S", "y", "enter")
        assert "initials of who signs" in screen_text(app)
        assert read_session(app.visit.path).signature is None


async def test_an_open_visit_is_not_signed_and_the_screen_says_what_is_first(tmp_path):
    async with finished_visit(tmp_path) as (app, pilot):
        app.visit.reopen()
        await keys(pilot, "S")
        assert "Only a finished visit is signed" in screen_text(app)


async def test_every_screen_of_a_signed_visit_says_that_it_is(tmp_path):
    async with finished_visit(tmp_path) as (app, pilot):
        await sign(pilot)
        for show in (app.show_exam, app.show_review, app.show_summary):
            show()
            await pilot.pause()
            assert "Signed 20" in screen_text(app)
            assert "by AB" in screen_text(app)


async def test_a_signed_visit_is_neither_reopened_nor_undone_nor_answered(tmp_path):
    async with finished_visit(tmp_path) as (app, pilot):
        await sign(pilot)
        before = read_session(app.visit.path)
        await keys(pilot, "f", "u", "a")
        await at_jack(app, pilot)
        await keys(pilot, "u", "delete", "3")
        assert "This visit is signed" in " ".join(screen_text(app).split())
        after = read_session(app.visit.path)
        assert (after.findings, after.decisions) == (before.findings, before.decisions)
        assert after.signature == before.signature
        assert app.visit.reopen() is False


async def test_a_correction_asks_what_why_and_who_and_keeps_what_stood(tmp_path):
    async with finished_visit(tmp_path) as (app, pilot):
        await sign(pilot)
        await at_jack(app, pilot)
        await correct(pilot, "hard")
        assert "corrected" in screen_text(app)
        session = read_session(app.visit.path)
        assert session.answers[JACK] == "hard"
        (one,) = session.amendments
        assert (one.old, one.new, one.by, one.because) == ("easy", "hard", "CD", "one row too low")
        assert verify(session) == ()


async def test_an_answer_is_taken_back_with_a_hyphen(tmp_path):
    async with finished_visit(tmp_path) as (app, pilot):
        await sign(pilot)
        await at_jack(app, pilot)
        await correct(pilot, "-")
        session = read_session(app.visit.path)
        assert JACK not in session.answers
        assert session.amendments[0].kind is AmendmentKind.RETRACTION


async def test_a_correction_without_a_reason_or_with_an_unknown_value_is_refused(tmp_path):
    async with finished_visit(tmp_path) as (app, pilot):
        await sign(pilot)
        await at_jack(app, pilot)
        await correct(pilot, "hard", because="")
        assert "needs a reason" in screen_text(app)
        await keys(pilot, "c")
        await type_text(pilot, "harsh")
        await keys(pilot, "enter")
        assert "is not one of the possible values" in screen_text(app)
        assert read_session(app.visit.path).amendments == ()


async def test_a_record_that_was_changed_is_told_at_the_top_and_takes_no_correction(tmp_path):
    async with finished_visit(tmp_path) as (app, pilot):
        await sign(pilot)
        path = app.visit.path
        lines = path.read_text("utf-8").splitlines(keepends=True)
        text = "".join(line for line in lines if not line.startswith("checksum"))
        path.write_text(text.replace('answer = "easy"', 'answer = "middling"', 1), "utf-8")
        app.open_visit(path)
        await pilot.pause()
        await at_jack(app, pilot)
        assert "The visit is not what AB signed" in " ".join(screen_text(app).split())
        await keys(pilot, "c")
        assert "Nothing is added to a record" in screen_text(app)
