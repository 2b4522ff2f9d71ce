"""What is drawn of the posture items and other tests in standing: measured on the drawn lines."""

import math
from itertools import pairwise

import pytest
from adult_drawings import ADULT, direction_deg, drawing, grades, names, part, rises

from examwalk.drawing.composing import Drawing, compose
from examwalk.protocol.figures import figure_of_test

SUPINATED_TO_PRONATED = [-2, -1, 0, 1, 2]
GROUND = 75
"""Of the figures that show heel and toes from behind."""


def depth(chord: tuple[complex, complex], points: tuple[complex, ...]) -> float:
    """Return how far a line comes off a chord, inwards of a left foot, between its ends."""
    start, end = chord
    between = [point for point in points if start.imag < point.imag < end.imag]
    return max(
        point.real - (start + (end - start) * (point.imag - start.imag) / (end - start).imag).real
        for point in between
    )


class TestTalarHead:
    def gaps(self, made: Drawing) -> tuple[float, float]:
        """Return the room between thumb and head, and between head and finger."""
        head = [point.real for point in part(made, "head").points]
        thumb = max(point.real for point in part(made, "thumb").points)
        finger = min(point.real for point in part(made, "finger").points)
        return min(head) - thumb, finger - max(head)

    def test_the_head_comes_from_the_finger_to_the_thumb(self) -> None:
        gaps = [self.gaps(made) for made in grades("fpi-talar-head")]
        assert rises([-thumb for thumb, _ in gaps], by=4)
        assert rises([finger for _, finger in gaps], by=4)

    def test_it_touches_one_of_them_at_each_end_and_lies_midway_when_neutral(self) -> None:
        first, _, neutral, _, last = (self.gaps(made) for made in grades("fpi-talar-head"))
        assert first[1] == pytest.approx(0, abs=1)
        assert last[0] == pytest.approx(0, abs=1)
        assert neutral[0] == pytest.approx(neutral[1], abs=1)

    def test_the_thumb_is_on_the_inner_side(self) -> None:
        # From the front the inner side of a left foot is at the viewer's left.
        made = drawing("fpi-talar-head")
        thumb, finger = (part(made, name).points[5].real for name in ("thumb", "finger"))
        assert thumb < made.landmarks["foot-front.talar-head"].real < finger


class TestMalleolarCurves:
    def hollows(self, made: Drawing) -> tuple[float, float]:
        """Return the depth of the hollow above the malleolus and of the one below it."""
        line = part(made, "lateral").points
        upper, lower = (part(made, f"{which}-chord").points for which in ("upper", "lower"))
        return depth((upper[0], upper[-1]), line), depth((lower[0], lower[-1]), line)

    def test_the_lower_hollow_deepens_from_nothing_and_the_upper_one_stays(self) -> None:
        upper, lower = zip(*map(self.hollows, grades("fpi-malleolar-curves")), strict=True)
        assert rises(lower, by=4)
        assert abs(lower[0]) < 1
        assert max(upper) - min(upper) < 0.5

    def test_the_two_hollows_are_alike_when_neutral(self) -> None:
        upper, lower = self.hollows(drawing("fpi-malleolar-curves-neutral"))
        assert lower == pytest.approx(upper, rel=0.15)


class TestTalonavicularJoint:
    def test_the_surface_comes_from_a_hollow_through_a_straight_line_to_a_bulge(self) -> None:
        off = []
        for made in grades("fpi-talonavicular"):
            straight = part(made, "straight").points
            joint = min(
                part(made, "border").points,
                key=lambda point: abs(point.imag - made.landmarks["foot-front.talonavicular"].imag),
            )
            start, end = straight[0], straight[-1]
            share = (joint.imag - start.imag) / (end - start).imag
            # Outwards of the line, which is to the left for the inner side of a left foot.
            off.append((start + (end - start) * share).real - joint.real)
        assert rises(off, by=5)
        assert off[2] == pytest.approx(0, abs=1.5)
        assert off[0] < -8
        assert off[4] > 8


class TestArch:
    def heights(self, made: Drawing) -> list[tuple[float, float]]:
        """Return how far along the foot and how high over the ground the arch runs."""
        return [(point.real, 74 - point.imag) for point in part(made, "arch").points]

    def test_it_sinks_from_grade_to_grade_to_the_floor(self) -> None:
        tops = [max(high for _, high in self.heights(made)) for made in grades("fpi-arch")]
        assert rises([-top for top in tops], by=3)
        assert tops[-1] == 0

    def test_a_supinated_arch_is_steeper_at_its_heel_end_than_in_front(self) -> None:
        for made, least in zip(grades("fpi-arch")[:2], (1.4, 1.1), strict=True):
            line = self.heights(made)
            slopes = [
                (later[1] - earlier[1]) / (later[0] - earlier[0])
                for earlier, later in pairwise(line)
                if later[0] > earlier[0]
            ]
            assert max(slopes) > least * -min(slopes)

    def test_a_pronated_arch_is_level_over_its_centre(self) -> None:
        line = self.heights(drawing("fpi-arch-pronated"))
        centre = [high for along, high in line if 46 <= along <= 61]
        assert max(centre) - min(centre) < 0.5
        assert min(centre) > 2


