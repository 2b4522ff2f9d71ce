"""The words of a protocol in another language, read from files beside it and written for a copy.

A translation has the shape of an extending file: the same tables with the same ids, and in them
words only. Bands, which have no id, are a table from each label to its translation, or to a table
of all that the band says; points, rows and agreement figures are lists with as many items as the
protocol has.
"""

from collections.abc import Iterator, Mapping
from typing import Any, get_origin

import tomli_w
from attrs import frozen

from examwalk.problems import Problem, nearest
from examwalk.protocol.documents import Document
from examwalk.protocol.exam_model import Band
from examwalk.protocol.locating import KeyPath
from examwalk.protocol.model import Protocol
from examwalk.protocol.structuring import BROKEN, describe, keys_of, structure
from examwalk.protocol.word_places import (
    WORD_KEYS,
    WordPath,
    class_inside,
    item_type,
    name_in_list,
    names_of,
    word_value,
)


@frozen
class Translation:
    """What a translation says, and what is wrong with it."""

    words: Mapping[WordPath, str]
    problems: tuple[Problem, ...] = ()


def read_translation(given: Document, original: Mapping[str, Any]) -> Translation:
    """Read a translation of a protocol, given as plain TOML data with all that it extends."""
    reader = _Reader(given)
    reader.table(Protocol, given.data, original, (), ())
    return Translation(reader.words, tuple(reader.problems))


class _Reader:
    """Walks through a translation and the protocol together."""

    def __init__(self, document: Document) -> None:
        self.document = document
        self.words: dict[WordPath, str] = {}
        self.problems: list[Problem] = []

    def report(self, at: KeyPath, message: str) -> None:
        self.problems.append(self.document.problem_at(at, message))

    def table(self, cls: type, given: Any, original: Any, path: WordPath, at: KeyPath) -> None:
        """Read one table of a class, key by key."""
        # What is misshapen in the protocol is told where the protocol is checked.
        if not self._is_table(given, at) or not isinstance(original, dict):
            return
        named_by = names_of(cls) if at and isinstance(at[-1], int) else None
        for key, value in given.items():
            here, there = (*path, key), (*at, key)
            if key == named_by:
                continue
            if key in WORD_KEYS[cls]:
                self._words(value, word_value(cls, key, original), here, there)
            elif key in keys_of(cls) and class_inside(keys_of(cls)[key][1]) is not None:
                self._inside(keys_of(cls)[key][1], value, original.get(key), here, there)
            else:
                self._no_word(cls, key, there)

    def _no_word(self, cls: type, key: str, at: KeyPath) -> None:
        known = [*sorted(WORD_KEYS[cls])]
        known += [k for k, (_, kind, _) in keys_of(cls).items() if class_inside(kind) is not None]
        known = list(dict.fromkeys(known))
        says = "is no word" if key in keys_of(cls) else "is not known here"
        self.report(
            at,
            f"“{key}” {says}; a translation gives words only, here: {', '.join(known)}."
            f"{nearest(key, known)}",
        )

    def _inside(
        self, expected: Any, given: Any, original: Any, path: WordPath, at: KeyPath
    ) -> None:
        inner = item_type(expected)
        if not original:
            self.report(at, f"the protocol has no “{at[-1]}” here to translate.")
        elif not isinstance(original, list if get_origin(expected) is tuple else dict):
            return  # told where the protocol is checked
        elif inner is None:
            self.table(class_inside(expected) or expected, given, original, path, at)
        elif inner is Band:
            self._bands(given, original, path, at)
        elif get_origin(expected) is not tuple:
            self._named(inner, given, original, path, at)
        elif names_of(inner) is None:
            self._numbered(inner, given, original, path, at)
        else:
            self._with_ids(inner, given, original, path, at)

    def _bands(self, given: Any, original: Any, path: WordPath, at: KeyPath) -> None:
        labels = [str(name_in_list(Band, band, index)) for index, band in enumerate(original)]
        if not isinstance(given, dict):
            shown = f'{{ "{labels[0]}" = "…" }}'
            self.report(at, f"bands are translated by their labels: bands = {shown}.")
            return
        for label, said in given.items():
            here, there = (*path, label), (*at, label)
            if label not in labels:
                self._unknown("band", label, labels, there)
            elif isinstance(said, dict):
                self.table(Band, said, original[labels.index(label)], here, there)
            else:
                self._words(said, label, (*here, "label"), there)

    def _named(self, inner: Any, given: Any, original: Any, path: WordPath, at: KeyPath) -> None:
        if not self._is_table(given, at):
            return
        for key, value in given.items():
            if key in original:
                self._inside(inner, value, original[key], (*path, key), (*at, key))
            else:
                self._unknown(str(at[-1]), key, list(original), (*at, key))

    def _numbered(self, inner: Any, given: Any, original: Any, path: WordPath, at: KeyPath) -> None:
        if not self._is_list_of(len(original), given, at):
            return
        for index, (item, its_original) in enumerate(zip(given, original, strict=True)):
            self.table(inner, item, its_original, (*path, index), (*at, index))

    def _with_ids(self, inner: Any, given: Any, original: Any, path: WordPath, at: KeyPath) -> None:
        if not isinstance(given, list):
            self.report(at, f"expected tables written as [[{at[-1]}]], found {describe(given)}.")
            return
        known = {name_in_list(inner, item, index): item for index, item in enumerate(original)}
        seen = set()
        for index, item in enumerate(given):
            name = name_in_list(inner, item, index)
            if not isinstance(name, str):
                self.report((*at, index), "this table names no id, so nothing can be found by it.")
            elif name not in known:
                names = [str(one) for one in known]
                self._unknown(str(at[-1]), name, names, (*at, index, str(names_of(inner))))
            elif name in seen:
                self.report((*at, index), f"“{name}” is translated twice; give it once.")
            else:
                seen.add(name)
                self.table(inner, item, known[name], (*path, name), (*at, index))

    def _unknown(self, kind: str, name: str, known: list[str], at: KeyPath) -> None:
        noun = kind.replace("_", " ")
        self.report(at, f"the protocol has no “{name}” among its {noun}.{nearest(name, known)}")

    def _words(self, given: Any, original: Any, path: WordPath, at: KeyPath) -> None:
        """Read one text, or a list or table of them."""
        if not original:
            self.report(at, f"the protocol says no “{at[-1]}” here, so there is none to translate.")
        elif isinstance(original, list):
            if self._is_list_of(len(original), given, at):
                for index, text in enumerate(given):
                    self._text(text, (*path, index), (*at, index))
        elif isinstance(original, dict):
            if self._is_table(given, at):
                for key, text in given.items():
                    if key in original:
                        self._text(text, (*path, key), (*at, key))
                    else:
                        self._unknown(str(at[-1]), key, list(original), (*at, key))
        else:
            self._text(given, path, at)

    def _text(self, given: Any, path: WordPath, at: KeyPath) -> None:
        text = structure(str, given, lambda _, message: self.report(at, message))
        if text is BROKEN:
            return
        if text.strip():
            self.words[path] = text
        else:
            self.report(at, "this translation is empty; leave the key out instead.")

    def _is_table(self, given: Any, at: KeyPath) -> bool:
        if not isinstance(given, dict):
            self.report(at, f"expected a table, found {describe(given)}.")
        return isinstance(given, dict)

    def _is_list_of(self, length: int, given: Any, at: KeyPath) -> bool:
        if not isinstance(given, list):
            self.report(at, f"expected a list, found {describe(given)}.")
        elif len(given) != length:
            self.report(
                at,
                f"the protocol has {length} items here and the translation {len(given)}; a list is"
                " translated whole, item by item.",
            )
        return isinstance(given, list) and len(given) == length


