"""Which key gives which answer, and reading a typed number: strict, and with reasons.

A slip of a finger must never become a finding: nothing is guessed, dropped or rounded. What
cannot be meant is refused, and what is unlikely is asked about once.
"""

import re
from collections.abc import Sequence
from decimal import Decimal

from attrs import frozen

from examwalk.language import say, say_decimal
from examwalk.protocol.exam_model import Test
from examwalk.protocol.key_types import Number
from examwalk.protocol.wording import MINUS, Choice, decimals_of, number_words, unit_words

LONGEST = 12
"""Characters; a longer entry is never a measurement."""

_NUMBER = re.compile(r"-?(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)")
_CHARACTERS = re.compile(r"[-0-9.]*")

_UNIT_SLIPS = (("cm", "mm", Decimal("0.1")), ("mm", "cm", Decimal(10)), ("cm", "m", Decimal(100)))
"""A unit, the unit that may have been meant, and what turns that one into the first."""


@frozen
class Entry:
    """What was typed: a value, a value with a doubt to be asked about, or a refusal."""

    value: Number | None = None
    doubt: str = ""
    """A question to put once; entering the same number again keeps it."""
    refusal: str = ""
    """Why it is not taken, as a sentence."""


def read_number(test: Test, typed: str) -> Entry:
    """Read what was typed for a measurement, in the unit of the test.

    A decimal comma and a true minus sign are understood. Accepted are numbers within the hard
    limits of the test that lie on its step and are written with no more decimals than the step.
    """
    text = typed.strip().replace(",", ".").replace(MINUS, "-")
    refusal = _refused_as_written(text, typed.strip())
    if refusal:
        return Entry(refusal=refusal)
    number = Decimal(text) + 0  # the sum turns −0 into 0
    refusal = _off_the_step(test, number, text) or _out_of_limits(test, number)
    if refusal:
        return Entry(refusal=refusal)
    value = float(number) if decimals_of(test.step) else int(number)
    return Entry(value=value, doubt=_doubt(test, number))


def as_recorded(value: float) -> Number:
    """Return a number as an answer holds it: without a fraction where it has none."""
    return int(value) if value == int(value) else value


def typed_after(typed: str, key: str) -> str:
    """Return what stands in a number field after one more key.

    ``key`` is a digit, ``.``, ``,``, ``-`` (which sets or takes away the sign) or ``backspace``.
    A second decimal sign is kept, so that it is seen and refused rather than swallowed.
    """
    if key == "backspace":
        return typed[:-1]
    if key == "-":
        return typed[1:] if typed.startswith(MINUS) else MINUS + typed
    return typed + key if len(typed) < LONGEST else typed


def limits_words(test: Test) -> str:
    """Write what is accepted and what is usual: ``0 to 25 cm, usually 2 to 18``."""
    parts = []
    if test.hard is not None:
        parts.append(f"{_span(test.hard)} {test.unit}".strip())
    if test.usual is not None:
        parts.append(say("usually {span}", span=_span(test.usual)))
    return ", ".join(parts)


def _refused_as_written(text: str, typed: str) -> str:
    if not text:
        return say("Type a number first.")
    if len(text) > LONGEST:
        return say("“{typed}…” is too long for a measurement.", typed=typed[:LONGEST])
    if not _CHARACTERS.fullmatch(text):
        return say(
            "“{typed}” is not a number: use the digits, one decimal sign and a minus sign.",
            typed=typed,
        )
    if text.count(".") > 1:
        return say("“{typed}” has more than one decimal sign: type the number again.", typed=typed)
    if text.endswith("."):
        return say(
            "“{typed}” ends with the decimal sign: add the decimals or take it away.", typed=typed
        )
    if not _NUMBER.fullmatch(text):
        return say("“{typed}” is not a number: type it again.", typed=typed)
    return ""


