"""Which keys of a protocol are words that a reader sees, and where they stand in a document.

A word's path names tables by their ids, so that it still leads there when other tables come or
go. Bands, which have no id, go by their label in the protocol's own language; points, rows and
agreement figures go by their number.
"""

from collections.abc import Iterator, Mapping
from functools import cache
from types import UnionType
from typing import Any, Union, get_args, get_origin

import attrs
from attrs import frozen

from examwalk.drawing.figure import Figure
from examwalk.protocol.caution_model import Caution, Crosscheck
from examwalk.protocol.change_model import ImportantChange
from examwalk.protocol.chart_model import Chart
from examwalk.protocol.derived_model import Derived, Points, Row
from examwalk.protocol.exam_model import Appearance, Band, Option, Position, Scale, Test
from examwalk.protocol.feature_model import Advice, Exclusion, Feature, FeatureOption, Rule
from examwalk.protocol.locating import KeyPath
from examwalk.protocol.model import Identity, Protocol, Source
from examwalk.protocol.norm_model import Norm
from examwalk.protocol.patient_model import WearingIn
from examwalk.protocol.reliability_model import Reliability
from examwalk.protocol.structuring import keys_of

WordPath = tuple[str | int, ...]

WORD_KEYS: Mapping[type, frozenset[str]] = {
    Protocol: frozenset({"not_done_reasons", "urgencies"}),
    Identity: frozenset({"title", "about", "disclaimer"}),
    Position: frozenset({"title", "instruction"}),
    Scale: frozenset({"labels"}),
    Appearance: frozenset({"looks", "for_patient"}),
    Option: frozenset({"label", "looks", "for_patient"}),
    Band: frozenset({"label", "for_patient"}),
    # The value of an agreement figure is a number or a range, as printed.
    Reliability: frozenset({"statistic", "note"}),
    Norm: frozenset({"population", "limits", "note"}),
    Test: frozenset(
        {
            "title",
            "short_title",
            "why",
            "how",
            "mistakes",
            "cautions",
            "reading",
            "unit",
            "unit_one",
        }
    ),
    ImportantChange: frozenset({"note"}),
    Points: frozenset({"because"}),
    Row: frozenset({"because"}),
    Derived: frozenset({"title", "unit", "unit_one"}),
    Crosscheck: frozenset({"says", "why"}),
    Caution: frozenset({"title", "says", "refer_to", "for_patient"}),
    FeatureOption: frozenset({"label", "note", "for_patient"}),
    WearingIn: frozenset({"tick"}),
    Feature: frozenset(
        {"title", "group", "about", "unit", "unit_one", "zero", "positive", "negative"}
        | {"for_patient"}
    ),
    Rule: frozenset({"because"}),
    Exclusion: frozenset({"because"}),
    Chart: frozenset({"title"}),
    Advice: frozenset({"kind", "says", "for_patient"}),
    # A citation stays as it was published.
    Source: frozenset({"note"}),
    Figure: frozenset({"alt"}),
}
"""The keys of each table whose text a reader sees; all others steer the exam or cite."""


@frozen
class Word:
    """One text of a protocol that a reader sees."""

    path: WordPath
    at: KeyPath
    """Where it stands in the document, or would stand where it is not written out."""
    text: str


def words_in(data: Mapping[str, Any]) -> Iterator[Word]:
    """Return every word of a protocol, given as plain TOML data; what is misshapen has none."""
    return _in_table(Protocol, data, (), ())


def with_words(data: Mapping[str, Any], words: Mapping[WordPath, str]) -> Mapping[str, Any]:
    """Return the data with other words at these paths, everything else as it was."""
    changes: dict[str | int, Any] = {}
    for word in words_in(data):
        if word.path in words:
            inside = changes
            for key in word.at[:-1]:
                inside = inside.setdefault(key, {})
            inside[word.at[-1]] = words[word.path]
    changed: Mapping[str, Any] = _changed(data, changes)
    return changed


def _changed(value: Any, changes: Any) -> Any:
    if isinstance(changes, str):
        return changes
    if isinstance(value, list):
        return [
            _changed(item, changes[index]) if index in changes else item
            for index, item in enumerate(value)
        ]
    value = value or {}
    return value | {key: _changed(value.get(key), inner) for key, inner in changes.items()}


def _in_any(expected: Any, value: Any, path: WordPath, at: KeyPath) -> Iterator[Word]:
    inner = item_type(expected)
    if inner is None:
        yield from _in_table(class_inside(expected), value, path, at)
    elif get_origin(expected) is tuple and isinstance(value, list):
        for index, item in enumerate(value):
            yield from _in_any(inner, item, (*path, name_in_list(inner, item, index)), (*at, index))
    elif get_origin(expected) is not tuple and isinstance(value, dict):
        for key, item in value.items():
            yield from _in_any(inner, item, (*path, key), (*at, key))


def _in_table(cls: type | None, value: Any, path: WordPath, at: KeyPath) -> Iterator[Word]:
    if cls is None or not isinstance(value, dict):
        return
    for key, (_, expected, _) in keys_of(cls).items():
        here, there = (*path, key), (*at, key)
        if key in WORD_KEYS[cls]:
            yield from _words(word_value(cls, key, value), here, there)
        elif class_inside(expected) is not None and key in value:
            yield from _in_any(expected, value[key], here, there)


def _words(value: Any, path: WordPath, at: KeyPath) -> Iterator[Word]:
    if isinstance(value, str) and value.strip():
        yield Word(path, at, value)
    elif isinstance(value, dict | list):
        for key, inner in value.items() if isinstance(value, dict) else enumerate(value):
            if isinstance(inner, str) and inner.strip():
                yield Word((*path, key), (*at, key), inner)


def word_value(cls: type, key: str, table: Mapping[str, Any]) -> Any:
    """Return what a reader sees under a word key, written out or not: a text, list or table."""
    if cls is Scale:
        return _labels(table)
    if cls is Feature and key == "zero" and table.get("kind") == "amount":
        return table.get(key, attrs.fields(Feature).zero.default)
    return table.get(key)


def _labels(scale: Mapping[str, Any]) -> Mapping[str, str]:
    """Return the label of each grade of a scale, also of those that have only their id."""
    grades, given = scale.get("grades"), scale.get("labels")
    names = [one for one in grades if isinstance(one, str)] if isinstance(grades, list) else []
    return Scale(tuple(names), given if isinstance(given, dict) else {}).all_labels


def name_in_list(cls: type, item: object, index: int) -> str | int:
    """Return what a table of a list goes by: its id, a pair of features, a label, a number."""
    key = names_of(cls)
    if key is None or not isinstance(item, dict):
        return index
    name = item.get(key)
    if isinstance(name, list):
        return " and ".join(map(str, name))
    return name if isinstance(name, str) else index


def names_of(cls: type) -> str | None:
    """Return the key by which tables of this class in a list are told apart, if by any."""
    own = {Band: "label", Exclusion: "features"}
    return own.get(cls, "id" if "id" in keys_of(cls) else None)


def item_type(expected: Any) -> Any:
    """Return the type of what a list or a table of names holds, or None for anything else."""
    origin = get_origin(expected)
    if origin is tuple:
        return get_args(expected)[0]
    if origin is not None and origin not in (Union, UnionType):
        return get_args(expected)[1]
    return None


@cache
def class_inside(expected: Any) -> type | None:
    """Return the class with words that a key leads to, directly or in lists and tables."""
    inner = item_type(expected)
    if inner is not None:
        return class_inside(inner)
    members = get_args(expected) if get_origin(expected) in (Union, UnionType) else (expected,)
    return next((member for member in members if member in WORD_KEYS), None)
