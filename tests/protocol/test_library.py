"""A protocol is found by the name of a shipped one or by its path, or what there is is named."""

import os
from pathlib import Path

import pytest
from good_protocol import FILES, write_files

from examwalk.problems import UnusableFileError
from examwalk.protocol.library import (
    find_protocol,
    named_protocols,
    own_protocols,
    refuse_taken_name,
    shipped_folder,
    shipped_protocols,
)

ROOT = Path(__file__).parents[2]


def test_the_shipped_protocols_are_those_that_stand_at_the_top_of_the_checkout():
    assert shipped_folder().resolve() == (ROOT / "protocols").resolve()


def test_the_adult_protocol_is_shipped_and_listed_first():
    names = [path.stem for path in shipped_protocols()]
    assert names[0] == "adult"
    assert names[1:] == sorted(names[1:])
    assert set(names) == {
        entry.stem
        for entry in (ROOT / "protocols").iterdir()
        if entry.suffix == ".toml"
        or (entry.name != "translations" and entry.is_dir() and list(entry.glob("*.toml")))
    }


def test_a_shipped_protocol_is_found_by_its_name_even_beside_a_folder_of_that_name(
    tmp_path, monkeypatch
):
    write_files(tmp_path / "adult", FILES)
    monkeypatch.chdir(tmp_path)
    assert find_protocol("adult") == shipped_folder() / "adult"
    assert find_protocol("./adult") == Path("adult")


def test_a_file_or_folder_of_a_clinic_is_found_by_its_path(tmp_path):
    folder = write_files(tmp_path / "clinic", FILES)
    assert find_protocol(str(folder)) == folder
    assert find_protocol(str(folder / "exam.toml")) == folder / "exam.toml"


@pytest.mark.parametrize("name", ["adullt", "x" * 5000, "nul\0byte", "no/such/place.toml"])
def test_what_is_not_found_is_told_with_what_there_is(name):
    with pytest.raises(UnusableFileError) as caught:
        find_protocol(name)
    (problem,) = caught.value.problems
    assert "neither one that is known by name (adult" in problem.message
    assert str(problem).isprintable()


def test_a_misspelt_name_is_met_with_the_nearest(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    with pytest.raises(UnusableFileError, match="Did you mean “adult”"):
        find_protocol("adullt")


@pytest.mark.skipif(os.name == "nt", reason="needs symbolic links")
def test_a_path_through_a_circle_of_links_is_told(tmp_path):
    (tmp_path / "a").symlink_to(tmp_path / "b")
    (tmp_path / "b").symlink_to(tmp_path / "a")
    with pytest.raises(UnusableFileError, match="there is no protocol"):
        find_protocol(str(tmp_path / "a"))


class TestOwnProtocols:
    def test_without_the_folder_there_are_none(self, monkeypatch, tmp_path):
        monkeypatch.setenv("EXAMWALK_PROTOCOLS", str(tmp_path / "nowhere"))
        assert own_protocols() == ()

    def test_files_and_folders_in_it_are_found_by_name_from_everywhere(self, own, tmp_path):
        write_files(own / "our-clinic", FILES)
        (own / "our-review.toml").write_text("", "utf-8")
        for beside in ("translations", "figures"):
            (own / beside).mkdir()
        (own / "translations" / "our-review.de.toml").write_text("", "utf-8")
        (own / ".our-review.toml.swp.toml").write_text("", "utf-8")
        (own / "protocol.schema.json").write_text("{}", "utf-8")
        assert own_protocols() == (own / "our-clinic", own / "our-review.toml")
        assert find_protocol("our-clinic") == own / "our-clinic"
        assert find_protocol("our-review") == own / "our-review.toml"
        assert {"adult", "our-clinic", "our-review"} <= set(named_protocols())

    def test_none_of_them_takes_the_name_of_a_shipped_one(self, own):
        (own / "adult.toml").write_text("", "utf-8")
        assert find_protocol("adult") == shipped_folder() / "adult"
        with pytest.raises(UnusableFileError, match="give this one another"):
            refuse_taken_name(own / "adult.toml")
        refuse_taken_name(shipped_folder() / "adult")
