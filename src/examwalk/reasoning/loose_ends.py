"""What in a protocol nothing leads to, nothing uses, or nothing says in words."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

import attrs

from examwalk.protocol.derived_model import Derived
from examwalk.protocol.exam_model import Band, Kind, Test
from examwalk.protocol.feature_model import FeatureKind
from examwalk.protocol.figures import figure_of_choice, figure_of_test
from examwalk.protocol.locating import KeyPath
from examwalk.protocol.model import Protocol
from examwalk.protocol.wording import choices_of, number_words
from examwalk.reasoning.mentions import conditions_in, mentions
from examwalk.reasoning.remarks import Remark, Weight


def loose_ends(protocol: Protocol) -> Iterator[Remark]:
    """Find what leads nowhere, is never shown or cited, or leaves answers without words."""
    yield from _unreached_features(protocol)
    yield from _unused_tests(protocol)
    yield from _grades_without_words(protocol)
    yield from _bands_with_gaps(protocol)
    yield from _norms_without_use(protocol)
    yield from _uncited_sources(protocol)
    yield from _unseen_figures(protocol)


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
    """Return the bounds that a band states."""
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
    cited = set(_cited_in(protocol))
    for source in protocol.sources:
        if source not in cited:
            says = f"the source “{source}” is never cited."
            yield Remark(Weight.NOTE, ("sources", source), says)


def _cited_in(value: Any) -> Iterator[str]:
    """Return the sources that a table names, and those that the tables inside it name."""
    if isinstance(value, Mapping):
        for inner in value.values():
            yield from _cited_in(inner)
    elif isinstance(value, tuple):
        for inner in value:
            yield from _cited_in(inner)
    elif attrs.has(type(value)):
        yield from getattr(value, "basis", ())
        if hasattr(value, "source"):
            yield value.source
        for field in attrs.fields(type(value)):
            yield from _cited_in(getattr(value, field.name))


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
