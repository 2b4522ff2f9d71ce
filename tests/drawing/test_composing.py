"""A figure becomes lines in their places."""

import math

import pytest
from attrs import evolve
from made_figures import BOX, LIMB, drawn, figure, only_line, path

from examwalk.drawing.composing import compose
from examwalk.drawing.figure import (
    Dash,
    Figure,
    Fill,
    Following,
    Heads,
    Outline,
    Part,
    Stroke,
    UndrawableError,
    Weight,
)


def corners(*parts, **options):
    return only_line(drawn(*parts, **options)).points


SQUARE = "M10 10L20 10L20 20L10 20Z"
LINE = "M10 0L20 0"


class TestPlacing:
    def test_a_line_stays_where_it_is_written(self):
        assert corners(path(LINE)) == (10 + 0j, 20 + 0j)

    def test_turning_is_clockwise_about_the_given_point(self):
        placed = corners(path(LINE, about=(10, 0), turn_deg=90))
        assert placed == pytest.approx((10 + 0j, 10 + 10j))

    def test_mirroring_swaps_left_and_right_about_the_given_point(self):
        assert corners(path(LINE, about=(10, 0), mirror=True)) == (10 + 0j, 0j)

    def test_scaling_may_differ_across_and_down(self):
        placed = corners(path("M0 0L2 3", about=(0, 0), scale=(10, 100)))
        assert placed == (0j, 20 + 300j)

    def test_it_is_mirrored_before_it_is_turned(self):
        placed = corners(path(LINE, about=(10, 0), mirror=True, turn_deg=90))
        assert placed == pytest.approx((10 + 0j, 10 - 10j))

    def test_moving_comes_last(self):
        placed = corners(path(LINE, about=(10, 0), turn_deg=90, move=(1, 2)))
        assert placed == pytest.approx((11 + 2j, 11 + 12j))

    def test_to_says_where_the_point_comes_to_lie(self):
        placed = corners(path(LINE, about=(20, 0), to=(50, 60)))
        assert placed == (40 + 60j, 50 + 60j)

    def test_without_a_point_it_turns_about_the_middle_of_the_view_box(self):
        # The view box is 120 by 80, so its middle is (60, 40).
        assert corners(path("M60 40L61 40", turn_deg=180)) == pytest.approx((60 + 40j, 59 + 40j))

    def test_an_outline_turns_about_the_middle_of_its_own_view_box(self):
        part = Part(outline="limb", only=("axis",), turn_deg=180)
        assert corners(part) == pytest.approx((20 + 100j, 20 + 0j))

    def test_landmarks_move_with_their_outline(self):
        part = Part(outline="limb", about="knee", to=(70, 30), turn_deg=-90)
        marks = drawn(part).landmarks
        assert marks["limb.knee"] == pytest.approx(70 + 30j)
        # The ankle is 50 below the knee; turned a quarter anticlockwise it is 50 to its right.
        assert marks["limb.ankle"] == pytest.approx(120 + 30j)


