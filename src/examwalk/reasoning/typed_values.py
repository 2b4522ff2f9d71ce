"""A value as it is typed on a command line, read as the answer to a test or as an order."""

from collections.abc import Sequence

from attrs import frozen

from examwalk.language import say
from examwalk.problems import nearest
from examwalk.protocol.entry import read_number
from examwalk.protocol.exam_model import Kind, Test
from examwalk.protocol.feature_model import Feature, FeatureKind
from examwalk.protocol.model import Protocol
from examwalk.protocol.wording import choices_of
from examwalk.reasoning.deciding import read_amount
from examwalk.session.model import Answer


@frozen
class Typed:
    """What was typed: a value, or a sentence that says why it is none."""

    value: Answer | None = None
    refusal: str = ""


def read_answer(protocol: Protocol, test: Test, typed: str) -> Typed:
    """Read a grade or option by its id or label, several set apart by commas, a number or a text.

    A number that is unlikely, and would be asked about in the exam, is taken.
    """
    if test.kind is Kind.TEXT:
        return Typed(typed) if typed.strip() else Typed(refusal=say("A text is needed."))
    if test.kind is Kind.MEASURE:
        entry = read_number(test, typed)
        return Typed(entry.value, entry.refusal)
    names = [(choice.id, choice.label) for choice in choices_of(protocol, test)]
    if test.kind is not Kind.CHOICE or not test.several:
        return _one_of(names, typed)
    chosen: list[str] = []
    for part in typed.split(","):
        one = _one_of(names, part)
        if not isinstance(one.value, str):
            return one
        chosen.append(one.value)
    return Typed(tuple(dict.fromkeys(chosen)))


def read_order(feature: Feature, typed: str) -> Typed:
    """Read what is ordered for a feature: an amount, or an option by its id or label."""
    if feature.kind is FeatureKind.AMOUNT:
        reading = read_amount(feature, typed)
        return Typed(reading.value, reading.refusal)
    return _one_of([(id_, option.label) for id_, option in feature.options.items()], typed)


def _one_of(names: Sequence[tuple[str, str]], typed: str) -> Typed:
    wanted = typed.strip().casefold()
    for id_, label in names:
        if wanted in (id_.casefold(), label.casefold()):
            return Typed(id_)
    known = [id_ for id_, _ in names]
    refusal = say(
        "“{typed}” is not one of the possible values: {known}.",
        typed=typed.strip(),
        known=", ".join(known),
    )
    return Typed(refusal=refusal + nearest(wanted, known))