def translation_text(words: Mapping[WordPath, str], original: Mapping[str, Any]) -> str:
    """Write words as the file of a translation; lists keep items that have none as they are."""
    return tomli_w.dumps(_table_of(Protocol, original, words, ()))


def _table_of(
    cls: type, original: Any, words: Mapping[WordPath, str], path: WordPath
) -> dict[str, Any]:
    table: dict[str, Any] = {}
    for key, (_, expected, _) in keys_of(cls).items():
        here = (*path, key)
        value: Any = None
        if key in WORD_KEYS[cls]:
            value = _words_of(word_value(cls, key, original), words, here)
        elif class_inside(expected) is not None and original.get(key):
            value = _all_inside(expected, original[key], words, here)
        if value:
            table[key] = value
    return table


def _words_of(original: Any, words: Mapping[WordPath, str], path: WordPath) -> Any:
    if isinstance(original, list):
        said = [words.get((*path, index)) for index in range(len(original))]
        filled = [new or old for new, old in zip(said, original, strict=True)]
        return filled if any(said) else None
    if isinstance(original, dict):
        return {key: words[*path, key] for key in original if (*path, key) in words}
    return words.get(path)


def _all_inside(expected: Any, original: Any, words: Mapping[WordPath, str], path: WordPath) -> Any:
    inner = item_type(expected)
    if inner is None:
        return _table_of(class_inside(expected) or expected, original, words, path)
    if get_origin(expected) is not tuple:
        named = {
            key: _all_inside(inner, item, words, (*path, key)) for key, item in original.items()
        }
        return {key: table for key, table in named.items() if table}
    pairs = list(_listed(inner, original, words, path))
    if inner is Band:
        return {
            name: table["label"] if table.keys() == {"label"} else table
            for name, table in pairs
            if table
        }
    if names_of(inner) is None:
        tables = [table for _, table in pairs]
        return tables if any(tables) else None
    key = str(names_of(inner))
    tables_of = zip(original, pairs, strict=True)
    return [{key: item[key], **table} for item, (_, table) in tables_of if table]


def _listed(
    inner: Any, original: Any, words: Mapping[WordPath, str], path: WordPath
) -> Iterator[tuple[str | int, dict[str, Any]]]:
    for index, item in enumerate(original):
        name = name_in_list(inner, item, index)
        yield name, _table_of(inner, item, words, (*path, name))
