"""Derived values: named calculations over findings, known within bounds while some are missing."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import product

from attrs import evolve, frozen

from examwalk.protocol.derived_model import Derived
from examwalk.protocol.exam_model import Kind, Test
from examwalk.protocol.model import Protocol
from examwalk.reasoning.calculations import body_mass_index, iwgdf_risk, limb_length_lift
from examwalk.reasoning.intervals import Interval, distance, exactly, hull, monotone
from examwalk.reasoning.logic import ALWAYS, Verdict, merged
from examwalk.reasoning.results import DerivedAt, Truth
from examwalk.reasoning.shell_beam import relative_stiffness, strips_of
from examwalk.session.model import Answer, Place, Side


@frozen
class DerivedValue:
    """A number known within bounds, the findings it rests on, and what it lacks."""

    interval: Interval | None
    """Nothing where the value is not indicated: an input is not asked, or no row applies."""
    findings: tuple[Place, ...] = ()
    missing: tuple[Place, ...] = ()
    because: str = ""
    through: tuple[DerivedAt, ...] = ()
    """This derived value and those it was worked out from."""
    may_lapse: bool = False
    """Whether a missing answer could still show that the value is not indicated."""

    @property
    def is_settled(self) -> bool:
        """Whether the number is known, and that it is indicated."""
        return self.interval is not None and self.interval.is_settled and not self.may_lapse


def number_of(
    protocol: Protocol, test: Test, place: Place, answer: Answer | None, asked: Verdict
) -> DerivedValue:
    """Return the answer to a test as a number, within bounds while there is none.

    Args:
        protocol: where the test stands.
        test: a graded test or a measure.
        place: where it is answered.
        answer: its answer; nothing where there is none.
        asked: whether the test is asked at all.
    """
    if asked.truth is Truth.FALSE:
        return DerivedValue(None, missing=asked.missing)
    if answer is None:
        missing = (place, *asked.missing)
        return DerivedValue(_bounds_of(protocol, test), missing=missing, may_lapse=asked.is_unknown)
    if test.kind is Kind.GRADE:
        number: float = protocol.scale_of(test).score(str(answer))
    else:
        assert isinstance(answer, int | float)
        number = answer
    return DerivedValue(exactly(number), findings=(place,))


def _bounds_of(protocol: Protocol, test: Test) -> Interval:
    if test.kind is Kind.GRADE:
        scale = protocol.scale_of(test)
        return Interval(scale.first_score, scale.first_score + len(scale.grades) - 1)
    assert test.hard is not None
    return Interval(*test.hard)


def calculate(
    derived: Derived, side: Side, inputs: Sequence[DerivedValue], verdicts: Sequence[Verdict]
) -> DerivedValue:
    """Work out a derived value on one side.

    An unanswered input leaves a range of possible values: each calculation is evaluated at the
    bounds of its inputs and at both answers of its open conditions.

    Args:
        derived: the derived value.
        side: the side that it is worked out for.
        inputs: its inputs, each on all sides that it is asked for.
        verdicts: what its conditions come to, in the order of ``conditions_of``.
    """
    value = _calculated(derived, inputs, iter(verdicts))
    return DerivedValue(
        value.interval,
        value.findings,
        value.missing,
        value.because,
        through=merged((((derived.id, side),), value.through)),
        may_lapse=value.may_lapse,
    )


def _calculated(
    derived: Derived, inputs: Sequence[DerivedValue], verdicts: Iterator[Verdict]
) -> DerivedValue:
    if derived.when is None:
        return _worked_out(derived, inputs, verdicts)
    verdict = next(verdicts)
    if verdict.truth is Truth.FALSE:
        return DerivedValue(None, verdict.findings, verdict.missing)
    value = _worked_out(derived, inputs, verdicts)
    if verdict.is_unknown and value.interval is not None:
        missing = merged((verdict.missing, value.missing))
        return evolve(value, missing=missing, may_lapse=True)
    return value


def _worked_out(
    derived: Derived, inputs: Sequence[DerivedValue], verdicts: Iterator[Verdict]
) -> DerivedValue:
    conditions = dict(zip(derived.conditions, verdicts, strict=False))
    if derived.points:
        return _points(derived, [next(verdicts) for _ in derived.points])
    if derived.rows:
        return _lookup(derived, verdicts)
    grounds: tuple[DerivedValue | Verdict, ...] = (*inputs, *conditions.values())
    findings = merged(ground.findings for ground in grounds)
    through = merged(ground.through for ground in grounds)
    intervals = [value.interval for value in inputs if value.interval is not None]
    if len(intervals) < len(inputs):
        lapsed = merged(value.missing for value in inputs if value.interval is None)
        return DerivedValue(None, findings, lapsed, through=through)
    interval = hull(
        _CALCULATIONS[derived.calculation](intervals, dict(answers), dict(derived.parameters))
        for answers in _possible_answers(conditions.items())
    )
    may_lapse = any(value.may_lapse for value in inputs)
    is_open = may_lapse or not interval.is_settled
    missing = merged(ground.missing for ground in grounds) if is_open else ()
    return DerivedValue(interval, findings, missing, through=through, may_lapse=may_lapse)


def _possible_answers(
    verdicts: Iterable[tuple[str, Verdict]],
) -> Iterable[tuple[tuple[str, bool], ...]]:
    return product(
        *(
            [(name, answer) for answer in ((True, False) if one.is_unknown else (one.holds,))]
            for name, one in verdicts
        )
    )


def _points(derived: Derived, verdicts: Sequence[Verdict]) -> DerivedValue:
    low = high = 0.0
    reasons = []
    for points, verdict in zip(derived.points, verdicts, strict=True):
        if verdict.holds:
            low += points.points
            high += points.points
            if points.because:
                reasons.append(points.because)
        elif verdict.is_unknown:
            low += min(0, points.points)
            high += max(0, points.points)
    unknown = [verdict for verdict in verdicts if verdict.is_unknown and low != high]
    return DerivedValue(
        Interval(low, high),
        findings=merged(verdict.findings for verdict in verdicts),
        missing=merged(verdict.missing for verdict in unknown),
        because="; ".join(reasons),
        through=merged(verdict.through for verdict in verdicts),
    )


def _lookup(derived: Derived, answers: Iterator[Verdict]) -> DerivedValue:
    possible: list[float] = []
    verdicts = []
    because = ""
    for row in derived.rows:
        verdict = ALWAYS if row.when is None else next(answers)
        if verdict.truth is Truth.FALSE:
            continue
        verdicts.append(verdict)
        possible.append(row.value)
        if verdict.holds:
            because = row.because if len(possible) == 1 else ""
            break
    if not possible:
        return DerivedValue(None)
    interval = hull(exactly(value) for value in possible)
    may_lapse = not any(verdict.holds for verdict in verdicts)
    unsettled = verdicts if may_lapse or not interval.is_settled else ()
    return DerivedValue(
        interval,
        findings=merged(verdict.findings for verdict in verdicts),
        missing=merged(verdict.missing for verdict in unsettled),
        because=because,
        through=merged(verdict.through for verdict in verdicts),
        may_lapse=may_lapse,
    )


Calculation = Callable[[list[Interval], dict[str, bool], dict[str, float]], Interval]


def _sum(inputs: list[Interval], _: dict[str, bool], __: dict[str, float]) -> Interval:
    return Interval(sum(one.low for one in inputs), sum(one.high for one in inputs))


def _mean(inputs: list[Interval], _: dict[str, bool], __: dict[str, float]) -> Interval:
    count = len(inputs)
    return Interval(sum(one.low for one in inputs) / count, sum(one.high for one in inputs) / count)


def _difference(inputs: list[Interval], _: dict[str, bool], __: dict[str, float]) -> Interval:
    return monotone(lambda first, second: first - second, *inputs)


def _distance(inputs: list[Interval], _: dict[str, bool], __: dict[str, float]) -> Interval:
    return distance(*inputs)


def _body_mass_index(inputs: list[Interval], _: dict[str, bool], __: dict[str, float]) -> Interval:
    return monotone(body_mass_index, *inputs)


def _iwgdf_risk(_: list[Interval], conditions: dict[str, bool], __: dict[str, float]) -> Interval:
    return exactly(
        iwgdf_risk(
            loss_of_sensation=conditions["loss-of-sensation"],
            artery_disease=conditions["artery-disease"],
            deformity=conditions["deformity"],
            history=conditions["history"],
        )
    )


def _limb_length_lift(
    inputs: list[Interval], conditions: dict[str, bool], parameters: dict[str, float]
) -> Interval:
    def lift(difference_mm: float) -> float:
        return limb_length_lift(
            difference_mm,
            this_side_is_shorter=conditions["this-side-is-shorter"],
            linked_symptom=conditions["linked-symptom"],
            fraction=parameters["fraction"],
            ignore_below_mm=parameters["ignore-below-mm"],
        )

    return monotone(lift, *inputs)


def _relative_stiffness(
    inputs: list[Interval], _: dict[str, bool], parameters: dict[str, float]
) -> Interval:
    def ratio(mass_kg: float, thickness_mm: float) -> float:
        own, reference = strips_of(parameters, thickness_mm)
        return relative_stiffness(own, mass_kg, reference, parameters["reference-mass-kg"])

    return monotone(ratio, *inputs)


_CALCULATIONS: dict[str, Calculation] = {
    "sum": _sum,
    "mean": _mean,
    "difference": _difference,
    "absolute-difference": _distance,
    "side-difference": _distance,
    "body-mass-index": _body_mass_index,
    "iwgdf-risk": _iwgdf_risk,
    "limb-length-lift": _limb_length_lift,
    "relative-stiffness": _relative_stiffness,
}
