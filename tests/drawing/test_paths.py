"""Path data and smooth lines become chains of points that follow them closely."""

import cmath
import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from svg.path import parse_path

from examwalk.drawing.figure import LONGEST_PATH, MOST_POINTS, UndrawableError
from examwalk.drawing.paths import FLATNESS, chains_of_path, smooth


def points_of(d: str) -> tuple[complex, ...]:
    (chain,) = chains_of_path(d)
    return chain.points


def distance_to_chain(point: complex, chain: tuple[complex, ...]) -> float:
    distances = []
    for start, end in pairwise(chain):
        way = end - start
        along = ((point - start) * way.conjugate()).real / abs(way) ** 2 if way else 0
        distances.append(abs(start + way * min(1, max(0, along)) - point))
    return min(distances)


class TestPathData:
    def test_straight_commands_give_their_corners(self):
        assert points_of("M1 2L3 4H10V20l-1-1h-2v5") == (
            1 + 2j,
            3 + 4j,
            10 + 4j,
            10 + 20j,
            9 + 19j,
            7 + 19j,
            7 + 24j,
        )

    def test_pairs_after_a_move_are_lines(self):
        assert points_of("m1 1 2 0 0 2") == (1 + 1j, 3 + 1j, 3 + 3j)

    def test_numbers_need_no_space_where_they_cannot_run_together(self):
        assert points_of("M.5.5-1-1") == (0.5 + 0.5j, -1 - 1j)
        assert points_of("M1e1,2E0L0 0") == (10 + 2j, 0j)

    def test_each_subpath_is_a_chain_of_its_own(self):
        first, second = chains_of_path("M0 0L1 0L1 1ZM5 5L6 5")
        assert first.closed
        assert first.points == (0j, 1 + 0j, 1 + 1j, 0j)
        assert not second.closed
        assert second.points == (5 + 5j, 6 + 5j)

    def test_after_closing_the_next_line_starts_where_the_subpath_began(self):
        first, second = chains_of_path("M2 3L9 3L9 9ZL2 0")
        assert first.points[-1] == second.points[0] == 2 + 3j

    def test_an_arc_of_a_circle_stays_on_the_circle(self):
        points = points_of("M30 10A20 20 0 0 1 30 50A20 20 0 0 1 30 10")
        assert all(abs(abs(point - (30 + 30j)) - 20) < 1e-9 for point in points)
        middles = [(a + b) / 2 for a, b in pairwise(points)]
        assert all(20 - abs(middle - (30 + 30j)) <= FLATNESS for middle in middles)

    @pytest.mark.parametrize(
        ("flags", "passes"),
        # From (0, 0) to (20, 0) with radius 10 both half circles are possible: the sweep flag
        # chooses the way round, 1 being clockwise as seen (SVG 2, 9.3.8).
        [("0 1", 10 - 10j), ("0 0", 10 + 10j)],
    )
    def test_the_sweep_flag_chooses_the_way_round(self, flags, passes):
        assert distance_to_chain(passes, points_of(f"M0 0A10 10 0 {flags} 20 0")) < FLATNESS

    def test_arc_flags_may_be_glued_together(self):
        assert points_of("M0 0A10 10 0 0120 0") == points_of("M0 0A10 10 0 0 1 20 0")

    def test_an_arc_without_radius_is_a_straight_line(self):
        assert points_of("M0 0A0 5 0 0 1 20 0") == (0j, 20 + 0j)

    def test_a_radius_too_small_for_its_ends_is_enlarged(self):
        assert distance_to_chain(10 - 10j, points_of("M0 0A1 1 0 0 1 20 0")) < FLATNESS

    @pytest.mark.parametrize(
        "d",
        [
            "M0 0C0 40 60 40 60 0",
            "M0 0C0 40 60 40 60 0S120-40 120 0",
            "M0 0Q30 60 60 0T120 0",
            "M5 5c10 40 20-80 40 0",
            "M10 10A30 15 40 1 0 60 30",
        ],
    )
    def test_curves_are_followed_as_closely_as_promised(self, d):
        chain = points_of(d)
        for segment in parse_path(d)[1:]:
            for step in range(41):
                assert distance_to_chain(segment.point(step / 40), chain) <= FLATNESS

    def test_a_cubic_passes_through_its_middle(self):
        # At one half a cubic lies at (p0 + 3 p1 + 3 p2 + p3) / 8.
        middle = (0 + 3 * 40j + 3 * (60 + 40j) + 60) / 8
        assert distance_to_chain(middle, points_of("M0 0C0 40 60 40 60 0")) <= FLATNESS