class TestForefoot:
    def shown(self, made: Drawing) -> tuple[float, float]:
        """Return how far toes show outside the heel on the outer and on the inner side."""
        marks = made.landmarks
        points = [p.real for line in made.lines if line.part == "toes" for p in line.points]
        outer = marks["toes.heel-lateral"].real - min(points)
        inner = max(points) - marks["toes.heel-medial"].real
        return max(outer, 0), max(inner, 0)

    def test_toes_show_less_on_the_inner_and_more_on_the_outer_side(self) -> None:
        outer, inner = zip(*map(self.shown, grades("fpi-forefoot")), strict=True)
        more_outside = [out - within for out, within in zip(outer, inner, strict=True)]
        assert rises(more_outside, by=8)

    def test_neutral_shows_alike_on_both_sides_and_the_ends_on_one_alone(self) -> None:
        first, _, neutral, _, last = map(self.shown, grades("fpi-forefoot"))
        assert neutral[0] == pytest.approx(neutral[1], rel=0.25)
        assert first[0] == 0
        assert last[1] == 0

    def test_every_toe_stands_on_the_ground_beside_the_heel(self) -> None:
        for made in grades("fpi-forefoot"):
            for line in made.lines:
                if line.part == "toes":
                    assert line.points[-1].imag == pytest.approx(GROUND, abs=1.5)


class TestHalluxValgus:
    def angle(self, made: Drawing) -> float:
        joint = made.landmarks["toe.mtp1"]
        base = complex(*ADULT.outlines["forefoot-dorsal"].landmarks["metatarsal-base"])
        metatarsal = direction_deg(base, joint)
        return metatarsal - direction_deg(joint, made.landmarks["toe.axis-end"])

    def test_the_toe_leans_towards_the_others_by_the_angle_that_is_drawn(self) -> None:
        made = grades("hallux-valgus")
        drawn_at = [ADULT.figures[name].drawn_at for name in names("hallux-valgus")]
        assert [self.angle(one) for one in made] == pytest.approx(drawn_at, abs=1)
        assert rises([self.angle(one) for one in made], by=8)

    def test_the_bump_grows_on_the_inner_side(self) -> None:
        # From above with the toes to the right, the inner side of a left foot is lowest.
        bumps = [
            max(p.imag for p in part(made, "bump").points if p.real < 66)
            for made in grades("hallux-valgus")
        ]
        assert rises(bumps, by=1.5)

    def room(self, made: Drawing) -> float:
        """Return the least distance between the big toe and the second; below 0 across it."""
        second = part(made, "rest", "toe2").points
        lowest = max(point.imag for point in second)
        toe = [p for p in part(made, "toe", "toe").points if p.real < max(q.real for q in second)]
        return min(p.imag for p in toe) - lowest

    def test_the_second_toe_is_free_then_pressed_and_at_last_crossed(self) -> None:
        none, mild, moderate, severe = map(self.room, grades("hallux-valgus"))
        assert none > mild > 1
        assert -6 < moderate < 0
        assert severe < -12


class TestRiseOfTheArch:
    def test_the_arch_rises_further_over_its_resting_line_and_the_toe_is_always_up(self) -> None:
        made = grades("jack-arch-rise")
        resting = min(point.imag for point in part(made[0], "resting-arch").points)
        rise = [resting - min(p.imag for p in part(one, "arch").points) for one in made]
        assert rise[0] == pytest.approx(0, abs=0.5)
        assert rises(rise, by=4)
        up = {one.landmarks["foot.hallux-tip"].imag for one in made}
        assert len(up) == 1
        assert up.pop() < ADULT.outlines["foot-medial"].landmarks["hallux-tip"][1] - 15

    @pytest.mark.parametrize("test", ["jack-effort", "jack-arch-rise"])
    def test_the_finger_pushes_under_the_proximal_phalanx_and_stays_above_the_ground(
        self, test: str
    ) -> None:
        for made in grades(test):
            under = made.landmarks["foot.phalanx-plantar"]
            finger = part(made, "finger").points
            assert min(abs(point - under) for point in finger) < 5
            assert max(point.imag for point in finger) < 74.6


