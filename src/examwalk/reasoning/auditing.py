"""What in a protocol is legal and yet useless or unsafe.

Whether a condition can ever hold is found by search (``supposing``), with the smallest findings
that show it; everything else is a matter of what refers to what.
"""

from collections.abc import Iterable, Iterator, Sequence
from enum import Enum
from itertools import combinations

from attrs import frozen

from examwalk.protocol.caution_model import CheckStage
from examwalk.protocol.condition_model import Condition
from examwalk.protocol.derived_model import Derived
from examwalk.protocol.exam_model import Band, Kind, Test
from examwalk.protocol.feature_model import AMOUNT_VERBS, OPTION_VERBS, Effect, FeatureKind, Rule
from examwalk.protocol.figures import figure_of_choice, figure_of_test
from examwalk.protocol.key_types import Sides
from examwalk.protocol.locating import KeyPath
from examwalk.protocol.model import Protocol
from examwalk.protocol.wording import answer_words, choices_of, number_words
from examwalk.reasoning.abstracting import surely_impossible
from examwalk.reasoning.contradicting import contradict
from examwalk.reasoning.logic import Verdict, conjunction, negation
from examwalk.reasoning.mentions import Mentions, conditions_in, mentions
from examwalk.reasoning.supposed import Supposed
from examwalk.reasoning.supposing import Example, Outcome, find_example, find_shortly
from examwalk.session.model import BOTH_FEET, Side


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


def audit(protocol: Protocol) -> tuple[Remark, ...]:
    """Return everything that is legal and yet useless or unsafe, the unsafe first."""
    found = [
        *_conditions_that_never_or_always_hold(protocol),
        *_hidden_from_cautions(protocol),
        *_colliding_rules(protocol),
        *_shadowed_rules(protocol),
        *_unreached_features(protocol),
        *_unused_tests(protocol),
        *_grades_without_words(protocol),
        *_bands_with_gaps(protocol),
        *_norms_without_use(protocol),
        *_uncited_sources(protocol),
        *_unseen_figures(protocol),
    ]
    order = list(Weight)
    return tuple(sorted(found, key=lambda remark: order.index(remark.weight)))


def example_words(protocol: Protocol, example: Example) -> str:
    """Say an example's findings in one line."""
    parts = []
    for place, answer in example.answers.items():
        test = protocol.tests_by_id[place.test]
        side = "" if place.side is Side.WHOLE else f", {place.side.value}"
        parts.append(f"{test.name}{side}: {answer_words(protocol, test, answer)}")
    return "; ".join(parts) or "any findings"


def _conditions_that_never_or_always_hold(protocol: Protocol) -> Iterator[Remark]:
    for path, name, when, sides in _judged(protocol):
        side = Side.WHOLE if sides is Sides.ONCE else Side.LEFT
        is_caution = path[0] == "caution"
        where = (*path, "when")
        if not find_example(protocol, _holding(when, side)).is_possible:
            weight = Weight.UNSAFE if is_caution else Weight.USELESS
            yield Remark(weight, where, f"{name} can never hold: no findings make its “when” true.")
        elif not find_example(protocol, _failing(when, side)).is_possible:
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


def _holding(when: Condition, side: Side) -> "_Goal":
    return _Goal(((when, side, True),))


def _failing(when: Condition, side: Side) -> "_Goal":
    return _Goal(((when, side, False),))


@frozen
class _Goal:
    """Conditions that must hold, or must fail, all at once; features count as open."""

    wanted: tuple[tuple[Condition, Side, bool], ...]

    def __call__(self, case: Supposed) -> Verdict:
        return conjunction(
            verdict if holds else negation(verdict)
            for condition, side, holds in self.wanted
            for verdict in (case.verdict(condition, side, case.open_features),)
        )


def _hidden_from_cautions(protocol: Protocol) -> Iterator[Remark]:
    """Find tests that a caution looks at and that are not always asked."""
    unasked = {}
    for index, test in enumerate(protocol.tests):
        if test.ask_when is not None:
            side = Side.WHOLE if test.sides is Sides.ONCE else Side.LEFT
            example = find_example(protocol, _failing(test.ask_when, side)).example
            if example is not None:
                unasked[test.id] = index, example_words(protocol, example)
    for caution in protocol.cautions:
        seen = mentions(protocol, caution.when).tests
        for name, (index, findings) in unasked.items():
            if name in seen:
                yield Remark(
                    Weight.NOTE,
                    ("test", index, "ask_when"),
                    f"the caution “{caution.id}” looks at “{name}”, which is not asked with"
                    f" these findings: {findings}.",
                )


def _effects(protocol: Protocol) -> Iterator[tuple[int, int, Rule, Effect, str]]:
    for number, rule in enumerate(protocol.rules):
        for index, effect in enumerate(rule.effects):
            for verb in (*AMOUNT_VERBS, *OPTION_VERBS):
                if getattr(effect, verb) is not None:
                    yield number, index, rule, effect, verb


