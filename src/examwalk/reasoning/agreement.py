"""Which published figure says how a test comes out when repeated, and what is assumed instead."""

import math
from collections.abc import Iterator, Mapping
from enum import Enum

from attrs import field, frozen

from examwalk.language import later, say, say_decimal
from examwalk.protocol.exam_model import Kind, Test
from examwalk.protocol.model import AssumedAgreement, Protocol
from examwalk.protocol.reliability_model import Coefficient, Reliability
from examwalk.protocol.wording import answers_of, short_number
from examwalk.reasoning.misgrading import (
    Regraded,
    Remeasured,
    Repeat,
    joint_table,
    weights_for,
)
from examwalk.session.model import Answer, Place

Z_95 = 1.96
ROUNDING = 0.1
"""Printed figures that differ by no more than this share say the same."""


class Origin(Enum):
    """Where the figure for a test comes from."""

    PUBLISHED = "published"
    BORROWED = "borrowed"
    """Published for the same examiner twice where another repeats it, or the other way round."""
    ASSUMED = "assumed"
    HELD = "held"
    """None: the answer is taken to come out the same."""


@frozen
class Agreement:
    """How the answer at one place may come out again, by which figure."""

    place: Place
    origin: Origin
    repeat: Repeat | None = None
    """Nothing where the answer is held."""
    words: str = ""
    """The figure, as ``weighted kappa 0.6``."""
    faults: tuple[str, ...] = ()
    """What is wrong with figures of this test, as sentences."""


@frozen
class _Figures:
    protocol: Protocol
    test: Test
    answer: Answer
    faults: list[str] = field(factory=list)

    def complain(self, sentence: str) -> None:
        """Keep what is wrong with a figure, once."""
        said = f"{self.test.name}: {sentence}"
        if said not in self.faults:
            self.faults.append(said)


def agreement_at(
    protocol: Protocol, place: Place, answer: Answer, *, same_examiner: bool
) -> Agreement:
    """Return how an answer may come out when the examination is repeated.

    Args:
        protocol: what was published or is assumed of each test.
        place: the place of the answer.
        answer: what was recorded.
        same_examiner: whether the same examiner repeats it, rather than another.
    """
    test = protocol.tests_by_id[place.test]
    figures = _Figures(protocol, test, answer)
    if test.several or test.kind is Kind.TEXT:
        return Agreement(place, Origin.HELD)
    ranked = sorted(
        test.reliability,
        key=lambda one: not (one.by_patient or one.within_examiner is same_examiner),
    )
    for figure in ranked:
        found = _from_figure(figures, figure)
        if found is not None:
            fits = figure.by_patient or figure.within_examiner is same_examiner
            origin = Origin.PUBLISHED if fits else Origin.BORROWED
            repeat, words = found
            return Agreement(place, origin, repeat, words, tuple(figures.faults))
    for assumed in protocol.assumed_agreement.values():
        if assumed.kind is test.kind and test.position not in assumed.except_in:
            taken, words = _from_assumption(figures, assumed)
            return Agreement(place, Origin.ASSUMED, taken, words, tuple(figures.faults))
    return Agreement(place, Origin.HELD, faults=tuple(figures.faults))


def _from_figure(figures: _Figures, figure: Reliability) -> tuple[Repeat, str] | None:
    if figures.test.kind is Kind.MEASURE:
        error = _error(figures, figure)
        if error is None:
            return None
        return _remeasured(figures, error)
    if figure.coefficient is None:
        return None
    kappa = float(figure.coefficient)
    if not kappa <= 1:
        figures.complain(
            say("an agreement of {value} is more than perfect.", value=short_number(kappa))
        )
        return None
    words = say(_COEFFICIENT_WORDS[figure.coefficient_is], value=short_number(kappa))
    if kappa < 0:
        figures.complain(
            say(
                "an agreement of {value} is below chance; it is reckoned as chance.",
                value=short_number(kappa),
            )
        )
        kappa = 0.0
    repeat = _regraded(figures, kappa, figure.coefficient_is, figure.prevalence)
    return (repeat, words) if repeat else None


