"""What in a protocol is legal and yet useless or unsafe.

Whether a condition can ever hold is found by search (``supposing``), with the smallest findings
that show it; ``loose_ends`` needs none.
"""

from collections.abc import Iterator

from examwalk.protocol.caution_model import CheckStage
from examwalk.protocol.condition_model import Condition
from examwalk.protocol.key_types import Sides
from examwalk.protocol.locating import KeyPath
from examwalk.protocol.model import Protocol
from examwalk.reasoning.loose_ends import loose_ends
from examwalk.reasoning.mentions import mentions
from examwalk.reasoning.remarks import Remark, Weight, example_words
from examwalk.reasoning.rule_auditing import colliding_rules, shadowed_rules
from examwalk.reasoning.supposing import Together, find_example
from examwalk.session.model import Side


def audit(protocol: Protocol) -> tuple[Remark, ...]:
    """Return everything that is legal and yet useless or unsafe, the unsafe first."""
    found = [
        *_conditions_that_never_or_always_hold(protocol),
        *_hidden_from_cautions(protocol),
        *colliding_rules(protocol),
        *shadowed_rules(protocol),
        *loose_ends(protocol),
    ]
    order = list(Weight)
    return tuple(sorted(found, key=lambda remark: order.index(remark.weight)))


def _conditions_that_never_or_always_hold(protocol: Protocol) -> Iterator[Remark]:
    for path, name, when, sides in _judged(protocol):
        side = Side.WHOLE if sides is Sides.ONCE else Side.LEFT
        is_caution = path[0] == "caution"
        where = (*path, "when")
        if not find_example(protocol, Together(((when, side, True),))).is_possible:
            weight = Weight.UNSAFE if is_caution else Weight.USELESS
            yield Remark(weight, where, f"{name} can never hold: no findings make its “when” true.")
        elif not find_example(protocol, Together(((when, side, False),))).is_possible:
            yield Remark(Weight.USELESS, where, f"{name} always holds, whatever is found.")


def _judged(protocol: Protocol) -> Iterator[tuple[KeyPath, str, Condition, Sides]]:
    for index, crosscheck in enumerate(protocol.crosschecks):
        if crosscheck.stage is not CheckStage.SUMMARY:
            name = f"The cross-check “{crosscheck.id}”"
            yield ("crosscheck", index), name, crosscheck.when, crosscheck.sides
    for index, caution in enumerate(protocol.cautions):
        yield ("caution", index), f"The caution “{caution.id}”", caution.when, caution.sides
    for index, rule in enumerate(protocol.rules):
        if rule.when is not None:
            yield ("rule", index), f"The rule “{rule.id}”", rule.when, Sides.EACH
    for index, advice in enumerate(protocol.advice):
        if advice.when is not None:
            yield ("advice", index), f"The advice “{advice.id}”", advice.when, Sides.EACH


def _hidden_from_cautions(protocol: Protocol) -> Iterator[Remark]:
    """Find tests that a caution looks at and that are not always asked."""
    unasked = {}
    for index, test in enumerate(protocol.tests):
        ask_when = protocol.asked_when(test)
        if ask_when is not None:
            side = Side.WHOLE if test.sides is Sides.ONCE else Side.LEFT
            example = find_example(protocol, Together(((ask_when, side, False),))).example
            if example is not None:
                where: KeyPath = ("test", index, "ask_when" if test.ask_when else "position")
                unasked[test.id] = where, example_words(protocol, example)
    for caution in protocol.cautions:
        seen = mentions(protocol, caution.when).tests
        for name, (where, findings) in unasked.items():
            if name in seen:
                yield Remark(
                    Weight.NOTE,
                    where,
                    f"the caution “{caution.id}” looks at “{name}”, which is not asked with"
                    f" these findings: {findings}.",
                )
