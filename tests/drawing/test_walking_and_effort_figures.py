"""What is drawn for walking, effort and running: measured on the drawn lines."""

from functools import cache

import pytest
from adult_drawings import direction_deg, drawing, grades, names, part, rises

from examwalk.drawing.atlas import Atlas
from examwalk.drawing.composing import Drawing, compose
from examwalk.drawing.sheet import Entry, Plate, alike
from examwalk.protocol.library import find_protocol
from examwalk.protocol.model import Protocol
from examwalk.protocol.shipped import read_shipped

GROUND = 140
"""Of the figures that show a leg from the side."""


class TestTimingOfHeelRise:
    def test_the_swinging_foot_is_behind_just_past_and_far_in_front(self) -> None:
        ahead = [
            made.landmarks["swing.ankle"].real - made.landmarks["stance.ankle"].real
            for made in grades("heel-rise-timing")
        ]
        foot_length = 38
        assert ahead[0] < -0.5 * foot_length
        assert 0 < ahead[1] < 1.5 * foot_length
        assert ahead[2] > 2 * foot_length

    def test_the_heel_is_up_early_and_ordinarily_and_down_when_late(self) -> None:
        gaps = [
            GROUND - made.landmarks["foot.heel-ground"].imag for made in grades("heel-rise-timing")
        ]
        assert gaps[0] > 5
        assert gaps[1] > 5
        assert gaps[2] == pytest.approx(0, abs=1)

    def test_the_stance_foot_stays_where_it_stands(self) -> None:
        balls = [made.landmarks["foot.ball"] for made in grades("heel-rise-timing")]
        assert balls[1] == pytest.approx(balls[0], abs=0.5)
        assert balls[2] == pytest.approx(balls[0], abs=0.5)

    def test_a_late_heel_is_still_down_when_the_other_heel_has_landed(self) -> None:
        late = drawing("heel-rise-timing-late")
        assert late.landmarks["swing.heel-ground"].imag == pytest.approx(GROUND, abs=2)
        early = drawing("heel-rise-timing-early")
        assert early.landmarks["swing.sole-front"].imag < GROUND - 5

    def test_the_swinging_knee_bends_the_human_way(self) -> None:
        for made in grades("heel-rise-timing"):
            marks = made.landmarks
            thigh = direction_deg(marks["swing.hip"], marks["swing.knee-axis"])
            shin = direction_deg(marks["swing.knee-axis"], marks["swing.ankle"])
            # Walking to the right, a bent knee carries the shin back: clockwise as seen.
            assert shin - thigh >= -1


class TestTwistOfTheHeel:
    def test_the_heel_goes_further_inwards_from_grade_to_grade(self) -> None:
        made = grades("abductory-twist")
        stood = part(made[0], "stood").points[0].real
        # From behind, inwards is to the right for the left foot.
        off = [one.landmarks["heel.heel-bottom"].real - stood for one in made]
        assert off[0] == pytest.approx(0, abs=0.5)
        assert rises(off, by=8)

    def test_the_toes_turn_out_as_the_heel_flicks_in(self) -> None:
        outer = [
            -min(point.real for point in part(made, "lateral").points)
            for made in grades("abductory-twist")
        ]
        assert rises(outer, by=6)

    def test_the_arrow_is_straight_up_only_where_there_is_no_twist(self) -> None:
        shafts = [part(made, "flick", "shaft").points for made in grades("abductory-twist")]
        assert direction_deg(shafts[0][0], shafts[0][-1]) == pytest.approx(-90, abs=1)
        assert rises([shaft[-1].real - shaft[0].real for shaft in shafts], by=8)


def test_the_footprint_has_five_toes_of_which_the_big_one_is_on_the_inner_side() -> None:
    one = drawing("foot-progression-angle", 0)
    big_toe = part(one, "foot", "hallux").points
    toes = [line.points for line in one.lines if line.part == "foot" and "toes" in line.stroke]
    lesser = [max(p.real for p in toe) for toe in toes]
    assert len(lesser) == 4
    # The other foot stands at the right: there lies the inner side of a left print from above.
    assert min(p.real for p in big_toe) > max(lesser)


