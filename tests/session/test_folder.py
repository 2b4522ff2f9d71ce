"""The folder of sessions, and how visits and patients are named in it."""

import os
import random
import re
from datetime import UTC, datetime
from pathlib import Path

import platformdirs
import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from examwalk.files import previous_version
from examwalk.problems import UnusableFileError
from examwalk.session.folder import (
    CODE_LIMIT,
    DoubtKind,
    code_doubts,
    default_folder,
    keep_protocol,
    kept_protocol,
    list_sessions,
    new_id,
    path_for,
)
from examwalk.session.model import Finding, Place, ProtocolUsed, Session, Side
from examwalk.session.storing import from_toml, to_toml, write_session

NOW = datetime(2026, 11, 25, 9, 12, 4, tzinfo=UTC)
FINGERPRINT = "0123456789abcdef" * 4


def visit(session_id: str) -> Session:
    return Session(session_id, NOW, "AB", "P-1", ProtocolUsed("short", "1"))


def saved(folder: Path, session_id: str, changed: float) -> Path:
    path = path_for(folder, session_id)
    write_session(path, visit(session_id))
    os.utime(path, (changed, changed))
    return path


class TestDefaultFolder:
    def test_the_environment_says_where_sessions_live(self, monkeypatch: pytest.MonkeyPatch):
        monkeypatch.setenv("EXAMWALK_SESSIONS", "/somewhere/visits")
        assert default_folder() == Path("/somewhere/visits")

    def test_a_tilde_stands_for_the_home_folder(self, monkeypatch: pytest.MonkeyPatch):
        monkeypatch.setenv("EXAMWALK_SESSIONS", "~/visits")
        assert default_folder() == Path.home() / "visits"

    @pytest.mark.parametrize("told", [None, "", "  "])
    def test_else_they_live_in_the_data_folder_of_the_platform(
        self, monkeypatch: pytest.MonkeyPatch, told: str | None
    ):
        if told is None:
            monkeypatch.delenv("EXAMWALK_SESSIONS")
        else:
            monkeypatch.setenv("EXAMWALK_SESSIONS", told)
        data = Path(platformdirs.user_data_dir("examwalk", appauthor=False))
        assert default_folder() == data / "sessions"


class TestNames:
    def test_an_id_has_date_time_and_four_signs_by_chance(self):
        name = new_id(NOW, random.Random(1))
        assert re.fullmatch(r"20261125-0912-[a-z0-9]{4}", name)
        assert new_id(NOW, random.Random(1)) == name
        assert new_id(NOW, random.Random(2)) != name

    @given(st.integers())
    def test_every_new_id_serves_as_a_file_name(self, seed: int):
        name = new_id(NOW, random.Random(seed))
        assert path_for(Path("sessions"), name) == Path("sessions") / f"{name}.toml"

    @pytest.mark.parametrize(
        "name",
        [
            "",
            "..",
            "../a",
            "a/b",
            "a\\b",
            "/a",
            "A",
            ".a",
            "-a",
            "a.b",
            "a\n",
            "é",
            "con",
            "a" * 101,
        ],
    )
    def test_a_name_that_could_leave_the_folder_or_trouble_a_disk_is_refused(self, name: str):
        with pytest.raises(UnusableFileError):
            path_for(Path("sessions"), name)


class TestListing:
    def test_the_most_recently_changed_session_comes_first(self, tmp_path: Path):
        saved(tmp_path, "a", 1_000)
        saved(tmp_path, "b", 3_000)
        saved(tmp_path, "c", 2_000)
        entries = list_sessions(tmp_path)
        assert [entry.path.name for entry in entries] == ["b.toml", "c.toml", "a.toml"]
        assert [entry.session for entry in entries] == [visit("b"), visit("c"), visit("a")]
        assert all(entry.problem is None for entry in entries)
        assert entries[0].changed == datetime(1970, 1, 1, 0, 50, tzinfo=UTC)

    def test_a_damaged_file_is_listed_with_its_problem_and_hides_no_other(self, tmp_path: Path):
        saved(tmp_path, "good", 1_000)
        (tmp_path / "bad.toml").write_text("format = 1\n[session\n")
        bad, good = list_sessions(tmp_path)
        assert good.session == visit("good")
        assert bad.session is None
        assert bad.problem is not None
        assert bad.problem.startswith("Line 2: This is not valid TOML")

    def test_the_number_of_further_problems_is_told(self, tmp_path: Path):
        (tmp_path / "bad.toml").write_text("format = 1\nx = 1\n[session]\n")
        (bad,) = list_sessions(tmp_path)
        assert bad.problem is not None
        assert re.search(r"There are \d+ more problems", bad.problem)

    def test_a_damaged_file_points_to_the_whole_version_before_it(self, tmp_path: Path):
        path = saved(tmp_path, "a", 1_000)
        write_session(path, visit("a").with_finding(Finding(Place("x", Side.LEFT), NOW, answer=1)))
        path.write_bytes(b"")
        (entry,) = list_sessions(tmp_path)
        assert entry.problem == (
            "The file is empty. The version before it is whole: a.toml.previous."
        )
        previous_version(path).write_bytes(b"\0")
        (entry,) = list_sessions(tmp_path)
        assert entry.problem == "The file is empty."

    def test_only_sessions_are_listed(self, tmp_path: Path):
        path = saved(tmp_path, "a", 1_000)
        write_session(path, visit("a"))
        keep_protocol(tmp_path, FINGERPRINT, "[protocol]\n")
        for name in (".a.toml.writing", ".hidden.toml", "notes.txt", "b.toml.previous"):
            (tmp_path / name).write_text("x")
        (tmp_path / "folder.toml").mkdir()
        (tmp_path / "dangling.toml").symlink_to(tmp_path / "nothing")
        assert [entry.path for entry in list_sessions(tmp_path)] == [path]

    def test_a_file_that_vanishes_while_the_folder_is_read_hides_no_other(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ):
        for name in ("a", "b", "c"):
            saved(tmp_path, name, 1_000)
        is_file = Path.is_file

        def is_file_for_the_last_time(path: Path) -> bool:
            found = is_file(path)
            if path.name == "b.toml":
                path.unlink(missing_ok=True)
            return found

        monkeypatch.setattr(Path, "is_file", is_file_for_the_last_time)
        assert [entry.path.name for entry in list_sessions(tmp_path)] == ["a.toml", "c.toml"]

    def test_a_folder_that_is_not_there_holds_no_sessions(self, tmp_path: Path):
        assert list_sessions(tmp_path / "none") == ()

    def test_a_folder_that_cannot_be_read_is_told_as_such(self, tmp_path: Path):
        (tmp_path / "file").write_text("x")
        with pytest.raises(UnusableFileError, match="folder of visits cannot be read"):
            list_sessions(tmp_path / "file")


