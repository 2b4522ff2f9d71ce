"""The same drawing as SVG: well-formed, safe to put into any page, black on white."""

import re
from itertools import pairwise
from xml.etree import ElementTree

import pytest
from made_figures import drawn, path

from examwalk.drawing.figure import Dash, Fill, Part, Weight
from examwalk.drawing.svg import svg_of

SVG = "{http://www.w3.org/2000/svg}"
SQUARE = "M20 20L60 20L60 60L20 60Z"


def element(*parts: Part, frame_mm: float | None = None, **options) -> ElementTree.Element:
    return ElementTree.fromstring(svg_of(drawn(*parts, **options), frame_mm))


def paths(*parts: Part, **options) -> list[ElementTree.Element]:
    return list(element(*parts, **options).iter(f"{SVG}path"))


class TestTheElement:
    def test_it_is_an_image_with_its_words_as_its_title(self):
        root = element(path(SQUARE), alt="The {side} foot.", side="right")
        assert root.tag == f"{SVG}svg"
        assert root.get("role") == "img"
        assert root[0].tag == f"{SVG}title"
        assert root[0].text == "The right foot."

    def test_it_has_the_view_box_of_the_figure(self):
        assert element(path(SQUARE), view_box=(-8, 0.5, 96, 80)).get("viewBox") == "-8 0.5 96 80"

    @pytest.mark.parametrize(
        ("view_box", "width", "height"),
        [
            ((0, 0, 120, 80), "60mm", "40mm"),
            ((0, 0, 240, 160), "60mm", "40mm"),
            ((0, 0, 120, 40), "60mm", "20mm"),
            ((0, 0, 40, 80), "20mm", "40mm"),
        ],
    )
    def test_on_paper_it_fills_its_frame_one_way_or_the_other(self, view_box, width, height):
        root = element(path(SQUARE), view_box=view_box, frame_mm=60)
        assert (root.get("width"), root.get("height")) == (width, height)

    def test_without_a_frame_the_page_decides(self):
        assert element(path(SQUARE)).get("width") is None

    def test_it_is_black_on_white(self):
        text = svg_of(drawn(path(SQUARE, fill=Fill.COVERS), path(SQUARE, fill=Fill.HATCHED)))
        assert set(re.findall(r'(?:fill|stroke)="([a-z#0-9]+)"', text)) == {
            "white",
            "black",
            "none",
        }

    def test_nothing_in_it_needs_more_than_a_strict_policy_allows(self):
        text = svg_of(drawn(path(SQUARE, fill=Fill.HATCHED), Part(ground=70)))
        assert not re.search(r"style|script|href|url\(|on\w+=| id=", text)

    def test_hostile_words_stay_words(self):
        alt = '</title><script>alert(1)</script>\x1b[31m\x00\x9b & "quotes" \' ]]> \ud800.'
        root = element(path(SQUARE), alt=alt)
        assert not list(root.iter(f"{SVG}script"))
        assert "<script>alert(1)</script>" in root[0].text
        assert "\x1b" not in root[0].text
        assert "\x9b" not in root[0].text


class TestLines:
    def test_a_line_is_written_point_by_point(self):
        (line,) = paths(path("M1 2L3.123 4L-0.001 5"))
        assert line.get("d") == "M1 2L3.12 4L0 5"

    def test_a_closed_line_is_closed(self):
        (line,) = paths(path(SQUARE))
        assert line.get("d") == "M20 20L60 20L60 60L20 60Z"

    def test_numbers_have_no_exponent(self):
        (line,) = paths(path("M1e-7 9999L5 5"))
        assert line.get("d") == "M0 9999L5 5"

    def test_weights_are_told_apart_by_width(self):
        widths = [
            float(paths(path("M0 0L9 9", weight=weight))[0].get("stroke-width"))
            for weight in Weight
        ]
        assert widths == sorted(widths)
        assert all(b >= 1.9 * a for a, b in pairwise(widths))

    def test_lines_are_as_heavy_in_a_large_view_box_as_in_a_small_one(self):
        small, large = (
            float(paths(path("M0 0L9 9"), view_box=(0, 0, 60 * n, 40 * n))[0].get("stroke-width"))
            for n in (1, 4)
        )
        assert large == pytest.approx(4 * small, rel=0.02)

    def test_dashes_and_dots_are_told_apart(self):
        arrays = [paths(path("M0 0L9 9", dash=dash))[0].get("stroke-dasharray") for dash in Dash]
        assert arrays[0] is None
        assert len(set(arrays)) == 3


class TestFills:
    def test_what_covers_is_white_beneath_its_line(self):
        cover, line = paths(path(SQUARE, fill=Fill.COVERS))
        assert cover.get("fill") == "white"
        assert cover.get("d") == line.get("d")
        assert line.get("fill") is None

    def test_hatching_lies_inside_and_slopes(self):
        hatching, _ = paths(path(SQUARE, fill=Fill.HATCHED))
        strokes = re.findall(r"M(\S+) (\S+?)L(\S+) (\S+?)(?=M|$)", hatching.get("d"))
        # A square with sides of 40 has a diagonal of 57; a line every 3 units or so.
        assert 15 <= len(strokes) <= 20
        for x1, y1, x2, y2 in (map(float, stroke) for stroke in strokes):
            assert all(19.9 <= number <= 60.1 for number in (x1, y1, x2, y2))
            assert (y2 - y1) == pytest.approx(-(x2 - x1), abs=0.05)

    def test_hatching_is_mirrored_with_its_figure(self):
        hatching, _ = paths(path(SQUARE, fill=Fill.HATCHED), side="right")
        x1, y1, x2, y2 = map(
            float, re.match(r"M(\S+) (\S+?)L(\S+) ([\d.]+)", hatching.get("d")).groups()
        )
        assert (y2 - y1) == pytest.approx(x2 - x1, abs=0.05)

    def test_hatching_far_outside_the_view_box_is_not_drawn(self):
        big = "M-9999 -9999H9999V9999H-9999Z"
        hatching, _ = paths(path(big, fill=Fill.HATCHED), view_box=(0, 0, 1.2, 0.8))
        assert hatching.get("d").count("M") < 100
