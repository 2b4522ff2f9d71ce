"""Checks that every kind of table shares: known ids, a basis, bands, keys of another kind."""

from collections.abc import Callable, Collection, Iterable, Mapping
from typing import Any

import attrs

from examwalk.problems import did_you_mean, nearest_word
from examwalk.protocol.exam_model import Band
from examwalk.protocol.key_types import Number
from examwalk.protocol.locating import KeyPath
from examwalk.protocol.model import Protocol
from examwalk.protocol.reliability_model import Reliability

Report = Callable[[KeyPath, str], None]

SMALLEST_STEP = 0.001
_MOST_LISTED = 8


def check_known(word: str, known: Iterable[str], what: str, path: KeyPath, report: Report) -> bool:
    """Report a word that is not among the known ones; say whether it is."""
    known = list(known)
    if word in known:
        return True
    report(path, f"there is no {what} “{word}”.{known_hint(word, known)}")
    return False


def known_hint(word: str, known: Collection[str]) -> str:
    """Return the nearest known word as a question, else all of them where they are few."""
    near = nearest_word(word, known)
    if near or not 0 < len(known) <= _MOST_LISTED:
        return did_you_mean(near)
    return f" Choose from: {', '.join(known)}."


def check_basis(basis: tuple[str, ...], path: KeyPath, protocol: Protocol, report: Report) -> None:
    """Report a statement without a basis, or with one that is no source of the protocol."""
    if not basis:
        report(
            (*path, "basis"),
            "a statement needs a basis: name a source, or common-practice.",
        )
    for index, source in enumerate(basis):
        check_known(source, protocol.sources, "source", (*path, "basis", index), report)


def check_reliability(
    figures: tuple[Reliability, ...], path: KeyPath, protocol: Protocol, report: Report
) -> None:
    """Report figures of agreement or error that cannot be, and sources that are not there."""
    for number, figure in enumerate(figures):
        inner: KeyPath = (*path, "reliability", number)
        check_known(figure.source, protocol.sources, "source", (*inner, "source"), report)
        for key in ("minimal_detectable_change", "standard_deviation"):
            value = getattr(figure, key)
            if value is not None and value <= 0:
                report((*inner, key), "this must be above 0; leave it out where it is not known.")
        if figure.standard_error is not None and figure.standard_error < 0:
            report((*inner, "standard_error"), "an error cannot be below 0.")
        if figure.coefficient is not None and not -1 <= figure.coefficient <= 1:
            report((*inner, "coefficient"), "a coefficient of agreement lies between -1 and 1.")
        if figure.standard_deviation is not None and figure.coefficient is None:
            needs = "give the ICC as “coefficient” too: only both together give an error."
            report((*inner, "standard_deviation"), needs)
        if figure.within_examiner and figure.by_patient:
            both = "choose “within_examiner” or “by_patient”: who answered twice?"
            report((*inner, "by_patient"), both)


def check_step(step: Number, path: KeyPath, report: Report) -> None:
    """Report a step that no amount can be counted in."""
    if step <= 0:
        report((*path, "step"), "the step must be above 0.")
    elif step < SMALLEST_STEP:
        report((*path, "step"), f"the step must be {SMALLEST_STEP} or more.")


def check_bands(bands: tuple[Band, ...], path: KeyPath, report: Report) -> None:
    """Report bands that hold no number, and those that share one with a band before them."""
    for index, band in enumerate(bands):
        inner = (*path, "bands", index)
        given = [key for key in ("at_least", "above", "at_most", "below") if _has(band, key)]
        low, low_is_held = _low_end(band)
        high, high_is_held = _high_end(band)
        if not given:
            report(inner, "a band needs a bound: at_least or above, at_most or below.")
        elif {"at_least", "above"} <= set(given) or {"at_most", "below"} <= set(given):
            report(inner, "a band has one lower bound and one upper bound at most.")
        elif low > high:
            report(inner, "the lower bound lies above the upper one.")
        elif low == high and not (low_is_held and high_is_held):
            report(inner, "no number lies between these bounds.")
        else:
            for earlier in bands[:index]:
                if _overlap(earlier, band):
                    report(inner, f"this band shares numbers with the band “{earlier.label}”.")
                    break


def _has(band: Band, key: str) -> bool:
    return getattr(band, key) is not None


def _low_end(band: Band) -> tuple[float, bool]:
    """Return the lower bound and whether the band holds it."""
    if band.at_least is not None:
        return band.at_least, True
    return (float("-inf") if band.above is None else band.above), False


def _high_end(band: Band) -> tuple[float, bool]:
    if band.at_most is not None:
        return band.at_most, True
    return (float("inf") if band.below is None else band.below), False


def _overlap(one: Band, other: Band) -> bool:
    low, low_is_held = max(_low_end(one), _low_end(other), key=lambda end: (end[0], not end[1]))
    high, high_is_held = min(_high_end(one), _high_end(other), key=lambda end: (end[0], end[1]))
    return low < high or (low == high and low_is_held and high_is_held)


def check_keys_of_kind(
    item: Any, kind: str, keys_by_kind: Mapping[str, tuple[str, ...]], path: KeyPath, report: Report
) -> None:
    """Report the keys that only another kind of test or feature can use."""
    own = keys_by_kind[kind]
    for other, keys in keys_by_kind.items():
        for key in keys:
            if key not in own and getattr(item, key) != _default(type(item), key):
                report((*path, key), f"“{key}” is for the kind “{other}”; this is “{kind}”.")


def _default(cls: type, name: str) -> object:
    default = attrs.fields_dict(cls)[name].default
    factory = getattr(default, "factory", None)
    return default if factory is None else factory()
