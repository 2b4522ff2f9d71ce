"""The command that repeats an examination by simulation."""

import json
from pathlib import Path

import pytest

from examwalk.cli import main
from examwalk.reasoning.reproducing import Simulation
from examwalk.session.model import Place, Side
from examwalk.session.storing import read_session, write_session

SESSIONS = Path(__file__).parents[1] / "sessions"
HEEL_PAIN = str(SESSIONS / "heel-pain-right.toml")


def test_results_go_to_stdout_and_progress_to_stderr(capsys):
    assert main(["reproduce", HEEL_PAIN, "--repeats", "6", "--seed", "5"]) == 0
    told = capsys.readouterr()
    assert "6 of 6 repeats" in told.err
    assert "repeats\n" not in told.out.splitlines()[0]
    said = " ".join(told.out.split())
    assert "repeated 6 times by another examiner (seed 5)." in said
    assert "What this assumes" in said
    assert said.index("Cautions") < said.index("The recommendation comes out the same in")
    assert "weighted kappa 0.6" in said
    assert said.endswith("The clinician and local rules decide.")


def test_the_same_seed_prints_the_same(capsys):
    printed = []
    for _ in range(2):
        main(["reproduce", HEEL_PAIN, "--repeats", "8", "--as", "json"])
        printed.append(capsys.readouterr().out)
    assert printed[0] == printed[1]
    data = json.loads(printed[0])
    assert (data["repeats"], data["wanted"], data["same_examiner"]) == (8, 8, False)
    for one in (*data["features"], *data["cautions"]):
        assert one["share"] == pytest.approx(one["same"] / 8)
    assert {one["origin"] for one in data["agreement"]} == {
        *("published", "borrowed", "assumed", "held")
    }


def test_the_same_examiner_is_said(capsys):
    main(["reproduce", HEEL_PAIN, "--repeats", "2", "--same-examiner"])
    assert "2 times by the same examiner" in " ".join(capsys.readouterr().out.split())


@pytest.mark.parametrize(
    ("count", "says"), [(0, ""), (1, "1 question has no answer"), (2, "2 questions have no answer")]
)
def test_what_has_no_answer_is_counted_since_no_share_takes_it_in(count, says, tmp_path, capsys):
    session = read_session(Path(HEEL_PAIN))
    for side in (Side.LEFT, Side.RIGHT)[:count]:
        session = session.without_finding(Place("lunge-distance", side))
    path = tmp_path / "visit.toml"
    write_session(path, session)
    main(["reproduce", str(path), "--repeats", "2", "--as", "json"])
    assert json.loads(capsys.readouterr().out)["unanswered"] == count
    main(["reproduce", str(path), "--repeats", "2"])
    said = " ".join(capsys.readouterr().out.split())
    assert says in said
    assert ("no answer, in this visit" in said) is bool(count)


def stopped_after(count: int):
    run = Simulation.run

    def stopping(self, repeats):
        for done in run(self, repeats):
            if done > count:
                raise KeyboardInterrupt
            yield done

    return stopping


def test_interrupted_it_tells_what_is_done_so_far(capsys, monkeypatch):
    monkeypatch.setattr(Simulation, "run", stopped_after(3))
    assert main(["reproduce", HEEL_PAIN, "--repeats", "50"]) == 0
    told = capsys.readouterr()
    assert "stopped after 3 of 50 repeats" in told.err
    assert "Stopped before all 50 were done." in " ".join(told.out.split())


def test_interrupted_before_the_first_repeat_it_tells_nothing(capsys, monkeypatch):
    def run(self, repeats):
        raise KeyboardInterrupt
        yield

    monkeypatch.setattr(Simulation, "run", run)
    assert main(["reproduce", HEEL_PAIN]) == 130
    assert capsys.readouterr().out == ""


@pytest.mark.parametrize("repeats", ["0", "-5", "many", "1000001", "2.5"])
def test_a_number_of_repeats_that_cannot_be_is_a_sentence(repeats, capsys):
    with pytest.raises(SystemExit) as stopped:
        main(["reproduce", HEEL_PAIN, f"--repeats={repeats}"])
    assert stopped.value.code == 2
    assert "whole number from 1 to 1000000" in capsys.readouterr().err


def test_a_file_that_is_not_there_is_a_sentence(capsys, tmp_path):
    assert main(["reproduce", str(tmp_path / "none.toml")]) == 1
    assert "Traceback" not in capsys.readouterr().err
