"""Every figure of a protocol can be had as files, and those hard to tell apart are named."""

from pathlib import Path

import pytest
from attrs import evolve

from examwalk.cli import main
from examwalk.drawing.figure import Figure, Outline, Part, Stroke
from examwalk.protocol.model import Protocol
from examwalk.report.figure_files import write_figures
from made_protocols import FRAME, graded

FOOT = Outline((0, 0, 120, 80), {"sole": Stroke(d="M10 70 L110 70")})


def figure(height: int) -> Figure:
    line = Part(d=f"M10 {height} L110 {height}")
    return Figure(alt="A line.", view_box=(0, 0, 120, 80), parts=(Part(outline="foot"), line))


def drawn(low: int, high: int) -> Protocol:
    figures = {"reach": figure(20), "reach-low": figure(low), "reach-high": figure(high)}
    return evolve(FRAME, tests=(graded("reach"),), outlines={"foot": FOOT}, figures=figures)


def test_each_figure_is_written_as_drawing_and_as_terminal_text(tmp_path: Path) -> None:
    written = write_figures(drawn(20, 50), tmp_path)
    assert written.count == 3
    for name in ("reach", "reach-low", "reach-high"):
        assert (tmp_path / f"{name}.svg").read_text(encoding="utf-8").startswith("<svg")
        lines = (tmp_path / f"{name}-40x14.txt").read_text(encoding="utf-8").splitlines()
        assert len(lines) <= 14
        assert any("⠁" <= character <= "⣿" for line in lines for character in line)


def test_the_sheet_shows_all_and_asks_nothing_of_the_outside(tmp_path: Path) -> None:
    page = write_figures(drawn(20, 50), tmp_path).sheet.read_text(encoding="utf-8")
    assert "default-src 'none'" in page
    assert page.count("<svg") >= 3
    assert ">low<" in page
    assert "http://" not in page.replace("http://www.w3.org/", "")


def test_grades_that_look_alike_are_named(tmp_path: Path) -> None:
    (sentence,) = write_figures(drawn(20, 20), tmp_path).alike
    assert "“reach-low” and “reach-high” differ in only 0%" in sentence


def test_grades_that_differ_are_not_named(tmp_path: Path) -> None:
    assert write_figures(drawn(20, 50), tmp_path).alike == ()


def test_the_command_writes_the_figures_of_the_adult_protocol(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["protocol", "figures", "adult", "--out", str(tmp_path)]) == 0
    assert "differ in only" not in capsys.readouterr().out
    assert (tmp_path / "supination-resistance-high.svg").exists()
