"""The short protocol is whole in German, from the first test to the advice."""

import re
from pathlib import Path

import pytest
from attrs import evolve

from examwalk.catalogues import choose_language
from examwalk.protocol.library import find_protocol
from examwalk.protocol.shipped import read_shipped
from examwalk.protocol.word_places import words_in
from examwalk.reasoning.summary import summarise
from examwalk.report.text import summary_text
from examwalk.session.storing import read_session

ENGLISH = read_shipped(find_protocol("short"))
GERMAN = read_shipped(find_protocol("short"), "de")
VISITS = Path(__file__).parents[2] / "sessions"
PLACEHOLDER = re.compile(r"\{[a-z]+\}")
NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
COMMON_TO_BOTH = 25
"""Characters; shorter texts may be the same in both languages: Diabetes, Monofilament."""


def test_nothing_is_untranslated():
    assert GERMAN.untranslated == ()


def test_it_is_the_same_protocol_in_other_words():
    assert GERMAN.fingerprint == ENGLISH.fingerprint
    assert [test.id for test in GERMAN.protocol.tests] == [t.id for t in ENGLISH.protocol.tests]
    assert GERMAN.protocol.rules != ENGLISH.protocol.rules
    for german, english in zip(GERMAN.protocol.rules, ENGLISH.protocol.rules, strict=True):
        assert evolve(german, because=english.because) == english


def test_placeholders_and_numbers_are_the_same_in_both_languages():
    """A number that changed with the words would change the medicine."""
    wrong = []
    for word in words_in(ENGLISH.document.data):
        german = GERMAN.words.get(word.path)
        if german is None:
            continue
        if sorted(PLACEHOLDER.findall(word.text)) != sorted(PLACEHOLDER.findall(german)):
            wrong.append((word.text, german))
        numbers = [
            sorted(number.replace(",", ".") for number in NUMBER.findall(text))
            for text in (word.text, german)
        ]
        if numbers[0] != numbers[1]:
            wrong.append((word.text, german))
    assert wrong == []


@pytest.mark.parametrize("name", ["heel-pain-right", "insensate-feet", "collapsing-foot-left"])
def test_a_summary_in_german_holds_no_english_text_of_the_protocol(name):
    choose_language("de")
    session = read_session(VISITS / f"{name}.toml")
    asked = {test.id for test in GERMAN.protocol.tests}
    session = evolve(
        session,
        findings=tuple(one for one in session.findings if one.place.test in asked),
        decisions=(),
    )
    text = " ".join(
        summary_text(GERMAN.protocol, session, summarise(GERMAN.protocol, session)).split()
    )
    english = {
        word.text for word in words_in(ENGLISH.document.data) if len(word.text) > COMMON_TO_BOTH
    }
    assert [told for told in english if told in text] == []
    german = {said for said in GERMAN.words.values() if len(said) > COMMON_TO_BOTH}
    assert sum(said in text for said in german) >= 10
