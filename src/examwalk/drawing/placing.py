"""Where things come to lie: amounts that follow a number, joints that bend, parts put in place."""

import cmath
import math
from collections.abc import Callable, Collection, Mapping, Sequence
from difflib import get_close_matches
from itertools import pairwise

from attrs import evolve, frozen

from examwalk.drawing.figure import (
    LARGEST_SCALE,
    LARGEST_TURN_DEG,
    MOST_BENDS,
    MOST_POINTS,
    Amount,
    Bend,
    Following,
    Part,
    Point,
    UndrawableError,
)
from examwalk.drawing.paths import Chain, check_place, ordinary

Move = Callable[[complex], complex]
"""A change of place, for every point of a part."""

_POINT_SENTENCE = (
    "a point is written [x, y], “landmark” or [“landmark”, right, down];"
    " a landmark's name may also stand for x or for y."
)
_BEND_STEP_DEG = 2
"""The skin around a joint is cut so finely that its pieces turn by about this, on an average."""


def amount(given: Amount, value: float | None) -> float:
    """Return a number, worked out for the measured value where it follows it.

    Raises:
        UndrawableError: there is no pair to follow, or a number is absurdly large.
    """
    if not isinstance(given, Following):
        return ordinary(given)
    pairs = [(ordinary(at), ordinary(amount_there)) for at, amount_there in given.follows]
    if not pairs:
        raise UndrawableError("“follows” lists no pairs of a value and an amount.")
    if value is None or not value > pairs[0][0]:
        return pairs[0][1]
    for (low, start), (high, end) in pairwise(pairs):
        if value <= high:
            return start + (end - start) * (value - low) / (high - low)
    return pairs[-1][1]


@frozen
class Places:
    """The landmarks that points may refer to, by the part that has them, in drawing order."""

    value: float | None
    of_parts: Mapping[str, Mapping[str, complex]]

    def point(self, given: Point) -> complex:
        """Return where a point of the file lies.

        Raises:
            UndrawableError: it names a landmark that is not there, or is no point at all.
        """
        if isinstance(given, str):
            placed = self._landmark(given)
        elif len(given) == 2:
            across, down = given
            placed = complex(self._across(across), self._down(down))
        elif len(given) == 3 and isinstance(given[0], str):
            placed = self._landmark(given[0]) + complex(*map(self._number, given[1:]))
        else:
            raise UndrawableError(_POINT_SENTENCE)
        check_place(placed)
        return placed

    def _across(self, given: str | Amount) -> float:
        return self._landmark(given).real if isinstance(given, str) else amount(given, self.value)

    def _down(self, given: str | Amount) -> float:
        return self._landmark(given).imag if isinstance(given, str) else amount(given, self.value)

    def _number(self, given: str | Amount) -> float:
        if isinstance(given, str):
            raise UndrawableError(_POINT_SENTENCE)
        return amount(given, self.value)

    def _landmark(self, name: str) -> complex:
        part, dot, landmark = name.rpartition(".")
        if dot:
            if part not in self.of_parts:
                raise UndrawableError(
                    f"“{name}” names no part drawn before this one.{nearest(part, self.of_parts)}"
                )
            found = self.of_parts[part]
        else:
            having = (
                marks for marks in reversed(list(self.of_parts.values())) if landmark in marks
            )
            found = next(having, {})
        if landmark not in found:
            known = found or {name for marks in self.of_parts.values() for name in marks}
            raise UndrawableError(f"“{name}” is not a landmark here.{nearest(landmark, known)}")
        return found[landmark]


def nearest(word: str, known: Collection[str]) -> str:
    """Return a hint that names the known word nearest to this one, or an empty text."""
    matches = get_close_matches(word, list(known), n=1, cutoff=0.6)
    return f" Did you mean “{matches[0]}”?" if matches else ""


@frozen
class Joint:
    """A bend with its points found."""

    at: complex
    """Where the joint is at rest."""
    pivot: complex
    """Where it is once the joints before it are bent."""
    along: complex
    """The direction of the limb that turns, of length 1."""
    turn: float
    """In radians."""
    over: float

    def share(self, point: complex) -> float:
        """Return how much of the turn a point takes: 0 before the joint, 1 beyond it."""
        offset, along = point - self.at, self.along
        beyond = (offset.real * along.real + offset.imag * along.imag) / self.over + 0.5
        if beyond <= 0:
            return 0.0
        # Eased in and out, or the skin would have a kink where the bend begins and ends.
        return beyond * beyond * (3 - 2 * beyond) if beyond < 1 else 1.0

    def bent(self, rest: complex, placed: complex) -> complex:
        """Return where a point comes to lie that earlier joints have brought to ``placed``."""
        turn = self.share(rest) * self.turn
        return self.pivot + (placed - self.pivot) * cmath.rect(1, turn) if turn else placed


