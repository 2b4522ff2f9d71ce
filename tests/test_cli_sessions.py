"""Visits as records on the command line: listing and checking a folder, signing, amending."""

import json
import re
import shutil
import stat
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from attrs import evolve

from examwalk.cli import main
from examwalk.files import previous_version
from examwalk.session.holding import Hold
from examwalk.session.model import Place, Side
from examwalk.session.signing import Grounds, sign, verify
from examwalk.session.signing import amend as amend_session
from examwalk.session.storing import read_session, write_session

KEPT = Path(__file__).parent / "session" / "visits"
LEFT = Place("resistance", Side.LEFT)


@pytest.fixture
def folder(tmp_path):
    """Return a private folder with an open, a finished, a signed and an amended visit."""
    shutil.copytree(KEPT, tmp_path / "visits")
    for path in (tmp_path / "visits").rglob("*.toml"):
        path.chmod(0o600)
    return tmp_path / "visits"


@pytest.fixture
def run(capsys):
    """Run a command in this process and return its status, output and words about it."""

    def run_one(*arguments: object) -> tuple[int, str, str]:
        capsys.readouterr()
        status = main([str(argument) for argument in arguments])
        said = capsys.readouterr()
        return status, said.out, said.err

    return run_one


@pytest.fixture
def check(run, folder):
    return lambda: run("sessions", "--check", "--sessions", folder)


def without_checksum(path: Path) -> str:
    return re.sub(r'^checksum = ".*"\n', "", path.read_text("utf-8"), flags=re.MULTILINE)


def as_of_a_patient(path: Path) -> None:
    """Make the visit one that is not marked as invented."""
    path.write_text(without_checksum(path).replace("invented = true\n", ""), "utf-8")


class TestListing:
    def test_each_visit_is_listed_with_how_far_it_has_come(self, run, folder):
        status, out, err = run("sessions", "--sessions", folder)
        assert (status, err) == (0, "")
        states = {Path(line.split()[-1]).stem: line for line in out.splitlines()}
        assert set(states) == {"open", "finished", "signed", "amended"}
        assert "still open" in states["open"]
        for name in ("finished", "signed", "amended"):
            assert f" {name} " in states[name]

    def test_as_json_each_visit_tells_its_signature(self, run, folder):
        status, out, _ = run("sessions", "--as", "json", "--sessions", folder)
        assert status == 0
        visits = {Path(visit["file"]).stem: visit for visit in json.loads(out)["visits"]}
        assert visits["amended"]["amendments"] == 5
        assert visits["amended"]["seal"].startswith("5-")
        assert visits["signed"]["signed_by"] == "AB"
        assert visits["open"]["signed_by"] is None
        assert "faults" not in visits["open"]