class TestPoints:
    @pytest.mark.parametrize(
        ("point", "expected"),
        [
            ((3, 4), 3 + 4j),
            ("limb.knee", 20 + 50j),
            ("knee", 20 + 50j),
            (("knee", 5, -6), 25 + 44j),
            (("knee", 74), 20 + 74j),
            ((3, "knee"), 3 + 50j),
            (("knee", "ankle"), 20 + 100j),
            ((Following(((0, 7), (10, 27))), 1), 17 + 1j),
        ],
    )
    def test_each_way_to_write_one(self, point, expected):
        parts = (Part(outline="limb"), Part(line=((0, 0), point)))
        assert drawn(*parts, value=5).lines[-1].points[-1] == expected

    def test_a_bare_name_means_the_nearest_part_before_that_has_it(self):
        parts = (
            Part(id="first", outline="limb"),
            Part(id="second", outline="limb", move=(50, 0)),
            Part(id="bar", line=((0, 0), (1, 1))),
            Part(line=((0, 0), "knee")),
        )
        assert drawn(*parts).lines[-1].points[-1] == 70 + 50j

    def test_the_ends_of_a_named_line_are_landmarks(self):
        parts = (
            Part(id="bar", line=((1, 2), (3, 4))),
            Part(arrow=("bar.end", "bar.start"), heads=Heads.NONE),
        )
        assert drawn(*parts).lines[-1].points == (3 + 4j, 1 + 2j)

    @pytest.mark.parametrize(
        ("point", "says"),
        [
            ("limb.knees", "“limb.knees” is not a landmark here. Did you mean “knee”?"),
            ("limbs.knee", "“limbs.knee” names no part drawn before this one. Did you mean “limb”"),
            ("later.start", "names no part drawn before this one"),
            ((1,), "a point is written [x, y]"),
            ((1, 2, 3), "a point is written [x, y]"),
            (("knee",), "a point is written [x, y]"),
            (("knee", 1, 2, 3), "a point is written [x, y]"),
            (("knee", "knee", 3), "a point is written [x, y]"),
            ((), "a point is written [x, y]"),
            ((99999, 0), "coordinates must be within"),
            ((10**400, 0), "a number is beyond"),
        ],
    )
    def test_what_is_wrong_is_said(self, point, says):
        parts = (
            Part(outline="limb"),
            Part(line=((0, 0), point)),
            Part(id="later", line=((0, 0), (1, 1))),
        )
        with pytest.raises(UndrawableError) as refused:
            drawn(*parts)
        assert says in str(refused.value)


class TestFollowing:
    follows = Following(((0, 10), (10, 30), (20, 0)))

    @pytest.mark.parametrize(
        ("value", "expected"),
        [(0, 10), (5, 20), (10, 30), (15, 15), (20, 0), (-3, 10), (99, 0), (float("nan"), 10)],
    )
    def test_it_runs_straight_between_its_pairs_and_stays_beyond_them(self, value, expected):
        placed = corners(path("M0 0L1 0", move=(self.follows, 0)), value=value)
        assert placed[0].real == expected

    def test_without_a_value_it_is_drawn_at_the_stated_one(self):
        assert corners(path("M0 0L1 0", move=(self.follows, 0)), drawn_at=5)[0].real == 20

    def test_the_length_of_an_arrow_may_follow(self):
        arrow = Part(arrow=((0, 0), (self.follows, 0)), heads=Heads.NONE)
        assert corners(arrow, value=10) == (0j, 30 + 0j)


