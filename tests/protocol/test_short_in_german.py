"""A summary of the short protocol is German from the first test to the advice."""

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
COMMON_TO_BOTH = 25
"""Characters; shorter texts may be the same in both languages: Diabetes, Monofilament."""


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