def _colliding_rules(protocol: Protocol) -> Iterator[Remark]:
    for first, second in combinations(_effects(protocol), 2):
        number, index, rule, effect, verb = first
        _, _, other, other_effect, other_verb = second
        if rule is other or rule.class_ is not other.class_:
            continue
        if effect.feature != other_effect.feature or not _clash(
            effect, verb, other_effect, other_verb
        ):
            continue
        outcome = _both(protocol, rule, other, effect.feature)
        if outcome.example is not None:
            yield Remark(
                Weight.NOTE,
                ("rule", number, "effects", index),
                f"the rules “{rule.id}” and “{other.id}” ({rule.class_.value}) collide over"
                f" “{effect.feature}” with these findings:"
                f" {example_words(protocol, outcome.example)}.",
            )


def _clash(effect: Effect, verb: str, other: Effect, other_verb: str) -> bool:
    """Say whether two effects on one feature cannot both be followed."""
    value, other_value = getattr(effect, verb), getattr(other, other_verb)
    verbs = {verb, other_verb}
    if verbs in ({"start"}, {"require"}, {"prefer"}):
        return bool(value != other_value)
    if verbs == {"at_least", "at_most"}:
        low, high = (value, other_value) if verb == "at_least" else (other_value, value)
        return isinstance(low, int | float) and isinstance(high, int | float) and low > high
    if verbs == {"require", "rule_out"}:
        required, banned = (value, other_value) if verb == "require" else (other_value, value)
        return required in banned
    return False


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
            outcome = _search(protocol, _Goal(wanted))
        if outcome.example is not None:
            return outcome
    return outcome


def _search(protocol: Protocol, goal: _Goal) -> Outcome:
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


def _shadowed_rules(protocol: Protocol) -> Iterator[Remark]:
    """Find effects that never matter, since a stronger one holds whenever they do."""
    for first in _effects(protocol):
        for second in _effects(protocol):
            number, index, rule, effect, verb = first
            _, _, other, other_effect, other_verb = second
            if rule is other or effect.feature != other_effect.feature or verb != other_verb:
                continue
            if not _outdoes(rule, effect, other, other_effect, verb):
                continue
            wanted = [(other.when, Side.LEFT, False)] if other.when is not None else []
            if not wanted:
                possible = False
            else:
                if rule.when is not None:
                    wanted.append((rule.when, Side.LEFT, True))
                possible = _search(protocol, _Goal(tuple(wanted))).is_possible
            if not possible:
                yield Remark(
                    Weight.USELESS,
                    ("rule", number, "effects", index),
                    f"the rule “{rule.id}” never matters for “{effect.feature}”: whenever it"
                    f" holds, the stronger “{other.id}” holds as well.",
                )
                break


def _outdoes(rule: Rule, effect: Effect, other: Rule, other_effect: Effect, verb: str) -> bool:
    """Say whether another rule's effect makes this one's idle where both hold."""
    if other.class_.rank > rule.class_.rank:
        return False
    value, other_value = getattr(effect, verb), getattr(other_effect, verb)
    if verb in ("at_most", "at_least"):
        if not isinstance(value, int | float) or not isinstance(other_value, int | float):
            return False
        tighter = other_value < value if verb == "at_most" else other_value > value
        return tighter or (other_value == value and other.class_.rank < rule.class_.rank)
    if verb == "rule_out":
        return set(value) <= set(other_value) and other.class_.rank < rule.class_.rank
    return False


def _unreached_features(protocol: Protocol) -> Iterator[Remark]:
    reached = {effect.feature for rule in protocol.rules for effect in rule.effects}
    for index, feature in enumerate(protocol.features):
        if feature.id not in reached:
            says = f"no rule reaches the feature “{feature.id}”: it always has its start value."
            yield Remark(Weight.USELESS, ("feature", index), says)
        elif feature.kind is FeatureKind.OPTION:
            yield from _unreached_options(protocol, index)


def _unreached_options(protocol: Protocol, index: int) -> Iterator[Remark]:
    feature = protocol.features[index]
    reached = {feature.start} | {
        wanted
        for rule in protocol.rules
        for effect in rule.effects
        if effect.feature == feature.id
        for wanted in (effect.prefer, effect.require)
    }
    for option in feature.options:
        if option not in reached:
            says = f"no rule leads to the option “{option}”; only the clinician can order it."
            yield Remark(Weight.NOTE, ("feature", index, "options", option), says)


def _unused_tests(protocol: Protocol) -> Iterator[Remark]:
    used: set[str] = set()
    for condition in conditions_in(protocol):
        used |= mentions(protocol, condition).tests
    for derived in protocol.derived:
        used |= set(derived.inputs)
    for feature in protocol.features:
        used |= set(feature.needs)
    for index, test in enumerate(protocol.tests):
        if test.id not in used:
            says = f"nothing follows from the test “{test.id}”; it is recorded only."
            yield Remark(Weight.NOTE, ("test", index), says)


