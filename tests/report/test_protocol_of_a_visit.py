"""Which protocol an old visit is read with: the one it was examined under, if it can be had."""

from datetime import UTC, datetime

import pytest
from attrs import evolve

from examwalk.problems import UnusableFileError
from examwalk.protocol.library import find_protocol
from examwalk.protocol.reading import LoadedProtocol, read_protocol
from examwalk.protocol.shipped import read_shipped
from examwalk.session import protocol_used
from examwalk.session.folder import keep_protocol, keep_translation
from examwalk.session.model import ProtocolUsed, Session
from examwalk.session.protocol_used import protocol_for

ADULT = read_shipped(find_protocol("adult"))


@pytest.fixture(scope="module")
def edited(tmp_path_factory: pytest.TempPathFactory) -> LoadedProtocol:
    """A clinic's copy of the adult protocol with another title; the id is the same."""
    title = ADULT.protocol.identity.title
    text = ADULT.text.replace(f'title = "{title}"', 'title = "As our clinic does it"')
    path = tmp_path_factory.mktemp("edited") / "edited.toml"
    path.write_text(text, encoding="utf-8")
    loaded = read_protocol(path)
    assert loaded.fingerprint != ADULT.fingerprint
    return loaded


def visit(loaded: LoadedProtocol, **used: str) -> Session:
    identity = loaded.protocol.identity
    protocol = ProtocolUsed(identity.id, identity.version, loaded.fingerprint)
    return Session(
        id="visit",
        started=datetime(2026, 11, 25, tzinfo=UTC),
        examiner="",
        patient="P-1",
        protocol=evolve(protocol, **used),
    )


def test_a_visit_under_the_current_protocol_is_read_with_it(tmp_path):
    loaded, note = protocol_for(visit(ADULT), tmp_path)
    assert (loaded.fingerprint, note) == (ADULT.fingerprint, None)


def test_a_visit_without_a_fingerprint_is_read_with_the_current_protocol_of_its_version(tmp_path):
    loaded, note = protocol_for(visit(ADULT, fingerprint=""), tmp_path)
    assert (loaded.fingerprint, note) == (ADULT.fingerprint, None)


def test_a_visit_under_another_version_is_read_with_the_copy_kept_beside_it(tmp_path, edited):
    keep_protocol(tmp_path, edited.fingerprint, edited.text)
    loaded, note = protocol_for(visit(edited), tmp_path)
    assert loaded.protocol.identity.title == "As our clinic does it"
    assert note is None


def test_for_a_visit_under_an_earlier_version_the_current_protocol_is_not_read(
    tmp_path, monkeypatch
):
    text = ADULT.text.replace(f'version = "{ADULT.protocol.identity.version}"', 'version = "0.9"')
    path = tmp_path / "earlier.toml"
    path.write_text(text, encoding="utf-8")
    earlier = read_protocol(path)
    keep_protocol(tmp_path, earlier.fingerprint, earlier.text)

    def refuse(*_):
        raise AssertionError("the current protocol was read")

    monkeypatch.setattr(protocol_used, "read_shipped", refuse)
    loaded, note = protocol_for(visit(earlier), tmp_path)
    assert (loaded.protocol.identity.version, note) == ("0.9", None)


def test_a_visit_under_a_protocol_that_is_not_shipped_needs_only_its_copy(tmp_path, edited):
    keep_protocol(tmp_path, edited.fingerprint, edited.text)
    loaded, note = protocol_for(visit(edited, id="our-clinic"), tmp_path)
    assert loaded.fingerprint == edited.fingerprint
    assert note is None


@pytest.mark.parametrize("used", [{}, {"fingerprint": "", "version": "0.9"}])
def test_without_a_copy_the_current_protocol_is_used_and_it_is_said(tmp_path, edited, used):
    session = visit(edited, **used)
    loaded, note = protocol_for(session, tmp_path)
    assert loaded.fingerprint == ADULT.fingerprint
    assert note is not None
    assert f"version {session.protocol.version} of the protocol adult" in note
    assert "No copy of that version was kept" in note


