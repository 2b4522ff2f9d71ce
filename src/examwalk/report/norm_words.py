"""Numbers against reference values, in words: each population beside what it says."""

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import Any

from examwalk.language import later, say
from examwalk.protocol.derived_model import Derived
from examwalk.protocol.exam_model import Test
from examwalk.protocol.model import Protocol
from examwalk.protocol.norm_model import Norm
from examwalk.protocol.wording import number_words, short_number, unit_words
from examwalk.reasoning.norms import NoReference, Placed, Referenced
from examwalk.report.grounds import basis_words, sentence
from examwalk.report.said import Said, labelled, quiet, said, warning
from examwalk.report.sides import side_word
from examwalk.session.model import Side

NONE_BECAUSE = {
    NoReference.AGE: later("There is no reference for this age."),
    NoReference.SEX: later("There is no reference for this sex."),
    NoReference.AGE_UNKNOWN: later("Its references are chosen by age, which is not answered."),
    NoReference.SEX_UNKNOWN: later("Its references are chosen by sex, which is not answered."),
}


def references_told(protocol: Protocol, referenced: Sequence[Referenced]) -> list[Said]:
    """Say all numbers that have references, left and right of one together."""
    lines: list[Said] = []
    for _, group in groupby(referenced, key=lambda one: one.id):
        pair = list(group)
        item = item_of(protocol, pair[0])
        name = item.name if isinstance(item, Test) else item.title
        numbers = "; ".join(_by_side(one, with_unit(item, one.value)) for one in pair)
        lines.append(said(f"{name}: ", numbers, hang=2))
        lines += reference_told(protocol, pair, indent=2)
    return lines


def reference_told(protocol: Protocol, pair: Sequence[Referenced], indent: int = 0) -> list[Said]:
    """Say where a number of one side or both lies, and whether authors disagree on it."""
    item = item_of(protocol, pair[0])
    reasons = dict.fromkeys(one.none_because for one in pair)
    lines = [said(say(NONE_BECAUSE[why]), indent=indent) for why in reasons if why is not None]
    if any(one.disagree for one in pair):
        lines.append(warning(say("Authors disagree on what is normal here."), indent))
    for norm in item.norms:
        placed = [(one, at) for one in pair for at in one.placed if at.norm == norm]
        if placed:
            verdicts = "; ".join(
                _by_side(one, verdict) for one, at in placed if (verdict := verdict_words(at))
            )
            what = "; ".join(described(item, norm))
            words = f"{what}: {verdicts}" if verdicts else what
            lines.append(labelled(norm.population, words, indent))
            source = basis_words(protocol, (norm.source,))
            note = f"{sentence(norm.note)} " if norm.note else ""
            lines.append(said(quiet(note + source), indent=indent + 2))
    return lines


def _by_side(one: Referenced, words: str) -> str:
    if one.side is Side.WHOLE:
        return words
    return say("{side} {words}", side=side_word(one.side), words=words)


def described(item: Test | Derived, norm: Norm) -> Iterator[str]:
    """Say what a reference gives, whoever is set against it."""
    if norm.mean is not None and norm.sd is not None and norm.sd > 0:
        yield say("mean {mean}, SD {sd}", mean=with_unit(item, norm.mean), sd=_figure(norm.sd))
    elif norm.mean is not None:
        yield say(
            "mean {mean}; no score, since the protocol gives no spread above 0 with it",
            mean=with_unit(item, norm.mean),
        )
    if norm.middle is not None:
        yield say(
            "middle value {middle}, published without its spread",
            middle=with_unit(item, norm.middle),
        )
    if norm.low is not None or norm.high is not None:
        yield say("normal {limits}", limits=_limits_words(item, norm))


def verdict_words(placed: Placed) -> str:
    """Say where a number lies in a reference; an empty text where nothing can be told."""
    parts = []
    if placed.z is not None and placed.percentile is not None:
        percentile = percentile_words(placed.percentile)
        parts.append(
            say("z {z}, percentile {percentile}", z=z_words(placed.z), percentile=percentile)
        )
    if placed.is_within is not None:
        parts.append(say("within") if placed.is_within else say("outside"))
    return ", ".join(parts)


def short_words(protocol: Protocol, one: Referenced) -> str:
    """Say a number and, in a few words, where it lies in the first of its references."""
    number = with_unit(item_of(protocol, one), one.value)
    if not one.placed:
        return say("{number}, no reference", number=number)
    if one.disagree:
        return say("{number}, authors disagree", number=number)
    first = one.placed[0]
    if first.percentile is not None:
        percentile = percentile_words(first.percentile)
        return say("{number}, percentile {percentile}", number=number, percentile=percentile)
    if first.is_within is not None:
        return f"{number}, {say('within') if first.is_within else say('outside')}"
    if first.norm.middle is not None:
        middle = _figure(first.norm.middle)
        return say("{number}, middle value {middle}", number=number, middle=middle)
    return number


def _limits_words(item: Test | Derived, norm: Norm) -> str:
    if norm.low is None:
        words = say("{value} or less", value=with_unit(item, norm.high or 0))
    elif norm.high is None:
        words = say("{value} or more", value=with_unit(item, norm.low))
    else:
        low, high = _figure(norm.low), with_unit(item, norm.high)
        words = say("{low} to {high}", low=low, high=high)
    return f"{words} ({norm.limits})" if norm.limits else words


def z_words(z: float) -> str:
    """Write a z score with its sign and two decimals."""
    sign = "+" if round(z, 2) > 0 else ""
    return sign + number_words(round(z, 2), 0.01)


def percentile_words(percentile: float) -> str:
    """Write a percentile in whole numbers; beyond 1 and 99 the curve is not trusted."""
    if percentile < 1:
        return "<1"
    return ">99" if percentile > 99 else f"{percentile:.0f}"


def item_of(protocol: Protocol, one: Referenced) -> Test | Derived:
    """Return the test or the derived value that a number is of."""
    return protocol.tests_by_id.get(one.id) or protocol.derived_by_id[one.id]


def _figure(value: float) -> str:
    return short_number(round(value, 2))


def with_unit(item: Test | Derived, value: float) -> str:
    """Write a number with its unit."""
    unit = unit_words(item, value)
    return f"{_figure(value)}{unit}" if unit in ("°", "%") else f"{_figure(value)} {unit}".rstrip()


def references_data(referenced: Sequence[Referenced]) -> list[dict[str, Any]]:
    """Return the numbers with their references as plain data."""
    return [
        {
            "id": one.id,
            "side": one.side.value,
            "value": one.value,
            "none_because": one.none_because.value if one.none_because else None,
            "authors_disagree": one.disagree,
            "references": [
                {
                    "population": placed.norm.population,
                    "source": placed.norm.source,
                    "mean": placed.norm.mean,
                    "sd": placed.norm.sd,
                    "middle": placed.norm.middle,
                    "low": placed.norm.low,
                    "high": placed.norm.high,
                    "z": placed.z,
                    "percentile": placed.percentile,
                    "is_within": placed.is_within,
                }
                for placed in one.placed
            ],
        }
        for one in referenced
    ]
