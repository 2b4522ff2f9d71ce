"""Text can be read on every ground of both themes, and the terminal's own wishes are heard."""

import pytest
from screen_text import an_app, begin_small_visit, keys, screen_text
from textual.color import Color

from examwalk.tui.theme import DARK, LIGHT, THEMES, first_theme

TEXT = ("dim", "here", "warn", "stop")
READABLE = 4.5
"""The contrast that WCAG 2 asks of text (1.4.3)."""


def luminance(colour):
    def linear(part):
        share = part / 255
        return share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4

    red, green, blue = (linear(part) for part in Color.parse(colour).rgb)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one, other):
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_the_contrast_is_worked_out_as_the_standard_says():
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
@pytest.mark.parametrize("words", TEXT)
def test_every_colour_of_text_is_readable_on_the_page_and_on_a_sheet(theme, words):
    for ground in (theme.background, theme.variables["sheet"]):
        assert contrast(theme.variables[words], ground) >= READABLE


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
def test_plain_text_and_the_row_at_the_pointer_are_readable(theme):
    grounds = (theme.background, theme.variables["sheet"], theme.surface)
    assert all(contrast(theme.foreground, ground) >= READABLE for ground in grounds)
    for state in ("block-cursor", "block-cursor-blurred", "input-cursor"):
        ground = theme.variables[f"{state}-background"]
        assert contrast(theme.variables[f"{state}-foreground"], ground) >= READABLE


def test_both_themes_name_the_same_colours():
    assert set(DARK.variables) == set(LIGHT.variables)


@pytest.mark.parametrize(
    ("environment", "name"),
    [
        ({}, DARK.name),
        ({"COLORFGBG": "15;0"}, DARK.name),
        ({"COLORFGBG": "0;15"}, LIGHT.name),
        ({"COLORFGBG": "0;default;7"}, LIGHT.name),
        ({"COLORFGBG": "0;15", "TEXTUAL_THEME": "nord"}, "nord"),
    ],
)
def test_the_first_theme_follows_the_terminal(environment, name):
    assert first_theme(environment) == name


async def test_a_theme_that_is_not_known_falls_back_to_the_dark_one(tmp_path, monkeypatch):
    monkeypatch.setenv("TEXTUAL_THEME", "no-such-theme")
    assert an_app(tmp_path).theme == DARK.name


async def test_one_key_changes_between_light_and_dark(tmp_path):
    app = an_app(tmp_path)
    async with app.run_test() as pilot:
        await keys(pilot, "ctrl+l")
        assert app.theme == LIGHT.name
        await keys(pilot, "ctrl+l")
        assert app.theme == DARK.name


async def test_without_colour_the_exam_says_the_same(tmp_path, monkeypatch):
    async def walk(folder):
        app = an_app(folder / "sessions")
        async with app.run_test(size=(80, 24)) as pilot:
            begin_small_visit(app, folder)
            await pilot.pause()
            await keys(pilot, "2", "1", "3", "enter")
            return screen_text(app), app.export_screenshot()

    for name in ("colour", "plain"):
        (tmp_path / name).mkdir()
    with_colour, picture = await walk(tmp_path / "colour")
    monkeypatch.setenv("NO_COLOR", "1")
    without, plain_picture = await walk(tmp_path / "plain")
    assert without == with_colour
    assert plain_picture != picture
    for sign in ("■ Stop", "●", "recorded", "━━ Right"):
        assert sign in without