def test_a_copy_that_was_changed_since_is_not_passed_off_as_what_was_used(tmp_path, edited):
    keep_protocol(tmp_path, edited.fingerprint, edited.text.replace("As our", "As another"))
    loaded, note = protocol_for(visit(edited), tmp_path)
    assert loaded.fingerprint == ADULT.fingerprint
    assert note is not None
    assert "the copy was changed after the visit" in note


def test_a_copy_that_is_broken_is_said_and_the_current_protocol_is_used(tmp_path, edited):
    keep_protocol(tmp_path, edited.fingerprint, "this is not TOML")
    loaded, note = protocol_for(visit(edited), tmp_path)
    assert loaded.fingerprint == ADULT.fingerprint
    assert note is not None
    assert "cannot be used" in note


def test_with_neither_a_copy_nor_a_shipped_protocol_the_visit_cannot_be_read(tmp_path):
    session = visit(ADULT, id="adlut", fingerprint="")
    with pytest.raises(UnusableFileError) as error:
        protocol_for(session, tmp_path)
    assert "“adlut”" in str(error.value)
    assert "Did you mean “adult”?" in str(error.value)


def test_the_name_of_a_protocol_in_a_visit_is_never_taken_for_a_path(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "here.toml").write_text(ADULT.text, encoding="utf-8")
    with pytest.raises(UnusableFileError):
        protocol_for(visit(ADULT, id="here.toml", fingerprint=""), tmp_path)


LUNGE = '[[test]]\nid = "lunge-distance"\ntitle = "Ausfallschritt zur Wand"\n'


def title_of_the_lunge(loaded: LoadedProtocol) -> str:
    return loaded.protocol.tests_by_id["lunge-distance"].title


def test_a_visit_read_with_its_copy_says_the_words_that_were_kept_in_german(edited, tmp_path):
    keep_protocol(tmp_path, edited.fingerprint, edited.text)
    keep_translation(tmp_path, edited.fingerprint, "de", LUNGE)
    loaded, note = protocol_for(visit(edited), tmp_path, "de")
    assert title_of_the_lunge(loaded) == "Ausfallschritt zur Wand"
    assert (loaded.fingerprint, note) == (edited.fingerprint, None)
    loaded, note = protocol_for(visit(edited), tmp_path, "en")
    assert title_of_the_lunge(loaded) == title_of_the_lunge(ADULT)
    assert note is None


def test_a_visit_whose_copy_was_kept_without_german_is_read_as_it_was_written(edited, tmp_path):
    keep_protocol(tmp_path, edited.fingerprint, edited.text)
    loaded, note = protocol_for(visit(edited), tmp_path, "de")
    assert (loaded.protocol, note) == (edited.protocol, None)


def test_a_translation_at_fault_keeps_nobody_from_a_visit_and_is_told(edited, tmp_path):
    keep_protocol(tmp_path, edited.fingerprint, edited.text)
    keep_translation(tmp_path, edited.fingerprint, "de", LUNGE.replace("lunge", "lung"))
    loaded, note = protocol_for(visit(edited), tmp_path, "de")
    assert loaded.protocol == edited.protocol
    assert note is not None
    assert "The translation of the protocol adult cannot be read" in note


def test_a_better_translation_takes_the_place_of_the_one_that_was_kept(edited, tmp_path):
    keep_protocol(tmp_path, edited.fingerprint, edited.text)
    keep_translation(tmp_path, edited.fingerprint, "de", LUNGE.replace("Ausf", "Auf"))
    keep_translation(tmp_path, edited.fingerprint, "de", LUNGE)
    loaded, _ = protocol_for(visit(edited), tmp_path, "de")
    assert title_of_the_lunge(loaded) == "Ausfallschritt zur Wand"