class TestBlockTest:
    def tilt(self, made: Drawing) -> float:
        heel = part(made, "rear-foot", "bisector").points
        return direction_deg(heel[0], heel[-1]) - 90

    def test_the_heel_is_upright_halfway_or_as_tilted_as_on_the_floor(self) -> None:
        corrects, partly, fixed = grades("block-test")
        floor = part(fixed, "floor-tilt").points
        on_the_floor = direction_deg(floor[0], floor[-1]) - 90
        assert on_the_floor < -15
        assert self.tilt(corrects) == pytest.approx(0, abs=1)
        assert self.tilt(partly) == pytest.approx(on_the_floor / 2, abs=1)
        assert self.tilt(fixed) == pytest.approx(on_the_floor, abs=1)

    def test_the_heel_is_on_the_block_and_the_first_ray_hangs_beside_its_inner_edge(self) -> None:
        for made in grades("block-test"):
            block = part(made, "block").points
            inner_edge, top = max(p.real for p in block), min(p.imag for p in block)
            heel = made.landmarks["rear-foot.heel-ground"]
            assert heel.real < inner_edge
            assert heel.imag == pytest.approx(top, abs=3)
            ray = part(made, "first-ray").points
            assert max(point.real for point in ray) > inner_edge + 10
            assert max(point.imag for point in ray) > top + 5


class TestKneecaps:
    def test_the_kneecap_comes_from_facing_outwards_to_plainly_inwards(self) -> None:
        made = grades("patella-facing")
        # From the front the other knee of the left leg is at the viewer's left.
        inward = [
            one.landmarks["leg.knee"].real
            - sum(p.real for p in part(one, "patella").points) / len(part(one, "patella").points)
            for one in made
        ]
        assert rises(inward, by=4)
        facing = [
            direction_deg(one.landmarks["facing.start"], one.landmarks["facing.end"]) - 90
            for one in made
        ]
        assert rises(facing, by=20)
        assert facing[1] == pytest.approx(0, abs=1)

    def test_knees_and_shins_stay_where_they_are(self) -> None:
        knees = {made.landmarks["leg.knee"] for made in grades("patella-facing")}
        assert len(knees) == 1


@pytest.mark.parametrize("count", range(10))
def test_the_bar_reaches_the_rung_of_the_beighton_score(count: int) -> None:
    made = drawing("joint-hypermobility", count)
    rungs = sorted(line.points[0].imag for line in made.lines if line.part == "ladder")[::-1]
    assert len(rungs) == 10
    assert part(made, "count").points[-1].imag == pytest.approx(rungs[count], abs=0.5)


def test_the_thumb_of_the_beighton_score_is_pushed_against_the_forearm() -> None:
    made = drawing("joint-hypermobility")
    forearm, thumb = (part(made, name).points for name in ("forearm", "thumb"))
    tip = min(thumb, key=lambda point: point.real)
    fingertip = max(forearm, key=lambda point: point.imag)
    assert min(abs(tip - point) for point in forearm) < 4
    assert fingertip.real - tip.real > 40
    push = made.landmarks["push.start"], made.landmarks["push.end"]
    assert push[0].imag > push[1].imag > tip.imag


class TestBlocks:
    @pytest.mark.parametrize("which", ["first", "second"])
    def test_a_reading_is_drawn_for_the_side_that_was_named_the_shorter(self, which: str) -> None:
        test = ADULT.tests_by_id[f"block-height-{which}"]
        assert test.figure_side == "short-limb"
        assert figure_of_test(ADULT, test) == "block-height"

    @pytest.mark.parametrize(("side", "sign"), [("left", -1), ("right", 1)])
    def test_the_blocks_lie_under_the_named_leg_seen_from_behind(
        self, side: str, sign: int
    ) -> None:
        made = compose("block-height", ADULT.outlines, ADULT.figures, 40, side)
        left, _, width, _ = made.view_box
        blocks = [point.real for point in part(made, "blocks").points]
        assert sign * (sum(blocks) / len(blocks) - (left + width / 2)) > 8
        assert f"under the shorter {side} leg" in made.alt
        assert math.isclose(
            made.landmarks["pelvis-behind.crest-left"].imag,
            made.landmarks["pelvis-behind.crest-right"].imag,
        )


def test_all_of_these_are_graded_from_supinated_to_pronated() -> None:
    for test in ("talar-head", "malleolar-curves", "talonavicular", "arch"):
        drawn_at = [ADULT.figures[name].drawn_at for name in names(f"fpi-{test}")]
        drawn_at[2] = drawn_at[2] or 0
        assert drawn_at == SUPINATED_TO_PRONATED
