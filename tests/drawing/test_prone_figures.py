"""What is drawn for the tests in lying face down: measured on the drawn lines."""

import math

import pytest
from adult_drawings import direction_deg, drawing, grades, part, rises


def test_the_foot_points_down_only_where_the_squeeze_moves_it() -> None:
    moved, still = (
        direction_deg(made.landmarks["leg.ankle"], made.landmarks["foot.ball"])
        for made in grades("calf-squeeze")
    )
    # Towards the feet is 0 and down to the floor 90 degrees: a hanging foot is near the latter,
    # and pointing it brings it into line with the shin.
    assert 50 < still < 90
    assert still - moved > 40


def test_the_hand_holds_the_calf_above_the_couch_and_off_the_tendon() -> None:
    made = drawing("calf-squeeze")
    tips, knee, ankle = (made.landmarks[f"{n}"] for n in ("hand.tips", "leg.knee", "leg.ankle"))
    along = (tips.real - knee.real) / (ankle.real - knee.real)
    assert 0.15 < along < 0.5
    assert tips.imag < part(made, "couch").points[0].imag


def test_the_heel_turns_in_and_out_further_from_grade_to_grade() -> None:
    ranges = []
    for made in grades("subtalar-range"):
        inverted, everted = (
            direction_deg(part(made, name).points[0], part(made, name).points[-1])
            for name in ("inverted", "everted")
        )
        # The sole of an inverted left heel comes to the right, towards the other foot.
        assert inverted < 90 < everted
        ranges.append(everted - inverted)
    assert ranges[0] < 15 <= ranges[1] <= 35 < ranges[2]


def test_the_forefoot_turns_evenly_from_varus_to_valgus() -> None:
    tilts = []
    for made in grades("forefoot-alignment"):
        plane = part(made, "plane").points
        tilts.append(direction_deg(plane[0], plane[-1]))
    assert rises(tilts, by=8)
    assert tilts == pytest.approx([-tilt for tilt in reversed(tilts)], abs=0.1)


def test_in_varus_the_big_toe_side_is_the_raised_one() -> None:
    varus = drawing("forefoot-alignment-marked-varus")
    square = part(varus, "square").points[0].imag
    head = part(varus, "first-head").points
    middle = sum(head) / len(head)
    # From behind the inner side of a left foot is at the right.
    assert middle.real > varus.landmarks["heel.heel-medial"].real
    little_toe_side = min(part(varus, "forefoot").points, key=lambda point: point.real)
    assert middle.imag < little_toe_side.imag
    assert little_toe_side.imag > square


@pytest.mark.parametrize("value", [0, 10, 15, 35, 60, 80, 90, 110])
@pytest.mark.parametrize(("figure", "outwards"), [("internal", 1), ("external", -1)])
def test_the_shin_falls_by_the_typed_angle(figure: str, outwards: int, value: int) -> None:
    made = drawing(f"hip-{figure}-rotation", value)
    knee, sole = made.landmarks["shank.knee"], made.landmarks["shank.sole"]
    # Upright is -90; outwards is to the left, where the left leg lies seen from the feet.
    fallen = outwards * (-90 - direction_deg(knee, sole))
    assert math.remainder(fallen - value, 360) == pytest.approx(0, abs=1)


@pytest.mark.parametrize("value", [10, 22, 35, 52, 80, 110])
@pytest.mark.parametrize("figure", ["internal", "external"])
def test_the_arrow_runs_around_the_knee_from_upright_to_the_shin(figure: str, value: int) -> None:
    made = drawing(f"hip-{figure}-rotation", value)
    knee = made.landmarks["shank.knee"]
    shaft = part(made, "fall", "shaft").points
    assert direction_deg(knee, shaft[0]) == pytest.approx(-90, abs=0.1)
    off = direction_deg(knee, shaft[-1]) - direction_deg(knee, made.landmarks["shank.sole"])
    assert math.remainder(off, 360) == pytest.approx(0, abs=1)
    radii = [abs(point - knee) for point in shaft]
    assert max(radii) - min(radii) < 2.5


@pytest.mark.parametrize("value", [-60, -20, -5, 0, 10, 30, 40, 70])
def test_the_foot_lies_at_the_typed_angle_to_the_thigh(value: int) -> None:
    made = drawing("thigh-foot-angle", value)
    thigh, foot = (part(made, name).points for name in ("thigh-arm", "foot-arm"))
    # Out is clockwise: the great toe of a left sole that is looked down on is on top.
    angle = direction_deg(foot[0], foot[-1]) - direction_deg(thigh[0], thigh[-1])
    assert angle == pytest.approx(value, abs=1)
    left, top, width, height = made.view_box
    for line in made.lines:
        if line.part == "foot":
            assert all(left < p.real < left + width for p in line.points)
            assert all(top < p.imag < top + height for p in line.points)
