"""What a fuzzer found worth keeping is read as ever: a value, or problems in words."""

from pathlib import Path
from random import Random

import pytest

from .mutating import gently
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


@pytest.mark.parametrize("reader", READERS)
def test_whole_files_changed_gently_are_often_still_read_and_never_misread(
    reader: str, tmp_path: Path
):
    random = Random(11)
    whole = [path.read_bytes() for path in sorted((CORPUS / reader).glob("*.toml"))]
    changed = [gently(random.choice(whole), random) for _ in range(100)]
    understood = [READERS[reader](data, tmp_path) for data in changed]
    assert 10 <= sum(understood) <= 90
