"""The benchmarks can be run: one cheap round of each, without a look at the clock."""

import sys

import pytest

from .figures import Figure, table

if sys.platform == "win32":
    pytest.skip("the benchmarks need a pseudo-terminal", allow_module_level=True)

from . import exporting, repeating, stepping
from .__main__ import PLANS, main


@pytest.mark.parametrize("measure", [plan.measure for plan in PLANS], ids=lambda m: m.__name__)
def test_every_measure_still_measures(measure, monkeypatch):
    monkeypatch.setattr(exporting, "VISITS", exporting.FILES_AT_ONCE + 1)  # more than one piece
    monkeypatch.setattr(repeating, "REPEATS", 10)
    monkeypatch.setattr(stepping, "MOST_PAIRS", 100)
    figures = measure(1)
    assert figures
    for figure in figures:
        assert all(seconds > 0 for seconds in (*figure.taken, *figure.anchor))
        assert figure.milliseconds > 0
        assert (figure.ratio is None) is (figure.anchor_name == "")


def test_one_thing_can_be_measured_alone_and_a_wrong_name_is_told(capsys):
    assert main(["summarising"]) == 0
    out = capsys.readouterr().out
    assert "summarise() on a full visit" in out
    assert "saving" not in out
    with pytest.raises(SystemExit) as ended:
        main(["summarizing"])
    assert ended.value.code == 2
    assert "there are first_paint" in capsys.readouterr().err


@pytest.mark.parametrize(("taken", "verdict"), [(0.0079, "within"), (0.0081, "over")])
def test_a_figure_is_within_its_budget_up_to_that_many_times_its_anchor(taken, verdict):
    # Eight times an anchor of 1 ms is 8 ms.
    figure = Figure("a key", [taken], "a bare key", [0.001], budget=8)
    assert figure.verdict == verdict
    assert verdict in table([figure])


def test_medians_are_compared_and_one_slow_round_does_not_count():
    figure = Figure("a key", [0.002, 0.002, 9.0], "a bare key", [0.001, 0.001, 9.0], budget=8)
    # The median of 2, 2 and 9000 ms is 2 ms, that of 1, 1 and 9000 ms is 1 ms.
    assert figure.ratio == pytest.approx(2)


def test_a_95th_percentile_is_the_time_that_one_in_twenty_exceeds():
    taken = [number / 1000 for number in range(1, 101)]
    figure = Figure("slow keys", taken, "a bare key", [0.001], budget=16, quantile=0.95)
    # Of 1, 2, … 100 ms five lie above 95 and at most five may reach 96.
    assert figure.milliseconds in (pytest.approx(95), pytest.approx(96))
