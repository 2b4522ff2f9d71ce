"""The settled features against a naive reading of what a rule means, on random small protocols.

Written from the meaning alone. Amounts: the start (that of the strongest class that gives one, the
careful one of several), plus every addition; then each class from the weakest to the strongest
keeps the value between its highest ``at_least`` and its lowest ``at_most``, and takes the careful
bound where they exclude each other; then the nearest step that no bound forbids, halves going the
careful way. Options, listed from the most cautious: from the strongest class down bans, then
demands; what is left of nothing is the most cautious; then the most preferences of the strongest
class that has any, else the start. In file order; a rule sees what stands before; one for the pair
holds when it does for either foot.
"""

from fractions import Fraction

from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

from examwalk.protocol.condition_model import Condition
from examwalk.protocol.feature_model import (
    AcrossPair,
    Effect,
    Exclusion,
    FeatureKind,
    LookedUp,
    RuleClass,
)
from examwalk.protocol.key_types import Sides
from examwalk.session.model import Side
from made_protocols import amount, choice, is_yes, made, rule, summary_of

FEET = (Side.LEFT, Side.RIGHT)
NAMES = ("soft", "medium", "firm")
WEAKEST_FIRST = (
    RuleClass.PREFERENCE,
    RuleClass.FUNCTION,
    RuleClass.TOLERANCE,
    RuleClass.SAFETY,
)


def holds(condition, side, answers, values):
    """Say whether a condition holds on a side; every test is answered."""
    if condition is None:
        return True
    if condition.all is not None:
        return all(holds(one, side, answers, values) for one in condition.all)
    if condition.any is not None:
        return any(holds(one, side, answers, values) for one in condition.any)
    if condition.not_ is not None:
        return not holds(condition.not_, side, answers, values)
    if condition.test is not None:
        return answers[condition.test, side] == condition.is_
    value = values[condition.feature, side]
    if condition.is_ is not None:
        return value == condition.is_
    return value >= condition.at_least


def acting_on(feature, sides, protocol, answers, values):
    """List (class, verb, value) of each effect that acts."""
    found = []
    for one in protocol.rules:
        effects = [effect for effect in one.effects if effect.feature == feature.id]
        if not effects or not any(holds(one.when, side, answers, values) for side in sides):
            continue
        for effect in effects:
            for verb in ("start", "add", "at_least", "at_most", "prefer", "require", "rule_out"):
                value = getattr(effect, verb)
                if isinstance(value, LookedUp):
                    value = values[value.feature, sides[0]]
                if value is not None:
                    found.append((one.class_, verb, value))
    return found


def amount_of(feature, acting):
    careful = min if feature.cautious == "low" else max
    value = Fraction(feature.start)
    for class_ in WEAKEST_FIRST:
        starts = [number for own, verb, number in acting if own is class_ and verb == "start"]
        if starts:
            value = Fraction(careful(starts))
    value += sum(Fraction(number) for _, verb, number in acting if verb == "add")

    def bounded(number):
        for class_ in WEAKEST_FIRST:
            own = [(verb, bound) for kind, verb, bound in acting if kind is class_]
            lows = [Fraction(bound) for verb, bound in own if verb == "at_least"]
            highs = [Fraction(bound) for verb, bound in own if verb == "at_most"]
            if lows and highs and max(lows) > min(highs):
                number = careful(max(lows), min(highs))
                continue
            number = max([number, *lows])
            number = min([number, *highs])
        return number

    value = bounded(value)
    low, high = feature.range
    steps = [low + number * feature.step for number in range(int((high - low) / feature.step) + 1)]
    careful_first = sorted(steps, reverse=feature.cautious == "high")
    nearest_first = sorted(careful_first, key=lambda step: abs(Fraction(step) - value))
    allowed = [step for step in nearest_first if bounded(Fraction(step)) == step]
    return float((allowed or nearest_first)[0])


def option_of(feature, acting):
    left = list(feature.options)
    for class_ in reversed(WEAKEST_FIRST):
        own = [(verb, value) for kind, verb, value in acting if kind is class_]
        banned = [name for verb, names in own if verb == "rule_out" for name in names]
        left = [name for name in left if name not in banned] or left[:1]
        demanded = [name for name in left if ("require", name) in own]
        left = demanded[:1] or left
    for class_ in reversed(WEAKEST_FIRST):
        votes = [
            value
            for kind, verb, value in acting
            if kind is class_ and verb == "prefer" and value in left
        ]
        if votes:
            return max(left, key=lambda name: (votes.count(name), -left.index(name)))
    return feature.start if feature.start in left else left[0]


def matched(feature, values):
    """Bring both feet to the value that the pair must have."""
    pair = [values[feature.id, side] for side in FEET]
    if feature.kind is FeatureKind.OPTION:
        pair.sort(key=list(feature.options).index)
        return pair[0] if feature.across_pair is AcrossPair.FIRST else pair[-1]
    return min(pair) if feature.across_pair is AcrossPair.LOWER else max(pair)


def resolved(protocol, answers):
    values = {}
    for feature in protocol.features:
        for sides in [FEET] if feature.sides is Sides.ONCE else [(side,) for side in FEET]:
            acting = acting_on(feature, sides, protocol, answers, values)
            work = amount_of if feature.kind is FeatureKind.AMOUNT else option_of
            value = work(feature, acting)
            for side in sides:
                for exclusion in protocol.exclusions:
                    first, second = exclusion.features
                    start = protocol.features_by_id[first].start
                    if second == feature.id and values[first, side] != start:
                        value = feature.start
                values[feature.id, side] = value
        if feature.across_pair is not None:
            both = matched(feature, values)
            for side in FEET:
                values[feature.id, side] = both
    return values


