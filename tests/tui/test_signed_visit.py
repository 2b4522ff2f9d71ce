"""A visit is signed, stays as it is, and is corrected beside what stands."""

from contextlib import asynccontextmanager

import pytest
from ordering_protocol import CALM, LEFT, a_visit
from screen_text import an_app, keys, screen_text, starting_with, type_text

from examwalk.catalogues import choose_language
from examwalk.session.model import AmendmentKind, Ordered, Place, Side
from examwalk.session.signing import verify
from examwalk.session.storing import read_session
from examwalk.tui.action import Needs
from examwalk.tui.keys import actions_of
from examwalk.tui.widgets.key_line import KeyLine
from examwalk.tui.widgets.lines import Pointer

JACK = Place("jack", LEFT)
ANSWERS = {**CALM, ("jack", LEFT): "easy"}


@asynccontextmanager
async def finished_visit(folder, size=(80, 24), answers=ANSWERS):
    app = an_app(folder)

    def show() -> None:
        app.visit = a_visit(folder, answers)
        app.visit.finish()
        app.show_summary()

    async with starting_with(show, app).run_test(size=size) as pilot:
        await pilot.pause()
        yield app, pilot


async def sign(pilot):
    await keys(pilot, "S", "y")
    await type_text(pilot, "AB")
    await keys(pilot, "enter")


async def at_jack(app, pilot):
    await at_place(app, pilot, JACK)


async def at_place(app, pilot, place):
    app.show_exam()
    await pilot.pause()
    app.screen._walk.go(place)
    app.screen.refresh_visit()
    await pilot.pause()


async def correct(pilot, value, because="one row too low", key="c"):
    await keys(pilot, key)
    await type_text(pilot, value)
    await keys(pilot, "enter")
    await type_text(pilot, because)
    await keys(pilot, "enter")
    await type_text(pilot, "CD")
    await keys(pilot, "enter")


async def test_in_german_j_says_yes_and_stands_on_the_line_of_keys(tmp_path):
    choose_language("de")
    async with finished_visit(tmp_path) as (app, pilot):
        await keys(pilot, "S")
        assert "j ja  n nein" in screen_text(app)
        await keys(pilot, "j")
        assert "Kürzel" in screen_text(app)


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
            assert "Signed 25 Nov 2026" in screen_text(app)
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


async def test_a_correction_lists_the_keys_of_the_exam_and_takes_them(tmp_path):
    async with finished_visit(tmp_path) as (app, pilot):
        await sign(pilot)
        await at_jack(app, pilot)
        await keys(pilot, "c")
        assert "Type a key: 1 easy · 2 middling · 3 hard." in " ".join(screen_text(app).split())
        await keys(pilot, "escape")
        await correct(pilot, "2")
        assert read_session(app.visit.path).answers[JACK] == "middling"


async def test_several_answers_are_corrected_by_their_keys_with_commas(tmp_path):
    skin = Place("skin", LEFT)
    answers = {**ANSWERS, ("skin", LEFT): ("intact",)}
    async with finished_visit(tmp_path, answers=answers) as (app, pilot):
        await sign(pilot)
        await at_place(app, pilot, skin)
        await keys(pilot, "c")
        assert "Type keys with commas: 1 Intact" in " ".join(screen_text(app).split())
        await keys(pilot, "escape")
        await correct(pilot, "2, 3")
        assert read_session(app.visit.path).answers[skin] == ("callus", "crack")


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


def keys_listed(app):
    """Return the labels in the line of keys."""
    line = app.screen.query_one(KeyLine)
    return {action.label for action in line._actions}


async def point_at(app, pilot, feature, side):
    app.show_summary()
    await pilot.pause()
    app.screen.row_list.point_at(Pointer(("feature", feature), side))
    await pilot.pause()


async def test_an_amended_test_says_in_the_exam_what_stood_there(tmp_path):
    async with finished_visit(tmp_path) as (app, pilot):
        await sign(pilot)
        await at_jack(app, pilot)
        assert "amended" not in screen_text(app)
        await correct(pilot, "hard")
        assert "amended, before: easy" in screen_text(app)
        await keys(pilot, "f")
        assert "amended" not in screen_text(app)


