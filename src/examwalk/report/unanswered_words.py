"""What the possible answers to an unanswered test would do, in words and as data."""

from typing import Any

from examwalk.language import say
from examwalk.protocol.exam_model import Test
from examwalk.protocol.model import Protocol
from examwalk.protocol.wording import answer_words, number_words
from examwalk.reasoning.unanswered import Possible, Worth
from examwalk.report.robustness_data import consequences_data
from examwalk.report.robustness_words import MOST_CHANGES, change_words


def worth_words(
    protocol: Protocol, worth: Worth, most: int | None = MOST_CHANGES
) -> tuple[str, ...]:
    """Say for each answer that would change something by itself what that is."""
    test = protocol.tests_by_id[worth.place.test]
    return tuple(
        say(
            "with {change}: {effects}",
            change=answers_words(protocol, test, possible),
            effects=change_words(possible.found, most),
        )
        for possible in worth.telling
    )


def answers_words(protocol: Protocol, test: Test, possible: Possible) -> str:
    """Write answers that do the same: ``low or very low``, ``0 to 7.9 cm``."""
    if possible.is_range:
        low, high = possible.answers
        if low == high:
            return answer_words(protocol, test, low)
        assert isinstance(low, int | float)
        return say(
            "{low} to {high}",
            low=number_words(low, test.step),
            high=answer_words(protocol, test, high),
        )
    *others, last = (answer_words(protocol, test, answer) for answer in possible.answers)
    return say("{several} or {last}", several=", ".join(others), last=last) if others else last


def worth_data(worth: Worth) -> list[dict[str, Any]]:
    """Return for each group of answers that do the same what that is."""
    return [
        {
            "answers": [
                list(answer) if isinstance(answer, tuple) else answer for answer in possible.answers
            ],
            "is_range": possible.is_range,
            **consequences_data(possible.found),
        }
        for possible in worth.possible
    ]
