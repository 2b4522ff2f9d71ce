"""Rules of a protocol that contradict each other, and rules that others make idle.

A search (``supposing``) finds what shows that two rules collide, or that nothing tells them apart.
"""

from collections.abc import Iterator
from itertools import combinations
from typing import Any

from attrs import frozen

from examwalk.protocol.feature_model import AMOUNT_VERBS, OPTION_VERBS, Rule
from examwalk.protocol.key_types import Sides
from examwalk.protocol.locating import KeyPath
from examwalk.protocol.model import Protocol
from examwalk.reasoning.abstracting import surely_impossible
from examwalk.reasoning.contradicting import Wanted, contradict
from examwalk.reasoning.mentions import Mentions, mentions
from examwalk.reasoning.remarks import Remark, Weight, example_words
from examwalk.reasoning.supposing import Outcome, Together, find_example, find_shortly
from examwalk.session.model import BOTH_FEET, Side


@frozen
class _Act:
    """One thing that a rule does to a feature."""

    path: KeyPath
    rule: Rule
    feature: str
    verb: str
    value: Any


def colliding_rules(protocol: Protocol) -> Iterator[Remark]:
    """Find two rules of one class that want different things of a feature at once."""
    for act, other in combinations(_acts(protocol), 2):
        if act.rule is other.rule or act.rule.class_ is not other.rule.class_:
            continue
        if act.feature != other.feature or not _clash(act, other):
            continue
        outcome = _both(protocol, act.rule, other.rule, act.feature)
        if outcome.example is not None:
            yield Remark(
                Weight.NOTE,
                act.path,
                f"the rules “{act.rule.id}” and “{other.rule.id}” ({act.rule.class_.value}) collide"
                f" over “{act.feature}” with these findings:"
                f" {example_words(protocol, outcome.example)}.",
            )


def shadowed_rules(protocol: Protocol) -> Iterator[Remark]:
    """Find effects that never matter, since a stronger one holds whenever they do."""
    acts = list(_acts(protocol))
    for act in acts:
        for other in acts:
            if _outdoes(other, act) and not _can_stand_alone(protocol, act.rule, other.rule):
                yield Remark(
                    Weight.USELESS,
                    act.path,
                    f"the rule “{act.rule.id}” never matters for “{act.feature}”: whenever it"
                    f" holds, the stronger “{other.rule.id}” holds as well.",
                )
                break


def _acts(protocol: Protocol) -> Iterator[_Act]:
    for number, rule in enumerate(protocol.rules):
        for index, effect in enumerate(rule.effects):
            path: KeyPath = ("rule", number, "effects", index)
            for verb in (*AMOUNT_VERBS, *OPTION_VERBS):
                value = getattr(effect, verb)
                if value is not None:
                    yield _Act(path, rule, effect.feature, verb, value)


def _clash(one: _Act, other: _Act) -> bool:
    """Say whether two acts on one feature cannot both be followed."""
    by_verb = {one.verb: one.value, other.verb: other.value}
    if by_verb.keys() <= {"start", "require", "prefer"} and one.verb == other.verb:
        return bool(one.value != other.value)
    if by_verb.keys() == {"at_least", "at_most"}:
        low, high = by_verb["at_least"], by_verb["at_most"]
        return isinstance(low, int | float) and isinstance(high, int | float) and low > high
    if by_verb.keys() == {"require", "rule_out"}:
        return by_verb["require"] in by_verb["rule_out"]
    return False


def _outdoes(strong: _Act, act: _Act) -> bool:
    """Say whether another rule's act on the same feature makes this one idle where both hold."""
    if strong.rule is act.rule or (strong.feature, strong.verb) != (act.feature, act.verb):
        return False
    of_stronger_class = strong.rule.class_.rank < act.rule.class_.rank
    if not of_stronger_class and strong.rule.class_ is not act.rule.class_:
        return False
    if act.verb in ("at_most", "at_least"):
        if not isinstance(act.value, int | float) or not isinstance(strong.value, int | float):
            return False
        tighter = strong.value < act.value if act.verb == "at_most" else strong.value > act.value
        return tighter or (strong.value == act.value and of_stronger_class)
    return act.verb == "rule_out" and set(act.value) <= set(strong.value) and of_stronger_class


def _can_stand_alone(protocol: Protocol, rule: Rule, other: Rule) -> bool:
    """Say whether a rule can hold while another one fails."""
    if other.when is None:
        return False
    wanted: list[Wanted] = [(other.when, Side.LEFT, False)]
    if rule.when is not None:
        wanted.append((rule.when, Side.LEFT, True))
    return _search(protocol, Together(tuple(wanted))).is_possible


def _both(protocol: Protocol, rule: Rule, other: Rule, feature: str) -> Outcome:
    """Search for findings on which two rules hold for the same value of a feature."""
    once = protocol.features_by_id[feature].sides is Sides.ONCE
    outcome = Outcome(None)
    for side in BOTH_FEET if once else (Side.LEFT,):
        wanted = tuple(
            (one.when, foot, True)
            for one, foot in ((rule, Side.LEFT), (other, side))
            if one.when is not None
        )
        if not contradict(protocol, wanted):
            outcome = _search(protocol, Together(wanted))
        if outcome.example is not None:
            return outcome
    return outcome


def _search(protocol: Protocol, goal: Together) -> Outcome:
    """Search for an example; where that is long, look first whether a derived value forbids it."""
    outcome = find_shortly(protocol, goal)
    if not outcome.undecided:
        return outcome
    names = Mentions().derived.union(
        *(mentions(protocol, condition).derived for condition, _, _ in goal.wanted)
    )
    latest_first = [derived.id for derived in reversed(protocol.derived) if derived.id in names]
    if surely_impossible(protocol, goal, latest_first):
        return Outcome(None)
    return find_example(protocol, goal)
