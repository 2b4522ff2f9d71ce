"""A second window on a visit shows it and changes nothing, until it takes the visit over."""

import random

import pytest
from screen_text import an_app, begin_small_visit, keys, screen_text, ticking_clock
from small_protocol import small_protocol

from examwalk.session.holding import lock_beside
from examwalk.session.model import Place, Side
from examwalk.session.storing import read_session
from examwalk.tui.app import Start
from examwalk.tui.open_visit import OpenVisit

HARD = Place("resistance", Side.LEFT)
OTHER = Place("resistance", Side.RIGHT)


@pytest.fixture
def holder(tmp_path):
    """A visit that another window has open."""
    started = OpenVisit.start(
        tmp_path / "sessions",
        small_protocol(tmp_path),
        "P-0042",
        "AB",
        ticking_clock(),
        random.Random(1),
    )
    held = OpenVisit.open_held(started.path, ticking_clock())
    held.answer(HARD, "hard")
    yield held
    held.let_go()


def second_window(holder):
    return an_app(holder.path.parent, Start("open", holder.path))


def words(app):
    return " ".join(screen_text(app).split())


async def test_no_key_changes_a_visit_that_another_window_holds(holder):
    app = second_window(holder)
    before = holder.path.read_bytes()
    async with app.run_test(size=(140, 45)) as pilot:
        await pilot.pause()
        assert "Another window has this visit open" in words(app)
        assert "Ctrl+T takes it over." in words(app)
        session = app.visit.session
        for key in ("1", "2", "3", "enter", "delete", "u", "n", "x", "escape", "4", "full_stop"):
            await keys(pilot, key)
        await keys(pilot, "escape", "escape", "r", "f", "u", "s", "f", "A", "enter", "ctrl+s")
        assert app.visit.session.findings == session.findings
        assert app.visit.session.state is session.state
        assert holder.path.read_bytes() == before
        assert app.visit.unsaved is None
    assert lock_beside(holder.path).exists()


async def test_a_refused_answer_is_told_so_at_once(holder):
    app = second_window(holder)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await keys(pilot, "2")
        assert words(app).count("Nothing can be changed here.") == 2  # banner and answer to the key


async def test_a_visit_is_taken_over_after_a_question_and_the_first_window_stops(holder):
    app = second_window(holder)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await keys(pilot, "ctrl+t")
        assert "Take it over?" in words(app)
        await keys(pilot, "n")
        assert app.visit.held_elsewhere
        await keys(pilot, "ctrl+t", "y")
        await pilot.pause()
        assert not app.visit.held_elsewhere
        assert "Another window" not in words(app)
        assert app.visit.answer(OTHER, "easy")
        assert not holder.answer(OTHER, "hard")
        assert "Another window has this visit open" in holder.frozen
        assert read_session(holder.path).answers == {HARD: "hard", OTHER: "easy"}


async def test_a_visit_that_was_let_go_meanwhile_is_taken_without_a_question(holder):
    app = second_window(holder)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        holder.answer(OTHER, "easy")
        holder.let_go()
        await keys(pilot, "ctrl+t")
        await pilot.pause()
        assert not app.visit.frozen
        assert app.visit.session.answers == {HARD: "hard", OTHER: "easy"}


@pytest.mark.parametrize("next_screen", ["show_exam", "show_review", "show_summary"])
async def test_a_change_while_the_next_screen_is_being_laid_out_is_shown_once_it_is(
    holder, next_screen
):
    app = second_window(holder)
    async with app.run_test(size=(140, 45)) as pilot:
        await pilot.pause()
        getattr(app, next_screen)()
        holder.answer(OTHER, "easy")
        app._follow()  # the clock may strike before the screen has its widgets
        await pilot.pause()
        app._follow()
        await pilot.pause()
        assert app.visit.session.answers == {HARD: "hard", OTHER: "easy"}
        assert "The other window has changed this visit" in words(app)


async def test_leaving_a_visit_lets_it_go(tmp_path):
    app = an_app(tmp_path / "sessions")
    async with app.run_test(size=(80, 24)) as pilot:
        begin_small_visit(app, tmp_path)
        await pilot.pause()
        path = app.visit.path
        assert OpenVisit.open_held(path, ticking_clock()).held_elsewhere
        app.show_start()
        await pilot.pause()
        again = OpenVisit.open_held(path, ticking_clock())
        assert not again.held_elsewhere
        again.let_go()


