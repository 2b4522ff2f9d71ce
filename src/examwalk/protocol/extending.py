"""A protocol that extends another: it states what differs, and the rest flows in.

Tables that have an id are merged by it, key by key; a key that is given replaces the inherited
one, whole. Only grades, options, labels, parameters, materials and named conditions are merged one
level deeper, so that one grade can be reworded alone. ``[remove]`` takes tables away by id, and
``after`` or ``before`` puts a table next to another one. The words of a translation follow the same
levels: what an extension words anew is no longer said as its base is translated.
"""

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from attrs import evolve, field, frozen, mutable

from examwalk.problems import Problem, UnusableFileError, nearest
from examwalk.protocol.documents import Document, read_document
from examwalk.protocol.library import shipped_folder, shipped_protocols, translations_of
from examwalk.protocol.locating import KeyPath
from examwalk.protocol.translating import read_translation
from examwalk.protocol.using import draws_any, users_of, uses_in, without_rechecks
from examwalk.protocol.word_places import WordPath, words_in

MOST_LEVELS = 8

KINDS = {
    "positions": "position",
    "tests": "test",
    "derived": "derived",
    "crosschecks": "crosscheck",
    "cautions": "caution",
    "features": "feature",
    "rules": "rule",
    "exclusions": "exclusion",
    "advice": "advice",
    "shells": "shell",
    "charts": "chart",
    "scales": "scales",
    "option_sets": "option_sets",
    "assumed_agreement": "assumed_agreement",
    "sources": "sources",
    "urgencies": "urgencies",
    "not_done_reasons": "not_done_reasons",
}
"""The words of ``[remove]`` and the key of the tables that each one means."""

_MERGED_DEEPER = frozenset({"grades", "options", "labels", "parameters", "conditions", "materials"})
_MERGED_DEEPER_STILL = frozenset({"grades", "options", "materials"})
"""Of these, one that is given states only what changes of it; a condition is given whole."""
_PLACEMENT = ("after", "before")

Origin = tuple[int, KeyPath]


@frozen
class Extended:
    """A document with everything it inherits, and the document it extends, if it does."""

    document: Document
    base: Document | None = None
    problems: tuple[Problem, ...] = ()
    words: Mapping[WordPath, str] | None = None
    """Its words in the language asked for; none where they are all taken as they are written."""
    translation_files: tuple[Path, ...] = ()
    """The files that words were read from, and the folders they lie in."""


@mutable
class _Entry:
    """One table on its way through the layers, with the origin of each key that was replaced."""

    value: Any
    origins: dict[KeyPath, Origin] = field(factory=dict)


def read_extended(path: Path, language: str | None) -> Extended:
    """Read a protocol document together with all that it extends.

    Args:
        path: its file or folder.
        language: the language of its words, where they are not taken as they are written.

    Raises:
        UnusableFileError: a file cannot be read, a base is missing, lies where it may not, or
            extends itself in a circle.
    """
    return _read(path, (), language)


def _read(path: Path, trail: tuple[Path, ...], language: str | None) -> Extended:
    document = read_document(path)
    identity = document.data.get("protocol")
    if not isinstance(identity, dict):
        return Extended(document)
    name = identity.get("extends")
    if not isinstance(name, str):
        return _with_words(Extended(document), path, None, language)
    trail = (*trail, path.resolve())
    base_path = _base_path(document, name)
    if base_path.resolve() in trail:
        circle = " → ".join(step.stem for step in (*trail, base_path))
        raise _refusal(document, f"the protocols extend each other in a circle: {circle}.")
    if len(trail) > MOST_LEVELS:
        raise _refusal(document, f"protocols may extend each other over {MOST_LEVELS} levels.")
    if "id" not in identity:
        raise _refusal(document, "a protocol that extends another needs an id of its own.")
    base = _read(base_path, trail, language)
    document, problems = _Layer(base.document, document).result()
    extended = Extended(document, base.document, (*base.problems, *problems))
    return _with_words(extended, path, base, language)


def _with_words(
    extended: Extended, path: Path, base: Extended | None, language: str | None
) -> Extended:
    """Add the words of one level: what still holds of its base's, and its own over them."""
    if language is None:
        return extended
    document = extended.document
    identity = document.data.get("protocol", {})
    is_own = isinstance(identity, dict) and identity.get("language", "en") == language
    if is_own and (base is None or base.words is None):
        return extended
    before = {word.path: word.text for word in words_in(base.document.data)} if base else {}
    known = (before if base.words is None else base.words) if base else {}
    words: dict[WordPath, str] = {}
    for word in words_in(document.data):
        # A translation holds for the text that it was made for, and for no other.
        if before.get(word.path) == word.text and word.path in known:
            words[word.path] = known[word.path]
        elif is_own and before.get(word.path) != word.text:
            words[word.path] = word.text
    files = base.translation_files if base else ()
    place = None if is_own else translations_of(path).get(language)
    if place is None:
        return evolve(extended, words=words, translation_files=files)
    given = read_document(place)
    translation = read_translation(given, document.data)
    return evolve(
        extended,
        problems=(*extended.problems, *translation.problems),
        words={**words, **translation.words},
        translation_files=(*files, place.parent, place, *(part.path for part in given.parts)),
    )


