"""The starter of a protocol passes the check, is walked as it stands, and never overwrites."""

import json
import random
import re
import tomllib
from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path

import pytest
from good_protocol import FILES, problems_of, write_files
from jsonschema import Draft202012Validator

from examwalk.cli import main
from examwalk.problems import UnusableFileError
from examwalk.protocol.library import shipped_protocols
from examwalk.protocol.reading import LoadedProtocol, read_protocol
from examwalk.protocol.schema import protocol_schema
from examwalk.protocol.starter import SCHEMA_FILE, starter_text, write_starter
from examwalk.reasoning.auditing import audit
from examwalk.reasoning.results import Summary
from examwalk.session.model import Answer, Place, Side
from examwalk.session.walking import first_unsettled, next_after_answer
from examwalk.tui.open_visit import OpenVisit

BASES = [None, "good", *(path.stem for path in shipped_protocols())]
EXAMPLE = re.compile(r"#(?=[^ :\n])")


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder of a clinic, in which commands are given; another protocol lies in it."""
    monkeypatch.chdir(tmp_path)
    write_files(tmp_path / "good", FILES)
    return tmp_path


def uncommented(text: str) -> str:
    """Take away the “#” of every example, as the starter tells its reader to."""
    return "\n".join(EXAMPLE.sub("", line, count=1) for line in text.splitlines())


def walked(loaded: LoadedProtocol, answers: Mapping[Place, Answer], reason: str) -> Summary:
    """Walk from the first place to the last as the app does: answer some, leave out the others."""
    visit = OpenVisit.start(
        Path("visits"), loaded, "P-1", "AB", lambda: datetime.now(UTC), random.Random(1)
    )
    place = first_unsettled(visit.case.places, visit.session)
    for _ in range(400):
        if place is None:
            break
        if place in answers:
            assert visit.answer(place, answers[place])
        else:
            assert visit.not_done(place, reason)
        place = next_after_answer(visit.case.places, visit.session, place)
    assert place is None
    return visit.summary


@pytest.mark.parametrize("extends", BASES)
def test_it_is_good_as_it_stands_and_with_every_change_that_it_shows(extends, here):
    text = starter_text("our-clinic", extends)
    assert text.startswith(f"#:schema ./{SCHEMA_FILE}\n")
    assert Draft202012Validator(protocol_schema()).is_valid(tomllib.loads(text))
    for number, one in enumerate((text, uncommented(text))):
        path = here / f"{number}.toml"
        path.write_text(one, encoding="utf-8")
        assert problems_of(path) == ()


def test_the_schema_is_written_beside_it(here):
    write_starter("our-clinic")
    written = (here / SCHEMA_FILE).read_text(encoding="utf-8")
    assert json.loads(written) == protocol_schema()


@pytest.mark.parametrize("extends", [(), ("--extends", "good")])
def test_the_command_line_writes_it_says_what_comes_next_and_finds_it_good(extends, capsys):
    assert main(["protocol", "new", "our-clinic", *extends]) == 0
    outcome = capsys.readouterr()
    assert outcome.out == "our-clinic.toml\n"
    assert "examwalk protocol check our-clinic.toml" in outcome.err
    assert "examwalk protocol try our-clinic.toml" in outcome.err
    assert main(["protocol", "check", "our-clinic.toml"]) == 0
    assert "our-clinic.toml: " in capsys.readouterr().err


def test_alone_it_is_a_whole_protocol_in_which_nothing_is_useless():
    protocol = read_protocol(write_starter("our-clinic")).protocol
    assert (protocol.identity.id, protocol.identity.title) == ("our-clinic", "Our clinic")
    assert len(protocol.tests) == 2
    assert len(protocol.features) == len(protocol.rules) == 1
    assert len(protocol.crosschecks) == len(protocol.cautions) == 1
    assert audit(protocol) == ()


def test_alone_it_is_walked_to_a_caution_a_cross_check_and_a_lift():
    loaded = read_protocol(write_starter("our-clinic"))
    answers: dict[Place, Answer] = {
        Place("open-wound", Side.LEFT): "yes",
        Place("open-wound", Side.RIGHT): "no",
        Place("lunge-distance", Side.LEFT): 12.0,
        Place("lunge-distance", Side.RIGHT): 5.5,
    }
    summary = walked(loaded, answers, "pain")
    assert [(one.id, one.side) for one in summary.cautions] == [("wound-first", Side.LEFT)]
    assert [one.id for one in summary.crosschecks] == ["lunges-far-apart"]
    lifts = {one.side: one.value for one in summary.features if one.id == "heel-lift"}
    assert lifts == {Side.LEFT: 0, Side.RIGHT: 4}


