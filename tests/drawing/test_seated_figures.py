"""What is drawn for sitting, the interview, the positions and diabetes: measured on the lines."""

import pytest
from adult_drawings import ADULT, FIGURES, direction_deg, drawing, names, part, rises

from examwalk.drawing.composing import Drawing, compose
from examwalk.protocol.library import find_protocol
from examwalk.protocol.shipped import read_shipped

DIABETIC = read_shipped(find_protocol("diabetic")).protocol


def made(name: str, value: float | None = None) -> Drawing:
    return compose(name, DIABETIC.outlines, DIABETIC.figures, value)


def middle(points: tuple[complex, ...]) -> complex:
    return complex(
        (min(p.real for p in points) + max(p.real for p in points)) / 2,
        (min(p.imag for p in points) + max(p.imag for p in points)) / 2,
    )


class TestSitting:
    @pytest.mark.parametrize("test", ["pulse-dorsalis-pedis", "pulse-posterior-tibial"])
    def test_the_stronger_the_pulse_the_taller_its_trace(self, test: str) -> None:
        traces = [part(drawing(name), "trace").points for name in names(test)]
        heights = [points[0].imag - min(p.imag for p in points) for points in traces]
        assert heights[0] == 0
        assert rises(heights, by=6)

    def test_the_fingers_lie_behind_and_below_the_inner_ankle_bone(self) -> None:
        one = drawing("pulse-posterior-tibial")
        bone = part(one, "foot", "malleolus").points
        tips = one.landmarks["fingers.tips"]
        assert tips.real < middle(bone).real
        assert tips.imag > middle(bone).imag

    def test_the_artery_on_top_of_the_foot_lies_on_the_outer_side_of_the_tendon(self) -> None:
        one = drawing("pulse-dorsalis-pedis")
        artery, tendon = (part(one, name).points for name in ("artery", "tendon"))
        # The great toe is lowest, so the outer side is above.
        assert one.landmarks["foot.hallux-tip"].imag > one.landmarks["foot.toe5-tip"].imag
        for point in artery:
            beside = min(tendon, key=lambda other: abs(other.real - point.real))
            assert point.imag < beside.imag - 3

    def test_hard_skin_is_drawn_under_the_head_that_is_named(self) -> None:
        heads = ("mtp1", "mtp2", "mtp5", "hallux-pulp")
        expected = ("first-head", "second-head", "fifth-head", "big-toe")
        for head, option in zip(heads, expected, strict=True):
            one = drawing(f"callus-site-{option}")
            at = middle(part(one, "mark").points)
            places = {name: one.landmarks[f"sole.{name}"] for name in heads}
            assert min(places, key=lambda name: abs(places[name] - at)) == head

    def test_hard_skin_runs_outward_in_the_order_of_the_heads(self) -> None:
        found = [
            middle(part(drawing(name), "mark").points).imag for name in names("callus-site")[1:5]
        ]
        assert rises(found, by=4)

    def test_the_bar_is_as_long_as_the_count_of_sites_felt(self) -> None:
        for felt in range(1, 11):
            start, end = part(drawing("monofilament", felt), "felt").points
            assert abs(end - start) == pytest.approx(10 * felt)

    def test_ten_ticks_and_nine_sites_on_the_sole_are_drawn(self) -> None:
        one = drawing("monofilament")
        assert sum(line.part == "scale" for line in one.lines) == 11
        sole = part(one, "sole", "sole").points
        sites = [
            middle(line.points)
            for line in one.lines
            if not line.part and abs(line.points[0] - middle(line.points)) < 2
        ]
        assert len(sites) == 9
        assert all(min(p.real for p in sole) < at.real < 112 for at in sites)

    def test_each_deformity_changes_the_sole_or_toe_that_it_is_about(self) -> None:
        plain = drawing("foot-deformity-none")
        ground = max(p.imag for p in part(plain, "ball").points)
        rocker = part(drawing("foot-deformity-bony-collapse"), "arch").points
        heads = part(drawing("foot-deformity-prominent-heads"), "ball").points
        assert min(max(p.imag for p in rocker), max(p.imag for p in heads)) > ground + 6
        claw = part(drawing("foot-deformity-claw-toes"), "toe").points
        toe = part(plain, "toe").points
        assert min(p.imag for p in claw) < min(p.imag for p in toe) - 10

    def test_the_long_second_toe_ends_beyond_the_big_toe(self) -> None:
        one = drawing("foot-deformity-long-second")
        reach = max(p.real for p in part(one, "toe").points)
        assert reach > one.landmarks["foot.hallux-tip"].real + 8

    def test_the_leaning_big_toe_leans_towards_the_others(self) -> None:
        leaning = part(made("foot-deformity-leaning-big-toe"), "toe").points
        straight = part(made("foot-deformity-long-second"), "foot", "medial").points
        assert max(leaning, key=lambda p: p.real).imag < max(straight, key=lambda p: p.real).imag
        assert max(p.imag for p in leaning) > max(p.imag for p in straight) + 3


