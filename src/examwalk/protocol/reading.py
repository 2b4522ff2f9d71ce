"""Reading a protocol: files, then shape, then meaning, with every problem reported at once."""

from collections.abc import Mapping
from functools import cached_property
from pathlib import Path

from attrs import frozen

from examwalk.problems import Problem, UnusableFileError
from examwalk.protocol.changes import Change, changes_between
from examwalk.protocol.checking import check
from examwalk.protocol.documents import Document
from examwalk.protocol.extending import read_extended
from examwalk.protocol.figures import figures_shown
from examwalk.protocol.locating import KeyPath
from examwalk.protocol.model import Protocol
from examwalk.protocol.structuring import BROKEN, structure
from examwalk.protocol.translating import translation_text
from examwalk.protocol.word_places import WordPath, with_words, words_in


@frozen
class LoadedProtocol:
    """A protocol that passed all checks, in the words of one language, with what identifies it."""

    protocol: Protocol
    path: Path
    document: Document
    """What is written in it and in all that it extends, untranslated."""
    base: Document | None = None
    """The document it extends, where it extends one."""
    words: Mapping[WordPath, str] | None = None
    """Its words in the language asked for; none where they are all taken as they are written."""
    files: tuple[Path, ...] = ()
    """What it was read from, its translations among them, with the folders they lie in."""

    @cached_property
    def fingerprint(self) -> str:
        """SHA-256 of the content, in hex; the same content has it in every language."""
        return self.document.fingerprint

    @property
    def changes(self) -> tuple[Change, ...]:
        """How it differs from the protocol it extends; nothing where it extends none."""
        return changes_between(self.base.data, self.document.data) if self.base else ()

    def problem_at(self, path: KeyPath, message: str) -> Problem:
        """Return a problem with the file, line and name of a key path of this protocol."""
        return self.document.problem_at(path, message)

    @property
    def untranslated(self) -> tuple[Problem, ...]:
        """The words that are lacking in the language asked for, each with its place."""
        if self.words is None:
            return ()
        seen = figures_shown(self.protocol)
        return tuple(
            self.document.problem_at(word.at, f"“{word.text}” is not translated yet.")
            for word in words_in(self.document.data)
            if word.path not in self.words and (word.path[0] != "figures" or word.path[1] in seen)
        )

    @property
    def translation_text(self) -> str | None:
        """Its words as the text of a translation file, to be kept beside the text of it."""
        return translation_text(self.words, self.document.data) if self.words else None

    @property
    def text(self) -> str:
        """The whole protocol, untranslated, as one TOML text, to be kept beside its visits."""
        return self.document.text


def read_protocol(path: Path, language: str | None = None) -> LoadedProtocol:
    """Read a protocol from a TOML file, or a folder of them read as one, with all it extends.

    Args:
        path: the file or folder.
        language: the language of its words, where they are not taken as they are written; those
            that are not translated stay as they are.

    Raises:
        UnusableFileError: with every problem found; where the shape of a file is wrong its
            meaning is not looked at, since most of what would be found there follows.
    """
    extended = read_extended(path, language)
    document = extended.document
    if {"session", "patient"} <= document.data.keys():
        says = "this is a visit, not a protocol; examwalk summary tells what follows from it."
        raise UnusableFileError([Problem(says, path)])
    problems: list[tuple[KeyPath, str]] = []

    def report(key_path: KeyPath, message: str) -> None:
        problems.append((key_path, message))

    protocol = structure(Protocol, document.data, report)
    if protocol is not BROKEN:
        check(protocol, report)
    found = [*extended.problems, *(document.problem_at(*problem) for problem in problems)]
    if found:
        raise UnusableFileError(found)
    return LoadedProtocol(
        protocol=_in_words(document, extended.words) if extended.words else protocol,
        path=path,
        document=document,
        base=extended.base,
        words=extended.words,
        files=(path, *(part.path for part in document.parts), *extended.translation_files),
    )


def _in_words(document: Document, words: Mapping[WordPath, str]) -> Protocol:
    """Return the protocol with other words; each was checked where it was read."""
    protocol: Protocol = structure(Protocol, with_words(document.data, words), _refuse)
    return protocol


def _refuse(path: KeyPath, message: str) -> None:
    raise AssertionError(f"a translated word broke the protocol at {path}: {message}")