_COEFFICIENT_WORDS = {
    Coefficient.ICC: later("ICC {value}"),
    Coefficient.KAPPA: later("kappa {value}"),
    Coefficient.LINEAR_KAPPA: later("weighted kappa {value}"),
    Coefficient.QUADRATIC_KAPPA: later("weighted kappa {value}"),
}


def _error(figures: _Figures, figure: Reliability) -> float | None:
    """Return the standard error of measurement: as printed, from the change, or from the SD."""
    errors = list(_errors(figures, figure))
    if errors and max(errors) > min(errors) * (1 + ROUNDING):
        listed = ", ".join(say_decimal(f"{error:.3g}") for error in errors)
        figures.complain(
            say(
                "the figures of one source give different errors ({errors}); the first is taken.",
                errors=listed,
            )
        )
    return errors[0] if errors else None


def _errors(figures: _Figures, figure: Reliability) -> Iterator[float]:
    if figure.standard_error is not None:
        yield float(figure.standard_error)
    if figure.minimal_detectable_change is not None:
        yield figure.minimal_detectable_change / (Z_95 * math.sqrt(2))
    if figure.coefficient is None or figure.coefficient_is is not Coefficient.ICC:
        return
    if figure.standard_deviation is None:
        if figure.standard_error is None and figure.minimal_detectable_change is None:
            figures.complain(
                say(
                    "an ICC of {value} has no standard deviation beside it, so that it gives no "
                    "error.",
                    value=short_number(figure.coefficient),
                )
            )
    elif figure.standard_deviation <= 0:
        figures.complain(
            say("the people measured do not differ (standard deviation 0), so an ICC says nothing.")
        )
    elif figure.coefficient > 1:
        value = short_number(figure.coefficient)
        figures.complain(say("an agreement of {value} is more than perfect.", value=value))
    else:
        yield figure.standard_deviation * math.sqrt(1 - figure.coefficient)


def _from_assumption(figures: _Figures, assumed: AssumedAgreement) -> tuple[Repeat | None, str]:
    if figures.test.kind is Kind.MEASURE:
        error = float(assumed.error_in_steps or 0) * figures.test.step
        return _remeasured(figures, error)
    kappa = float(1 if assumed.weighted_kappa is None else assumed.weighted_kappa)
    repeat = _regraded(figures, kappa, Coefficient.LINEAR_KAPPA, {})
    return repeat, say("weighted kappa {value}", value=short_number(kappa))


def _remeasured(figures: _Figures, error: float) -> tuple[Remeasured, str]:
    test, answer = figures.test, figures.answer
    assert isinstance(answer, int | float)
    assert test.hard is not None
    low, high = test.hard
    number = f"{say_decimal(f'{error:.3g}')} {test.unit}".strip()
    return (
        Remeasured(float(answer), error, float(test.step), float(low), float(high)),
        say("error of measurement {error}", error=number),
    )


def _regraded(
    figures: _Figures, kappa: float, coefficient: Coefficient, prevalence: Mapping[str, float]
) -> Regraded | None:
    answers = tuple(answers_of(figures.protocol, figures.test))
    counts = [float(prevalence.get(one, 0)) if prevalence else 1.0 for one in answers]
    total = sum(counts)
    number = answers.index(str(figures.answer))
    alone = say("its prevalence leaves a single answer, so that no agreement can be reckoned with.")
    if not total:
        figures.complain(alone)
        return None
    try:
        table = joint_table(
            [count / total for count in counts],
            kappa,
            weights_for(coefficient),
            ordered=figures.test.kind is Kind.GRADE,
        )
    except ValueError:
        figures.complain(alone)
        return None
    if not counts[number]:
        figures.complain(
            say("by its prevalence the recorded answer is never found, so it is not turned.")
        )
        return None
    row = table[number]
    return Regraded(answers, tuple(share / sum(row) for share in row))
