"""Figures are drawn on demand; a figure at fault leaves the words."""

from attrs import evolve
from made_figures import LIMB, figure, path

import examwalk.drawing.atlas as atlas_module
from examwalk.drawing.atlas import MOST_REMEMBERED, Atlas
from examwalk.drawing.composing import AltWords
from examwalk.drawing.figure import Following, Part

FIGURES = {
    "good": figure(path("M0 0L60 40"), alt="The {side} one at {value} mm.", drawn_at=3),
    "following": figure(path("M0 0L60 40", move=(Following(((0, 0), (9, 30))), 0)), drawn_at=0),
    "broken": figure(path("M0 0L"), alt="The {side} broken one."),
}
SIZE = (30, 10)


def made() -> Atlas:
    return Atlas({"limb": LIMB}, FIGURES)


class TestDrawing:
    def test_a_figure_is_drawn_for_its_side_value_and_size(self):
        atlas = made()
        pictures = [
            atlas.braille("following", SIZE),
            atlas.braille("following", SIZE, value=9),
            atlas.braille("following", SIZE, side="right"),
            atlas.braille("following", (31, 10)),
            atlas.braille("good", SIZE),
        ]
        assert len({picture.lines for picture in pictures}) == 4
        # The last one draws the same line as the first one.
        assert pictures[0] == pictures[4]

    def test_svg_and_words_say_the_same(self):
        atlas = made()
        words = atlas.words("good", 12, "right")
        assert words == "The right one at 12 mm."
        assert f"<title>{words}</title>" in atlas.svg("good", 12, "right")

    def test_without_a_value_the_words_name_the_one_that_is_drawn(self):
        assert made().words("good") == "The left one at 3 mm."

    def test_its_words_for_side_and_number_may_be_those_of_another_language(self):
        atlas = Atlas({"limb": LIMB}, FIGURES, AltWords("links", "rechts", "irgendwo", ","))
        assert atlas.words("good", 2.5, "right") == "The rechts one at 2,5 mm."
        assert "<title>The links one at 3 mm.</title>" in atlas.svg("good")


class TestFaults:
    def test_a_figure_at_fault_is_not_drawn_but_keeps_its_words(self):
        atlas = made()
        assert atlas.braille("broken", SIZE) is None
        assert atlas.drawing("broken") is None
        assert atlas.svg("broken") == ""
        assert atlas.words("broken") == "The left broken one."

    def test_an_unknown_figure_gives_nothing(self):
        atlas = made()
        assert atlas.braille("unknown", SIZE) is None
        assert atlas.words("unknown") == ""


class TestRemembering:
    def test_a_picture_is_drawn_once(self, monkeypatch):
        drawn = []
        compose = atlas_module.compose

        def counted(*arguments):
            drawn.append(arguments)
            return compose(*arguments)

        monkeypatch.setattr(atlas_module, "compose", counted)
        atlas = made()
        for _ in range(3):
            atlas.braille("good", SIZE)
            atlas.braille("broken", SIZE)
        assert len(drawn) == 2

    def test_only_so_many_pictures_are_kept_the_latest_ones(self):
        atlas = made()
        kept = atlas.braille("good", SIZE)
        for value in range(MOST_REMEMBERED - 1):
            atlas.braille("good", (3, 2), value)
        assert atlas.braille("good", SIZE) is kept
        # Asked for just now, it is kept longer than all that were asked for before.
        for value in range(MOST_REMEMBERED - 1):
            atlas.braille("good", (4, 2), value)
        assert atlas.braille("good", SIZE) is kept
        for value in range(MOST_REMEMBERED):
            atlas.braille("good", (5, 2), value)
        again = atlas.braille("good", SIZE)
        assert again is not kept
        assert again == kept

    def test_another_atlas_remembers_for_itself(self):
        changed = {"good": evolve(FIGURES["good"], parts=(Part(ground=20),))}
        assert made().braille("good", SIZE) != Atlas({}, changed).braille("good", SIZE)
