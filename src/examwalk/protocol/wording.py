"""Answers and numbers in the words of a protocol."""

from collections.abc import Sequence
from decimal import Decimal
from functools import cache
from typing import Protocol as Interface

from attrs import frozen

from examwalk.language import say_decimal
from examwalk.protocol.exam_model import Kind, Test
from examwalk.protocol.key_types import Number
from examwalk.protocol.model import Protocol

MINUS = "−"


@frozen
class Choice:
    """One answer that can be given with one key: a grade or an option."""

    id: str
    label: str
    looks: str
    score: int | None
    """The grade's number on its scale; options have none."""


def choices_of(protocol: Protocol, test: Test) -> tuple[Choice, ...]:
    """Return the grades or options of a test in the order of their keys; none for numbers."""
    if test.kind is Kind.GRADE:
        scale = protocol.scale_of(test)
        return tuple(
            Choice(
                id=grade,
                label=scale.label(grade),
                looks=test.grades[grade].looks if grade in test.grades else "",
                score=scale.score(grade),
            )
            for grade in scale.grades
        )
    if test.kind is Kind.CHOICE:
        return tuple(
            Choice(id=option_id, label=option.label, looks=option.looks, score=None)
            for option_id, option in protocol.options_of(test).items()
        )
    return ()


def answers_of(protocol: Protocol, test: Test) -> Sequence[str]:
    """Return the ids of the grades or options of a test, in order; none for numbers."""
    if test.kind is Kind.GRADE:
        return protocol.scale_of(test).grades
    return tuple(protocol.options_of(test)) if test.kind is Kind.CHOICE else ()


@cache
def decimals_of(step: Number) -> int:
    """Return how many decimals a number in this step is written with."""
    exponent = Decimal(str(step)).normalize().as_tuple().exponent
    return max(0, -exponent) if isinstance(exponent, int) else 0


def number_words(value: Number, step: Number = 1) -> str:
    """Write a number with the decimals of its step, a true minus sign and the decimal sign."""
    written = f"{value:.{decimals_of(step)}f}"
    if not float(written):  # a little below 0 is written 0, not −0
        return say_decimal(written.removeprefix("-"))
    return say_decimal(written).replace("-", MINUS)


def rounded_words(value: Number, decimals: int) -> str:
    """Write a number rounded to so many decimals."""
    return number_words(round(value, decimals), 10**-decimals if decimals else 1)


def short_number(value: Number) -> str:
    """Write a number with no more decimals than it needs: ``4``, ``2.5``."""
    return say_decimal(f"{value:g}").replace("-", MINUS)


class Counted(Interface):
    """What has a unit, and maybe another word for it beside the number 1."""

    @property
    def unit(self) -> str:
        """The unit of most numbers."""

    @property
    def unit_one(self) -> str:
        """The unit of 1, or an empty text where it is the same."""


def unit_words(counted: Counted, value: Number) -> str:
    """Return the unit as it stands behind a number: ``1 week``, ``−1 week``, ``2 weeks``."""
    return (counted.unit_one if abs(value) == 1 else "") or counted.unit


def score_words(score: int) -> str:
    """Write a grade's number with its sign where it has one: ``+2``, ``0``, ``−1``."""
    return f"{score:+d}".replace("-", MINUS) if score else "0"


def answer_words(protocol: Protocol, test: Test, answer: object) -> str:
    """Write an answer as a person would say it, with its unit.

    An answer that the protocol does not know is written as it stands, so that an old visit
    can always be read.
    """
    if isinstance(answer, tuple):
        return ", ".join(_choice_label(protocol, test, part) for part in answer)
    if test.kind is Kind.MEASURE and isinstance(answer, int | float):
        return f"{number_words(answer, test.step)} {unit_words(test, answer)}".strip()
    return _choice_label(protocol, test, answer)


def reason_words(protocol: Protocol, not_done: str) -> str:
    """Write the reason why a test was not done."""
    return protocol.not_done_reasons.get(not_done, not_done)


def _choice_label(protocol: Protocol, test: Test, answer: object) -> str:
    for choice in choices_of(protocol, test):
        if choice.id == answer:
            return choice.label
    return str(answer)
