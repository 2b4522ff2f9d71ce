"""Which missing answers could still change the value of a feature."""

from collections.abc import Iterator, Sequence

from examwalk.protocol.feature_model import Feature, FeatureKind
from examwalk.reasoning.settling import Acting, in_order, settle
from examwalk.session.model import Place


def could_change(feature: Feature, acting: Sequence[Acting]) -> tuple[Place, ...]:
    """Return the missing places that could change a feature's value.

    A place is among them if the effects that hang on it could change the value by themselves.
    If none could, but several places together, all places that any effect hangs on are
    returned; so when nothing is returned no answers can change the value.

    Args:
        feature: the feature.
        acting: every effect on it that acts or might.
    """
    hanging: dict[Place, list[Acting]] = {}
    for one in acting:
        for place in one.verdict.missing:
            hanging.setdefault(place, []).append(one)
    if not hanging:
        return ()
    ordered = in_order(feature, acting)
    changes: dict[frozenset[int], bool] = {}
    found = []
    for place, group in hanging.items():
        key = frozenset(map(id, group))
        if key not in changes:
            changes[key] = _could(feature, ordered, key)
        if changes[key]:
            found.append(place)
    every = frozenset(id(one) for one in acting if not one.verdict.is_final)
    if not found and len(changes) > 1 and _could(feature, ordered, every):
        return tuple(hanging)
    return tuple(found)


def _could(feature: Feature, ordered: Sequence[Acting], free: frozenset[int]) -> bool:
    """Say whether the value would change if these effects were free to act or not."""
    value = settle(feature, [one for one in ordered if one.verdict.holds])
    return any(
        settle(
            feature,
            [one for one in ordered if (id(one) in on if id(one) in free else one.verdict.holds)],
        )
        != value
        for on in _extremes(feature, [one for one in ordered if id(one) in free])
    )


def _extremes(feature: Feature, free: Sequence[Acting]) -> Iterator[frozenset[int]]:
    """Choose among free effects so that every value they can bring about shows itself.

    An amount rises with each addition and lower bound, and falls with each subtraction and
    upper bound; so from any start it lies between the values that all of one kind give. An
    option is reached, if at all, when all that speaks for it acts and nothing that bans it.
    """
    if feature.kind is FeatureKind.AMOUNT:
        rising = frozenset(id(one) for one in free if _raises(one))
        falling = frozenset(id(one) for one in free if one.verb != "start") - rising
        starts = [frozenset({id(one)}) for one in free if one.verb == "start"]
        for start in (frozenset[int](), *starts):
            yield start | rising
            yield start | falling
        return
    yield frozenset(map(id, free))
    for option in feature.options:
        yield frozenset(id(one) for one in free if _speaks_for(one, option))


def _raises(one: Acting) -> bool:
    return one.verb == "at_least" or (one.verb == "add" and one.number > 0)


def _speaks_for(one: Acting, option: str) -> bool:
    return (option in one.options) is (one.verb != "rule_out")