def test_what_could_not_be_saved_before_a_take_over_is_kept_as_a_visit_of_its_own(
    holder, monkeypatch
):
    def refuse(*_):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as disk:
        disk.setattr("os.fsync", refuse)
        holder.answer(OTHER, "easy")
    taker = OpenVisit.open_held(holder.path, ticking_clock(), insist=True)
    assert not holder.save()
    assert holder.is_changed_elsewhere
    first = holder.path
    assert holder.save_apart(random.Random(3))
    assert read_session(holder.path).answers == {HARD: "hard", OTHER: "easy"}
    assert read_session(first).answers == {HARD: "hard"}
    assert not holder.held_elsewhere
    taker.let_go()


def test_a_changed_copy_that_a_synced_folder_brings_is_not_overwritten(holder):
    other = OpenVisit.open(holder.path, ticking_clock())
    assert other.answer(OTHER, "hard")
    holder.answer(OTHER, "easy")
    assert holder.is_changed_elsewhere
    assert read_session(holder.path).answers[OTHER] == "hard"


def followed(app):
    """Let the app look at the file as it does every second, without waiting for that."""
    app._follow()


async def test_what_the_holder_changes_is_shown_in_the_second_window_and_its_place_stays(holder):
    app = second_window(holder)
    async with app.run_test(size=(140, 45)) as pilot:
        await pilot.pause()
        await keys(pilot, "f")
        here = app.screen._walk.here
        assert holder.answer(OTHER, "easy")
        followed(app)
        await pilot.pause()
        assert app.visit.session.answers == {HARD: "hard", OTHER: "easy"}
        assert app.visit.case.answers[OTHER] == "easy"
        assert app.screen._walk.here == here
        assert "The other window has changed this visit" in words(app)
        assert "Read only." in words(app)


async def test_two_windows_one_of_which_examines_while_the_other_looks_on(tmp_path):
    first = an_app(tmp_path / "sessions")
    async with first.run_test(size=(80, 24)) as examining:
        begin_small_visit(first, tmp_path)
        await examining.pause()
        second = an_app(tmp_path / "sessions", Start("open", first.visit.path))
        async with second.run_test(size=(80, 24)) as looking_on:
            await looking_on.pause()
            before = second.visit.session.answers
            await keys(examining, "1")
            assert first.visit.session.answers != before
            followed(second)
            await looking_on.pause()
            assert second.visit.session.answers == first.visit.session.answers
            await keys(looking_on, "ctrl+t", "y")
            await looking_on.pause()
            followed(first)
            await examining.pause()
            assert "Read only." in words(first)
            assert not second.visit.held_elsewhere


@pytest.mark.parametrize("page", ["show_review", "show_summary"])
async def test_review_and_summary_follow_and_say_that_they_are_read_only(holder, page):
    app = second_window(holder)
    async with app.run_test(size=(140, 45)) as pilot:
        await pilot.pause()
        getattr(app, page)()
        await pilot.pause()
        holder.answer(OTHER, "easy")
        followed(app)
        await pilot.pause()
        assert app.screen.outcome.session.answers == {HARD: "hard", OTHER: "easy"}
        assert "The other window has changed this visit" in words(app)
        assert "Read only." in words(app)


async def test_the_app_looks_for_changes_by_itself(holder):
    app = second_window(holder)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        holder.answer(OTHER, "easy")
        for _ in range(60):
            await pilot.pause(0.05)
            if OTHER in app.visit.session.answers:
                break
        assert app.visit.session.answers[OTHER] == "easy"


@pytest.mark.parametrize("content", [b"", b"format = 1\n", b"\xff\xfe"])
async def test_a_file_that_is_damaged_meanwhile_leaves_what_is_shown(holder, content):
    app = second_window(holder)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        holder.path.write_bytes(content)
        followed(app)
        await pilot.pause()
        assert app.visit.session.answers == {HARD: "hard"}


def test_a_window_that_holds_the_visit_itself_reads_nothing_anew(holder):
    other = OpenVisit.open(holder.path, ticking_clock())
    other.answer(OTHER, "hard")
    assert not holder.follow()
    assert OTHER not in holder.session.answers


def test_a_clock_that_ticks_while_no_screen_is_left_does_nothing(tmp_path):
    an_app(tmp_path)._follow()
