"""Joints of the leg are drawn at the angle that is typed: measured on the drawn lines."""

import pytest
from adult_drawings import direction_deg, drawing, part


def arms_deg(figure: str, value: float, *names: str) -> tuple[float, ...]:
    """Return the directions of straight parts from their first point to their last."""
    made = drawing(figure, value)
    points = [part(made, name).points for name in names]
    return tuple(direction_deg(one[0], one[-1]) for one in points)


@pytest.mark.parametrize("value", [-30, -10, 0, 5, 10, 15, 25, 40])
def test_the_knee_is_drawn_as_far_beyond_straight_as_is_typed(value: int) -> None:
    thigh, shank = arms_deg("knee-hyperextension", value, "thigh-arm", "shank-arm")
    # Both point downwards; the hip falls forward of the line of the shank by the angle typed.
    assert thigh - shank == pytest.approx(value, abs=1)


@pytest.mark.parametrize("value", [-40, -20, -5, 0, 5, 10, 20, 30])
def test_the_ankle_is_drawn_as_far_from_the_right_angle_as_is_typed(value: int) -> None:
    shank, foot = arms_deg("ankle-dorsiflexion-straight", value, "shank-arm", "foot-arm")
    assert shank == pytest.approx(0, abs=1)
    # The foot points up, which is -90 degrees; dorsiflexion tilts it towards the shin.
    assert foot == pytest.approx(-90 - value, abs=1)


def test_the_knee_and_the_ankle_stop_being_drawn_further_at_the_hard_limits() -> None:
    beyond = arms_deg("knee-hyperextension", 90, "thigh-arm", "shank-arm")
    assert beyond == arms_deg("knee-hyperextension", 40, "thigh-arm", "shank-arm")


@pytest.mark.parametrize("value", [-60, -40, -20, 0, 20, 50])
@pytest.mark.parametrize("knee", ["straight", "bent"])
def test_the_arrow_that_pushes_the_foot_stays_whole_in_the_picture(knee: str, value: int) -> None:
    made = drawing(f"ankle-dorsiflexion-{knee}", value)
    left, top, width, height = made.view_box
    lift = [point for line in made.lines if line.part == "lift" for point in line.points]
    assert lift
    assert all(left < point.real < left + width for point in lift)
    assert all(top < point.imag < top + height for point in lift)
