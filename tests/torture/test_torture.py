"""The quick version of each torture; ``python -m tests.torture`` runs them at full length."""

import errno
import os
import shutil
import tomllib
from pathlib import Path
from random import Random

import pytest
from small_protocol import small_protocol

from examwalk.problems import UnusableFileError
from examwalk.session.storing import read_session, to_toml

from . import damage, faults
from .__main__ import EXAMPLE

CONTENT = to_toml(read_session(EXAMPLE)).encode()


def test_a_visit_cut_short_anywhere_is_told_as_damaged(tmp_path: Path):
    every = 37
    cut = damage.outcomes(damage.truncations(CONTENT, every), CONTENT, tmp_path / "visit.toml")
    assert cut == {damage.Outcome.REPORTED: -(-len(CONTENT) // every)}


def test_bits_turned_over_anywhere_never_make_another_visit(tmp_path: Path):
    turned = damage.outcomes(
        damage.flips(CONTENT, 400, Random(1)), CONTENT, tmp_path / "visit.toml"
    )
    assert turned[damage.Outcome.SILENT] == 0
    assert turned.total() == 400


def test_no_single_bit_of_the_first_lines_can_disarm_the_checksum(tmp_path: Path):
    short = CONTENT[: CONTENT.index(b"[session]")]
    turned = damage.outcomes(
        (flipped + CONTENT[len(short) :] for flipped in damage.every_flip(short)),
        CONTENT,
        tmp_path / "visit.toml",
    )
    assert turned[damage.Outcome.SILENT] == 0
    assert turned[damage.Outcome.REPORTED] >= len(short) * 8 - 1


def test_without_a_checksum_a_flip_can_pass_so_that_these_checks_mean_something(tmp_path: Path):
    first, _checksum, rest = CONTENT.split(b"\n", 2)

    def read_unchecked(path: Path) -> object:
        try:
            return tomllib.loads(path.read_text("utf-8"))
        except ValueError as error:
            raise UnusableFileError([]) from error

    bare = first + b"\n" + rest
    turned = damage.outcomes(
        damage.flips(bare, 100, Random(1)), bare, tmp_path / "visit.toml", read_unchecked
    )
    assert turned[damage.Outcome.SILENT] > 0


@pytest.mark.skipif(os.name == "nt", reason="needs the calls of POSIX")
@pytest.mark.parametrize("for_good", [False, True], ids=["once", "for-good"])
def test_whichever_call_fails_no_acknowledged_answer_is_lost(tmp_path: Path, for_good: bool):
    loaded = small_protocol(tmp_path)
    count = faults.every_fault(
        tmp_path, loaded, answers=3, faults=(errno.ENOSPC,), for_good=for_good
    )
    assert count >= 30


@pytest.mark.skipif(shutil.which("tmux") is None, reason="tmux is not installed")
def test_the_app_killed_at_random_moments_keeps_what_the_screen_had_gone_past(tmp_path: Path):
    from .kills import kill_at_random  # noqa: PLC0415 — its module needs a terminal

    done = kill_at_random(tmp_path, 4, Random(2))
    assert done.kills == 4
    assert done.typed >= 4
