"""A drawing in braille: crisp lines, told apart without colour, as large as they fit."""

import itertools

import pytest
from braille_dots import dots_in
from made_figures import drawn, path

from examwalk.drawing.braille import MOST_COLUMNS, MOST_ROWS, Braille, braille_of
from examwalk.drawing.figure import Dash, Fill, Part, Weight

# At 60 by 20 cells there are 120 by 80 dots. In a view box of 119 by 79 one unit is one dot:
# the first dot lies at 0, the last at 119 and 79.
BOX = (0, 0, 119, 79)
SIZE = (60, 20)


def shown(*parts: Part, size=SIZE, side="left", **options) -> Braille:
    return braille_of(drawn(*parts, **{"view_box": BOX, "side": side, **options}), *size)


def dots(*parts: Part, **options) -> set[tuple[int, int]]:
    return dots_in(shown(*parts, **options).lines)


class TestLines:
    def test_a_level_line_is_one_dot_high(self):
        assert dots(path("M10 20L40 20")) == {(x, 20) for x in range(10, 41)}

    def test_an_upright_line_is_one_dot_wide(self):
        assert dots(path("M10 20L10 60")) == {(10, y) for y in range(20, 61)}

    def test_a_diagonal_has_one_dot_in_each_row(self):
        assert dots(path("M10 20L40 50")) == {(10 + n, 20 + n) for n in range(31)}

    def test_a_line_of_no_length_is_one_dot(self):
        assert dots(path("M10 20L10 20")) == {(10, 20)}

    @pytest.mark.parametrize(
        "d",
        [
            "M20 40A30 30 0 0 1 80 40A30 30 0 0 1 20 40",
            "M10 70C40-40 70 120 110 10",
            "M5 5Q60 75 115 5",
            "M3 3L100 20L80 70L10 40Z",
        ],
    )
    def test_a_curve_is_never_more_than_one_dot_thick(self, d):
        drawn_dots = dots(path(d))
        # Three dots of a square of four are a step that looks like a blot. Where a line closes
        # or turns sharply there may be one.
        blots = sum(
            len({(x, y), (x + 1, y), (x, y + 1), (x + 1, y + 1)} & drawn_dots) > 2
            for x, y in itertools.product(range(120), range(80))
        )
        assert blots <= 3

    def test_a_curve_has_no_holes(self):
        drawn_dots = dots(path("M20 40A30 30 0 0 1 80 40A30 30 0 0 1 20 40"))
        for x, y in drawn_dots:
            around = {(x + i, y + j) for i in (-1, 0, 1) for j in (-1, 0, 1)} - {(x, y)}
            assert len(around & drawn_dots) >= 2

    def test_a_bold_line_is_two_dots_thick(self):
        assert dots(path("M10 20L40 20", weight=Weight.BOLD)) == {
            (x, y) for x in range(10, 42) for y in (20, 21)
        }

    def test_a_thin_line_has_every_second_dot(self):
        thin = dots(path("M10 20L40 20", weight=Weight.THIN))
        assert thin == {(x, 20) for x in range(10, 41, 2)}

    def test_a_dashed_line_has_three_dots_and_a_gap_of_three(self):
        dashed = dots(path("M0 20L23 20", dash=Dash.DASHED))
        assert dashed == {(x, 20) for x in range(24) if x % 6 < 3}

    def test_a_dotted_line_has_every_third_dot(self):
        dotted = dots(path("M0 20L23 20", dash=Dash.DOTTED))
        assert dotted == {(x, 20) for x in range(0, 24, 3)}

    def test_all_kinds_of_line_look_different(self):
        pictures = [
            frozenset(dots(path("M0 20L90 20", weight=weight, dash=dash)))
            for weight in Weight
            for dash in Dash
        ]
        assert len(set(pictures)) == len(pictures)

    def test_dashes_grow_with_the_picture(self):
        wide = dots(path("M0 20L60 20", dash=Dash.DASHED), size=(240, 80))
        assert {(x, y) for x, y in wide if x < 20} == {(x, min(wide)[1]) for x in range(10)}


class TestFills:
    square = "M20 20L60 20L60 60L20 60Z"

    def test_hatching_fills_the_inside_with_sloping_lines(self):
        plain = dots(path(self.square))
        hatched = dots(path(self.square, fill=Fill.HATCHED)) - plain
        assert hatched == {(x, y) for x in range(21, 60) for y in range(21, 60) if (x + y) % 4 == 0}

    def test_hatching_leaves_the_hole_of_a_ring_free(self):
        one_path = "M20 20L60 20L60 60L20 60L20 20L30 30L30 50L50 50L50 30L30 30Z"
        hatched = dots(path(one_path, fill=Fill.HATCHED)) - dots(path(one_path))
        assert hatched
        assert not {(x, y) for x, y in hatched if 30 < x < 50 and 30 < y < 50}

    def test_what_covers_hides_what_was_drawn_before_it(self):
        line, square = path("M0 40L119 40"), path(self.square, fill=Fill.COVERS)
        assert dots(line, square) == dots(path(self.square)) | {
            (x, 40) for x in range(120) if not 20 < x < 60
        }
        assert dots(square, line) == dots(path(self.square)) | dots(line)

    def test_an_open_line_covers_up_to_the_straight_line_between_its_ends(self):
        line = path("M0 40L119 40")
        open_square = path("M20 20L60 20L60 60L20 60", fill=Fill.COVERS)
        assert not {(x, 40) for x in range(21, 60)} & dots(line, open_square)


