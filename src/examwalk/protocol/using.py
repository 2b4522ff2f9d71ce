"""Which tables of a protocol use a name, looked up in plain TOML data."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from typing import Any

from attrs import frozen

_KEYS_THAT_NAME = {
    "test": frozenset({"test", "recheck", "needs", "inputs", "figure_side"}),
    "derived": frozenset({"derived", "inputs", "stiffness"}),
    "feature": frozenset({"feature", "features", "thickness_feature", "material_feature"}),
    "caution": frozenset({"caution"}),
    "position": frozenset({"position"}),
    "scales": frozenset({"scale"}),
    "option_sets": frozenset({"option_set"}),
    "sources": frozenset({"basis", "source"}),
    "urgencies": frozenset({"urgency"}),
}
"""For each kind of table: the keys under which other tables name one of it."""

_WORDS = {
    "position": "positions",
    "test": "tests",
    "crosscheck": "crosschecks",
    "caution": "cautions",
    "feature": "features",
    "rule": "rules",
    "exclusion": "exclusions",
    "shell": "shells",
}


_KINDS_NAMED_UNDER = {
    key: tuple(kind for kind, keys in _KEYS_THAT_NAME.items() if key in keys)
    for key in frozenset().union(*_KEYS_THAT_NAME.values())
}


@frozen
class Uses:
    """Which tables name which, as found in one passage over a protocol's tables."""

    kinds: tuple[str, ...]
    """The kinds of its tables, in their order."""
    users: Mapping[tuple[str, str], Sequence[tuple[str, str]]]
    """For the kind and the id of a table: the kind and the id of each table that names it."""


def uses_in(data: Mapping[str, Iterable[Any]]) -> Uses:
    """Return which of these tables, given for each kind, name which."""
    users: dict[tuple[str, str], list[tuple[str, str]]] = {}
    for kind, tables in data.items():
        for own, table in named_tables(tables):
            for key, name in _names(table):
                for used_kind in _KINDS_NAMED_UNDER[key]:
                    users.setdefault((used_kind, name), []).append((kind, own))
    return Uses(tuple(data), users)


def users_of(uses: Uses, kind: str, name: str) -> dict[str, list[str]]:
    """Return the ids of the tables that use a name, by the word that ``[remove]`` has for them.

    Those that use one of the users are among them, since they would have to go as well.

    Args:
        uses: which tables name which.
        kind: the key of the named table's kind, such as ``test``.
        name: its id.
    """
    found: dict[str, list[str]] = {_WORDS.get(one, one): [] for one in uses.kinds}
    waiting = [(kind, name)]
    for used in waiting:
        for user in uses.users.get(used, ()):
            user_kind, own = user
            known = found[_WORDS.get(user_kind, user_kind)]
            if own not in known and user != used:
                known.append(own)
                waiting.append(user)
    return {word: ids for word, ids in found.items() if ids}


def named_tables(tables: Iterable[Any]) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Return each table with what it is called: its id, or an exclusion's pair of features."""
    for table in tables:
        if isinstance(table, dict):
            named = table.get("id") or " and ".join(map(str, table.get("features", [])))
            yield str(named), table


def _names(value: Any) -> Iterator[tuple[str, str]]:
    """Return each name that stands under one of the keys that name, at any depth, with its key."""
    if isinstance(value, dict):
        for key, inner in value.items():
            if key in _KINDS_NAMED_UNDER:
                given = inner if isinstance(inner, list) else [inner]
                yield from ((key, name) for name in given if isinstance(name, str))
            if isinstance(inner, (dict, list)):
                yield from _names(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _names(inner)


def draws_any(chart: Any, gone: AbstractSet[str]) -> bool:
    """Say whether a chart draws any of these; nothing else rests on a chart, so it goes too."""
    if not isinstance(chart, dict):
        return False
    of = chart.get("of")
    drawn = [*(of if isinstance(of, list) else ()), chart.get("result")]
    return any(isinstance(one, str) and one in gone for one in drawn)


def without_rechecks(crosscheck: Any, gone: AbstractSet[str]) -> Any:
    """Return a cross-check that no longer sends to tests that are gone."""
    if not isinstance(crosscheck, dict) or not isinstance(crosscheck.get("recheck"), list):
        return crosscheck
    if not gone & {one for one in crosscheck["recheck"] if isinstance(one, str)}:
        return crosscheck
    return {**crosscheck, "recheck": [one for one in crosscheck["recheck"] if one not in gone]}