class TestChecking:
    def test_a_folder_in_order_is_said_to_be(self, check):
        assert check() == (0, "4 visits checked: nothing is wrong.\n", "")

    def test_an_empty_folder_is_in_order(self, run, tmp_path):
        status, out, err = run("sessions", "--check", "--sessions", tmp_path)
        assert (status, out) == (0, "0 visits checked: nothing is wrong.\n")
        assert "there are no visits" in err

    def test_a_damaged_file_is_told_with_the_whole_copy_there_is(self, folder, check):
        path = folder / "finished.toml"
        shutil.copy(path, previous_version(path))
        path.write_bytes(path.read_bytes()[:-40])
        status, out, _ = check()
        assert status == 1
        assert "wrong: " in out
        assert "An earlier copy is whole: finished.toml.previous" in out
        assert "with 12 answers" in out
        assert "4 visits checked: 1 has something wrong." in out

    def test_a_changed_answer_of_a_signed_visit_is_told(self, folder, check):
        path = folder / "signed.toml"
        path.write_text(without_checksum(path).replace("answer = 9.5", "answer = 9.4"), "utf-8")
        status, out, _ = check()
        assert status == 1
        assert "The visit is not what AB signed on 25 Nov 2026, 09:31" in out

    def test_amendments_cut_off_without_a_trace_are_told_by_the_copy_before(self, folder, check):
        path = folder / "amended.toml"
        shutil.copy(path, previous_version(path))
        head, *amendments = without_checksum(path).split("[[amendment]]\n")
        cut = head.replace("amendments = 5", "amendments = 1") + f"[[amendment]]\n{amendments[0]}"
        path.write_text(cut, "utf-8")
        status, out, _ = check()
        assert status == 1
        assert "amended.toml.previous holds a signature or amendments" in out

    def test_a_copy_from_before_signing_is_nothing_to_tell(self, run, folder, check):
        run("sign", folder / "finished.toml", "--by", "AB")
        assert previous_version(folder / "finished.toml").is_file()
        assert check()[0] == 0

    def test_a_protocol_copy_that_was_changed_is_told(self, folder, check):
        (copy,) = (folder / "protocols-used").iterdir()
        copy.write_text(copy.read_text("utf-8").replace("below = 9 ", "below = 8 "), "utf-8")
        status, out, _ = check()
        assert status == 1
        assert out.count(f"The copy of its protocol, {copy.name}, was changed") == 4

    def test_a_protocol_that_is_nowhere_is_told(self, folder, check):
        shutil.rmtree(folder / "protocols-used")
        status, out, _ = check()
        assert status == 1
        assert "of which no copy was kept" in out

    def test_what_an_interrupted_save_left_is_told_and_whether_it_is_whole(self, folder, check):
        shutil.copy(folder / "open.toml", folder / ".open.toml.writing")
        (folder / ".signed.toml.writing").write_text("format = 1\n[sess", "utf-8")
        status, out, _ = check()
        assert status == 1
        assert ".open.toml.writing was left by a save of open.toml" in out
        assert "It is whole and holds 12 answers." in out
        assert "It is not whole and can be deleted." in out

    def test_a_file_that_others_may_read_is_told_unless_its_patient_is_invented(
        self, folder, check
    ):
        path = folder / "open.toml"
        path.chmod(0o644)
        assert check()[0] == 0
        as_of_a_patient(path)
        status, out, _ = check()
        assert status == 1
        assert "Other users of this computer may open open.toml" in out

    def test_a_file_without_a_checksum_is_noted_and_not_wrong(self, folder, check):
        path = folder / "open.toml"
        path.write_text(without_checksum(path), "utf-8")
        status, out, _ = check()
        assert status == 0
        assert "note: The file has no checksum" in out

    def test_as_json_each_fault_has_its_weight(self, run, folder):
        path = folder / "signed.toml"
        path.write_text(without_checksum(path).replace("answer = 9.5", "answer = 9.4"), "utf-8")
        status, out, _ = run("sessions", "--check", "--as", "json", "--sessions", folder)
        visits = {Path(visit["file"]).stem: visit for visit in json.loads(out)["visits"]}
        assert status == 1
        assert [fault["weight"] for fault in visits["signed"]["faults"]] == ["odd", "wrong"]
        assert visits["amended"]["faults"] == []

    def test_progress_is_told_where_there_are_many(self, folder, check):
        for number in range(40):
            shutil.copy(folder / "open.toml", folder / f"copy-{number}.toml")
        status, _, err = check()
        assert status == 0
        assert "44 of 44 visits" in err

    def test_what_was_set_aside_is_noted_and_not_wrong(self, folder, check):
        for name in ("open.toml.damaged-20261125-091204", "open.toml.conflict-20261125-091204-2"):
            (folder / name).write_text("format = 1\n", "utf-8")
            (folder / name).chmod(0o600)
        status, out, _ = check()
        assert status == 0
        assert "note: open.toml.damaged-20261125-091204 is a damaged file of open.toml" in out
        assert "note: open.toml.conflict-20261125-091204-2 is what a command" in out


class TestConflict:
    """Another window changes the visit while a command works on it."""

    @pytest.fixture
    def meanwhile(self, monkeypatch, folder):
        """Change a visit at the last moment before the command asks for the right to."""

        def change(name: str, change: Callable[[Path], object]) -> Path:
            path, real = folder / name, Hold.take

            def take(*given: Any, **named: Any) -> Hold:
                change(path)
                return real(*given, **named)

            monkeypatch.setattr(Hold, "take", take)
            return path

        return change

    @staticmethod
    def annotate(path: Path) -> None:
        session = read_session(path)
        write_session(path, evolve(session, about="changed meanwhile"))

    def test_a_signature_does_not_overwrite_it_and_both_are_kept(self, run, folder, meanwhile):
        path = meanwhile("finished.toml", self.annotate)
        status, out, err = run("sign", path, "--by", "AB")
        assert (status, out) == (1, "")
        assert read_session(path).about == "changed meanwhile"
        assert read_session(path).signature is None
        (kept,) = folder.glob("finished.toml.conflict-*")
        assert "changed by another window meanwhile" in err
        assert kept.name in err
        signed = read_session(kept)
        assert signed.signature is not None
        assert signed.about != "changed meanwhile"
        assert stat.S_IMODE(kept.stat().st_mode) == 0o600

    def test_an_amendment_does_not_overwrite_it_and_both_are_kept(self, run, folder, meanwhile):
        def amend_too(path: Path) -> None:
            grounds = Grounds("EF", datetime(2026, 12, 1, 9, tzinfo=UTC), "two rows too low")
            write_session(path, amend_session(read_session(path), LEFT, None, grounds))

        path = meanwhile("signed.toml", amend_too)
        status, out, err = amend(run, path, "resistance", "--side", "left", "--to", "easy")
        assert (status, out) == (1, "")
        assert [one.by for one in read_session(path).amendments] == ["EF"]
        (kept,) = folder.glob("signed.toml.conflict-*")
        assert [one.by for one in read_session(kept).amendments] == ["CD"]
        assert kept.name in err

    def test_a_file_copied_over_itself_is_no_conflict(self, run, meanwhile):
        path = meanwhile("finished.toml", lambda path: path.write_bytes(path.read_bytes()))
        assert run("sign", path, "--by", "AB")[0] == 0
        assert read_session(path).signature is not None


