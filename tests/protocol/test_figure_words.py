"""The figures of a protocol are told in words of the language that is spoken."""

import pytest

from examwalk.catalogues import choose_language
from examwalk.protocol.figures import atlas_of
from examwalk.protocol.library import find_protocol
from examwalk.protocol.shipped import read_shipped


@pytest.mark.parametrize(
    ("language", "side", "number"), [("en", "right", "2.5"), ("de", "rechts", "2,5")]
)
def test_side_and_number_are_words_of_that_language(language, side, number):
    choose_language(language)
    protocol = read_shipped(find_protocol("adult"), language).protocol
    told = atlas_of(protocol).words("block-height", 2.5, "right")
    assert number in told
    assert side in told