async def test_a_test_taken_back_says_in_the_review_what_stood_there(tmp_path):
    async with finished_visit(tmp_path, size=(140, 45)) as (app, pilot):
        await sign(pilot)
        await at_jack(app, pilot)
        await correct(pilot, "-")
        app.show_review()
        await pilot.pause()
        assert "amended, before: easy" in screen_text(app)


@pytest.mark.parametrize("page", ["show_exam", "show_review", "show_summary"])
async def test_no_key_that_is_left_out_would_have_changed_a_signed_visit(tmp_path, page):
    async with finished_visit(tmp_path) as (app, pilot):
        await sign(pilot)
        getattr(app, page)()
        await pilot.pause()
        listed = keys_listed(app)
        left_out = [
            action
            for action in actions_of(app.screen.NAME)
            if action.on_line and action.needs is not Needs.NOTHING and action.label not in listed
        ]
        assert {"undo"} <= {action.label for action in left_out}
        before = app.visit.session
        for action in left_out:
            await keys(pilot, action.keys[0])
            assert app.visit.session.findings == before.findings, action.id
            assert app.visit.session.decisions == before.decisions, action.id
            assert app.visit.session.state is before.state, action.id


async def test_the_summary_of_a_signed_visit_offers_a_correction_in_place_of_an_order(tmp_path):
    async with finished_visit(tmp_path) as (app, pilot):
        app.visit.reopen()
        app.screen.refresh_visit()
        assert {"order", "undo", "accept all", "take back", "finish"} <= keys_listed(app)
        assert not {"correct", "sign"} & keys_listed(app)
        app.visit.finish()
        app.screen.refresh_visit()
        assert {"undo", "reopen", "sign", "go there"} <= keys_listed(app)
        assert not {"order", "accept all", "take back"} & keys_listed(app)
        await sign(pilot)
        assert "correct" in keys_listed(app)
        refused = {"order", "undo", "accept all", "take back", "reopen", "finish", "sign"}
        assert not refused & keys_listed(app)


async def test_an_order_is_corrected_in_the_summary_and_what_stood_there_is_told(tmp_path):
    async with finished_visit(tmp_path) as (app, pilot):
        app.visit.reopen()
        app.visit.decide("cover", LEFT, "firm")
        app.visit.finish()
        await sign(pilot)
        await point_at(app, pilot, "cover", LEFT)
        await keys(pilot, "enter")
        assert "Correct Top cover, left" in screen_text(app)
        assert "now: firm. Type a key: 1 soft · 2 firm." in " ".join(screen_text(app).split())
        await keys(pilot, "escape")
        await correct(pilot, "soft", key="enter")
        session = read_session(app.visit.path)
        (one,) = session.amendments
        assert (one.path, one.old, one.new) == (Ordered("cover", LEFT), "firm", "soft")
        assert [decision.value for decision in session.decisions] == ["soft"]
        assert verify(session) == ()
        assert "amended, before: firm" in " ".join(screen_text(app).split())
        assert "Top cover, left: corrected." in screen_text(app)


async def test_an_order_that_was_left_out_is_added_and_asked_about(tmp_path):
    async with finished_visit(tmp_path) as (app, pilot):
        await sign(pilot)
        await point_at(app, pilot, "review-weeks", Side.WHOLE)
        await keys(pilot, "enter")
        await type_text(pilot, "99")
        await keys(pilot, "enter")
        assert read_session(app.visit.path).amendments == ()
        await keys(pilot, "enter")
        await type_text(pilot, "8")
        await keys(pilot, "enter")
        assert "ordered at the visit itself" in " ".join(screen_text(app).split())
        await keys(pilot, "y")
        await type_text(pilot, "forgotten")
        await keys(pilot, "enter")
        await type_text(pilot, "CD")
        await keys(pilot, "enter")
        (one,) = read_session(app.visit.path).amendments
        assert (one.kind, one.new, one.old) == (AmendmentKind.LATE_ENTRY, 8, None)
        assert "amended, before: nothing" in " ".join(screen_text(app).split())


async def test_a_signature_that_could_not_be_saved_is_not_said_to_be_there(tmp_path, monkeypatch):
    async with finished_visit(tmp_path) as (app, pilot):

        def refuse(*_):
            raise OSError(28, "No space left on device")

        monkeypatch.setattr("os.fsync", refuse)
        await sign(pilot)
        assert "This visit is signed." not in screen_text(app)
        assert "disk is full" in " ".join(screen_text(app).split())
        assert read_session(app.visit.path).signature is None