class TestBrokenPaths:
    @pytest.mark.parametrize(
        ("d", "says"),
        [
            ("", "must begin with the command M"),
            ("L1 1", "must begin with the command M"),
            ("10 10", "cannot be read from “10 10” on (character 1)"),
            ("M0 0L10 10 oops", "cannot be read from “oops” on (character 12)"),
            ("M0 0L10 10 20", "cannot be read from “20” on (character 12)"),
            ("M0 0 L1 1e", "cannot be read from “e”"),
            ("M0 0C1 1 2 2", "cannot be read from “C1 1 2 2” on (character 5)"),
            ("M0 0C1 1 2 2 3 3 4 4", "cannot be read from “4 4”"),
            ("M0 0A5 5 0 2 1 9 9", "cannot be read from “A5 5 0 2 1 9 9”"),
            ("M0 0A5 5 0 1", "cannot be read from “A5 5 0 1”"),
            ("M0 0A-5 5 0 0 1 9 9", "radius may be below 0"),
            ("M0 0Z5", "cannot be read from “5”"),
            ("M0 0L1e999 0", "coordinates must be within ±10000"),
            ("M0 0L10001 0", "coordinates must be within ±10000"),
            ("M0 0Lnan 0", "cannot be read from “Lnan 0”"),
            ("M0 0<script>", "cannot be read from “<script>”"),
            ("M0 0L1 1" * 5000, f"at most {LONGEST_PATH}"),
            ("M0 0" + "h1" * (MOST_POINTS + 1), f"more than {MOST_POINTS} points"),
        ],
    )
    def test_what_is_wrong_is_said(self, d, says):
        with pytest.raises(UndrawableError) as refused:
            chains_of_path(d)
        assert says in str(refused.value)

    def test_curves_with_too_many_points_are_refused(self):
        with pytest.raises(UndrawableError, match=f"more than {MOST_POINTS} points"):
            chains_of_path("M0 0" + "c0 999 999 0 0 0" * 900)

    @given(st.text(alphabet="MmLlHhVvCcSsQqTtAaZz0123456789.-+eE, ", max_size=60))
    def test_any_text_is_a_path_or_is_refused(self, d):
        try:
            chains = chains_of_path(d)
        except UndrawableError:
            return
        assert all(math.isfinite(abs(p)) for chain in chains for p in chain.points)


class TestSmoothLines:
    def test_it_passes_through_every_point(self):
        given_points = (0j, 10 + 5j, 30 + 5j, 31 + 20j)
        drawn = smooth(given_points).points
        assert all(min(abs(point - p) for p in drawn) < 1e-9 for point in given_points)
        assert drawn[0] == given_points[0]
        assert drawn[-1] == given_points[-1]

    def test_two_points_are_joined_by_a_straight_line(self):
        assert smooth((1j, 5 + 1j)).points == (1j, 5 + 1j)

    def test_points_on_a_straight_line_give_a_straight_line(self):
        drawn = smooth((0j, 3 + 3j, 4 + 4j, 10 + 10j)).points
        assert all(abs(point.real - point.imag) < 1e-9 for point in drawn)

    def test_it_has_no_kink_where_no_point_is_doubled(self):
        assert sharpest_turn_deg(smooth((0j, 10 + 0j, 10 + 10j, 20 + 10j)).points) < 45

    def test_a_doubled_point_is_a_corner(self):
        drawn = smooth((0j, 10 + 0j, 10 + 0j, 10 + 10j)).points
        assert drawn == (0j, 10 + 0j, 10 + 10j)

    def test_a_line_that_ends_where_it_began_is_closed_without_a_kink(self):
        octagon = [cmath.rect(10, math.radians(45 * corner)) for corner in range(8)]
        chain = smooth((*octagon, octagon[0]))
        assert chain.closed
        around = (*chain.points, chain.points[1])
        assert sharpest_turn_deg(around) < 20
        assert all(abs(abs(point) - 10) < 0.1 for point in chain.points)

    def test_too_many_points_are_refused(self):
        zigzag = tuple(complex(step, 900 * (step % 2)) for step in range(MOST_POINTS // 2))
        with pytest.raises(UndrawableError, match="points"):
            smooth(zigzag)


def sharpest_turn_deg(points: tuple[complex, ...]) -> float:
    ways = [b - a for a, b in pairwise(points)]
    turns = [abs(math.degrees(math.atan2((b / a).imag, (b / a).real))) for a, b in pairwise(ways)]
    return max(turns)
