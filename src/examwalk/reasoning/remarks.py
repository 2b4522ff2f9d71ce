"""What an audit of a protocol has to say, each with where it stands."""

from enum import Enum

from attrs import frozen

from examwalk.protocol.locating import KeyPath
from examwalk.protocol.model import Protocol
from examwalk.protocol.wording import answer_words
from examwalk.reasoning.supposing import Example
from examwalk.session.model import Side


class Weight(Enum):
    """How much a remark matters."""

    UNSAFE = "unsafe"
    USELESS = "useless"
    NOTE = "note"


@frozen
class Remark:
    """One thing in a protocol that a clinic should know, with where it stands."""

    weight: Weight
    path: KeyPath
    says: str


def example_words(protocol: Protocol, example: Example) -> str:
    """Say an example's findings in one line."""
    parts = []
    for place, answer in example.answers.items():
        test = protocol.tests_by_id[place.test]
        side = "" if place.side is Side.WHOLE else f", {place.side.value}"
        parts.append(f"{test.name}{side}: {answer_words(protocol, test, answer)}")
    return "; ".join(parts) or "any findings"
