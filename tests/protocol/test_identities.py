"""A list to choose from tells of each protocol what the protocol itself would."""

from pathlib import Path

import pytest

from examwalk.protocol.identities import read_identity
from examwalk.protocol.library import find_protocol, shipped_protocols
from examwalk.protocol.shipped import read_shipped


@pytest.mark.parametrize("path", shipped_protocols(), ids=lambda path: path.stem)
def test_a_shipped_protocol_says_the_same_read_alone_and_read_whole(path: Path):
    alone, whole = read_identity(path), read_shipped(path).protocol.identity
    assert (alone.id, alone.title, alone.version) == (whole.id, whole.title, whole.version)
    assert (alone.about, alone.minutes) == (whole.about, whole.minutes)


def clinic(folder: Path, more: str = "") -> Path:
    path = folder / "our-clinic.toml"
    path.write_text(
        '[protocol]\nid = "our-clinic"\ntitle = "Ours"\nversion = "1"\nextends = "short"\n' + more,
        "utf-8",
    )
    return path


def test_what_a_clinic_leaves_unspoken_is_that_of_the_protocol_it_extends(tmp_path: Path):
    ours, short = read_identity(clinic(tmp_path)), read_identity(find_protocol("short"))
    assert (ours.title, ours.about, ours.minutes) == ("Ours", short.about, short.minutes)
    german = read_identity(clinic(tmp_path), "de")
    assert german.about == read_identity(find_protocol("short"), "de").about != short.about


def test_what_a_clinic_says_is_what_is_told(tmp_path: Path):
    ours = read_identity(clinic(tmp_path, 'about = "For our runners."\nminutes = 15\n'))
    assert (ours.about, ours.minutes) == ("For our runners.", 15)
