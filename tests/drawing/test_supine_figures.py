"""What the tests in lying face up draw is what they say: measured on the drawn lines."""

import pytest
from adult_drawings import direction_deg, drawing, grades, names, part, rises

from examwalk.drawing.composing import Drawing


def heights(made: Drawing, name: str) -> list[float]:
    """Return how far down each point of a part lies: the greatest is the lowest."""
    return [point.imag for point in part(made, name).points]


def by_grade(test: str) -> dict[str, Drawing]:
    return {name.removeprefix(f"{test}-"): drawing(name) for name in names(test)}


def has(made: Drawing, name: str) -> bool:
    return any(line.part == name for line in made.lines)


class TestHeel:
    def test_the_tubercle_lies_in_front_of_the_centre_and_towards_the_big_toe(self):
        made = drawing("heel-tenderness-none")
        tubercle, centre = (
            sum(part(made, name).points) / len(part(made, name).points)
            for name in ("tubercle", "centre")
        )
        forwards = made.landmarks["sole.mtp1"] - made.landmarks["sole.heel-back"]
        assert (tubercle - centre).real * forwards.real > 0
        inwards = made.landmarks["sole.mtp1"] - made.landmarks["sole.mtp5"]
        assert (tubercle - centre).imag * inwards.imag > 0

    def test_a_cross_stands_only_where_it_hurts(self):
        crossed = [
            {line.part for line in made.lines if line.stroke == "cross"}
            for made in grades("heel-tenderness")[:-1]
        ]
        assert crossed == [set(), {"tubercle"}, {"centre"}, {"tubercle", "centre"}]

    def test_the_squeeze_comes_from_both_sides_of_the_heel(self):
        marks = drawing("heel-tenderness-squeeze").landmarks
        heel = marks["sole.heel-centre"].imag
        assert marks["tubercle.start"].imag < marks["tubercle.end"].imag < heel
        assert marks["lateral.start"].imag > marks["lateral.end"].imag > heel

    def test_less_and_less_pad_lies_between_the_bone_and_the_thumb(self):
        made = grades("heel-pad")
        thumbs = [m.landmarks["thumb.tip"].imag for m in made]
        pads = [thumb - max(heights(m, "bone")) for thumb, m in zip(thumbs, made, strict=True)]
        assert rises(pads[::-1], by=4)
        assert pads[-1] > 0

    def test_the_wasted_pad_has_slid_aside_behind_the_thumb(self):
        *_, felt, wasted = grades("heel-pad")
        thumb = wasted.landmarks["thumb.tip"]
        lowest = max(part(wasted, "skin").points, key=lambda point: point.imag)
        assert lowest.real < thumb.real - 10
        assert lowest.imag > thumb.imag
        assert max(heights(felt, "skin")) < felt.landmarks["thumb.tip"].imag

    def test_a_level_fascia_leaves_the_skin_straight_and_a_felt_one_lifts_it(self):
        level, felt = grades("fascia-prominence")[:2]
        lifts = [
            max(heights(m, "skin-across")) - min(heights(m, "skin-across")) for m in (level, felt)
        ]
        assert lifts[0] < 1
        assert lifts[1] > 5
        assert max(heights(level, "band-across")) < min(heights(level, "skin-across"))


class TestFirstRay:
    def test_the_first_head_lies_above_on_and_below_the_plane_of_the_others(self):
        offsets = []
        for made in grades("first-ray-position"):
            plane = part(made, "plane").points[0].imag
            lesser = [
                max(p.imag for p in line.points)
                for line in made.lines
                if line.part == "lesser-heads"
            ]
            assert lesser == pytest.approx([plane] * 4, abs=0.5)
            offsets.append(max(heights(made, "first-head")) - plane)
        assert offsets == pytest.approx([-12, 0, 12], abs=0.5)

    def test_the_first_head_is_pushed_up_further_and_further_from_level(self):
        made = grades("first-ray-mobility")
        lifts = [part(m, "level").points[0].imag - max(heights(m, "first-head")) for m in made]
        assert lifts[0] > 0
        assert rises(lifts, by=6)
        # The thumb stays under the head, and only the stiff one meets a stop.
        for m, lift in zip(made, lifts, strict=True):
            assert 0 < min(heights(m, "thumb")) - max(heights(m, "first-head")) < 14
            arrow = m.landmarks["travel.start"].imag - m.landmarks["travel.end"].imag
            assert arrow == pytest.approx(lift, abs=0.2)
        assert [has(m, "stop") for m in made] == [True, False, False]

    def test_bone_grows_on_top_of_the_joint_and_lifts_the_skin_from_seen_on(self):
        made = grades("first-mtp-enlargement")
        over_joint = made[0].landmarks["toe.mtp1-centre"].real
        tops = [
            min(p.imag for p in part(m, "skin").points if abs(p.real - over_joint) < 4)
            for m in made
        ]
        assert tops[0] == tops[1]
        assert rises([-top for top in tops[1:]], by=10)
        assert [has(m, "knob") for m in made] == [False, True, True, True]
        assert [has(m, "finger") for m in made] == [True, True, False, False]
        for m, top in zip(made[1:], tops[1:], strict=True):
            assert min(heights(m, "knob")) > top

    def test_the_shoe_bulges_over_the_bump_that_limits_it(self):
        made = drawing("first-mtp-enlargement-shoe-limiting")
        shoe = [p for p in part(made, "shoe").points if p.imag < 60]
        bump = min(part(made, "skin").points[20:], key=lambda point: point.imag)
        over = min(shoe, key=lambda point: abs(point.real - bump.real))
        beside = min(shoe, key=lambda point: abs(point.real - bump.real + 11))
        assert over.imag < bump.imag
        assert over.imag < beside.imag

    def test_the_first_head_reaches_further_and_further_forward(self):
        offsets = []
        for made in grades("first-metatarsal-length"):
            second = made.landmarks["second-crest.start"].real
            assert max(p.real for p in part(made, "second-bone").points) == pytest.approx(
                second, abs=1.5
            )
            first = max(p.real for p in part(made, "first-bone").points)
            assert made.landmarks["first-crest.start"].real == pytest.approx(first, abs=2)
            offsets.append(made.landmarks["first-crest.start"].real - second)
        assert rises(offsets, by=6)
        assert offsets[1] < -6
        assert abs(offsets[2]) < 3
        assert offsets[3] > 6