class TestInterview:
    def test_the_tape_lies_ten_centimetres_below_the_tuberosity(self) -> None:
        one = drawing("calf-swelling")
        tuberosity = one.landmarks["leg.tibial-tuberosity"]
        shank = abs(one.landmarks["leg.ankle"] - one.landmarks["leg.knee-axis"])
        below = part(one, "tape").points[0].real - tuberosity.real
        # A shank is 0.246 of a stature of 1.71 m, so 42 cm.
        assert below / shank * 42 == pytest.approx(10, abs=0.6)
        assert middle(part(one, "bump").points).real == pytest.approx(tuberosity.real, abs=0.5)
        start, end = one.landmarks["distance.start"], one.landmarks["distance.end"]
        assert end.real - start.real == pytest.approx(below, abs=0.5)

    def test_the_swollen_calf_is_the_one_that_bulges(self) -> None:
        deepest = [
            max(p.imag for p in part(drawing(name), "calf").points)
            for name in names("calf-swelling")
        ]
        assert rises(deepest, by=10)

    def test_the_whole_tendon_lifts_the_heel_and_the_torn_one_does_not(self) -> None:
        lifted = part(drawing("push-off-loss-no"), "foot", "heel").points
        left_down = part(drawing("push-off-loss-yes"), "heel").points
        assert max(p.imag for p in left_down) > 73
        assert max(p.imag for p in lifted) < 65
        toe = part(drawing("push-off-loss-no"), "foot", "toe").points
        assert max(p.imag for p in toe) > 73

    @pytest.mark.parametrize(
        ("region", "landmark", "within"),
        [
            ("plantar-heel", "heel-centre", 12),
            ("arch", "arch-apex", 12),
            ("inner-ankle", "medial-malleolus", 22),
            ("big-toe", "mtp1-centre", 4),
        ],
    )
    def test_the_place_that_hurts_is_marked_where_it_lies(
        self, region: str, landmark: str, within: float
    ) -> None:
        one = drawing(f"complaint-region-{region}")
        away = abs(middle(part(one, "place").points) - one.landmarks[f"foot.{landmark}"])
        assert away < within

    def test_the_outer_side_of_a_left_foot_has_its_toes_at_the_left(self) -> None:
        inner, outer = (drawing(f"complaint-region-{name}") for name in ("none", "outer-ankle"))
        heel = part(outer, "foot", "heel").points
        assert max(p.real for p in part(outer, "toes").points) < min(p.real for p in heel)
        assert min(p.real for p in part(inner, "foot", "toe").points) > max(
            p.real for p in part(inner, "foot", "heel").points
        )
        # The outer ankle bone stands lower than the inner one.
        bones = part(inner, "foot", "malleolus").points, part(outer, "bone").points
        assert middle(bones[1]).imag > middle(bones[0]).imag

    def test_the_room_in_the_shoe_grows_with_the_answer(self) -> None:
        rooms = [part(drawing(name), "room").points for name in names("shoe-volume")]
        heights = [max(p.imag for p in room) - min(p.imag for p in room) for room in rooms]
        assert rises(heights, by=2)

    def test_the_narrow_counter_is_narrower_than_the_heel_and_the_firm_one_is_not(self) -> None:
        def breadth(points: tuple[complex, ...]) -> float:
            return max(p.real for p in points) - min(p.real for p in points)

        firm, narrow = (drawing(f"shoe-counter-{name}") for name in ("firm", "narrow"))
        assert breadth(part(firm, "counter").points) > breadth(part(firm, "heel").points) + 16
        assert breadth(part(narrow, "counter").points) <= breadth(part(narrow, "heel").points)


