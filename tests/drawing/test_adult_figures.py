"""The drawings of the adult protocol show what they say: measured on the drawn lines."""

import time

import pytest
from adult_drawings import (
    ATLAS,
    FIGURES,
    OUTLINES,
    direction_deg,
    drawing,
    grades,
    part,
    rises,
)

from examwalk.drawing.braille import braille_of
from examwalk.drawing.checking import find_problems


def seconds_to_draw(name: str) -> float:
    started = time.process_time()
    braille_of(drawing(name), 60, 20)
    return time.process_time() - started


class TestAllFigures:
    def test_the_checker_finds_nothing(self):
        assert find_problems(OUTLINES, FIGURES) == ()
        assert FIGURES

    def test_every_outline_has_landmarks_that_parts_can_refer_to(self):
        assert [name for name, outline in OUTLINES.items() if not outline.landmarks] == []

    def test_right_is_the_mirror_image_of_left(self):
        table = [sum(((bit >> a) & 1) << b for a, b in MIRRORED.items()) for bit in range(256)]

        def mirrored(line: str) -> str:
            cells = [ord(c) - 0x2800 if c != " " else 0 for c in reversed(line)]
            return "".join(chr(0x2800 + table[cell]) for cell in cells).replace("\u2800", " ")

        unlike = []
        for name in FIGURES:
            left, right = (ATLAS.braille(name, (40, 14), side=side) for side in ("left", "right"))
            if list(right.lines) != [mirrored(line) for line in left.lines]:
                unlike.append(name)
        assert unlike == []

    def test_each_fills_its_view_box_without_touching_the_text_beside_it(self):
        drawn = {name: ATLAS.braille(name, (60, 20)).lines for name in FIGURES}
        filled = {
            name: sum(any(c != " " for c in line) for line in lines)
            for name, lines in drawn.items()
        }
        assert {name: lines for name, lines in filled.items() if lines < 8} == {}

    def test_each_is_drawn_within_five_milliseconds(self):
        slow = []
        for name in FIGURES:
            drawing(name)  # reads the paths, which is done once
            # On a busy machine one try of many shows what it can do.
            if not any(seconds_to_draw(name) <= 0.005 for _ in range(30)):
                slow.append(name)
        assert slow == []


# Where each bit of a braille cell goes when the cell is mirrored: dots 1 2 3 7 and 4 5 6 8.
MIRRORED = {0: 3, 1: 4, 2: 5, 3: 0, 4: 1, 5: 2, 6: 7, 7: 6}


