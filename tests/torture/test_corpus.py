"""What a fuzzer found worth keeping is read as ever: a value, or problems in words."""

from pathlib import Path

import pytest

from .readers import CORPUS, READERS

MOST_BYTES = 200_000
"""Of one corpus: it is copied with every checkout."""


def kept(reader: str) -> list[Path]:
    return sorted((CORPUS / reader).iterdir())


@pytest.mark.parametrize("reader", READERS)
def test_every_input_is_answered_in_words_or_is_read_back_as_it_was(reader: str, tmp_path: Path):
    understood = {path for path in kept(reader) if READERS[reader](path.read_bytes(), tmp_path)}
    written_by_hand = set((CORPUS / reader).glob("*.toml"))
    assert understood >= written_by_hand
    assert len(kept(reader)) > len(understood) + 50


@pytest.mark.parametrize("reader", READERS)
def test_the_corpus_stays_small(reader: str):
    assert sum(path.stat().st_size for path in kept(reader)) < MOST_BYTES
