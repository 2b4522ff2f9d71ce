"""What a condition looks at, directly and through derived values and cautions."""

from collections.abc import Iterator

from attrs import frozen

from examwalk.protocol.condition_model import Condition
from examwalk.protocol.derived_model import Derived
from examwalk.protocol.model import Protocol


@frozen
class Mentions:
    """The ids of everything a condition looks at."""

    tests: frozenset[str] = frozenset()
    features: frozenset[str] = frozenset()
    derived: frozenset[str] = frozenset()

    def __or__(self, other: "Mentions") -> "Mentions":
        return Mentions(
            self.tests | other.tests,
            self.features | other.features,
            self.derived | other.derived,
        )


def mentions(protocol: Protocol, condition: Condition) -> Mentions:
    """Return everything that a condition looks at, through derived values and cautions too."""
    found = Mentions()
    for part in parts_of(condition):
        if part.test is not None:
            found |= Mentions(tests=frozenset({part.test}))
        if part.feature is not None:
            found |= Mentions(features=frozenset({part.feature}))
        if part.derived is not None:
            found |= _of_derived(protocol, protocol.derived_by_id[part.derived])
        if part.caution is not None:
            found |= mentions(protocol, protocol.cautions_by_id[part.caution].when)
        if part.any_caution is not None:
            for caution in protocol.cautions:
                if caution.device is part.any_caution:
                    found |= mentions(protocol, caution.when)
    return found


def _of_derived(protocol: Protocol, derived: Derived) -> Mentions:
    found = Mentions(derived=frozenset({derived.id}))
    for name in derived.inputs:
        if name in protocol.derived_by_id:
            found |= _of_derived(protocol, protocol.derived_by_id[name])
        else:
            found |= Mentions(tests=frozenset({name}))
    for condition in conditions_of(derived):
        found |= mentions(protocol, condition)
    return found


def parts_of(condition: Condition) -> Iterator[Condition]:
    """Return a condition and every condition inside it."""
    yield condition
    inside = (*(condition.all or ()), *(condition.any or ()), *(condition.count or ()))
    for part in inside:
        yield from parts_of(part)
    if condition.not_ is not None:
        yield from parts_of(condition.not_)


def looks_at_features(condition: Condition) -> bool:
    """Say whether a condition asks of a settled feature; no derived value or caution does."""
    return any(part.feature is not None for part in parts_of(condition))


def conditions_of(derived: Derived) -> Iterator[Condition]:
    """Return every condition of a derived value."""
    if derived.when is not None:
        yield derived.when
    yield from derived.conditions.values()
    yield from (points.when for points in derived.points)
    yield from (row.when for row in derived.rows if row.when is not None)


def conditions_in(protocol: Protocol) -> Iterator[Condition]:
    """Return every condition of a protocol."""
    for derived in protocol.derived:
        yield from conditions_of(derived)
    yield from (crosscheck.when for crosscheck in protocol.crosschecks)
    yield from (caution.when for caution in protocol.cautions)
    yield from (rule.when for rule in protocol.rules if rule.when)
    yield from (advice.when for advice in protocol.advice if advice.when)
    yield from (position.ask_when for position in protocol.positions if position.ask_when)
    yield from (test.ask_when for test in protocol.tests if test.ask_when)
    yield from (feature.applies_when for feature in protocol.features if feature.applies_when)