class TestKindsOfPart:
    def test_a_ground_line_runs_through_the_whole_view_box(self):
        assert corners(Part(ground=70), view_box=(-5, 0, 50, 80)) == (-5 + 70j, 45 + 70j)

    def test_the_head_of_an_arrow_ends_at_its_tip_and_opens_backwards(self):
        head, shaft = drawn(Part(arrow=((10, 50), (10, 10)), size=8)).lines
        assert shaft.points == (10 + 50j, 10 + 10j)
        left, tip, right = sorted(head.points, key=lambda point: point.real)
        assert tip == 10 + 10j
        assert left.imag == right.imag == pytest.approx(18)
        assert right.real - left.real == pytest.approx(12)

    def test_a_double_arrow_has_a_head_at_each_end(self):
        heads = drawn(Part(arrow=((0, 0), (40, 0)), heads=Heads.BOTH)).lines[:-1]
        assert sorted(line.points[1].real for line in heads) == [0, 40]

    @pytest.mark.parametrize("bulge", [5, -5, 20])
    def test_a_curved_arrow_is_a_piece_of_a_circle_as_high_as_its_bulge(self, bulge):
        arrow = Part(arrow=((0, 40), (40, 40)), bulge=bulge, heads=Heads.NONE)
        points = corners(arrow)
        # Going right, left is up, which is towards smaller y.
        highest = min(point.imag for point in points) if bulge > 0 else max(p.imag for p in points)
        assert highest == pytest.approx(40 - bulge)
        # A chord of 40 with that height belongs to a circle of this radius.
        radius = (20**2 + bulge**2) / (2 * abs(bulge))
        centre = complex(20, 40 - bulge + math.copysign(radius, bulge))
        assert all(abs(point - centre) == pytest.approx(radius) for point in points)

    def test_the_head_of_a_curved_arrow_points_along_its_end(self):
        head, _ = drawn(Part(arrow=((0, 40), (40, 40)), bulge=20, size=4)).lines
        # A half circle arrives straight down at (40, 40).
        back = (head.points[0] + head.points[2]) / 2
        assert head.points[1] == pytest.approx(40 + 40j)
        assert abs(math.degrees(math.atan2(back.real - 40, 40 - back.imag))) < 10

    def test_an_arrow_of_no_length_is_a_dot_without_a_head(self):
        assert corners(Part(arrow=((1, 1), (1, 1)))) == (1 + 1j, 1 + 1j)

    def test_a_cross_and_a_circle_are_as_large_as_their_size(self):
        cross, circle = Part(cross=(30, 30), size=6), Part(circle=(30, 30), size=6)
        for point in (p for line in drawn(cross).lines for p in line.points):
            assert max(abs(point.real - 30), abs(point.imag - 30)) == pytest.approx(6)
        for point in corners(circle):
            assert abs(point - (30 + 30j)) == pytest.approx(6)

    def test_only_some_strokes_of_an_outline_can_be_drawn(self):
        only = drawn(Part(outline="limb", only=("front",)))
        without = drawn(Part(outline="limb", without=("front",)))
        assert [line.stroke for line in only.lines] == ["front"]
        assert [line.stroke for line in without.lines] == ["back", "axis"]

    def test_a_part_may_change_the_looks_of_its_outline(self):
        stroke = Stroke(d=SQUARE, weight=Weight.BOLD, dash=Dash.DASHED, fill=Fill.COVERS)
        outlines = {"box": Outline(view_box=BOX, strokes={"edge": stroke})}
        kept = only_line(drawn(Part(outline="box"), outlines=outlines))
        assert (kept.weight, kept.dash, kept.fill) == (Weight.BOLD, Dash.DASHED, Fill.COVERS)
        changed = only_line(
            drawn(
                Part(outline="box", weight=Weight.THIN, dash=Dash.SOLID, fill=Fill.CLEAR),
                outlines=outlines,
            )
        )
        assert (changed.weight, changed.dash, changed.fill) == (
            Weight.THIN,
            Dash.SOLID,
            Fill.CLEAR,
        )

    def test_the_head_of_a_dashed_arrow_is_whole(self):
        head, shaft = drawn(Part(arrow=((0, 0), (40, 0)), dash=Dash.DASHED)).lines
        assert head.dash is Dash.SOLID
        assert shaft.dash is Dash.DASHED


FAMILY = {
    "base": Figure(
        alt="The {side} one.",
        view_box=BOX,
        drawn_at=1,
        parts=(path("M0 0L1 0", id="a"), path("M0 5L1 5", id="b")),
    ),
    "more": Figure(like="base", parts=(path("M0 9L1 9"),)),
    "other-b": Figure(like="base", alt="Else.", drawn_at=2, parts=(path("M7 7L8 7", id="b"),)),
    "grandchild": Figure(like="other-b", view_box=(0, 0, 60, 40)),
}


class TestLikeAnotherFigure:
    def heights(self, name):
        lines = compose(name, {}, FAMILY).lines
        return [line.points[0].imag for line in lines]

    def test_its_parts_come_first(self):
        assert self.heights("more") == [0, 5, 9]

    def test_a_part_of_the_same_id_takes_the_place_of_the_other(self):
        assert self.heights("other-b") == [0, 7]

    def test_what_is_not_given_is_taken_over(self):
        assert compose("more", {}, FAMILY).alt == "The left one."
        assert compose("other-b", {}, FAMILY).alt == "Else."
        assert compose("grandchild", {}, FAMILY).view_box == (0, 0, 60, 40)
        assert self.heights("grandchild") == [0, 7]


