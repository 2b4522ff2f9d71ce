"""What is drawn for questions, for children and for the follow-up: measured on the lines."""

import pytest
from adult_drawings import drawing, names, part, rises

from examwalk.drawing.composing import Drawing, compose
from examwalk.protocol.library import find_protocol
from examwalk.protocol.shipped import read_shipped

CHILD = read_shipped(find_protocol("child")).protocol
RUNNER = read_shipped(find_protocol("runner")).protocol
REVIEW = read_shipped(find_protocol("review")).protocol


def child(name: str) -> Drawing:
    return compose(name, CHILD.outlines, CHILD.figures)


def review(name: str) -> Drawing:
    return compose(name, REVIEW.outlines, REVIEW.figures)


def middle(made: Drawing, name: str) -> complex:
    points = [point for line in made.lines if line.part == name for point in line.points]
    return complex(
        (min(p.real for p in points) + max(p.real for p in points)) / 2,
        (min(p.imag for p in points) + max(p.imag for p in points)) / 2,
    )


def lines_of(made: Drawing, name: str) -> int:
    return sum(line.part == name for line in made.lines)


def test_the_hot_foot_bulges_forward_of_its_ordinary_instep_and_alone_gives_off_heat() -> None:
    cool, hot = (drawing(name) for name in names("hot-swollen-foot"))
    bulge = [
        max(p.real - p.imag for p in part(made, "instep").points[2:-8]) for made in (cool, hot)
    ]
    assert rises(bulge, by=8)
    assert lines_of(cool, "heat") == 0
    assert lines_of(hot, "heat") == 1


def test_only_who_is_safe_on_one_leg_has_a_knee_raised() -> None:
    made = {name: drawing(f"standing-ability-{name}") for name in ("one-leg", "two-legs")}
    assert lines_of(made["two-legs"], "raised") == 0
    one = made["one-leg"].landmarks
    assert one["body.heel"].imag - one["raised.heel-ground"].imag > 10
    assert one["raised.knee-axis"].real > one["raised.hip"].real + 10
    # The shin hangs from the raised knee the human way.
    assert one["raised.ankle"].imag > one["raised.knee-axis"].imag + 10


def test_left_is_marked_at_the_left_and_right_at_the_right() -> None:
    centre = 40
    assert middle(drawing("complaint-side-left"), "left-mark").real < centre
    assert middle(drawing("complaint-side-right"), "right-mark").real > centre
    both = drawing("complaint-side-both")
    assert lines_of(both, "left-mark") == lines_of(both, "right-mark") == 1
    assert lines_of(drawing("complaint-side-none"), "left-mark") == 0


def test_the_inner_half_of_a_left_knee_is_at_the_viewers_left() -> None:
    inner, outer, front = (
        drawing(f"knee-history-{name}")
        for name in ("medial-arthritis", "lateral-arthritis", "front-of-knee")
    )
    patella = part(front, "knee", "patella").points
    across = (min(p.real for p in patella) + max(p.real for p in patella)) / 2
    assert middle(inner, "place").real < across < middle(outer, "place").real
    assert middle(front, "place").real == pytest.approx(across, abs=1)
    joint = middle(inner, "joint").imag
    assert middle(inner, "place").imag == pytest.approx(joint, abs=2)
    assert middle(front, "place").imag < joint - 10


def test_an_ankle_that_gives_way_turns_its_sole_towards_the_other_foot() -> None:
    marks = drawing("ankle-giving-way").landmarks
    # From behind the other foot stands at the right of a left one.
    assert marks["ankle.heel-bottom"].real > marks["ankle.heel-top"].real + 8


@pytest.mark.parametrize(("test", "mark"), [("fascia-tender", "way"), ("first-mtp-pain", "joint")])
def test_a_cross_says_pain_and_a_circle_none(test: str, mark: str) -> None:
    no, yes = (drawing(name) for name in names(test))
    assert part(no, mark).stroke == "circle"
    assert part(yes, mark).stroke == "cross"


def test_the_growth_plate_is_squeezed_behind_where_the_bone_is() -> None:
    plate, bone = (child(f"heel-tenderness-{name}") for name in ("growth-plate", "squeeze"))
    assert middle(plate, "centre").real < middle(bone, "centre").real - 10
    assert plate.landmarks["lateral.end"].real < bone.landmarks["lateral.end"].real - 10


def test_an_arch_that_fell_lies_below_where_it_was_and_one_that_stayed_does_not() -> None:
    def heights(name: str) -> tuple[float, float]:
        made = child(f"flat-foot-course-{name}")
        was, now = (min(p.imag for p in part(made, line).points) for line in ("was", "arch"))
        return was, now

    was, now = heights("newly-changed")
    assert now - was > 8
    was, now = heights("as-ever")
    assert was - 6 < now <= was


def test_what_the_device_left_lies_on_the_foot_above_the_device() -> None:
    for trace in ("blister", "mark", "sore", "rash", "numbness"):
        made = review(f"side-effects-{trace}")
        assert middle(made, "trace").imag < middle(made, "device").imag - 8, trace
    sore, numb = (review(f"side-effects-{name}") for name in ("sore", "numbness"))
    assert middle(sore, "trace").real < sore.landmarks["foot.heel-pad-front"].real
    assert middle(numb, "trace").real > numb.landmarks["foot.arch-apex"].real + 15


def test_the_left_groin_lies_at_the_viewers_right_of_a_body_from_the_front() -> None:
    made = compose("groin-pain", RUNNER.outlines, RUNNER.figures)
    fork = min(part(made, "between").points, key=lambda point: point.imag)
    place = part(made, "place").points
    assert min(p.real for p in place) > fork.real + 4
    assert min(p.imag for p in place) < fork.imag < max(p.imag for p in place)
    assert max(p.real for p in place) < max(p.real for p in part(made, "left").points) - 6