HALVES = st.integers(-4, 24).map(lambda number: number / 2)
CLASSES = st.sampled_from(list(RuleClass))
ANSWERED = st.sampled_from("abcd").map(is_yes)


def conditions(earlier):
    kinds = [ANSWERED]
    for feature in earlier:
        if feature.kind is FeatureKind.AMOUNT:
            kinds.append(
                HALVES.map(lambda number, id_=feature.id: Condition(feature=id_, at_least=number))
            )
        else:
            kinds.append(
                st.sampled_from(NAMES).map(
                    lambda name, id_=feature.id: Condition(feature=id_, is_=name)
                )
            )
    plain = st.one_of(kinds)
    return st.one_of(
        st.none(),
        plain,
        plain.map(lambda one: Condition(not_=one)),
        st.tuples(plain, plain).map(lambda two: Condition(all=two)),
        st.tuples(plain, plain).map(lambda two: Condition(any=two)),
    )


def effects_for(feature, earlier):
    if feature.kind is FeatureKind.OPTION:
        return st.one_of(
            st.sampled_from(NAMES).map(lambda name: Effect(feature.id, prefer=name)),
            st.sampled_from(NAMES).map(lambda name: Effect(feature.id, require=name)),
            st.sets(st.sampled_from(NAMES), min_size=1).map(
                lambda names: Effect(feature.id, rule_out=tuple(sorted(names)))
            ),
        )
    numbers = [HALVES]
    numbers += [
        st.just(LookedUp(feature=one.id))
        for one in earlier
        if one.kind is FeatureKind.AMOUNT and one.sides is feature.sides
    ]
    return st.tuples(
        st.sampled_from(("start", "add", "at_least", "at_most", "at_least", "at_most")),
        st.one_of(numbers),
    ).map(lambda pair: Effect(feature.id, **{pair[0]: pair[1]}))


@st.composite
def protocols(draw):
    amounts = st.fixed_dictionaries(
        {
            "cautious": st.sampled_from(("low", "high")),
            "step": st.sampled_from((1, 2, 0.5)),
            "start": st.sampled_from((0, 2, 4)),
            "range": st.sampled_from(((0, 8), (0, 12), (-2, 6))),
        }
    )
    pair = {"higher": AcrossPair.HIGHER, "lower": AcrossPair.LOWER, "": None}
    features = (
        amount("lift", across_pair=pair[draw(st.sampled_from(sorted(pair)))], **draw(amounts)),
        choice(
            "shell",
            NAMES,
            start=draw(st.sampled_from(NAMES)),
            across_pair=draw(st.sampled_from((None, AcrossPair.FIRST, AcrossPair.LAST))),
        ),
        amount("pad", **draw(amounts)),
        choice("cover", NAMES, sides=Sides.ONCE),
    )
    rules = []
    most_on = draw(st.integers(0, len(features) - 1))  # rules collide where they act on one thing
    for number in range(draw(st.integers(2, 9))):
        at = draw(st.one_of(st.just(most_on), st.integers(0, len(features) - 1)))
        earlier = [one for one in features[:at] if one.sides is Sides.EACH]
        rules.append(
            rule(
                f"rule-{number}",
                draw(effects_for(features[at], features[:at])),
                when=draw(conditions(earlier)),
                class_=draw(CLASSES),
            )
        )
    excluded = draw(st.booleans())
    exclusions = (Exclusion(("lift", "pad"), "No room.", ("practice",)),) if excluded else ()
    return made(features=features, rules=tuple(rules), exclusions=exclusions)


@settings(max_examples=200, deadline=None)
@given(
    protocol=protocols(),
    yes=st.sets(st.sampled_from([f"{t} {s}" for t in "abcd" for s in ("left", "right")])),
)
def test_every_feature_is_settled_as_the_naive_reading_says(protocol, yes):
    findings = {
        f"{name} {side.value}": "yes" if f"{name} {side.value}" in yes else "no"
        for name in "abcd"
        for side in FEET
    }
    answers = {(name, side): findings[f"{name} {side.value}"] for name in "abcd" for side in FEET}
    summary = summary_of(protocol, findings)
    expected = resolved(protocol, answers)
    found = {key: summary.feature(*key).value for key in expected}
    assert found == expected


def test_the_naive_reading_itself_by_hand():
    """4 + 1 = 5; function: at least 8; safety: at most 6; steps of 2: 6, and 5 would be 4 or 6."""
    lift = amount("lift", start=4, step=2, range=(0, 12))
    acting = [
        (RuleClass.FUNCTION, "add", 1),
        (RuleClass.FUNCTION, "at_least", 8),
        (RuleClass.SAFETY, "at_most", 6),
    ]
    assert amount_of(lift, acting[:1]) == 4
    assert amount_of(evolve(lift, cautious="high"), acting[:1]) == 6
    assert amount_of(lift, acting) == 6
    shell = choice("shell", NAMES)
    banned = (RuleClass.SAFETY, "rule_out", ("firm",))
    wanted = (RuleClass.FUNCTION, "require", "firm")
    assert option_of(shell, [banned, wanted]) == "soft"
    assert option_of(shell, [wanted]) == "firm"
