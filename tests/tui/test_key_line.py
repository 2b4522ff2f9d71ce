"""The line of keys loses no key in silence, on any screen and in any language."""

import pytest
from ordering_protocol import COLLIDING, a_visit
from screen_text import an_app, keys, screen_text, type_text

from examwalk.catalogues import choose_language, known_languages
from examwalk.language import say
from examwalk.tui.keys import EVERYWHERE, SCREEN_TITLES
from examwalk.tui.widgets.key_line import KeyLine


def lost(app) -> set[str]:
    """Return what the line of keys of this screen should show and does not."""
    shown = screen_text(app)
    return {
        words
        for action in app.screen.query_one(KeyLine)._actions
        if (words := f"{action.key_words} {say(action.label)}") not in shown
    }


async def every_screen(folder):
    """Walk through the screens, through the exam and what follows it in each state of a visit."""
    app = an_app(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        app.visit = a_visit(folder, COLLIDING)
        await app.workers.wait_for_complete()
        await pilot.pause()
        yield app
        app.new_visit()
        await pilot.pause()
        yield app
        app.tell("A sentence.")
        await pilot.pause()
        yield app
        await keys(pilot, "escape")
        app.show_exam()
        await pilot.pause()
        for _ in range(20):
            yield app
            await keys(pilot, "pagedown")
        for key in ("n", "x", "slash", "question_mark"):
            await keys(pilot, key)
            yield app
            await keys(pilot, "escape")
        app.show_review()
        await pilot.pause()
        yield app
        app.show_summary()
        await pilot.pause()
        yield app
        for _ in range(30):
            await keys(pilot, "down")
            if app.screen.row_list.pointer.key[:1] == ("feature",):
                break
        for key in ("enter", "w", "e", "g", "p", "c"):
            await keys(pilot, key)
            yield app
            await keys(pilot, "escape")
        await keys(pilot, "f")
        yield app
        await keys(pilot, "S")
        yield app
        await keys(pilot, "y")
        await type_text(pilot, "AB")
        await keys(pilot, "enter")
        for show in (app.show_summary, app.show_review, app.show_exam):
            show()
            await pilot.pause()
            yield app


@pytest.mark.parametrize("code", sorted(known_languages()))
async def test_at_80_columns_every_key_of_every_screen_is_shown(tmp_path, code):
    choose_language(code)
    seen = set()
    async for app in every_screen(tmp_path):
        seen.add(app.screen.NAME)
        assert lost(app) == set(), app.screen.NAME
    assert seen == set(SCREEN_TITLES) - {EVERYWHERE}


async def test_where_not_all_find_room_the_key_of_the_help_says_that_it_tells_them_all(tmp_path):
    choose_language("de")
    app = an_app(tmp_path)
    async with app.run_test(size=(60, 18)) as pilot:
        app.visit = a_visit(tmp_path, COLLIDING)
        app.show_summary()
        await pilot.pause()
        assert len(lost(app) - {"? Hilfe"}) > 0
        assert "? alle Tasten" in screen_text(app)
