"""Joints bend: what lies beyond them turns as a whole, and the skin stays in one piece."""

import cmath
import itertools
import math

import pytest
from made_figures import LIMB, drawn

from examwalk.drawing.figure import Bend, Following, Outline, Part, Stroke, UndrawableError

OVER = 10


def limb(*bends: Bend, **options) -> Part:
    return Part(outline="limb", bends=bends, **options)


def knee(turn_deg, **options) -> Bend:
    return Bend(**{"at": "knee", "towards": "ankle", "turn_deg": turn_deg, "over": OVER, **options})


def direction_deg(start: complex, end: complex) -> float:
    return math.degrees(cmath.phase(end - start))


class TestOneJoint:
    @pytest.mark.parametrize("turn", [-80, -10, 0, 3, 45, 120])
    def test_the_far_limb_turns_by_exactly_the_given_angle(self, turn):
        marks = drawn(limb(knee(turn))).landmarks
        # At rest it points straight down: 90 degrees with y running down.
        at = marks["limb.knee"]
        assert marks["limb.ankle"] == pytest.approx(at + cmath.rect(50, math.radians(90 + turn)))
        assert abs(marks["limb.ankle"] - marks["limb.knee"]) == pytest.approx(50)

    def test_the_near_limb_stays_where_it_is(self):
        bent = drawn(limb(knee(60)))
        (axis,) = (line for line in bent.lines if line.stroke == "axis")
        near = [point for point in axis.points if point.imag <= 50 - OVER / 2]
        assert near
        assert all(point.real == pytest.approx(20) for point in near)

    def test_positive_turns_are_clockwise_as_seen(self):
        # A hand that points down and turns clockwise moves to the left.
        assert drawn(limb(knee(30))).landmarks["limb.ankle"].real < 20

    def test_a_straight_stroke_curves_around_the_joint_instead_of_breaking(self):
        bent = drawn(limb(knee(60)))
        for line in bent.lines:
            ways = [b - a for a, b in itertools.pairwise(line.points) if a != b]
            turns = [math.degrees(cmath.phase(b / a)) for a, b in itertools.pairwise(ways)]
            # Broken at one place it would turn by 60 degrees there.
            assert max(map(abs, turns)) < 50
            assert sum(turns) == pytest.approx(60)

    def test_a_bend_spread_far_begins_and_ends_without_a_kink(self):
        bent = drawn(limb(knee(60, over=40)))
        for line in bent.lines:
            ways = [b - a for a, b in itertools.pairwise(line.points) if a != b]
            turns = [math.degrees(cmath.phase(b / a)) for a, b in itertools.pairwise(ways)]
            # A turn that set in at full speed would make a kink of more than 20 degrees.
            assert max(map(abs, turns)) < 10

    def test_an_unbent_joint_changes_nothing(self):
        straight, unbent = drawn(limb()), drawn(limb(knee(0)))
        assert [line.points for line in straight.lines] == [line.points for line in unbent.lines]

    def test_the_angle_may_follow_the_value(self):
        following = Following(((0, 0), (90, -90)))
        for value in (0, 12.5, 90):
            marks = drawn(limb(knee(following)), value=value).landmarks
            angle = direction_deg(marks["limb.knee"], marks["limb.ankle"])
            assert angle == pytest.approx(90 - value)


class TestSeveralJoints:
    arm = Outline(
        view_box=(0, 0, 100, 20),
        strokes={"axis": Stroke(d="M0 10L90 10")},
        landmarks={"a": (0, 10), "b": (30, 10), "c": (60, 10), "d": (90, 10)},
    )
    bends = (
        Bend(at="b", towards="c", turn_deg=40, over=8),
        Bend(at="c", towards="d", turn_deg=-70, over=8),
    )

    @pytest.mark.parametrize("order", list(itertools.permutations(bends)))
    def test_their_order_does_not_matter(self, order):
        part = Part(outline="arm", bends=order)
        marks = drawn(part, outlines={"arm": self.arm}).landmarks
        # By hand: 30 straight on, then 30 at 40 degrees, then 30 at 40 - 70 = -30 degrees.
        middle = 30 + 10j + cmath.rect(30, math.radians(40))
        assert marks["arm.c"] == pytest.approx(middle)
        assert marks["arm.d"] == pytest.approx(middle + cmath.rect(30, math.radians(-30)))


class TestImpossibleBends:
    @pytest.mark.parametrize(
        ("bend", "says"),
        [
            (knee(5, towards="knee"), "a point beyond the joint"),
            (knee(5, over=0), "“over” above 0"),
            (knee(5, over=-3), "“over” above 0"),
            (knee(5, at="kneee"), "“kneee” is not a landmark here. Did you mean “knee”?"),
            (knee(99999), "within ±3600"),
            (knee(10**400), "a number is beyond"),
        ],
    )
    def test_what_is_wrong_is_said(self, bend, says):
        with pytest.raises(UndrawableError) as refused:
            drawn(limb(bend))
        assert says in str(refused.value)

    def test_too_many_bends_are_refused(self):
        with pytest.raises(UndrawableError, match="it has 9 bends; at most 8"):
            drawn(limb(*[knee(1)] * 9))

    def test_only_the_landmarks_of_the_outline_itself_are_meant(self):
        with pytest.raises(UndrawableError, match="elsewhere"):
            drawn(
                Part(id="elsewhere", outline="limb"),
                limb(knee(5, at="elsewhere.knee")),
                outlines={"limb": LIMB},
            )