def _off_the_step(test: Test, number: Decimal, text: str) -> str:
    step = Decimal(str(test.step))
    decimals = decimals_of(test.step)
    if len(text.partition(".")[2]) > decimals:
        shown = say_decimal(text).replace("-", MINUS)
        if decimals == 0:
            says = say(
                "{test} is recorded in whole numbers, not {shown}.", test=test.name, shown=shown
            )
            return says + _slip(test, number)
        finest = _with_unit(test, Decimal(1).scaleb(-decimals))
        return say(
            "{test} is recorded to {finest}; {shown} is finer.",
            test=test.name,
            finest=finest,
            shown=shown,
        )
    below = number // step * step
    if below > number:
        below -= step
    if below == number:
        return ""
    return say(
        "{test} is recorded in steps of {step}: {below} or {above}?",
        test=test.name,
        step=_with_unit(test, step),
        below=_words(test, below),
        above=_words(test, below + step),
    )


def _out_of_limits(test: Test, number: Decimal) -> str:
    if test.hard is None or _within(number, test.hard):
        return ""
    says = say(
        "{number} cannot be: {test} takes {span}.",
        number=_with_unit(test, number),
        test=test.name,
        span=_span(test.hard),
    )
    return says + _slip(test, number)


def _doubt(test: Test, number: Decimal) -> str:
    if test.usual is None or _within(number, test.usual):
        return ""
    return say(
        "Surely {number}? Usual is {span}.{slip} Enter again keeps it.",
        number=_with_unit(test, number),
        span=_span(test.usual),
        slip=_slip(test, number),
    )


def _slip(test: Test, number: Decimal) -> str:
    """Name the slip that would explain a number, where one would; else an empty text."""
    likely = test.usual or test.hard
    if likely is None or number == 0:
        return ""
    for unit, meant, factor in _UNIT_SLIPS:
        if test.unit == unit and _fits(test, number * factor, likely):
            as_meant = f"{number_words(float(number), _own_step(number))} {meant}"
            as_recorded = _with_unit(test, number * factor)
            return " " + say("{typed} would be {number}.", typed=as_meant, number=as_recorded)
    if _fits(test, number / 10, likely):
        meant = _words(test, number / 10)
        return " " + say("A decimal sign left out of {number}, or a 0 too many?", number=meant)
    if _fits(test, number * 10, likely):
        return " " + say("A 0 left out of {number}?", number=_words(test, number * 10))
    if _fits(test, -number, likely):
        meant = _words(test, -number)
        return " " + say("Was {number} meant, with the other sign?", number=meant)
    return ""


def _fits(test: Test, number: Decimal, limits: tuple[Number, Number]) -> bool:
    return number % Decimal(str(test.step)) == 0 and _within(number, limits)


def _within(number: Decimal, limits: tuple[Number, Number]) -> bool:
    return Decimal(str(limits[0])) <= number <= Decimal(str(limits[1]))


def _own_step(number: Decimal) -> float:
    exponent = number.as_tuple().exponent
    return 10.0**exponent if isinstance(exponent, int) and exponent < 0 else 1


def _words(test: Test, number: Decimal) -> str:
    return number_words(float(number), test.step)


def _with_unit(test: Test, number: Decimal) -> str:
    return f"{_words(test, number)} {unit_words(test, float(number))}".strip()


def _span(limits: tuple[Number, Number]) -> str:
    low, high = (number_words(limit, _own_step(Decimal(str(limit)))) for limit in limits)
    return say("{low} to {high}", low=low, high=high)


def keys_of(choices: Sequence[Choice]) -> tuple[str, ...]:
    """Return the key for each grade or option.

    A scale whose scores are figures from 0 to 9 is keyed by them, so that nobody has to press
    5 for a strength of 4. All else is numbered from 1, the tenth by 0; there are no more keys.
    """
    scores = [choice.score for choice in choices]
    if all(score is not None and 0 <= score <= 9 for score in scores):
        return tuple(str(score) for score in scores)
    return tuple("1234567890"[: len(choices)]) + ("",) * (len(choices) - 10)