class TestGradedThings:
    def test_the_gap_under_the_loaded_arch_grows_from_nothing(self):
        gaps = [
            74 - min(point.imag for point in part(made, "arch").points)
            for made in grades("arch-height-loaded")
        ]
        assert gaps[0] == 0
        assert rises(gaps, by=2)

    def test_the_apex_of_the_arch_lies_under_the_navicular(self):
        navicular = OUTLINES["foot-medial"].landmarks["navicular"][0]
        for made in grades("arch-height-loaded")[1:]:
            apex = min(part(made, "arch").points, key=lambda point: point.imag)
            # The foot is 104 long; the tuberosity lies at 0.40 to 0.42 of it, the apex to 0.45.
            assert abs(apex.real - navicular) < 0.05 * 104

    def test_the_gap_between_the_hanging_arch_and_the_straight_edge_grows_too(self):
        gaps = []
        for made in grades("arch-height-unloaded"):
            start, end = part(made, "edge").points
            across = (end - start) / abs(end - start)
            away = [((p - start) / across).imag for p in part(made, "arch").points]
            gaps.append(max(-distance for distance in away))
        assert rises(gaps, by=2)

    @pytest.mark.parametrize("test", ["supination-resistance", "jack-effort"])
    def test_the_more_effort_the_less_the_arch_rises(self, test):
        made = grades(test)
        efforts = [abs(m.landmarks["effort.end"] - m.landmarks["effort.start"]) for m in made]
        apexes = [min(p.imag for p in part(m, "arch").points) for m in made]
        assert rises(efforts, by=4)
        assert rises(apexes, by=1)
        resting = min(p.imag for p in part(made[0], "resting-arch").points)
        assert abs(apexes[-1] - resting) < 1

    def test_the_big_toe_lifts_less_and_less(self):
        tips = [made.landmarks["foot.hallux-tip"].imag for made in grades("jack-effort")]
        assert rises(tips, by=2)

    def test_the_outline_rises_later_and_later(self):
        starts = []
        for made in grades("heel-to-arch-contour"):
            contour = part(made, "contour").points
            lowest = max(contour[:-20], key=lambda point: point.imag)
            ahead = [p for p in contour if p.real > lowest.real and p.imag < lowest.imag - 3]
            starts.append(ahead[0].real)
            arrow = made.landmarks["rise.end"].real
            assert abs(arrow - ahead[0].real) < 6
        assert rises(starts, by=4)

    def test_the_band_stands_out_further_and_further(self):
        made = grades("fascia-prominence")
        skin = [max(p.imag for p in part(m, "skin-across").points) for m in made]
        assert rises(skin, by=3)
        assert rises([part(m, "band").points[len(part(m, "band").points) // 2].imag for m in made])

    @pytest.mark.parametrize(
        ("test", "stroke_part"), [("fpi-calcaneus", "rear-foot"), ("double-heel-raise", "heel")]
    )
    def test_the_heel_tilts_evenly_from_one_side_to_the_other(self, test, stroke_part):
        tilts = []
        for made in grades(test):
            bisector = part(made, stroke_part, "bisector")
            tilts.append(direction_deg(bisector.points[0], bisector.points[-1]) - 90)
        if test == "double-heel-raise":
            tilts.reverse()  # its grades run from everted to inverted
        assert rises(tilts, by=6)
        assert tilts == pytest.approx([-tilt for tilt in reversed(tilts)], abs=0.2)

    def test_the_inverted_left_heel_leans_towards_the_right_foot(self):
        inverted = grades("fpi-calcaneus")[0]
        assert (
            inverted.landmarks["rear-foot.heel-bottom"].real
            > inverted.landmarks["rear-foot.heel-top"].real + 3
        )

    def test_the_kneecap_stands_outside_over_and_inside_the_big_toe(self):
        # From the front the outer side of a left leg is at the viewer's right.
        offsets = [
            made.landmarks["leg.knee"].real - made.landmarks["leg.hallux"].real
            for made in grades("knee-over-toes")
        ]
        assert offsets[0] > 3
        assert abs(offsets[1]) < 3
        assert offsets[2] < -6

    def test_the_heel_is_down_on_passing_and_up_on_failing(self):
        passing, failing = grades("lunge-screen")
        assert passing.landmarks["leg.heel-ground"].imag == pytest.approx(140, abs=0.5)
        assert failing.landmarks["leg.heel-ground"].imag < 134
        toes = [made.landmarks["leg.toe-tip"] for made in (passing, failing)]
        assert toes[0] == pytest.approx(toes[1])

    def test_the_lower_hip_is_on_the_side_that_is_named(self):
        level, left, right = grades("short-limb")
        heights = [
            made.landmarks["pelvis-behind.crest-left"].imag
            - made.landmarks["pelvis-behind.crest-right"].imag
            for made in (level, left, right)
        ]
        assert heights[0] == pytest.approx(0)
        assert heights[1] > 3
        assert heights[2] < -3


class TestTypedNumbers:
    @pytest.mark.parametrize("value", [-20, -5, 0, 12, 33, 50, 65, 90, 120])
    def test_the_big_toe_is_drawn_back_by_the_typed_angle(self, value):
        marks = drawing("first-mtp-dorsiflexion", value).landmarks
        joint = marks["foot.mtp1-centre"]
        metatarsal = direction_deg(marks["foot.metatarsal-base"], joint)
        toe = direction_deg(joint, marks["foot.hallux-axis"])
        assert metatarsal - toe == pytest.approx(value, abs=1)
        # The two arms of the measurement show the same angle.
        assert marks["toe-arm.end"] == pytest.approx(marks["foot.hallux-axis"])
        zero = direction_deg(marks["zero-arm.start"], marks["zero-arm.end"])
        assert zero == pytest.approx(metatarsal)

    @pytest.mark.parametrize("value", [-60, -10, 0, 8, 22, 70])
    def test_the_footprint_points_out_by_the_typed_angle(self, value):
        marks = drawing("foot-progression-angle", value).landmarks
        axis = direction_deg(marks["foot.heel"], marks["foot.toe2-tip"])
        # Straight on is up the page, at -90 degrees; out is anticlockwise for the left foot.
        assert -90 - axis == pytest.approx(value, abs=2)
        line = direction_deg(marks["foot.heel"], marks["axis.end"])
        assert -90 - line == pytest.approx(value, abs=2)

    @pytest.mark.parametrize("value", [0, 2.5, 5, 8, 10, 12.5, 16, 20, 25])
    def test_the_knee_touches_the_wall_at_the_typed_distance(self, value):
        made = drawing("lunge-distance", value)
        wall = part(made, "wall").points[0].real
        # The leg is drawn for a stature of 171.4 cm at 250 units.
        centimetre = 250 / 171.4
        drawn_cm = (wall - made.landmarks["leg.toe-tip"].real) / centimetre
        assert drawn_cm == pytest.approx(value, abs=0.35)
        front = max(p.real for line in made.lines if line.part == "leg" for p in line.points)
        assert abs(front - wall) < 1.2
        assert made.landmarks["leg.heel-ground"].imag == pytest.approx(140, abs=0.5)

    @pytest.mark.parametrize("value", [0, 3, 10, 25, 60, 100])
    def test_the_blocks_are_as_high_as_typed_and_the_hips_level(self, value):
        made = drawing("block-height", value)
        foot, other = made.landmarks["short-leg.foot"], made.landmarks["other-leg.foot"]
        # True to the body, whose hips are 49 units over the ground here and 0.53 of 1714 mm in
        # life, 100 mm would be 5.4 units: too little to see, so 20 are drawn.
        assert other.imag - foot.imag == pytest.approx(0.2 * value, abs=0.1)
        crests = [made.landmarks[f"pelvis-behind.crest-{side}"].imag for side in ("left", "right")]
        assert crests[0] == crests[1]