class TestLeg:
    @pytest.mark.parametrize("value", [-60, -30, -15, 0, 5, 10, 15, 25, 35, 50])
    def test_the_ankle_is_drawn_at_the_typed_angle_with_the_knee_bent(self, value):
        made = drawing("ankle-dorsiflexion-bent", value)
        shank, foot, right = (
            direction_deg(part(made, name).points[0], part(made, name).points[-1])
            for name in ("shank-arm", "foot-arm", "right-angle")
        )
        assert shank == pytest.approx(0, abs=0.1)
        assert right == pytest.approx(-90, abs=0.1)
        # Dorsiflexion brings the toes, which point up, towards the shin, which lies at the left.
        assert foot == pytest.approx(-90 - value, abs=1)

    def test_the_knee_is_bent_with_the_thigh_below_it(self):
        marks = drawing("ankle-dorsiflexion-bent").landmarks
        assert direction_deg(marks["leg.knee"], marks["leg.hip"]) == pytest.approx(90, abs=1)

    def test_beyond_its_limits_the_ankle_is_drawn_no_further(self):
        for limit, beyond in ((-60, -80), (50, 70)):
            arms = [
                part(drawing("ankle-dorsiflexion-bent", v), "foot-arm").points
                for v in (limit, beyond)
            ]
            assert arms[0] == arms[1]

    def test_the_shin_stops_shorter_and_shorter_of_straight(self):
        shorts = []
        for made in grades("hamstring-length"):
            marks = made.landmarks
            thigh = direction_deg(marks["leg.hip"], marks["leg.knee"])
            assert thigh == pytest.approx(-90, abs=0.1)
            shin = part(made, "shin").points
            shorts.append(direction_deg(shin[0], shin[-1]) - thigh)
        # The grades change at 20 and at 40 degrees, for women at 10 and at 30.
        assert shorts[0] < 10
        assert 20 < shorts[1] <= 30
        assert shorts[2] > 40

    def test_the_foot_turns_in_as_far_as_the_grade_says(self):
        made = by_grade("tibialis-posterior-strength")
        toe = {grade: m.landmarks["foot.mtp1"].imag for grade, m in made.items()}
        assert toe["none"] == toe["flicker"]
        assert toe["against-gravity"] == toe["normal"]
        steps = ("flicker", "some-resistance", "gravity-removed", "against-gravity")
        assert rises([-toe[grade] for grade in steps], by=2)
        assert [grade for grade, m in made.items() if has(m, "tendon")] == list(made)[1:]

    def test_only_a_push_that_is_held_is_long_and_only_a_carried_foot_has_a_hand_below(self):
        made = by_grade("tibialis-posterior-strength")
        pushes = {
            grade: m.landmarks["push.end"].imag - m.landmarks["push.start"].imag
            for grade, m in made.items()
            if has(m, "push")
        }
        assert list(pushes) == ["some-resistance", "normal"]
        assert pushes["normal"] > pushes["some-resistance"] + 10 > 20
        assert [grade for grade, m in made.items() if has(m, "carrier")] == ["gravity-removed"]
        carried = made["gravity-removed"].landmarks
        assert carried["carrier.palm"].imag > carried["foot.toe5-pulp"].imag

    def test_the_big_toe_is_on_top_of_the_leg_that_is_rolled_outwards(self):
        marks = drawing("tibialis-posterior-strength-none").landmarks
        assert marks["foot.mtp1"].imag < marks["foot.mtp5"].imag - 15
