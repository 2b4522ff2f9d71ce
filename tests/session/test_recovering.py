"""A damaged visit is kept aside, and the best earlier copy can be put in its place."""

import os
from pathlib import Path

import pytest
from attrs import evolve
from sample_visit import BARE, NOW, RESISTANCE_LEFT, VISIT

from examwalk.files import previous_version, set_aside_copy
from examwalk.problems import UnusableFileError
from examwalk.session.folder import list_sessions
from examwalk.session.model import Finding
from examwalk.session.recovering import (
    bring_back,
    earlier_copies,
    keep_version_at_opening,
    version_at_opening,
)
from examwalk.session.storing import read_session, to_toml, write_session

ANSWERED = BARE.with_finding(Finding(RESISTANCE_LEFT, NOW, answer="high"))
DAMAGED = b"format = 1\n[session\n"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A damaged visit that was saved twice before, the first time in an earlier sitting."""
    path = tmp_path / "a.toml"
    write_session(path, BARE)
    keep_version_at_opening(path)
    os.utime(path, (1_000_000_000,) * 2)
    write_session(path, ANSWERED)
    write_session(path, VISIT)
    path.write_bytes(DAMAGED)
    return path


def test_the_copies_are_offered_the_one_written_last_first(path: Path):
    assert [copy.session for copy in earlier_copies(path)] == [ANSWERED, BARE]


def test_a_copy_that_is_damaged_itself_is_not_offered(path: Path):
    previous_version(path).write_bytes(DAMAGED)
    assert [copy.session for copy in earlier_copies(path)] == [BARE]


def test_a_save_that_was_interrupted_after_writing_is_offered_where_it_is_whole(path: Path):
    interrupted = path.with_name(".a.toml.writing")
    interrupted.write_text(to_toml(VISIT), "utf-8")
    assert earlier_copies(path)[0].session == VISIT
    interrupted.write_text(to_toml(VISIT)[:-40], "utf-8")
    assert earlier_copies(path)[0].session == ANSWERED


def test_a_copy_brought_back_stands_and_the_damaged_file_is_kept(path: Path):
    damaged = bring_back(path, earlier_copies(path)[0], NOW)
    assert read_session(path) == ANSWERED
    assert damaged.read_bytes() == DAMAGED
    assert damaged.name == "a.toml.damaged-20261125-091204"
    assert [entry.path for entry in list_sessions(path.parent)] == [path]


def test_a_second_damaged_file_of_the_same_second_replaces_none(path: Path):
    first = bring_back(path, earlier_copies(path)[0], NOW)
    path.write_bytes(DAMAGED * 2)
    second = bring_back(path, earlier_copies(path)[0], NOW)
    assert (first.read_bytes(), second.read_bytes()) == (DAMAGED, DAMAGED * 2)


def test_an_interrupted_save_is_brought_back_without_a_moment_without_it(path: Path, monkeypatch):
    interrupted = path.with_name(".a.toml.writing")
    interrupted.write_text(to_toml(VISIT), "utf-8")
    removed = []
    real = Path.unlink

    def unlink(one: Path, **named: bool) -> None:
        removed.append(one.name)
        real(one, **named)

    monkeypatch.setattr(Path, "unlink", unlink)
    bring_back(path, earlier_copies(path)[0], NOW)
    assert interrupted.name not in removed
    assert read_session(path) == VISIT
    assert not interrupted.exists()


def test_a_copy_that_was_damaged_since_it_was_offered_is_not_brought_back(path: Path):
    copy = earlier_copies(path)[0]
    copy.path.write_bytes(DAMAGED * 3)
    with pytest.raises(UnusableFileError):
        bring_back(path, copy, NOW)
    assert path.read_bytes() == DAMAGED


def test_a_file_that_is_whole_again_is_not_replaced(path: Path):
    copy = earlier_copies(path)[0]
    path.write_text(to_toml(VISIT), "utf-8")
    with pytest.raises(UnusableFileError, match="can be read again"):
        bring_back(path, copy, NOW)
    assert read_session(path) == VISIT
    assert not list(path.parent.glob("*.damaged-*"))


@pytest.mark.skipif(os.name == "nt", reason="links need a privilege there")
def test_behind_a_link_the_copies_beside_the_file_itself_are_found_and_none_is_replaced(path: Path):
    link = path.parent / "elsewhere" / "b.toml"
    link.parent.mkdir()
    link.symlink_to(path)
    first = bring_back(link, earlier_copies(link)[0], NOW)
    path.write_bytes(DAMAGED * 2)
    second = bring_back(link, earlier_copies(link)[0], NOW)
    assert (first.read_bytes(), second.read_bytes()) == (DAMAGED, DAMAGED * 2)
    assert read_session(link) == ANSWERED
    assert link.is_symlink()


def test_a_copy_that_has_gone_is_told_and_nothing_is_changed(path: Path):
    copy = earlier_copies(path)[0]
    copy.path.unlink()
    with pytest.raises(UnusableFileError):
        bring_back(path, copy, NOW)
    assert path.read_bytes() == DAMAGED


def test_the_version_at_opening_outlives_every_save_of_a_sitting(tmp_path: Path):
    path = tmp_path / "a.toml"
    write_session(path, BARE)
    keep_version_at_opening(path)
    for number in range(3):
        write_session(path, evolve(ANSWERED, about=f"save {number}"))
    assert read_session(version_at_opening(path)) == BARE


def test_a_new_visit_has_no_version_at_opening(tmp_path: Path):
    keep_version_at_opening(tmp_path / "a.toml")
    assert list(tmp_path.iterdir()) == []


def test_a_file_has_its_second_name_until_another_version_takes_it(tmp_path: Path):
    path = tmp_path / "a.toml"
    for content in (b"one", b"two"):
        path.write_bytes(content)
        assert set_aside_copy(path, ".kept").read_bytes() == content
        path.unlink()
