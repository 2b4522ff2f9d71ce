"""Charts draw what was found where it lies, and say the same in words, characters and tables."""

import re
from datetime import UTC, datetime
from pathlib import Path

import pytest

from adult_cases import ADULT
from examwalk.cli import main
from examwalk.reasoning.summary import summarise
from examwalk.report.chart_drawing import chart_drawing
from examwalk.report.chart_lines import chart_lines
from examwalk.report.charts import Axis, charts_of
from examwalk.report.pages import told_about, written
from examwalk.report.profile import graded_rows
from examwalk.report.profile_drawing import profile_lines
from examwalk.session.model import Finding, Place, Session, Side
from examwalk.session.storing import read_session

SESSIONS = Path(__file__).parents[2] / "sessions"
HEEL = read_session(SESSIONS / "heel-pain-right.toml")
NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
ARCH = ("arch-height-unloaded", "arch-height-loaded")


def with_answers(answers: dict[tuple[str, Side], object]) -> Session:
    session = HEEL
    for (test, side), answer in answers.items():
        session = session.with_finding(Finding(Place(test, side), NOW, answer))
    return session


def chart(session: Session, name: str):
    found = charts_of(ADULT, session, summarise(ADULT, session))
    return next(one for one in found if one.id == name)


def test_the_arch_of_each_foot_falls_as_far_in_the_picture_as_in_the_findings():
    session = with_answers(
        {
            (ARCH[0], Side.LEFT): "high",
            (ARCH[1], Side.LEFT): "flat",
            (ARCH[0], Side.RIGHT): "low",
            (ARCH[1], Side.RIGHT): "low",
        }
    )
    drop = chart(session, "arch-under-load")
    # The scale, lowest first: flat, low, medium, high, very high.
    assert drop.axis.labels == ("flat", "low", "medium", "high", "very high")
    assert drop.found == ((3, 0), (1, 1))
    assert "Left: high → flat (3, very mobile)" in drop.words
    assert "Right: low → low (0, stiff)" in drop.words
    heads = chart_lines(drop)[0]
    assert heads.index("Left") < heads.index("Right")
    levels = dict(zip(reversed(drop.axis.labels), chart_lines(drop)[1:6], strict=True))
    assert all(name in row for name, row in levels.items())
    left = {name: row[:18] for name, row in levels.items()}
    assert left["high"].index("O") < left["flat"].index("O")
    assert "O" not in left["medium"] + left["low"]
    assert levels["low"][18:].count("O") == 2


def test_a_number_lies_on_its_axis_between_the_ticks_that_it_lies_between():
    lunge = chart(HEEL, "lunge-against-references")
    drawing = chart_drawing(lunge)
    # 9.0 cm left and 7.0 cm right are what the visit's file says.
    disc = float(re.search(r'<circle cx="([\d.]+)"', drawing)[1])
    square = float(re.search(r'<rect x="([\d.]+)" y="[\d.]+" width="9"', drawing)[1]) + 4.5
    ticks = {
        words: float(x)
        for x, words in re.findall(
            r'<text x="([\d.]+)"[^>]*anchor="middle"[^>]*>([\d]+)(?: cm)?<', drawing
        )
    }
    assert ticks["8"] < disc < ticks["10"]
    assert ticks["6"] < square < ticks["8"]
    assert disc == pytest.approx((ticks["8"] + ticks["10"]) / 2, abs=0.2)
    box = re.search(
        r'<rect x="([\d.]+)" y="[\d.]+" width="([\d.]+)" height="10" fill="none"', drawing
    )
    start, width = float(box[1]), float(box[2])
    # One standard deviation about the mean: 10.3 ± 3.0 cm, two centimetres between two ticks.
    a_centimetre = (ticks["8"] - ticks["6"]) / 2
    assert start == pytest.approx(ticks["6"] + 1.3 * a_centimetre, abs=0.2)
    assert width == pytest.approx(6 * a_centimetre, abs=0.2)


def test_a_drawing_is_an_image_with_its_finding_as_the_title_and_no_colour_but_grey():
    for one in charts_of(ADULT, HEEL, summarise(ADULT, HEEL)):
        drawing = chart_drawing(one)
        assert f'role="img" aria-labelledby="chart-{one.id}-title"' in drawing
        assert "Left: " in one.words
        assert "Right: " in one.words
        assert set(re.findall("#[0-9a-f]{6}", drawing)) <= {"#767676", "#595959"}


def test_the_picture_in_characters_is_plain_and_narrow_and_marks_the_feet_at_their_numbers():
    lines = chart_lines(chart(HEEL, "lunge-against-references"))
    assert all(len(line) <= 88 for line in lines)
    left, right = lines[0], lines[1]
    assert left.startswith("Left 9 cm")
    assert right.startswith("Right 7 cm")
    # The band ends at 8 cm: 9 cm lies right of the edge and 7 cm left of it.
    assert left.index(":") < left.rindex("L")
    assert right.rindex("R") < right.index(":")


def test_nothing_is_drawn_of_a_foot_without_a_finding():
    session = HEEL
    for side in (Side.LEFT, Side.RIGHT):
        session = session.without_finding(Place("lunge-distance", side))
    names = {one.id for one in charts_of(ADULT, session, summarise(ADULT, session))}
    assert "lunge-against-references" not in names
    one = HEEL.without_finding(Place("lunge-distance", Side.LEFT))
    lunge = chart(one, "lunge-against-references")
    assert lunge.found == (None, 7.0)
    assert "Left: not answered" in lunge.words
    assert "<circle" not in chart_drawing(lunge)
    assert "L" not in chart_lines(lunge)[0].removeprefix("Left")


def test_an_axis_places_its_ends_and_its_middle():
    axis = Axis((0, 5, 10), ("0", "5", "10"))
    assert [axis.share(value) for value in (0, 5, 10, 12, -1)] == [0, 0.5, 1, 1, 0]


def test_the_profile_is_mirrored_so_that_like_feet_look_alike_from_either_side():
    rows = graded_rows(ADULT, HEEL)
    lines = dict(zip([row.test.name for row in rows], profile_lines(rows)[1:], strict=False))
    for row in rows:
        line = lines[row.test.name]
        left, right = line[:20], line[52:]
        if row.found[0] == row.found[1]:
            assert left.strip() == right.strip()[::-1]
            assert "*" not in line
        else:
            assert left.strip() != right.strip()[::-1]


def test_the_pictures_in_characters_fit_a_screen_of_eighty_columns():
    every = [*profile_lines(graded_rows(ADULT, HEEL))]
    for one in ADULT.charts:
        every += chart_lines(chart(HEEL, one.id))
    assert len(every) > 30
    assert max(map(len, every)) <= 74


def test_summary_and_record_show_the_pictures_in_characters(capsys):
    assert main(["summary", str(SESSIONS / "heel-pain-right.toml")]) == 0
    summary = capsys.readouterr().out
    record = written(told_about(ADULT, HEEL), "record", "text")
    markdown = written(told_about(ADULT, HEEL), "record", "markdown")
    for line in chart_lines(chart(HEEL, "lunge-against-references")):
        assert line in summary
        assert line in record
        assert line in markdown
    assert markdown.count("```") % 2 == 0
