"""Every shipped protocol is whole in German, and the same protocol in other words."""

import re
from pathlib import Path

import pytest
from attrs import evolve

from examwalk.protocol.library import shipped_protocols
from examwalk.protocol.shipped import read_shipped
from examwalk.protocol.word_places import words_in

EACH = pytest.mark.parametrize("path", shipped_protocols(), ids=lambda path: path.stem)
PLACEHOLDER = re.compile(r"\{[a-z]+\}")
NUMBER = re.compile(r"\d+(?:[.,]\d+)?")


@EACH
def test_nothing_is_untranslated(path: Path):
    assert read_shipped(path, "de").untranslated == ()


@EACH
def test_it_is_the_same_protocol_in_other_words(path: Path):
    english, german = read_shipped(path), read_shipped(path, "de")
    assert german.fingerprint == english.fingerprint
    assert [test.id for test in german.protocol.tests] == [t.id for t in english.protocol.tests]
    assert german.protocol.rules != english.protocol.rules
    for one, original in zip(german.protocol.rules, english.protocol.rules, strict=True):
        assert evolve(one, because=original.because) == original


@EACH
def test_placeholders_and_numbers_are_the_same_in_both_languages(path: Path):
    """A number that changed with the words would change the medicine."""
    german = read_shipped(path, "de").words or {}
    said = [
        (word.text, german[word.path])
        for word in words_in(read_shipped(path).document.data)
        if word.path in german
    ]
    assert len(said) > 500
    assert [pair for pair in said if len({figures_in(text) for text in pair}) > 1] == []


def figures_in(text: str) -> tuple[str, ...]:
    """Return the placeholders and numbers of a text in any order, with decimal points."""
    numbers = (number.replace(",", ".") for number in NUMBER.findall(text))
    return (*sorted(PLACEHOLDER.findall(text)), *sorted(numbers))