@pytest.mark.parametrize("value", [-20, -10, 0, 8, 25])
def test_the_footprint_stays_clear_of_the_line_of_walking(value: int) -> None:
    one = drawing("foot-progression-angle", value)
    foot = [p.real for line in one.lines if line.part == "foot" for p in line.points]
    assert one.view_box[0] < min(foot)
    assert max(foot) < part(one, "way", "shaft").points[0].real


class TestSingleHeelRaise:
    @pytest.mark.parametrize("count", [0, 1, 10, 25, 37, 60])
    def test_the_bar_reaches_the_count_on_the_ladder_of_tens(self, count: int) -> None:
        made = drawing("single-heel-raise", count)
        rungs = sorted(
            (line.points[0].imag for line in made.lines if line.part == "ladder"), reverse=True
        )
        assert len(rungs) == 7
        a_ten = (rungs[0] - rungs[6]) / 6
        top = part(made, "count").points[-1].imag
        assert (rungs[0] - top) / a_ten * 10 == pytest.approx(count, abs=0.5)

    def test_beyond_sixty_the_bar_stays_at_the_top(self) -> None:
        assert (
            part(drawing("single-heel-raise", 150), "count").points
            == part(drawing("single-heel-raise", 60), "count").points
        )

    def test_the_heel_is_down_at_none_and_up_from_the_first_raise_on(self) -> None:
        heels = [
            drawing("single-heel-raise", n).landmarks["leg.heel-ground"].imag for n in (0, 1, 30)
        ]
        assert heels[0] - heels[1] > 6
        assert heels[1] == heels[2]
        toes = [drawing("single-heel-raise", n).landmarks["leg.toe-tip"].imag for n in (0, 1)]
        assert toes[0] == pytest.approx(toes[1], abs=1)


class TestWhatEndedTheRaises:
    def test_the_bars_fall_where_the_calf_tires(self) -> None:
        made = drawing("heel-raise-stop-tired")
        bars = [line.points for line in made.lines if line.part == "fading"]
        heights = [abs(bar[-1] - bar[0]) for bar in bars]
        assert rises([-height for height in heights], by=4)
        assert rises([bar[0].real for bar in bars], by=4)

    def test_the_heel_stays_down_only_where_the_leg_is_too_weak(self) -> None:
        gaps = {
            name: GROUND - drawing(name).landmarks["leg.heel-ground"].imag
            for name in names("heel-raise-stop")
        }
        assert gaps.pop("heel-raise-stop-weak") == pytest.approx(0, abs=0.5)
        assert min(gaps.values()) > 4


RUNNING = {
    "bone-tenderness": (
        "none",
        "navicular",
        "talus",
        "inner-ankle",
        "fifth-base",
        "second-base",
        "sesamoid",
        "shaft",
        "shin-point",
        "shin-stretch",
    ),
    "achilles-site": ("not-sore", "middle", "insertion", "both"),
    "hop": ("free", "soft-tissue", "bone"),
    "running-shoe-kind": ("ordinary", "control", "low", "plate", "spikes"),
}


@cache
def runner() -> Protocol:
    protocol = read_shipped(find_protocol("runner")).protocol
    assert protocol is not None
    return protocol


def running(figure: str, value: float | None = None) -> Drawing:
    return compose(figure, runner().outlines, runner().figures, value)