class TestSides:
    parts = (
        Part(outline="limb", to=(30, 40), turn_deg=30),
        path("M5 5C40 5 40 60 90 60", fill=Fill.HATCHED),
        Part(arrow=("limb.knee", (100, 10)), bulge=6),
    )

    def test_the_right_side_is_the_mirror_image_of_the_left_one(self):
        box = (-10, 0, 120, 80)
        left = drawn(*self.parts, view_box=box)
        right = drawn(*self.parts, view_box=box, side="right")
        # The middle of the box lies at x = 50, so x becomes 100 - x.
        for one, other in zip(left.lines, right.lines, strict=True):
            mirrored = tuple(complex(100 - point.real, point.imag) for point in one.points)
            assert other.points == pytest.approx(mirrored)
            assert evolve(other, points=one.points) == one
        for name, point in left.landmarks.items():
            assert right.landmarks[name] == pytest.approx(complex(100 - point.real, point.imag))

    def test_the_words_name_the_side_and_the_value(self):
        alt = "The {side} foot at {value} degrees."
        assert drawn(path(LINE), alt=alt, value=12.5).alt == "The left foot at 12.5 degrees."
        right = drawn(path(LINE), alt=alt, value=-3, side="right")
        assert right.alt == "The right foot at −3 degrees."

    def test_with_no_value_at_all_the_words_still_make_a_sentence(self):
        assert drawn(path(LINE), alt="At {value} mm.").alt == "At some mm."


class TestUndrawableFigures:
    def test_a_part_that_fails_leaves_no_trace(self):
        with pytest.raises(UndrawableError):
            drawn(Part(outline="limb", to="nowhere"))

    def test_an_outline_is_refused_as_soon_as_it_is_too_large(self):
        strokes = {f"s{n}": Stroke(d="M0 0" + "l1 0" * 1500) for n in range(10)}
        big = Outline(view_box=BOX, strokes=strokes)
        with pytest.raises(UndrawableError, match="more than 5000 points"):
            drawn(Part(outline="big"), outlines={"big": big})

    def test_many_parts_together_may_be_too_large(self):
        part = path("M0 0" + "l1 0" * 1500)
        with pytest.raises(UndrawableError, match="with it the figure has more than 5000 points"):
            drawn(*[part] * 4)

    @pytest.mark.parametrize(
        ("changes", "says"),
        [
            ({"view_box": None}, "it has no “view_box”"),
            ({"view_box": (0, 0, 0, 80)}, "0 wide and 80 high; both must be above 0"),
            ({"view_box": (0, 0, 120, -1)}, "both must be above 0"),
            ({"view_box": (0, 0, 10**400, 1)}, "a number is beyond"),
            ({"like": "nothing"}, "there is no figure “nothing”"),
            ({"like": "made"}, "it is like itself, by way of made"),
        ],
    )
    def test_what_is_wrong_with_a_figure_is_said(self, changes, says):
        with pytest.raises(UndrawableError) as refused:
            compose("made", {}, {"made": evolve(figure(path(LINE)), **changes)})
        assert says in str(refused.value)

    @pytest.mark.parametrize(
        ("part", "says"),
        [
            (Part(), "it has none of them"),
            (Part(d=LINE, ground=3), "it has d and ground"),
            (Part(outline="limp"), "there is no outline “limp”. Did you mean “limb”?"),
            (Part(outline="limb", only=("fron",)), "no stroke “fron”. Did you mean “front”?"),
            (Part(line=((0, 0),)), "this one has 1"),
            (Part(through=()), "this one has 0"),
            (path(LINE, scale=-1), "a scale is 0 to 100"),
            (path(LINE, scale=(1, 500)), "1 by 500"),
            (path(LINE, turn_deg=4000), "within ±3600"),
            (path(LINE, move=(20000, 0)), "coordinates must be within"),
            (path(LINE, move=(Following(()), 0)), "“follows” lists no pairs"),
            (Part(ground=10**400), "a number is beyond"),
        ],
    )
    def test_what_is_wrong_with_a_part_is_said(self, part, says):
        with pytest.raises(UndrawableError) as refused:
            drawn(part, outlines={"limb": LIMB})
        assert says in str(refused.value)