def _grades_without_words(protocol: Protocol) -> Iterator[Remark]:
    for index, test in enumerate(protocol.tests):
        if test.kind is not Kind.GRADE:
            continue
        bare = [choice.id for choice in choices_of(protocol, test) if not choice.looks]
        if bare:
            says = f"“{test.id}” does not say what these grades look like: {', '.join(bare)}."
            yield Remark(Weight.USELESS, ("test", index), says)


def _bands_with_gaps(protocol: Protocol) -> Iterator[Remark]:
    for index, test in enumerate(protocol.tests):
        if test.bands and test.hard:
            low, high = test.hard
            says = _band_fault(test.bands, low, high, test.step)
            if says:
                yield Remark(Weight.USELESS, ("test", index, "bands"), f"“{test.id}”: {says}")
    for index, derived in enumerate(protocol.derived):
        edges = [edge for band in derived.bands for edge in _edges(band)]
        if edges:
            step = 10**-derived.decimals
            says = _band_fault(derived.bands, min(edges), max(edges), step)
            if says:
                yield Remark(Weight.USELESS, ("derived", index, "bands"), f"“{derived.id}”: {says}")


def _edges(band: Band) -> Iterable[float]:
    bounds = (band.at_least, band.above, band.at_most, band.below)
    return (bound for bound in bounds if bound is not None)


def _band_fault(bands: Sequence[Band], low: float, high: float, step: float) -> str:
    """Name the first number on the step that lies in no band or in two."""
    for count in range(round((high - low) / step) + 1):
        value = round(low + count * step, 6)
        holding = [band.label for band in bands if band.holds(value)]
        number = number_words(value, step)
        if not holding:
            return f"{number} lies in no band."
        if len(holding) > 1:
            return f"{number} lies in two bands, “{holding[0]}” and “{holding[1]}”."
    return ""


def _norms_without_use(protocol: Protocol) -> Iterator[Remark]:
    """Find references that give no score, or that are chosen by what no test asks."""
    tables: tuple[tuple[str, Sequence[Test | Derived]], ...] = (
        ("test", protocol.tests),
        ("derived", protocol.derived),
    )
    for key, items in tables:
        for index, item in enumerate(items):
            for number, norm in enumerate(item.norms):
                if norm.mean is not None and (norm.sd is None or norm.sd <= 0):
                    says = "a mean without a spread above 0 (“sd”) gives no score; where none was"
                    path: KeyPath = (key, index, "norms", number)
                    yield Remark(Weight.USELESS, path, f"{says} published, call it “middle”.")
            by_sex = any(norm.sex is not None for norm in item.norms)
            if by_sex and protocol.identity.sex not in protocol.tests_by_id:
                says = "some norms are chosen by sex, but [protocol] names no test for “sex”."
                yield Remark(Weight.NOTE, (key, index, "norms"), says)


def _uncited_sources(protocol: Protocol) -> Iterator[Remark]:
    cited = {figure.source for test in protocol.tests for figure in test.reliability}
    cited |= {figure.source for derived in protocol.derived for figure in derived.reliability}
    with_norms: tuple[Test | Derived, ...] = (*protocol.tests, *protocol.derived)
    cited |= {norm.source for item in with_norms for norm in item.norms}
    cited |= {test.important_change.source for test in protocol.tests if test.important_change}
    for kind in (
        "tests",
        "derived",
        "crosschecks",
        "cautions",
        "features",
        "rules",
        "advice",
        "shells",
    ):
        cited |= {source for item in getattr(protocol, kind) for source in item.basis}
    cited |= {source for exclusion in protocol.exclusions for source in exclusion.basis}
    assumed = protocol.assumed_agreement.values()
    cited |= {source for agreement in assumed for source in agreement.basis}
    for shell in protocol.shells:
        cited |= {source for material in shell.materials.values() for source in material.basis}
    for source in protocol.sources:
        if source not in cited:
            says = f"the source “{source}” is never cited."
            yield Remark(Weight.NOTE, ("sources", source), says)


def _unseen_figures(protocol: Protocol) -> Iterator[Remark]:
    seen = {figure.like for figure in protocol.figures.values()}
    seen |= {f"position-{position.id}" for position in protocol.positions}
    for test in protocol.tests:
        seen.add(figure_of_test(protocol, test))
        seen |= {
            figure_of_choice(protocol, test, choice.id) for choice in choices_of(protocol, test)
        }
    for figure in protocol.figures:
        if figure not in seen:
            says = f"nothing shows the figure “{figure}”: no test, grade or option has that name."
            yield Remark(Weight.NOTE, ("figures", figure), says)
