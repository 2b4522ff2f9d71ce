"""A contact sheet shows every figure in one safe file, and look-alikes are named."""

import base64
import hashlib
import re
from html.parser import HTMLParser

import pytest
from made_figures import figure, path

from examwalk.drawing.atlas import Atlas
from examwalk.drawing.braille import Braille
from examwalk.drawing.figure import Following
from examwalk.drawing.sheet import Entry, Plate, alike, contact_sheet, difference

BOX = (0, 0, 79, 55)
FIGURES = {
    "low": figure(path("M0 10H70"), path("M0 50H70"), view_box=BOX, alt="A <low> one."),
    "lower": figure(path("M0 10H70"), path("M0 50H66"), view_box=BOX),
    "high": figure(path("M0 10H70"), path("M0 20H70"), view_box=BOX),
    "broken": figure(path("M0"), alt="Broken."),
    "following": figure(
        path("M0 10H70", move=(0, Following(((0, 0), (9, 40))))), view_box=BOX, drawn_at=0
    ),
}
ATLAS = Atlas({}, FIGURES)


def plate(*names: str) -> Plate:
    return Plate("Heights", tuple(Entry(name) for name in names))


class TestLookAlikes:
    def test_the_share_of_dots_that_stand_apart_is_counted(self):
        # ⠁ has dot 1 and ⡁ dots 1 and 7, three further down. ⠈ is right beside ⠁.
        one, two, beside, none = (Braille((text,), ((),)) for text in ("⠁ ", "⡁ ", "⠈ ", "  "))
        assert difference(one, two) == pytest.approx(1 / 2)
        assert difference(one, beside) == 0
        assert difference(one, one) == 0
        assert difference(one, none) == 1
        assert difference(none, none) == 0

    def test_neighbours_that_differ_too_little_are_named(self):
        # Of two lines of 71 dots the second is 4 dots shorter. The first of these lies beside
        # the end of the shorter line, so 3 of 142 stand apart: 2 percent.
        (found,) = alike([plate("low", "lower", "high")], ATLAS)
        assert (found.first.figure, found.second.figure) == ("low", "lower")
        assert found.difference == pytest.approx(3 / 142)
        assert str(found) == "Heights: “low” and “lower” differ in 2% of their dots."

    def test_the_share_can_be_set(self):
        assert alike([plate("low", "lower")], ATLAS, least=0.02) == ()
        assert len(alike([plate("low", "lower", "high")], ATLAS, least=0.9)) == 2

    def test_only_neighbours_are_compared(self):
        assert alike([plate("low", "high", "lower")], ATLAS) == ()

    def test_a_figure_at_two_values_can_be_compared_with_itself(self):
        entries = (Entry("following", value=0), Entry("following", value=0.001))
        (found,) = alike([Plate("Following", entries)], ATLAS)
        assert "“following at 0” and “following at 0.001” differ in 0%" in str(found)

    def test_a_broken_figure_is_passed_over(self):
        assert alike([plate("low", "broken", "lower")], ATLAS) == ()


class Tags(HTMLParser):
    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    def named(self, name: str) -> list[dict[str, str | None]]:
        return [attributes for tag, attributes in self.tags if tag == name]


class TestSheet:
    page = contact_sheet(
        "Figures & <more>",
        [plate("low", "high"), Plate("Others", (Entry("broken"), Entry("following", "F", 5)))],
        ATLAS,
    )
    tags = Tags(page)

    def test_each_figure_is_there_as_svg_and_in_both_sizes_of_braille(self):
        boxes = [svg["viewbox"] for svg in self.tags.named("svg")]
        assert boxes.count("0 0 79 55") == 3
        assert boxes.count("0 0 80 56") == 3
        assert boxes.count("0 0 120 80") == 3

    def test_a_figure_that_cannot_be_drawn_is_named(self):
        assert "This figure cannot be drawn." in self.page

    def test_the_words_stand_beside_the_picture(self):
        assert "A &lt;low&gt; one." in self.page
        assert "F at 5" in self.page

    def test_all_text_is_escaped(self):
        assert "<low>" not in self.page
        assert "<more>" not in self.page
        assert "Figures &amp; &lt;more&gt;" in self.page

    def test_the_policy_allows_its_own_style_and_nothing_else(self):
        (policy,) = [
            meta["content"]
            for meta in self.tags.named("meta")
            if meta.get("http-equiv") == "Content-Security-Policy"
        ]
        style = re.search(r"<style>(.*?)</style>", self.page, re.DOTALL)[1]
        digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
        assert policy.startswith("default-src 'none'; ")
        assert f"style-src 'sha256-{digest}'" in policy
        assert "unsafe" not in policy

    def test_it_asks_for_nothing_from_outside(self):
        assert not {"script", "link", "img", "iframe"} & {tag for tag, _ in self.tags.tags}
        attributes = {name for _, attributes in self.tags.tags for name in attributes}
        assert not {"src", "href", "style", "srcset", "data"} & attributes
        outside = set(re.findall(r"https?://[^\"']*", self.page))
        assert outside == {"http://www.w3.org/2000/svg"}
