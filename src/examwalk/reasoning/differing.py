"""What follows from the same findings differently, once the protocol has changed."""

from collections.abc import Iterator, Mapping

from attrs import frozen

from examwalk.reasoning.results import FeatureResult, FeatureStatus, Summary
from examwalk.session.model import Side

NOTHING = "—"


@frozen
class Difference:
    """One thing that follows now and did not before, or the other way round."""

    what: str
    """``caution``, ``cross-check``, ``feature``, ``advice`` or ``derived value``."""
    title: str
    side: Side
    before: str
    """In words; ``—`` where there was nothing."""
    after: str


def differences(before: Summary, after: Summary) -> tuple[Difference, ...]:
    """Return what differs between two summaries, cautions first."""
    return tuple(
        Difference(what, titles[key], key[1], old.get(key, NOTHING), new.get(key, NOTHING))
        for what, old, new, titles in _compared(before, after)
        for key in dict.fromkeys([*old, *new])
        if old.get(key, NOTHING) != new.get(key, NOTHING)
    )


_Said = dict[tuple[str, Side], str]
"""What follows, in words, by id and side."""


def _compared(
    before: Summary, after: Summary
) -> Iterator[tuple[str, _Said, _Said, Mapping[tuple[str, Side], str]]]:
    for what, said in (
        ("caution", _cautions),
        ("cross-check", _crosschecks),
        ("feature", _features),
        ("derived value", _derived),
        ("advice", _advice),
    ):
        old, new = said(before), said(after)
        titles = {key: title for one in (old, new) for key, (title, _) in one.items()}
        yield (
            what,
            {key: words for key, (_, words) in old.items()},
            {key: words for key, (_, words) in new.items()},
            titles,
        )


_Titled = dict[tuple[str, Side], tuple[str, str]]


def _cautions(summary: Summary) -> _Titled:
    return {
        (one.id, one.side): (one.title, one.urgency_words + ("" if raised else ", not excluded"))
        for raised, cautions in ((False, summary.open_cautions), (True, summary.cautions))
        for one in cautions
    }


def _crosschecks(summary: Summary) -> _Titled:
    return {(one.id, one.side): (one.says, one.severity.value) for one in summary.crosschecks}


def _features(summary: Summary) -> _Titled:
    return {(one.id, one.side): (one.title, _value(one)) for one in summary.features}


def _value(result: FeatureResult) -> str:
    if result.status is FeatureStatus.RECOMMENDED:
        return result.words
    return str(result.status.value)


def _derived(summary: Summary) -> _Titled:
    return {
        (one.id, one.side): (
            one.title,
            (f"{one.value:g} {one.unit}".strip() if one.value is not None else "not settled")
            + (f", {one.band}" if one.band else ""),
        )
        for one in summary.derived
        if not one.internal
    }


def _advice(summary: Summary) -> _Titled:
    return {(one.id, one.side): (one.says, "given") for one in summary.advice}