class TestRunning:
    @pytest.mark.parametrize("test", RUNNING)
    def test_any_two_options_can_be_told_apart_even_when_small(self, test: str) -> None:
        entries = [Entry(f"{test}-{option}") for option in RUNNING[test]]
        pairs = [
            Plate(test, (one, other)) for i, one in enumerate(entries) for other in entries[i + 1 :]
        ]
        assert alike(pairs, Atlas(runner().outlines, runner().figures)) == ()

    @pytest.mark.parametrize("test", RUNNING)
    def test_every_option_of_the_protocol_has_a_drawing_with_words_of_its_own(
        self, test: str
    ) -> None:
        asked = next(one for one in runner().tests if one.id == test)
        drawn = [f"{test}-{option}" for option in asked.options]
        assert drawn == [f"{test}-{option}" for option in RUNNING[test]]
        words = [running(name).alt for name in (test, *drawn)]
        assert len(set(words)) == len(words)

    @pytest.mark.parametrize("count", [0, 1, 2, 3, 4, 5])
    def test_the_bar_of_the_squat_reaches_as_many_rungs_as_there_are_faults(
        self, count: int
    ) -> None:
        made = running("squat-score", count)
        rungs = sorted(line.points[0].imag for line in made.lines if line.part == "ladder")[::-1]
        assert part(made, "count").points[-1].imag == pytest.approx(rungs[count], abs=0.5)

    def test_knee_pelvis_and_trunk_leave_their_place_further_with_each_fault(self) -> None:
        made = [running("squat-score", count) for count in range(6)]
        # From the front the inner side of the left leg is at the viewer's left.
        knees = [one.landmarks["leg.ankle"].real - one.landmarks["leg.knee"].real for one in made]
        drops = []
        for one in made:
            free_side, stance_side = part(one, "pelvis").points
            drops.append(free_side.imag - stance_side.imag)
        assert rises(knees, by=1)
        assert rises(drops, by=1)
        assert drops[0] == pytest.approx(0)

    def test_the_hopping_foot_is_in_the_air_and_on_the_ground_at_take_off_and_landing(
        self,
    ) -> None:
        made = {option: running(f"hop-{option}") for option in RUNNING["hop"]}
        lowest = {
            option: max(p.imag for line in one.lines if line.part == "leg" for p in line.points)
            for option, one in made.items()
        }
        ground = part(made["free"], "", "ground").points[0].imag
        assert ground - lowest["free"] > 10
        assert lowest["soft-tissue"] == pytest.approx(ground, abs=2)
        assert lowest["bone"] == pytest.approx(ground, abs=2)
        assert made["soft-tissue"].landmarks["leg.heel-ground"].imag < ground - 8
        assert made["bone"].landmarks["leg.heel-ground"].imag == pytest.approx(ground, abs=1)

    def test_heel_and_forefoot_of_the_shoe_stand_as_high_as_its_kind_says(self) -> None:
        drops = {}
        for kind in RUNNING["running-shoe-kind"]:
            made = running(f"running-shoe-kind-{kind}")
            drops[kind] = made.landmarks["upper.toe"].imag - made.landmarks["upper.heel"].imag
        assert drops["ordinary"] == drops["control"] > 8
        assert drops["low"] == drops["spikes"] == pytest.approx(0, abs=0.5)

    def test_the_sore_middle_of_the_tendon_is_two_to_six_centimetres_above_the_bone(self) -> None:
        made = running("achilles-site-both")
        middle, insertion = (
            sum(line.points[0] + line.points[-1] for line in made.lines if line.part == name) / 4
            for name in ("middle", "insertion")
        )
        # A foot of 26.3 cm is drawn from the back of its heel to the tip of its big toe.
        length = abs(made.landmarks["foot.hallux-tip"].imag - made.landmarks["foot.heel-back"].imag)
        assert 2 < abs(middle - insertion) / length * 26.3 < 8

    def test_the_cross_of_a_bone_point_lies_where_that_bone_is(self) -> None:
        def cross(site: str) -> tuple[Drawing, complex]:
            made = running(f"bone-tenderness-{site}")
            arms = [line.points for line in made.lines if line.part == "sore"]
            return made, (arms[0][0] + arms[0][-1]) / 2

        made, talus = cross("talus")
        ankle = made.landmarks["foot.medial-malleolus"]
        assert talus.real > ankle.real
        assert talus.imag > ankle.imag
        made, navicular = cross("navicular")
        assert abs(navicular - made.landmarks["foot.navicular"]) < 12
        assert navicular.imag < made.landmarks["foot.navicular"].imag
        assert navicular.real > talus.real
        made, sesamoid = cross("sesamoid")
        assert abs(sesamoid - made.landmarks["foot.mtp1-plantar"]) < 4
        # From above the little toe of the left foot is at the top, toes to the right.
        made, fifth = cross("fifth-base")
        _, second = cross("second-base")
        assert fifth.imag < second.imag < made.landmarks["foot.mtp1"].imag
        assert second.real < made.landmarks["foot.mtp2"].real - 20
