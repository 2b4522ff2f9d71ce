"""Text from outside can neither drive a terminal nor turn a line around."""

import sys
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from examwalk.text import REPLACEMENT, clean, clean_line, is_harmful

KEPT = {
    "German": "Größe: 12 mm, „weich“",
    "Arabic": "قدم مسطحة",
    "Hindi": "पैर",
    "Japanese": "足のアーチ",
    "emoji": "🦶👍🏽",
    "combining accent": "e\u0301",
    "lines and tabs": "one\n\ttwo",
    "no-break space": "12\u00a0mm",
}
HARMFUL = {
    "escape": "\x1b",
    "bell": "\x07",
    "backspace": "\x08",
    "carriage return": "\r",
    "zero byte": "\x00",
    "delete": "\x7f",
    "control sequence introducer": "\x9b",
    "next line": "\x85",
    "right-to-left override": "\u202e",
    "left-to-right isolate": "\u2066",
    "right-to-left mark": "\u200f",
    "zero-width space": "\u200b",
    "zero-width joiner": "\u200d",
    "byte order mark": "\ufeff",
    "tag letter": "\U000e0041",
    "lone surrogate": "\ud800",
    "private use": "\ue000",
    "not a character": "\uffff",
}


@pytest.mark.parametrize("name", KEPT)
def test_text_of_every_script_is_kept(name):
    assert clean(KEPT[name]) == KEPT[name]


@pytest.mark.parametrize("name", HARMFUL)
def test_a_harmful_character_is_replaced_and_nothing_else(name):
    character = HARMFUL[name]
    assert is_harmful(character)
    assert clean(f"a{character}b\n") == f"a{REPLACEMENT}b\n"


def test_every_control_and_format_character_but_newline_and_tab_is_harmful():
    for number in range(sys.maxunicode + 1):
        character = chr(number)
        if unicodedata.category(character) in ("Cc", "Cf", "Cs", "Co"):
            assert is_harmful(character) is (character not in "\n\t"), hex(number)
        elif unicodedata.category(character)[0] in "LMNPSZ":
            assert not is_harmful(character), hex(number)


@given(st.text(st.characters()))
def test_what_is_cleaned_is_harmless_as_long_and_cleaned_for_good(text):
    cleaned = clean(text)
    assert len(cleaned) == len(text)
    assert not any(is_harmful(character) for character in cleaned)
    assert clean(cleaned) == cleaned


@given(st.text(st.characters()))
def test_a_cleaned_line_is_one_line_without_space_at_its_ends_or_doubled(text):
    line = clean_line(text)
    assert len(line.splitlines()) <= 1
    assert line == line.strip()
    assert "  " not in line
    assert not any(is_harmful(character) for character in line)
    assert not set(line) & {"\n", "\t"}


def test_a_line_is_folded_where_the_text_breaks():
    assert clean_line("  one\n\n two\tthree\r\nfour ") == f"one two three{REPLACEMENT} four"
