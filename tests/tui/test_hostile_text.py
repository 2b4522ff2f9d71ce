"""Text from a file or a person is shown as it stands: never markup, never a control character."""

import ast
import unicodedata
from pathlib import Path

import pytest
from screen_text import an_app, begin_small_visit, keys, screen_text, type_text
from small_protocol import SMALL

from examwalk.session.model import Place, Side
from examwalk.tui.text import hanging, literal, literal_line, phrase, shortened

MARKUP = "[/] [@click=app.quit]x[/] [bold"
CONTROLS = "\x1b]2;x\x07 \x9b31m \u202e \ud800"
HOSTILE = f"{MARKUP} {CONTROLS}"
TUI = Path(__file__).parents[2] / "src" / "examwalk" / "tui"


def hostile_protocol():
    """The small protocol with markup in every text that a protocol may hold."""
    text = SMALL
    for words in (
        "Supination resistance",
        "Stand behind the patient.",
        "The patient helps.",
        "Stop if it hurts.",
        "The grade is the effort to start the lift.",
        "It shows how much force the foot asks for.",
        "Two hands are needed.",
        "The patient stands at ease.",
        "Too painful",
        "Routine",
        "Cracked skin",
        "Choose a soft cover.",
        "High resistance but an easy toe.",
        "Both load the same tissue.",
        "Emergency, at once",
        "No device; keep the weight off.",
        "the emergency foot clinic",
        "Heel lift",
        "It is hard to lift.",
        "The clinician decides.",
        "A small exam",
        "Weighted kappa",
        "Callus",
        "short",
    ):
        assert f'"{words}"' in text
        text = text.replace(f'"{words}"', f'"{words} {MARKUP}"')
    return text.replace('unit = "cm"', f'unit = "{MARKUP}"')


def assert_harmless(app):
    for line in screen_text(app).splitlines():
        harmful = [c for c in line if unicodedata.category(c).startswith("C")]
        assert harmful == []
    assert app.is_running


@pytest.mark.parametrize("size", [(80, 24), (140, 45)])
async def test_markup_in_a_protocol_is_shown_as_it_stands_on_every_screen(tmp_path, size):
    app = an_app(tmp_path / "sessions")
    async with app.run_test(size=size) as pilot:
        begin_small_visit(app, tmp_path, hostile_protocol())
        await pilot.pause()
        await keys(pilot, "2", "2", "3", "2", "enter")
        assert "Cracked skin [/]" in screen_text(app)
        assert "[@click=app.quit]x[/] [bold. Choose" in " ".join(screen_text(app).split())
        for test in ("jack", "lunge", "skin", "resistance"):
            app.screen._walk.go(Place(test, Side.LEFT))
            app.screen.refresh_visit()
            await pilot.pause()
            assert_harmless(app)
            await keys(pilot, "3", "1", "up", "9", "enter")
            assert_harmless(app)
        app.screen._walk.go(Place("resistance", Side.LEFT))
        app.screen.refresh_visit()
        await pilot.pause()
        assert f"Supination resistance {MARKUP}" in screen_text(app)
        for key in ("T", "x", "n", "slash", "question_mark"):
            await keys(pilot, key)
            await pilot.pause()
            assert_harmless(app)
            await keys(pilot, "escape")
        for key in ("r", "s", "q"):
            await keys(pilot, key)
            await pilot.pause()
            assert_harmless(app)


async def test_hostile_words_of_a_person_are_harmless_when_typed_and_when_read_again(tmp_path):
    app = an_app(tmp_path / "sessions")
    async with app.run_test(size=(80, 24)) as pilot:
        begin_small_visit(app, tmp_path)
        await pilot.pause()
        visit = app.visit
        here = Place("hot-foot", Side.LEFT)
        app.screen._walk.note(HOSTILE)
        visit.not_done(Place("hot-foot", Side.RIGHT), HOSTILE)
        app.screen._walk.go(Place("story", Side.WHOLE))
        app.screen._walk.write(HOSTILE)
        visit.reply("hard-but-easy", Side.LEFT, HOSTILE)
        visit.session = visit.session.with_finding(visit.session.finding(here))
        app.screen._walk.go(here)
        app.screen.refresh_visit()
        await pilot.pause()
        assert_harmless(app)
        assert MARKUP in screen_text(app)
        await keys(pilot, "n")
        await pilot.pause()
        assert_harmless(app)
        await keys(pilot, "escape", "r")
        await pilot.pause()
        assert_harmless(app)


async def test_markup_typed_into_fields_is_literal(tmp_path):
    app = an_app(tmp_path / "sessions")
    async with app.run_test(size=(80, 24)) as pilot:
        begin_small_visit(app, tmp_path)
        await pilot.pause()
        await keys(pilot, "n")
        await type_text(pilot, MARKUP)
        assert_harmless(app)
        await keys(pilot, "enter")
        assert f"Note  {MARKUP}" in screen_text(app)
        await keys(pilot, "slash")
        await type_text(pilot, MARKUP)
        assert_harmless(app)


def test_literal_text_is_never_markup_and_never_drives_the_terminal():
    content = literal(HOSTILE, "bold")
    assert content.plain.startswith(MARKUP)
    assert len(content.spans) == 1
    assert not any(c in content.plain for c in "\x1b\x07\x9b\u202e")
    assert literal_line("a\n b\tc").plain == "a b c"
    assert phrase(HOSTILE, (HOSTILE, "bold")).plain.count(MARKUP) == 2


def test_text_is_cut_by_cells_not_by_characters():
    assert shortened("abcdef", 4) == "abc…"
    assert shortened("abc", 4) == "abc"
    assert literal(shortened("足足足足", 5)).cell_length <= 5


def test_wrapped_text_hangs_behind_its_head():
    lines = hanging(literal("1  "), literal("one two three"), 10)
    assert [line.plain for line in lines] == ["1  one two", "   three"]


def test_no_widget_of_the_app_is_given_a_bare_variable_as_its_text():
    """Static, Label and notify() read a plain string as markup, so they may only get Content."""
    offenders = []
    for path in TUI.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call):
                continue
            called = ast.unparse(node.func)
            if called.split(".")[-1] not in ("Static", "Label", "Button", "notify", "Option"):
                continue
            if node.args and isinstance(node.args[0], ast.Name | ast.JoinedStr | ast.Attribute):
                offenders.append(f"{path.name}:{node.lineno}: {ast.unparse(node)}")
    assert offenders == []