class TestFitting:
    @pytest.mark.parametrize("size", [(40, 14), (60, 20), (23, 7), (120, 50), (1, 1), (2, 1)])
    def test_there_are_as_many_rows_and_columns_as_asked_for(self, size):
        lines = shown(path("M0 0L119 79"), size=size).lines
        assert [len(line) for line in lines] == [size[0]] * size[1]

    @pytest.mark.parametrize("size", [(40, 14), (60, 20), (120, 50)])
    def test_the_view_box_fills_the_cells_one_way_or_the_other(self, size):
        box = dots(path("M0 0H119V79H0Z"), size=size)
        columns, rows = ({place[axis] for place in box} for axis in (0, 1))
        assert min(columns) == 0 or min(rows) == 0
        assert max(columns) == 2 * size[0] - 1 or max(rows) == 4 * size[1] - 1
        # In the middle: the same room on both sides, to the dot.
        assert abs(min(columns) - (2 * size[0] - 1 - max(columns))) <= 1
        assert abs(min(rows) - (4 * size[1] - 1 - max(rows))) <= 1

    @pytest.mark.parametrize("size", [(40, 14), (60, 20), (120, 30)])
    def test_a_square_stays_square(self, size):
        square = dots(path("M20 20H60V60H20Z"), size=size)
        widths = [max(p[axis] for p in square) - min(p[axis] for p in square) for axis in (0, 1)]
        assert abs(widths[0] - widths[1]) <= 1

    def test_what_runs_past_the_view_box_is_cut_off(self):
        tall = {"view_box": (0, 0, 40, 80)}
        inside = dots(path("M0 40L40 40"), **tall)
        assert dots(path("M-500 40L900 40"), **tall) == inside
        assert dots(path("M-9999 -9999L-9999 9999"), **tall) == set()

    @pytest.mark.parametrize("size", [(0, 5), (5, 0), (-3, 4)])
    def test_without_room_there_is_nothing(self, size):
        assert shown(path("M0 0L9 9"), size=size) == Braille((), ())

    def test_a_size_beyond_any_screen_is_cut_to_one(self):
        lines = shown(path("M0 0L9 9"), size=(10**6, 10**6)).lines
        assert (len(lines[0]), len(lines)) == (MOST_COLUMNS, MOST_ROWS)


class TestSides:
    parts = (
        path("M10 10C40 5 40 60 90 60", weight=Weight.BOLD),
        path("M20 20L60 20L60 55Z", fill=Fill.HATCHED),
        path("M5 70L110 66", dash=Dash.DASHED),
        Part(circle=(80, 30), size=9, fill=Fill.COVERS),
    )

    @pytest.mark.parametrize("size", [(40, 14), (60, 20), (61, 21), (37, 40)])
    def test_right_is_the_mirror_image_of_left_to_the_dot(self, size):
        left, right = (dots(*self.parts, size=size, side=side) for side in ("left", "right"))
        assert left
        assert right == {(2 * size[0] - 1 - x, y) for x, y in left}

    def test_the_bold_cells_are_mirrored_too(self):
        left, right = (shown(*self.parts, side=side).bold for side in ("left", "right"))
        for one, other in zip(left, right, strict=True):
            assert other == tuple(sorted((60 - end, 60 - start) for start, end in one))


class TestBoldCells:
    def test_they_are_the_cells_that_hold_a_bold_dot(self):
        bold, plain = path("M10 20L21 20", weight=Weight.BOLD), path("M40 20L60 20")
        picture = shown(bold, plain)
        # Dots 10 to 22 lie in columns 5 to 11; rows 20 and 21 in the row of cells 5.
        assert picture.bold[5] == ((5, 12),)
        assert [row for row, spans in enumerate(picture.bold) if spans] == [5]

    def test_a_covered_bold_line_leaves_none(self):
        bold = path("M30 40L50 40", weight=Weight.BOLD)
        cover = path("M20 20L60 20L60 60L20 60Z", fill=Fill.COVERS)
        assert not any(shown(bold, cover).bold)

    def test_two_bold_lines_side_by_side_are_two_stretches(self):
        picture = shown(
            path("M10 20L20 20", weight=Weight.BOLD), path("M40 20L50 20", weight=Weight.BOLD)
        )
        assert picture.bold[5] == ((5, 11), (20, 26))