class TestKeptProtocols:
    def test_a_protocol_is_kept_by_its_fingerprint(self, tmp_path: Path):
        assert kept_protocol(tmp_path, FINGERPRINT) is None
        path = keep_protocol(tmp_path, FINGERPRINT, "title = 'Füße'\n")
        assert path == tmp_path / "protocols-used" / f"{FINGERPRINT}.toml"
        assert kept_protocol(tmp_path, FINGERPRINT) == path
        assert path.read_text("utf-8") == "title = 'Füße'\n"

    def test_it_is_kept_once_and_never_changed(self, tmp_path: Path):
        path = keep_protocol(tmp_path, FINGERPRINT, "first\n")
        keep_protocol(tmp_path, FINGERPRINT, "second\n")
        assert path.read_text() == "first\n"
        assert [kept.name for kept in path.parent.iterdir()] == [path.name]

    @pytest.mark.parametrize("fingerprint", ["", "../../x", "A" * 64, "0" * 63, "0" * 64 + "\n"])
    def test_what_is_no_fingerprint_never_names_a_file(self, tmp_path: Path, fingerprint: str):
        assert kept_protocol(tmp_path, fingerprint) is None
        with pytest.raises(ValueError, match="not a SHA-256"):
            keep_protocol(tmp_path, fingerprint, "x")
        assert list(tmp_path.iterdir()) == []


class TestPatientCodes:
    @pytest.mark.parametrize(
        "code",
        [
            "P-0042",
            "0042",
            "123456",
            "K7F3-9Q",
            "patient 12",
            "case-3",
            "abc12",
            "Demo 1",
            "AB12",
            "20269999",
        ],
    )
    def test_a_code_that_tells_nothing_is_taken(self, code: str):
        assert code_doubts(code) is None

    @pytest.mark.parametrize(
        ("code", "words"),
        [
            ("", "needs a code"),
            ("   ", "needs a code"),
            ("P\x1b[31m", "control characters"),
            ("P\n2", "control characters"),
            ("P\u202e2", "control characters"),
            ("P-1 ", "begin or end with a space"),
            ("x" * (CODE_LIMIT + 1), "at most 40 characters; this one has 41"),
        ],
    )
    def test_what_cannot_be_a_code_is_refused(self, code: str, words: str):
        doubt = code_doubts(code)
        assert doubt is not None
        assert doubt.kind is DoubtKind.REFUSED
        assert words in doubt.sentence

    @pytest.mark.parametrize(
        ("code", "what"),
        [
            ("Anna Invented", "a name"),
            ("INVENTED, ANNA", "a name"),
            ("invented", "a name"),
            ("Invented1", "a name"),
            ("Πέτρος", "a name"),
            ("a.invented@clinic.example", "an e-mail address"),
            ("1980-03-12", "a date of birth"),
            ("12.3.1980", "a date of birth"),
            ("03/12/80", "a date of birth"),
            ("19800312", "a date of birth"),
            ("12031980", "a date of birth"),
            ("12 March 1980", "a date of birth"),
            ("AB 12.03.1980", "a date of birth"),
            ("+49 30 1234567", "a telephone number"),
            ("030 1234567", "a telephone number"),
            ("030 1234", "a telephone number"),
            ("(555) 123-4567", "a telephone number"),
            ("5551234567", "a telephone number"),
        ],
    )
    def test_what_could_tell_who_the_patient_is_is_asked_about(self, code: str, what: str):
        doubt = code_doubts(code)
        assert doubt is not None
        assert doubt.kind is DoubtKind.ASK
        assert f"looks like {what}." in doubt.sentence

    @given(st.text(max_size=CODE_LIMIT + 1))
    def test_any_code_that_is_not_refused_can_be_saved_and_read_back(self, code: str):
        doubt = code_doubts(code)
        if doubt is None or doubt.kind is not DoubtKind.REFUSED:
            session = evolve(visit("a"), patient=code)
            assert from_toml(to_toml(session), Path("a.toml")).patient == code