class TestSeal:
    def test_every_seal_of_a_visit_is_printed(self, run, folder):
        status, out, _ = run("seal", folder / "amended.toml")
        session = read_session(folder / "amended.toml")
        first, *others = out.splitlines()
        assert status == 0
        assert first.startswith(f"0-{session.signature.hash[:12]}  Signed ")
        assert [line.split()[0] for line in others] == [
            f"{number}-{one.hash[:12]}" for number, one in enumerate(session.amendments, 1)
        ]

    def test_the_seal_told_at_signing_is_known_again(self, run, folder):
        path = folder / "finished.toml"
        told = run("sign", path, "--by", "AB")[1].split()[-1].rstrip(".")
        for noted in (told, told.upper(), f" {told} ", read_session(path).signature.hash):
            status, out, err = run("seal", path, noted)
            assert (status, err) == (0, "")
            assert "is that of the visit as it stands" in out

    def test_an_earlier_seal_is_told_as_such(self, run, folder):
        path = folder / "amended.toml"
        status, out, _ = run("seal", path, f"3-{read_session(path).amendments[2].hash[:12]}")
        assert status == 0
        assert "an earlier one of this visit: 2 amendments were made since" in out

    @pytest.mark.parametrize("digit", range(12))
    def test_a_seal_with_one_wrong_digit_is_named(self, run, folder, digit):
        path = folder / "signed.toml"
        right = read_session(path).signature.hash[:12]
        wrong = right[:digit] + ("0" if right[digit] != "0" else "1") + right[digit + 1 :]
        status, out, err = run("seal", path, f"0-{wrong}")
        assert (status, out) == (1, "")
        assert f"never had the seal 0-{wrong}; its seal is 0-{right}" in err

    def test_a_seal_with_another_number_of_amendments_is_named(self, run, folder):
        path = folder / "signed.toml"
        status, _, err = run("seal", path, f"1-{read_session(path).signature.hash[:12]}")
        assert status == 1
        assert "never had the seal" in err

    def test_a_visit_signed_anew_by_whoever_can_write_it_is_told_by_the_seal_alone(
        self, run, folder, check
    ):
        path = folder / "signed.toml"
        noted = run("seal", path)[1].split()[0]
        forged = evolve(read_session(path), signature=None, about="another story")
        write_session(path, sign(forged, "AB", datetime(2026, 11, 25, 12, tzinfo=UTC)))
        previous_version(path).unlink()
        assert check()[0] == 0
        status, _, err = run("seal", path, noted)
        assert status == 1
        assert "written and signed anew" in err

    def test_a_visit_that_was_changed_is_not_vouched_for(self, run, folder):
        path = folder / "signed.toml"
        noted = run("seal", path)[1].split()[0]
        path.write_text(
            without_checksum(path).replace('answer = "easy"', 'answer = "hard"', 1), "utf-8"
        )
        status, out, err = run("seal", path, noted)
        assert (status, out) == (1, "")
        assert "The visit is not what" in err

    def test_a_visit_that_nobody_signed_has_no_seal(self, run, folder):
        status, out, err = run("seal", folder / "finished.toml")
        assert (status, out) == (1, "")
        assert "not signed, so it has no seal" in err

    @pytest.mark.parametrize("noted", ["", "abc", "0-12345", "0-1f2e3d4c5b6g", "x" * 64])
    def test_what_is_no_seal_is_refused_with_an_example(self, run, folder, noted):
        status, _, err = run("seal", folder / "signed.toml", noted)
        assert status == 2
        assert "one looks like 0-1f2e3d4c5b6a" in err


class TestSigning:
    def test_a_finished_visit_is_signed_and_its_seal_told(self, run, folder):
        path = folder / "finished.toml"
        status, out, err = run("sign", path, "--by", " AB ")
        assert (status, err) == (0, "")
        assert re.fullmatch(r"Signed by AB; seal 0-[0-9a-f]{12}\.\n", out)
        signed = read_session(path)
        assert signed.signature is not None
        assert verify(signed) == ()

    @pytest.mark.parametrize(
        ("name", "why"), [("open", "still open"), ("signed", "signed already, by AB")]
    )
    def test_a_visit_that_cannot_be_signed_stays_as_it_is(self, run, folder, name, why):
        before = (folder / f"{name}.toml").read_bytes()
        status, out, err = run("sign", folder / f"{name}.toml", "--by", "AB")
        assert (status, out) == (1, "")
        assert why in err
        assert (folder / f"{name}.toml").read_bytes() == before