class TestPositions:
    def test_every_position_of_the_adult_protocol_has_its_figure(self) -> None:
        found = [position.id for position in ADULT.positions]
        assert [name for name in found if f"position-{name}" not in FIGURES] == []

    @pytest.mark.parametrize("name", ["seated", "interview"])
    def test_a_seated_knee_bends_the_human_way(self, name: str) -> None:
        one = drawing(f"position-{name}")
        hip, knee, ankle, toe, heel = (
            one.landmarks[f"patient.{place}"] for place in ("hip", "knee", "ankle", "toe", "heel")
        )
        forwards = 1 if toe.real > heel.real else -1
        assert (knee.real - hip.real) * forwards > 10
        assert ankle.imag > knee.imag + 10
        assert abs(direction_deg(knee, ankle) - 90) < 15

    def test_lying_on_the_back_the_toes_point_up_and_face_down_they_point_down(self) -> None:
        for name, up in (("supine", True), ("prone", False)):
            one = drawing(f"position-{name}")
            heel, toe = one.landmarks["patient.heel"], one.landmarks["patient.toe"]
            assert (toe.imag < heel.imag) is up
            front = middle(part(one, "patient", "front").points)
            back = middle(part(one, "patient", "back").points)
            assert (front.imag < back.imag) is up

    def test_face_down_the_feet_hang_over_the_end_of_the_couch(self) -> None:
        one = drawing("position-prone")
        couch = max(p.real for line in one.lines if line.part == "couch" for p in line.points)
        assert one.landmarks["patient.ankle"].real > couch

    def test_the_walker_has_one_leg_before_and_one_behind_the_body(self) -> None:
        one = drawing("position-walking")
        hip = one.landmarks["near.hip"].real
        assert one.landmarks["near.ankle"].real > hip + 10
        assert one.landmarks["far.ankle"].real < hip - 10
        for leg in ("near", "far"):
            hip_at, knee, ankle = (
                one.landmarks[f"{leg}.{place}"] for place in ("hip", "knee", "ankle")
            )
            # Facing right, a bent knee takes the shank back, so clockwise.
            assert direction_deg(knee, ankle) >= direction_deg(hip_at, knee) - 12


class TestDiabetes:
    def test_the_ankle_s_bar_is_as_many_times_the_arm_s_as_is_typed(self) -> None:
        for ratio in (0.4, 0.5, 0.9, 1, 1.3, 1.4, 3):
            one = made("ankle-brachial-index", ratio)
            arm, ankle = part(one, "arm").points, part(one, "ankle").points
            assert abs(ankle[1] - ankle[0]) / abs(arm[1] - arm[0]) == pytest.approx(ratio)

    def test_the_toe_s_bar_reaches_the_mark_at_thirty(self) -> None:
        mark = part(made("toe-pressure"), "cut-off").points[0].real
        ends = [part(made("toe-pressure", p), "pressure").points[1].real for p in (20, 30, 31, 180)]
        assert rises(ends)
        assert ends[0] < mark < ends[2]
        assert ends[1] == pytest.approx(mark)

    def test_the_column_rises_evenly_with_the_temperature(self) -> None:
        tops = [
            part(made("skin-temperature", celsius), "column").points[1].imag
            for celsius in (15, 20, 30, 37, 42)
        ]
        steps = [(a - b) / n for a, b, n in zip(tops, tops[1:], (5, 10, 7, 5), strict=False)]
        assert max(steps) - min(steps) < 1e-6
        assert steps[0] > 1

    def test_the_foot_is_wider_or_longer_than_the_shoe_that_does_not_fit(self) -> None:
        def size(one: Drawing, name: str) -> tuple[float, float]:
            points = [p for line in one.lines if line.part == name for p in line.points]
            across, along = [p.imag for p in points], [p.real for p in points]
            return max(across) - min(across), max(along) - min(along)

        found = {name: made(f"shoe-fit-{name}") for name in ("fits", "narrow", "short", "loose")}
        foot = size(found["fits"], "foot")
        shoe = {name: size(one, "shoe") for name, one in found.items()}
        assert shoe["narrow"][0] < foot[0] < shoe["fits"][0] < shoe["loose"][0] - 8
        assert shoe["short"][1] < foot[1] < shoe["fits"][1] < shoe["loose"][1]

    def test_the_fork_stands_on_the_big_toe_behind_its_tip(self) -> None:
        one = made("tuning-fork")
        foot = max(p.imag for p in part(one, "fork").points)
        at = one.landmarks["foot.hallux-ip"]
        assert abs(part(one, "fork").points[0].real - at.real) < 6
        assert foot < at.imag
