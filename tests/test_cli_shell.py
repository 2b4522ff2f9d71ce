"""The command that says how stiff the shells of a visit are."""

import json
import re
from pathlib import Path

import pytest

from examwalk.cli import main
from examwalk.protocol.library import find_protocol
from examwalk.protocol.shipped import read_shipped
from examwalk.reasoning.shell_stiffness import shells_of
from examwalk.reasoning.summary import summarise
from examwalk.report.shell_text import absolute_sentences, shell_text
from examwalk.session.model import Decision, Side
from examwalk.session.storing import read_session

SESSIONS = Path(__file__).parents[1] / "sessions"
HEEL_PAIN = SESSIONS / "heel-pain-right.toml"
ADULT = read_shipped(find_protocol("adult")).protocol


def ordered(feature: str, value: str | float):
    session = read_session(HEEL_PAIN)
    decision = Decision(feature, Side.LEFT, value, None, session.started)
    session = session.with_decision(decision)
    return session, summarise(ADULT, session)


def test_ratios_are_said_and_absolute_figures_only_on_request(capsys):
    assert main(["shell", str(HEEL_PAIN)]) == 0
    plain = capsys.readouterr().out
    assert "1.19, semi-rigid" in " ".join(plain.split())
    assert "MPa" not in plain
    assert "N/mm" not in plain
    assert main(["shell", str(HEEL_PAIN), "--absolute"]) == 0
    absolute = " ".join(capsys.readouterr().out.split())
    assert "24.9 N/mm, gives 6.1 mm, stress 17.8 MPa" in absolute
    assert absolute.endswith(ADULT.identity.disclaimer)


def test_the_same_as_json(capsys):
    assert main(["shell", str(HEEL_PAIN), "--as", "json"]) == 0
    left, right = json.loads(capsys.readouterr().out)
    assert (left["side"], right["side"]) == ("left", "right")
    assert left["ratio"] == pytest.approx(1.187, abs=0.0005)
    assert left["warm_ratio"] == pytest.approx(1.187 / 2, abs=0.0005)
    assert "beam" not in left


def test_the_summary_says_the_ratio_under_the_thickness(capsys):
    main(["summary", str(HEEL_PAIN)])
    out = " ".join(capsys.readouterr().out.split())
    assert re.search(r"Shell thickness: 4\.5 mm .*? 1\.19, semi-rigid; warm", out)
    assert "MPa" not in out


def test_what_is_ordered_counts_before_what_is_recommended():
    session, summary = ordered("shell-thickness", 3.0)
    left, right = shells_of(ADULT, session, summary)
    assert left.ordered
    assert left.ratio == pytest.approx((3 / 4) ** 3 * 65 / 78)
    assert not right.ordered


def test_a_thin_shell_is_flagged():
    """78 kg on 3 mm: 153.036 / 7.3839 = 20.7 mm of 110, and 1.5 × 153.036 × 110 / 630 = 40 MPa."""
    session, summary = ordered("shell-thickness", 3.0)
    said = " ".join(absolute_sentences(shells_of(ADULT, session, summary)[0]))
    assert "more than a tenth of its span" in said
    assert "half the yield strength" in said


def test_a_foam_is_said_to_be_no_beam():
    session, summary = ordered("shell-material", "eva")
    text = " ".join(shell_text(ADULT, session, summary).split())
    assert "does not bend like a beam" in text


def test_a_protocol_without_shells_says_so():
    short = read_shipped(find_protocol("short")).protocol
    session = read_session(HEEL_PAIN)
    text = shell_text(short, session, summarise(short, session))
    assert text.startswith("This protocol says nothing about the stiffness of a shell.")


def test_a_file_that_is_not_there_is_a_sentence(capsys, tmp_path):
    assert main(["shell", str(tmp_path / "none.toml")]) == 1
    assert "Traceback" not in capsys.readouterr().err
