"""Which tables of a protocol use a name, looked up in plain TOML data."""

from collections.abc import Iterable, Iterator, Mapping
from collections.abc import Set as AbstractSet
from typing import Any

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


def users_of(data: Mapping[str, Iterable[Any]], kind: str, name: str) -> dict[str, list[str]]:
    """Return the ids of the tables that use a name, by the word that ``[remove]`` has for them.

    Those that use one of the users are among them, since they would have to go as well.

    Args:
        data: the tables of each kind.
        kind: the key of the named table's kind, such as ``test``.
        name: its id.
    """
    users: dict[str, list[str]] = {}
    waiting = [(kind, name)]
    for used_kind, used in waiting:
        keys = _KEYS_THAT_NAME.get(used_kind, frozenset())
        for user_kind, tables in data.items():
            known = users.setdefault(_WORDS.get(user_kind, user_kind), [])
            for own, table in named_tables(tables):
                uses = any(used in named for named in _names(table, keys))
                is_new = own not in known and (user_kind, own) != (used_kind, used)
                if uses and is_new:
                    known.append(own)
                    waiting.append((user_kind, own))
    return {word: ids for word, ids in users.items() if ids}


def named_tables(tables: Iterable[Any]) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Return each table with what it is called: its id, or an exclusion's pair of features."""
    for table in tables:
        if isinstance(table, dict):
            named = table.get("id") or " and ".join(map(str, table.get("features", [])))
            yield str(named), table


def _names(value: Any, keys: AbstractSet[str]) -> Iterator[tuple[Any, ...]]:
    """Return what stands under any of these keys, at any depth."""
    if isinstance(value, dict):
        for key, inner in value.items():
            if key in keys and not isinstance(inner, dict):
                yield tuple(inner) if isinstance(inner, list) else (inner,)
            yield from _names(inner, keys)
    elif isinstance(value, list):
        for inner in value:
            yield from _names(inner, keys)


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
