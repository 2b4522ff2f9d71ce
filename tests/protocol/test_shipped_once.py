"""A shipped protocol is read once, and anew as soon as anything in its folder has changed."""

from pathlib import Path

import pytest
from good_protocol import FILES, write_files

from examwalk.problems import UnusableFileError
from examwalk.protocol.reading import read_protocol
from examwalk.protocol.shipped import read_shipped

CLINIC = '[protocol]\nid = "clinic"\nextends = "good"\n'


@pytest.fixture
def good(tmp_path: Path) -> Path:
    return write_files(tmp_path / "good", FILES)


def test_what_did_not_change_is_the_same_protocol_again(good):
    first = read_shipped(good)
    assert read_shipped(good) is first
    assert first == read_protocol(good)


def test_each_language_is_read_by_itself(good):
    assert read_shipped(good, "de") is not read_shipped(good)
    assert read_shipped(good, "de") == read_protocol(good, "de")


def test_a_file_that_was_changed_is_read_anew(good):
    before = read_shipped(good)
    file = next(file for file in good.glob("*.toml") if "[protocol]" in file.read_text("utf-8"))
    file.write_text(file.read_text("utf-8").replace('version = "', 'version = "9.'), "utf-8")
    assert read_shipped(good).protocol.identity.version.startswith("9.")
    assert not before.protocol.identity.version.startswith("9.")


def test_a_file_that_was_added_or_taken_away_is_seen(good):
    fingerprint = read_shipped(good).fingerprint
    more = good / "more.toml"
    more.write_text('[sources.spare]\ncite = "Spare"\n', "utf-8")
    assert "spare" in read_shipped(good).protocol.sources
    more.unlink()
    assert read_shipped(good).fingerprint == fingerprint


def test_a_change_of_what_it_extends_is_seen(good):
    clinic = good.parent / "clinic.toml"
    clinic.write_text(CLINIC, "utf-8")
    assert "spare" not in read_shipped(clinic).protocol.sources
    (good / "more.toml").write_text('[sources.spare]\ncite = "Spare"\n', "utf-8")
    assert "spare" in read_shipped(clinic).protocol.sources


def test_what_cannot_be_read_is_refused_each_time_until_it_is_mended(good):
    broken = good / "broken.toml"
    broken.write_text("[protocol", "utf-8")
    for _ in range(2):
        with pytest.raises(UnusableFileError):
            read_shipped(good)
    broken.unlink()
    assert read_shipped(good) == read_protocol(good)
