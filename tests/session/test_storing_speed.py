"""Saving after every answer must not be felt: its cost beside that of the bare write."""

import os
import statistics
import time
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest
from sample_visit import BARE, NOW

from examwalk.session.model import Finding, Place, Session, Side
from examwalk.session.storing import read_session, to_toml, write_session

ROUNDS = 25
ATTEMPTS = 4
"""A busy machine spoils a measurement; one quiet attempt is enough to show the cost."""


@pytest.fixture(scope="module")
def full_visit() -> Session:
    visit = BARE
    for number in range(60):
        for side in (Side.LEFT, Side.RIGHT):
            note = "a note of ordinary length" if number % 4 == 0 else ""
            place = Place(f"test-number-{number}", side)
            visit = visit.with_finding(Finding(place, NOW, answer="very-high", note=note))
    return visit


def median_seconds(action: Callable[[], object]) -> float:
    taken = []
    for _ in range(ROUNDS):
        began = time.perf_counter()
        action()
        taken.append(time.perf_counter() - began)
    return statistics.median(taken)


def lowest_ratio(action: Callable[[], object], anchor: Callable[[], object]) -> float:
    return min(median_seconds(action) / median_seconds(anchor) for _ in range(ATTEMPTS))


@pytest.mark.skipif(os.name == "nt", reason="a folder cannot be synced there")
def test_saving_120_findings_costs_at_most_twice_writing_the_same_bytes(
    full_visit: Session, tmp_path: Path
):
    # The benchmarks hold it to 1.5, which only a machine at rest can tell from 2.
    data = to_toml(full_visit).encode()
    bare, writing = tmp_path / "bare.toml", tmp_path / "bare.writing"

    def bare_write() -> None:
        with writing.open("wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        writing.replace(bare)
        folder = os.open(tmp_path, os.O_RDONLY)
        os.fsync(folder)
        os.close(folder)

    path = tmp_path / "visit.toml"
    assert lowest_ratio(lambda: write_session(path, full_visit), bare_write) <= 2
    assert len(read_session(path).findings) == 120


def test_reading_120_findings_costs_at_most_three_bare_parses(full_visit: Session, tmp_path: Path):
    path = tmp_path / "visit.toml"
    write_session(path, full_visit)
    ratio = lowest_ratio(lambda: read_session(path), lambda: tomllib.loads(path.read_text("utf-8")))
    assert ratio <= 3
