"""The screens in German: no English word of the app's own is left on them."""

import pytest
from ordering_protocol import COLLIDING, ORDERING, a_visit
from screen_text import an_app, keys, screen_text

from examwalk import language
from examwalk.catalogues import choose_language, read_catalogue
from examwalk.protocol.identities import read_identity
from examwalk.protocol.library import shipped_protocols
from examwalk.tui.keys import ACTIONS, SCREEN_TITLES
from german import OnlyKnown, english_on


def words_of_protocols() -> str:
    """Return what the protocols say of themselves, which is no word of the app's own."""
    shipped = [read_identity(path) for path in shipped_protocols()]
    return " ".join([ORDERING, *(f"{identity.title} {identity.about}" for identity in shipped)])


async def screens_of(folder, size):
    """Walk through the screens of a visit and yield what each shows."""
    app = an_app(folder)
    async with app.run_test(size=size) as pilot:
        await app.workers.wait_for_complete()
        await pilot.pause()
        yield screen_text(app)
        app.new_visit()
        await pilot.pause()
        yield screen_text(app)
        app.visit = a_visit(folder, COLLIDING)
        app.visit.not_done(next(place for place in app.visit.case.places), "pain")
        for show in (app.show_exam, app.show_review, app.show_summary):
            show()
            await pilot.pause()
            yield screen_text(app)
            for _ in range(25):
                await keys(pilot, "down")
                yield screen_text(app)
            await keys(pilot, "question_mark")
            yield screen_text(app)
            await keys(pilot, "end")
            yield screen_text(app)
            await keys(pilot, "escape")
        await keys(pilot, "home", "f")
        yield screen_text(app)
        await keys(pilot, "n")
        for row in range(15):
            await keys(pilot, "down", "enter")
            yield screen_text(app)
            await keys(pilot, "escape")
            if app.screen.NAME != "summary":
                app.show_summary()
                await keys(pilot, *["down"] * row)


async def test_the_screens_speak_german_and_say_only_what_is_in_the_catalogue(
    tmp_path, monkeypatch
):
    choose_language("de")
    words, protocols = read_catalogue("de"), words_of_protocols()
    # A text in a table that is not marked would be said, and never found there.
    known = OnlyKnown(words)
    monkeypatch.setattr(language._Chosen, "words", known)
    left, seen = set(), 0
    async for screen in screens_of(tmp_path, (80, 24)):
        left.update(english_on(screen, words, protocols))
        seen += 1
    assert seen > 80
    assert left == set()
    assert len(known.asked) > 100
    assert {english for english in known.asked if english} - set(known) == set()


async def test_english_screens_would_be_caught(tmp_path):
    words, protocols = read_catalogue("de"), words_of_protocols()
    left = set()
    async for screen in screens_of(tmp_path, (80, 24)):
        left.update(english_on(screen, words, protocols))
        if len(left) > 40:
            return
    pytest.fail(f"only these were found: {left}")


def test_every_row_of_the_table_of_keys_has_words_in_german():
    words = read_catalogue("de")
    texts = {text for action in ACTIONS for text in (action.label, action.sentence)}
    assert texts - set(words) == set()
    assert set(SCREEN_TITLES.values()) - set(words) == set()
