"""What an answer of the reasoning can hang on: the places and the earlier features it looks at.

This follows from the protocol alone. It is what *can* be looked at: with other answers less may
count, never more. What was worked out once therefore still holds while none of it has changed.
"""

from collections.abc import Callable, Hashable, Iterable

from attrs import frozen

from examwalk.protocol.caution_model import Caution
from examwalk.protocol.condition_model import Condition, SideScope
from examwalk.protocol.derived_model import Derived
from examwalk.protocol.exam_model import Test
from examwalk.protocol.feature_model import Effect, Feature, LookedUp
from examwalk.protocol.key_types import Sides
from examwalk.protocol.model import Protocol
from examwalk.reasoning.mentions import conditions_of
from examwalk.reasoning.places import (
    FeatureAt,
    feature_seen_from,
    place_of,
    sides_of,
)
from examwalk.session.model import BOTH_FEET, Place, Side


@frozen
class Reads:
    """The places and the features, settled before, that something looks at."""

    places: frozenset[Place] = frozenset()
    features: frozenset[FeatureAt] = frozenset()

    @classmethod
    def together(cls, parts: Iterable["Reads"]) -> "Reads":
        """Return what all of these look at."""
        places: set[Place] = set()
        features: set[FeatureAt] = set()
        for part in parts:
            places |= part.places
            features |= part.features
        return cls(frozenset(places), frozenset(features))


class Dependence:
    """Says for one protocol what hangs on what, and remembers it."""

    def __init__(self, protocol: Protocol) -> None:
        self._protocol = protocol
        self._known: dict[Hashable, Reads] = {}

    def of_condition(self, condition: Condition, side: Side) -> Reads:
        """Return what a condition looks at from one side, or for the whole person."""
        inner = (*(condition.all or ()), *(condition.any or ()), *(condition.count or ()))
        if condition.not_ is not None:
            inner = (*inner, condition.not_)
        if inner:
            return Reads.together(self.of_condition(part, side) for part in inner)
        return Reads.together(
            self._of_subject(condition, foot) for foot in _feet(condition.side, side)
        )

    def of_asking(self, test: Test, side: Side) -> Reads:
        """Return what decides whether a test is asked on a side."""
        when = self._protocol.asked_when(test)
        if when is None:
            return Reads()
        return self._once(("asking", test.id, side), lambda: self.of_condition(when, side))

    def of_derived(self, derived: Derived, side: Side) -> Reads:
        """Return what a derived value on a side is worked out from."""
        feet = BOTH_FEET if derived.calculation == "side-difference" else (side,)
        return self._once(
            ("derived", derived.id, side),
            lambda: Reads.together(
                (
                    *(self.of_number(name, foot) for name in derived.inputs for foot in feet),
                    *(self.of_condition(when, side) for when in conditions_of(derived)),
                )
            ),
        )

    def of_number(self, name: str, side: Side) -> Reads:
        """Return what the answer to a test, or a derived value, hangs on."""
        derived = self._protocol.derived_by_id.get(name)
        if derived is None:
            return self._of_test(self._protocol.tests_by_id[name], side)
        return self.of_derived(derived, Side.WHOLE if derived.sides is Sides.ONCE else side)

    def of_caution(self, caution: Caution, side: Side) -> Reads:
        """Return what raises a caution on a side."""
        return self._once(
            ("caution", caution.id, side), lambda: self.of_condition(caution.when, side)
        )

    def of_whole_feature(self, feature: Feature) -> Reads:
        """Return what settles a feature on all its sides."""
        sides = sides_of(feature.sides)
        return self._once(
            ("whole-feature", feature.id),
            lambda: Reads.together(self.of_feature(feature, side) for side in sides),
        )

    def of_needs(self, feature: Feature) -> Reads:
        """Return what decides whether all that a feature needs is answered."""
        tests = (self._protocol.tests_by_id[name] for name in feature.needs)
        return Reads.together(self._of_test(test, side) for test in tests for side in Side)

    def of_feature(self, feature: Feature, side: Side) -> Reads:
        """Return what settles a feature on a side."""
        return self._once(
            ("feature", feature.id, side),
            lambda: Reads.together(self._of_feature(feature, side)),
        )

    def _of_feature(self, feature: Feature, side: Side) -> Iterable[Reads]:
        yield self.of_needs(feature)
        if feature.applies_when is not None:
            yield self.of_condition(feature.applies_when, side)
        for rule in self._protocol.rules:
            effects = [effect for effect in rule.effects if effect.feature == feature.id]
            if effects and rule.when is not None:
                for foot in BOTH_FEET if side is Side.WHOLE else (side,):
                    yield self.of_condition(rule.when, foot)
            for effect in effects:
                yield from self._of_effect(effect, side)
        for exclusion in self._protocol.exclusions:
            if exclusion.features[1] == feature.id:
                yield self._feature(exclusion.features[0], side)

    def _of_effect(self, effect: Effect, side: Side) -> Iterable[Reads]:
        for value in (effect.start, effect.add, effect.at_least, effect.at_most):
            if isinstance(value, LookedUp) and value.derived is not None:
                yield self.of_number(value.derived, side)
            elif isinstance(value, LookedUp) and value.feature is not None:
                yield self._feature(value.feature, side)

    def _of_subject(self, condition: Condition, side: Side) -> Reads:
        if condition.test is not None:
            return self._of_test(self._protocol.tests_by_id[condition.test], side)
        if condition.derived is not None:
            return self.of_number(condition.derived, side)
        if condition.feature is not None:
            return self._feature(condition.feature, side)
        return Reads.together(
            self.of_caution(caution, foot)
            for caution in self._protocol.cautions
            if caution.id == condition.caution or caution.device is condition.any_caution
            for foot in sides_of(caution.sides)
        )

    def _of_test(self, test: Test, side: Side) -> Reads:
        place = place_of(test, side)
        return Reads.together((Reads(frozenset({place})), self.of_asking(test, place.side)))

    def _feature(self, name: str, side: Side) -> Reads:
        feature = self._protocol.features_by_id[name]
        return Reads(features=frozenset(feature_seen_from(feature, side)))

    def _once(self, key: Hashable, work: Callable[[], Reads]) -> Reads:
        if key not in self._known:
            self._known[key] = work()
        return self._known[key]


def _feet(scope: SideScope, side: Side) -> tuple[Side, ...]:
    """Return the sides that a condition looks at, seen from one side."""
    match scope:
        case SideScope.SAME:
            return (side,)
        case SideScope.OTHER:
            return (side.other,)
        case SideScope.EXCESS:
            return (side, side.other)
    return BOTH_FEET