def _base_path(document: Document, name: str) -> Path:
    """Find what ``extends`` names: a shipped protocol, or a file or folder near this one."""
    shipped = {path.stem: path for path in shipped_protocols()}
    if name in shipped:
        return shipped[name]
    near = document.path.parent
    for candidate in (near / name, near / f"{name}.toml"):
        if not candidate.exists():
            continue
        resolved = candidate.resolve()
        if not any(resolved.is_relative_to(root) for root in (near.resolve(), shipped_folder())):
            raise _refusal(
                document, f"“{name}” lies outside {near}; a base must lie beside its extension."
            )
        return candidate
    known = ", ".join(shipped)
    raise _refusal(
        document,
        f"there is no protocol “{name}” to extend: it is neither a shipped one ({known}) nor"
        f" a file or folder in {near}.{nearest(name, shipped)}",
    )


def _refusal(document: Document, message: str) -> UnusableFileError:
    file, line = document.place(("protocol", "extends"))
    return UnusableFileError([Problem(message, file, line, place="protocol, extends")])


class _Layer:
    """One document laid over its base."""

    def __init__(self, base: Document, over: Document) -> None:
        self.over = over
        self.offset = len(base.parts)
        self.path = over.path
        self.parts = (*base.parts, *over.parts)
        self.problems: list[Problem] = []
        self.removed: list[tuple[str, str, KeyPath, tuple[Any, _Entry]]] = []
        self.kinds = _entries_of_each_kind(base)
        self._lay_over()
        self._remove()
        self._keep_what_is_still_used()

    def result(self) -> tuple[Document, tuple[Problem, ...]]:
        """Return the merged document, and what could not be merged."""
        data: dict[str, Any] = {}
        origins: dict[KeyPath, Origin] = {}
        for kind, entries in self.kinds.items():
            is_array = kind in KINDS.values() and all(isinstance(key, int) for key in entries)
            placed = self._placed(list(entries.values())) if is_array else None
            for key, entry in enumerate(placed) if placed is not None else entries.items():
                data.setdefault(kind, [] if is_array else {})
                if is_array:
                    data[kind].append(entry.value)
                else:
                    data[kind][key] = entry.value
                origins.update({(kind, key, *inner): at for inner, at in entry.origins.items()})
                first = entry.origins.get((), next(iter(entry.origins.values()), None))
                if first is not None:
                    origins.setdefault((kind,), (first[0], (kind,)))
        return Document(self.path, data, self.parts, origins), tuple(self.problems)

    def _lay_over(self) -> None:
        for kind, value in self.over.data.items():
            if kind == "remove":
                continue
            entries = self.kinds.setdefault(kind, {})
            if isinstance(value, dict):
                for key, inner in value.items():
                    if (kind, key) != ("protocol", "extends"):
                        self._lay(entries, key, inner, (kind, key))
            elif isinstance(value, list):
                known = {_id_of(entry.value): key for key, entry in entries.items()}
                for index, inner in enumerate(value):
                    key = known.get(_id_of(inner), len(entries) + 1_000_000)
                    self._lay(entries, key, inner, (kind, index))
            else:
                self.problems.append(self._problem("expected a table.", (kind,)))

    def _lay(self, entries: dict[Any, _Entry], key: Any, value: Any, path: KeyPath) -> None:
        number, inner = self.over.origin(path) or (0, path)
        origin = (number + self.offset, inner)
        held = entries.get(key)
        if held is None or not isinstance(held.value, dict) or not isinstance(value, dict):
            entries[key] = _Entry(value, {(): origin})
        else:
            entries[key] = _Entry(
                _merged(held.value, value, held.origins, origin, ()), held.origins
            )

    def _remove(self) -> None:
        removals = self.over.data.get("remove", {})
        if not isinstance(removals, dict):
            self.problems.append(self._problem("expected a table.", ("remove",)))
            return
        for word, ids in removals.items():
            path = ("remove", word)
            if word not in KINDS:
                listed = ", ".join(KINDS)
                hint = nearest(word, KINDS)
                message = f"[remove] knows no “{word}”; it knows {listed}.{hint}"
                self.problems.append(self._problem(message, path))
            elif not isinstance(ids, list) or not all(isinstance(one, str) for one in ids):
                self.problems.append(self._problem("expected a list of ids.", path))
            else:
                for index, one in enumerate(ids):
                    self._remove_one(word, one, (*path, index))
        gone = {removed for word, removed, _, _ in self.removed if word == "tests"}
        for entry in self.kinds.get("crosscheck", {}).values():
            entry.value = without_rechecks(entry.value, gone)
        gone |= {removed for word, removed, _, _ in self.removed if word == "derived"}
        charts = self.kinds.get("chart", {})
        for key in [key for key, entry in charts.items() if draws_any(entry.value, gone)]:
            del charts[key]

    def _remove_one(self, word: str, removed: str, path: KeyPath) -> None:
        entries = self.kinds.get(KINDS[word], {})
        for key, entry in entries.items():
            if removed in (key, _id_of(entry.value)):
                del entries[key]
                self.removed.append((word, removed, path, (key, entry)))
                return
        known = [str(_id_of(entry.value) or key) for key, entry in entries.items()]
        message = (
            f"there is nothing “{removed}” among the {word} to remove.{nearest(removed, known)}"
        )
        self.problems.append(self._problem(message, path))

    def _keep_what_is_still_used(self) -> None:
        """Put back what other tables still use, and say which: they go too, or it stays."""
        uses = uses_in(
            {
                kind: [entry.value for entry in entries.values()]
                for kind, entries in self.kinds.items()
                if kind in KINDS.values()  # drawings, the bulk of the text, use nothing of these
            }
        )
        for word, removed, path, (key, entry) in self.removed:
            users = users_of(uses, KINDS[word], removed)
            if not users:
                continue
            self.kinds[KINDS[word]][key] = entry
            listed = "; ".join(f"{kind} = {json.dumps(ids)}" for kind, ids in users.items())
            message = (
                f"“{removed}” is removed here and still used. Keep it, or remove these as well:"
                f" {listed}."
            )
            self.problems.append(self._problem(message, path))

    def _placed(self, entries: list[_Entry]) -> list[_Entry]:
        """Put each table that says so after or before the one that it names."""
        for entry in list(entries):
            for where in _PLACEMENT:
                if not isinstance(entry.value, dict) or where not in entry.value:
                    continue
                target = entry.value[where]
                entry.value = {key: v for key, v in entry.value.items() if key != where}
                others = [other for other in entries if other is not entry]
                ids = [_id_of(other.value) for other in others]
                if target in ids:
                    others.insert(ids.index(target) + (where == "after"), entry)
                    entries = others
                else:
                    self.problems.append(self._nothing_to_stand_by(entry, where, target, ids))
        return entries

    def _nothing_to_stand_by(
        self, entry: _Entry, where: str, target: object, ids: Sequence[str | None]
    ) -> Problem:
        hint = nearest(str(target), [one for one in ids if one])
        message = f"there is nothing “{target}” to stand {where}.{hint}"
        number, path = entry.origins.get((where,)) or entry.origins[()]
        part = self.parts[number]
        return Problem(message, part.path, part.line((*path, where)), place=f"{path[0]}, {where}")

    def _problem(self, message: str, path: KeyPath) -> Problem:
        file, line = self.over.place(path)
        return Problem(message, file, line, place=", ".join(str(key) for key in path))