def test_beside_the_adult_protocol_its_own_test_is_asked_and_counts():
    loaded = read_protocol(write_starter("our-clinic", "adult"))
    answers: dict[Place, Answer] = {
        Place("shoe-grip", Side.LEFT): "loose",
        Place("shoe-grip", Side.RIGHT): "tight",
    }
    summary = walked(loaded, answers, "refused")
    (gap,) = (one for one in summary.derived if one.id == "shoe-grip-gap")
    assert (gap.value, gap.band) == (2, "unlike")
    assert "one-shoe-loose-one-tight" in [one.id for one in summary.crosschecks]
    (word,) = (one for one in summary.features if one.id == "word-about-shoes")
    assert word.value == "other-shoes"


def test_beside_the_adult_protocol_it_changes_nothing_else():
    changes = read_protocol(write_starter("our-clinic", "adult")).changes
    own = [change for change in changes if change.kind != "protocol"]
    assert {change.kind for change in own} == {
        *("test", "derived", "crosscheck", "feature", "rule", "scales", "sources")
    }
    assert all(change.says.partition("” ")[2].startswith("added") for change in own)
    assert not any(change.touches_safety for change in changes)


def test_it_shows_tests_left_out_a_limit_a_cut_off_and_a_step_of_its_base(here):
    text = starter_text("our-clinic", "adult")
    base = tomllib.loads("\n".join(FILES.values()))
    assert "[remove]" not in tomllib.loads(text)
    shown = tomllib.loads(uncommented(text))
    assert shown["remove"]["tests"] == ["complaint-weeks", "pain-first-step"]
    told = [set(table) - {"id"} for table in (*shown["test"], *shown["rule"]) if len(table) == 2]
    assert told == [{"bands"}, {"how"}, {"when"}]
    of_good = tomllib.loads(uncommented(starter_text("our-clinic", "good")))
    (bands,) = (table["bands"] for table in of_good["test"] if set(table) == {"id", "bands"})
    assert bands == next(test["bands"] for test in base["test"] if test["id"] == "lunge")


def test_it_can_extend_a_starter_that_lies_beside_it(here):
    write_starter("our-clinic", "good")
    second = write_starter("second-room", "our-clinic.toml")
    assert tomllib.loads(second.read_text(encoding="utf-8"))["protocol"]["extends"] == (
        "our-clinic.toml"
    )
    assert problems_of(second) == ()


def refusal(name: str, extends: str | None = None) -> str:
    before = sorted(Path.cwd().rglob("*"))
    with pytest.raises(UnusableFileError) as caught:
        write_starter(name, extends)
    assert sorted(Path.cwd().rglob("*")) == before
    (problem,) = caught.value.problems
    assert str(problem).isprintable()
    return str(problem)


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("Our Clinic", "Try “our-clinic”."),
        ("our_clinic.toml", "Try “our-clinic”."),
        ("../elsewhere", "Try “elsewhere”."),
        ("/etc/passwd", "Try “etc-passwd”."),
        ("a\x1b[31m\u202e", "cannot be called"),
        ("", "lower-case letters and digits"),
        ("-", "lower-case letters and digits"),
        ("x" * 300 + "!", "lower-case letters and digits"),
        ("adult", "“adult” is a shipped protocol"),
    ],
)
def test_a_name_that_cannot_be_one_is_refused_with_what_would_be_right(name, says):
    assert says in refusal(name)


def test_a_file_that_is_there_is_left_as_it_is(here):
    mine = here / "our-clinic.toml"
    mine.write_text("mine", encoding="utf-8")
    assert "is here already" in refusal("our-clinic")
    assert mine.read_text(encoding="utf-8") == "mine"


def test_a_schema_that_is_there_is_left_as_it_is(here):
    (here / SCHEMA_FILE).write_text("{}", encoding="utf-8")
    write_starter("our-clinic")
    assert (here / SCHEMA_FILE).read_text(encoding="utf-8") == "{}"


def test_what_it_cannot_extend_is_named(here, monkeypatch):
    assert "Did you mean “adult”?" in refusal("our-clinic", "adlut")
    (here / "broken.toml").write_text("[protocol]\n", encoding="utf-8")
    with pytest.raises(UnusableFileError, match="is missing"):
        starter_text("our-clinic", "broken.toml")
    inside = here / "inside"
    inside.mkdir()
    monkeypatch.chdir(inside)
    assert "must lie beside" in refusal("our-clinic", "../good")


def test_the_command_line_says_a_refusal_on_stderr(capsys):
    assert main(["protocol", "new", "Our Clinic"]) == 1
    outcome = capsys.readouterr()
    assert outcome.out == ""
    assert outcome.err.startswith("examwalk: a protocol cannot be called “Our Clinic”")
