"""One table of keys: what is bound, what is shown and what the help tells are the same."""

from importlib import import_module
from pkgutil import iter_modules

import pytest
from screen_text import an_app, begin_small_visit, keys, screen_text

from examwalk.tui import screens
from examwalk.tui.app import ExamwalkApp
from examwalk.tui.keys import (
    ACTIONS,
    EVERYWHERE,
    SCREEN_TITLES,
    actions_of,
    bindings_of,
    keys_table,
)
from examwalk.tui.screens.page import Page
from examwalk.tui.screens.reading import help_page
from examwalk.tui.widgets.key_line import KeyLine

# The app imports most of them only when it shows them.
for module in iter_modules(screens.__path__, f"{screens.__name__}."):
    import_module(module.name)


def all_pages(of=Page):
    for page in of.__subclasses__():
        yield page
        yield from all_pages(page)


PAGES = sorted((page for page in all_pages() if page.NAME), key=lambda page: page.__name__)
BOUND = [*PAGES, ExamwalkApp]


def name_of(screen):
    return EVERYWHERE if screen is ExamwalkApp else screen.NAME


@pytest.mark.parametrize("screen", BOUND, ids=lambda screen: screen.__name__)
def test_a_screen_binds_what_the_table_says_and_nothing_else(screen):
    assert bindings_of(name_of(screen)) == screen.BINDINGS
    assert actions_of(name_of(screen)), "a screen without keys is a trap"


@pytest.mark.parametrize("screen", BOUND, ids=lambda screen: screen.__name__)
def test_every_key_of_a_screen_does_something(screen):
    for action in actions_of(name_of(screen)):
        assert callable(getattr(screen, f"action_{action.method}", None)), action.id


@pytest.mark.parametrize("screen", SCREEN_TITLES)
def test_no_key_means_two_things_on_one_screen(screen):
    pressed = [key for action in actions_of(screen) for key in action.keys]
    assert len(pressed) == len(set(pressed))


def test_no_key_of_a_screen_is_taken_by_the_app():
    everywhere = {key for action in actions_of(EVERYWHERE) for key in action.keys}
    for action in ACTIONS:
        if EVERYWHERE not in action.screens:
            assert not everywhere & set(action.keys), action.id


def test_every_screen_of_the_table_exists():
    assert {name_of(screen) for screen in BOUND} == set(SCREEN_TITLES)
    assert {name for action in ACTIONS for name in action.screens} == set(SCREEN_TITLES)


@pytest.mark.parametrize("action", ACTIONS, ids=lambda action: action.id)
def test_every_action_is_told_in_a_sentence(action):
    assert action.label
    assert action.shown
    assert action.sentence.endswith(".")


def test_grades_need_no_chord_and_no_shift():
    (answer,) = [action for action in actions_of("exam") if action.id == "answer"]
    assert set(answer.keys) == set("1234567890")


def test_the_table_for_the_readme_has_every_action_of_every_screen():
    table = keys_table(tuple(SCREEN_TITLES))
    for screen, title in SCREEN_TITLES.items():
        for action in actions_of(screen):
            assert f"| {title} | `{action.shown}` | {action.sentence} |" in table


@pytest.mark.parametrize("screen", [s for s in SCREEN_TITLES if s != EVERYWHERE])
async def test_the_help_tells_every_key_of_a_screen_and_those_of_the_app(tmp_path, screen):
    app = an_app(tmp_path)
    async with app.run_test(size=(120, 90)) as pilot:
        app.push_screen(help_page(screen))
        await pilot.pause()
        shown = " ".join(screen_text(app).split())
        for action in (*actions_of(screen), *actions_of(EVERYWHERE)):
            assert f"{action.shown} {action.sentence}" in shown


async def test_a_question_mark_opens_the_help_and_escape_closes_it(tmp_path):
    app = an_app(tmp_path / "sessions")
    async with app.run_test(size=(80, 24)) as pilot:
        begin_small_visit(app, tmp_path)
        await pilot.pause()
        exam = app.screen
        await keys(pilot, "question_mark")
        assert "Keys: Exam" in screen_text(app)
        top = screen_text(app)
        await keys(pilot, "pagedown")
        assert screen_text(app) != top
        await keys(pilot, "escape")
        assert app.screen is exam


async def test_every_key_of_the_exam_that_has_a_place_on_the_line_is_on_it(tmp_path):
    app = an_app(tmp_path / "sessions")
    async with app.run_test(size=(80, 24)) as pilot:
        begin_small_visit(app, tmp_path)
        await pilot.pause()
        for test in range(8):
            shown = screen_text(app)
            for action in app.screen.query_one(KeyLine)._actions:
                assert f"{action.shown} {action.label}" in shown, test
            await keys(pilot, "pagedown")


async def test_tab_goes_to_the_other_side_and_not_to_another_widget(tmp_path):
    app = an_app(tmp_path / "sessions")
    async with app.run_test(size=(80, 24)) as pilot:
        begin_small_visit(app, tmp_path)
        await pilot.pause()
        await pilot.press("tab")
        assert app.screen._walk.here.side.value == "right"
        await pilot.press("1")
        assert app.visit.session.findings[0].place.side.value == "right"