def amend(run, path: Path, *arguments: str) -> tuple[int, str, str]:
    return run("amend", path, *arguments, "--because", "one row too low", "--by", "CD")


class TestAmending:
    def test_a_correction_stands_and_its_seal_is_told(self, run, folder):
        path = folder / "signed.toml"
        status, out, _ = amend(run, path, "resistance", "--side", "left", "--to", "Middling")
        assert status == 0
        assert out.startswith("Amendment 1, resistance (left): correction; seal 1-")
        session = read_session(path)
        assert session.answers[LEFT] == "middling"
        assert verify(session) == ()

    @pytest.mark.parametrize(
        ("arguments", "place", "kind", "answer"),
        [
            (("age", "--to", "48"), Place("age", Side.WHOLE), "correction", 48),
            (("age", "--retract"), Place("age", Side.WHOLE), "retraction", None),
            (
                ("skin", "--side", "right", "--to", "callus, crack"),
                Place("skin", Side.RIGHT),
                "correction",
                ("callus", "crack"),
            ),
            (
                ("strength", "--side", "left", "--to", "weak", "--not-known-then"),
                Place("strength", Side.LEFT),
                "addendum",
                "weak",
            ),
            (
                ("lunge", "--side", "left", "--to", "9,4"),
                Place("lunge", Side.LEFT),
                "correction",
                9.4,
            ),
        ],
    )
    def test_every_kind_of_answer_can_be_amended(self, run, folder, arguments, place, kind, answer):
        assert amend(run, folder / "signed.toml", *arguments)[0] == 0
        session = read_session(folder / "signed.toml")
        assert session.answers.get(place) == answer
        assert session.amendments[0].kind.value == kind

    def test_an_order_is_amended_by_the_id_of_its_feature(self, run, folder):
        assert amend(run, folder / "signed.toml", "lift", "--side", "left", "--to", "3")[0] == 0
        orders = {
            (order.feature, order.side): order.value
            for order in read_session(folder / "signed.toml").decisions
        }
        assert orders["lift", Side.LEFT] == 3

    @pytest.mark.parametrize(
        ("arguments", "status", "why"),
        [
            (("resistence", "--to", "easy"), 2, "Did you mean “resistance”?"),
            (("resistance", "--to", "easy"), 2, "add --side left or --side right"),
            (("age", "--side", "left", "--to", "48"), 2, "leave --side out"),
            (("resistance", "--side", "left", "--to", "hardly"), 1, "easy, middling, hard"),
            (("lunge", "--side", "left", "--to", "95"), 1, "0 to 25"),
            (("lift", "--side", "left", "--to", "2.5"), 1, "between two steps"),
            (("resistance", "--side", "left", "--to", "hard"), 1, "stands there already"),
            (("strength", "--side", "left", "--retract"), 1, "Nothing stands there"),
        ],
    )
    def test_what_cannot_be_amended_is_refused_and_nothing_written(
        self, run, folder, arguments, status, why
    ):
        before = (folder / "signed.toml").read_bytes()
        told, out, err = amend(run, folder / "signed.toml", *arguments)
        assert (told, out) == (status, "")
        assert why in err
        assert (folder / "signed.toml").read_bytes() == before

    def test_a_visit_that_is_not_signed_is_not_amended(self, run, folder):
        status, _, err = amend(run, folder / "finished.toml", "age", "--to", "48")
        assert status == 1
        assert "not signed" in err

    def test_nothing_is_added_to_a_record_that_was_changed(self, run, folder):
        path = folder / "signed.toml"
        path.write_text(without_checksum(path).replace("answer = 9.5", "answer = 9.4"), "utf-8")
        status, _, err = amend(run, path, "age", "--to", "48")
        assert status == 1
        assert "Nothing is added to a record that is not as it was signed." in err

    def test_a_record_that_was_changed_can_be_read_and_is_told_about(self, run, folder):
        path = folder / "signed.toml"
        path.write_text(without_checksum(path).replace("answer = 9.5", "answer = 9.4"), "utf-8")
        status, out, err = run("summary", path)
        assert status == 0
        assert out.startswith("Visit signed\n")
        assert "The visit is not what AB signed" in err


def test_a_folder_that_is_not_there_is_told_apart_from_an_empty_one(tmp_path, capsys):
    assert main(["sessions", "--sessions", str(tmp_path)]) == 0
    assert f"there are no visits in {tmp_path} yet." in capsys.readouterr().err
    mistyped = tmp_path / "vists"
    assert main(["sessions", "--sessions", str(mistyped)]) == 0
    assert f"there is no folder {mistyped} yet" in capsys.readouterr().err