def _entries_of_each_kind(base: Document) -> dict[str, dict[Any, _Entry]]:
    origins: dict[KeyPath, dict[KeyPath, Origin]] = {}
    for path, origin in base.origins.items():
        origins.setdefault(path[:2], {})[path[2:]] = origin
    return {
        kind: {
            key: _Entry(inner, origins.get((kind, key), {}))
            for key, inner in (value.items() if isinstance(value, dict) else enumerate(value))
        }
        for kind, value in base.data.items()
    }


def _merged(
    base: Mapping[str, Any],
    over: Mapping[str, Any],
    origins: dict[KeyPath, Origin],
    origin: Origin,
    inside: KeyPath,
) -> dict[str, Any]:
    """Merge one table over another, noting where each replaced key comes from."""
    number, path = origin
    result = dict(base)
    for key, value in over.items():
        here = (*inside, key)
        deeper = key in _MERGED_DEEPER or (len(inside) == 1 and inside[0] in _MERGED_DEEPER_STILL)
        held = base.get(key)
        if deeper and isinstance(value, dict) and isinstance(held, dict):
            result[key] = _merged(held, value, origins, (number, (*path, key)), here)
        else:
            result[key] = value
            origins[here] = (number, (*path, key))
    return result


def _id_of(value: object) -> str | None:
    """Return what a table is merged by: its id, or for an exclusion its pair of features."""
    if not isinstance(value, dict):
        return None
    if isinstance(value.get("id"), str):
        return str(value["id"])
    features = value.get("features")
    return " and ".join(str(one) for one in features) if isinstance(features, list) else None