def joints_of(bends: Sequence[Bend], own: Places) -> tuple[Joint, ...]:
    """Return the joints of some bends.

    How much a point turns hangs on where it is at rest, and a joint is carried along by the
    joints before it: so the limb ends up in the same place whatever their order.

    Raises:
        UndrawableError: a point is unknown, or a bend has no direction or no length.
    """
    if len(bends) > MOST_BENDS:
        raise UndrawableError(f"it has {len(bends)} bends; at most {MOST_BENDS}.")
    joints: list[Joint] = []
    for bend in bends:
        at = own.point(bend.at)
        along = own.point(bend.towards) - at
        over = ordinary(bend.over)
        if abs(along) == 0 or over <= 0:
            raise UndrawableError("a bend needs a point beyond the joint, and “over” above 0.")
        turn = math.radians(_bounded_turn(bend.turn_deg, own.value))
        pivot = bent(at, joints)
        joints.append(Joint(at, pivot, along / abs(along), turn, over))
    return tuple(joints)


def bent(point: complex, joints: Sequence[Joint]) -> complex:
    """Return where a point that is at rest comes to lie when the joints are bent."""
    placed = point
    for joint in joints:
        placed = joint.bent(point, placed)
    return placed


def bend_chain(chain: Chain, joints: Sequence[Joint]) -> Chain:
    """Return a chain with its joints bent, cut finely where the skin curves around one."""
    points = [chain.points[0]]
    for start, end in zip(chain.points, chain.points[1:], strict=False):
        pieces = max((_pieces(joint, start, end) for joint in joints), default=1)
        points.extend(start + (end - start) * (step / pieces) for step in range(1, pieces + 1))
        if len(points) > MOST_POINTS:
            raise UndrawableError(f"bent, it has more than {MOST_POINTS} points.")
    return evolve(chain, points=tuple(bent(point, joints) for point in points))


def _pieces(joint: Joint, start: complex, end: complex) -> int:
    turned = abs(joint.turn * (joint.share(end) - joint.share(start)))
    if turned == 0:
        return 1
    # Only a part of a long line may lie at the joint; cut it as if all of it did.
    length = abs(((end - start) * joint.along.conjugate()).real)
    spread = max(1.0, length / joint.over)
    return min(100, math.ceil(math.degrees(turned) * spread / _BEND_STEP_DEG))


def placement(part: Part, about: complex, figure: Places) -> Move:
    """Return the mirroring, scaling, turning and moving of a part about one of its points.

    Raises:
        UndrawableError: a point is unknown, or a number out of bounds.
    """
    target = figure.point(part.to) if part.to is not None else about
    across, down = (amount(shift, figure.value) for shift in part.move)
    wide, high = _scales(part, figure.value)
    wide = -wide if part.mirror else wide
    rotation = cmath.rect(1, math.radians(_bounded_turn(part.turn_deg, figure.value)))
    goal = target + complex(across, down)

    def placed(point: complex) -> complex:
        offset = point - about
        return goal + complex(offset.real * wide, offset.imag * high) * rotation

    return placed


def _scales(part: Part, value: float | None) -> tuple[float, float]:
    both = part.scale if isinstance(part.scale, tuple) else (part.scale, part.scale)
    wide, high = (amount(one, value) for one in both)
    if not (0 <= wide <= LARGEST_SCALE and 0 <= high <= LARGEST_SCALE):
        raise UndrawableError(
            f"its scale is {wide:g} by {high:g}; a scale is 0 to {LARGEST_SCALE}."
        )
    return wide, high


def _bounded_turn(given: Amount, value: float | None) -> float:
    turn = amount(given, value)
    if not abs(turn) <= LARGEST_TURN_DEG:
        raise UndrawableError(
            f"it turns by {turn:g} degrees; a turn is within ±{LARGEST_TURN_DEG}."
        )
    return turn
