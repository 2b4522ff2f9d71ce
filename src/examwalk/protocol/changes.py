"""What an extending protocol changes in its base, in words, and what of it touches safety."""

from collections.abc import Iterator, Mapping
from typing import Any

from attrs import evolve, frozen

from examwalk.protocol.extending import KINDS
from examwalk.protocol.structuring import describe
from examwalk.protocol.using import users_of, uses_in

_NOUNS = {
    "position": "position",
    "test": "test",
    "derived": "derived value",
    "crosscheck": "cross-check",
    "caution": "caution",
    "feature": "feature",
    "rule": "rule",
    "exclusion": "exclusion",
    "advice": "advice",
    "shell": "shell",
    "chart": "chart",
    "scales": "scale",
    "option_sets": "option set",
    "assumed_agreement": "assumed agreement",
    "sources": "source",
    "urgencies": "urgency",
    "not_done_reasons": "reason for not done",
}
_SAFETY_KEYS = {
    "caution": frozenset({"when", "urgency", "device", "sides"}),
    "position": frozenset({"ask_when"}),
    "test": frozenset({"safety", "ask_when", "kind", "scale", "sides"}),
    "feature": frozenset({"needs", "applies_when", "cautious"}),
    "rule": frozenset({"when", "effects", "class"}),
}


@frozen
class Change:
    """One difference between a protocol and its base."""

    kind: str
    """The key of the table, such as ``test``."""
    id: str
    says: str
    touches_safety: bool = False
    """A caution, a safety question or a safety rule is taken away or altered."""


def changes_between(base: Mapping[str, Any], changed: Mapping[str, Any]) -> tuple[Change, ...]:
    """Return how a merged protocol differs from its base, both as plain TOML data."""
    found = list(_identity_changes(base, changed))
    uses = uses_in({kind: _by_id(base.get(kind)).values() for kind in KINDS.values()})
    features = set(_by_id(changed.get("feature")))
    for kind in KINDS.values():
        before, after = _by_id(base.get(kind)), _by_id(changed.get(kind))
        for change in _kind_changes(kind, before, after):
            if kind == "rule" and change.id not in after:
                # A rule for features that are all gone guards nobody.
                guards = change.touches_safety and bool(_features_of(before[change.id]) & features)
                found.append(evolve(change, touches_safety=guards))
            elif kind == "derived" and not change.says.endswith(_HARMLESS):
                used = "cautions" in users_of(uses, kind, change.id)
                found.append(evolve(change, touches_safety=used and change.id in before))
            else:
                found.append(change)
        kept = [name for name in before if name in after]
        if kept != [name for name in after if name in before]:
            says = f"the order of the {kind.replace('_', ' ').removesuffix('s')}s differs"
            found.append(Change(kind, "", says))
    return tuple(found)


_HARMLESS = ("bands reworded or rewritten", "title reworded or rewritten")


def _features_of(rule: Any) -> set[str]:
    effects = rule.get("effects", ()) if isinstance(rule, dict) else ()
    return {effect["feature"] for effect in effects if "feature" in effect}


def _identity_changes(base: Mapping[str, Any], changed: Mapping[str, Any]) -> Iterator[Change]:
    for key, value in changed.get("protocol", {}).items():
        before = base.get("protocol", {}).get(key)
        if value != before:
            yield Change("protocol", key, f"{key}: {_shown(before)} → {_shown(value)}")


def _kind_changes(
    kind: str, before: Mapping[str, Any], after: Mapping[str, Any]
) -> Iterator[Change]:
    noun = _NOUNS[kind]
    for name, value in before.items():
        if name not in after:
            says = f"{noun} “{name}” removed{_title(value)}"
            # A position takes its tests along: none of them is asked any more.
            yield Change(kind, name, says, kind != "position" and _guards(kind, value))
    for name, value in after.items():
        if name not in before:
            yield Change(kind, name, f"{noun} “{name}” added{_title(value)}")
        elif value != before[name]:
            yield from _table_changes(kind, name, before[name], value)


def _table_changes(kind: str, name: str, before: Any, after: Any) -> Iterator[Change]:
    noun = _NOUNS[kind]
    if not isinstance(before, dict) or not isinstance(after, dict):
        yield Change(kind, name, f"{noun} “{name}”: {_shown(before)} → {_shown(after)}")
        return
    guards = _guards(kind, before) or _guards(kind, after)
    for key in dict.fromkeys([*before, *after]):
        old, new = before.get(key), after.get(key)
        if old == new:
            continue
        safety = guards and key in _SAFETY_KEYS.get(kind, frozenset())
        if isinstance(old, dict) and isinstance(new, dict) and key not in ("when", "ask_when"):
            parts = [part for part in dict.fromkeys([*old, *new]) if old.get(part) != new.get(part)]
            says = f"{noun} “{name}”: {key} changed for {', '.join(parts)}"
        elif _is_short(old) and _is_short(new):
            says = f"{noun} “{name}”: {key}: {_shown(old)} → {_shown(new)}"
        else:
            says = f"{noun} “{name}”: {key} reworded or rewritten"
        yield Change(kind, name, says, safety)


def _guards(kind: str, value: Any) -> bool:
    """Say whether a table guards the patient: a caution, a safety question or a safety rule, or
    a position in which not everybody is examined."""
    if not isinstance(value, dict):
        return False
    if kind == "position":
        return "ask_when" in value
    if kind == "test":
        return bool(value.get("safety"))
    if kind == "rule":
        return value.get("class") in ("safety", "tolerance")
    return kind == "caution" or (kind == "feature" and "needs" in value)


def _by_id(tables: Any) -> Mapping[str, Any]:
    if isinstance(tables, dict):
        return tables
    return {
        str(table.get("id") or " and ".join(table.get("features", []))): table
        for table in tables or ()
        if isinstance(table, dict)
    }


def _title(value: Any) -> str:
    if not isinstance(value, dict):
        return ""
    words = value.get("title") or value.get("says") or value.get("because") or ""
    return f": {words}" if words else ""


def _is_short(value: Any) -> bool:
    if isinstance(value, list):
        return len(value) <= 4 and all(isinstance(item, int | float | str) for item in value)
    return (
        value is None
        or isinstance(value, bool | int | float)
        or (isinstance(value, str) and len(value) <= 60)
    )


def _shown(value: Any) -> str:
    if value is None:
        return "nothing"
    if isinstance(value, list):
        return "[" + ", ".join(describe(item) for item in value) + "]"
    return describe(value)
