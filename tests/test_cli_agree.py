"""Agreement of two examiners on the command line."""

import json
from pathlib import Path

from examwalk.cli import main
from test_cli_compare import FIRST, later_visit


def of_two(folder: Path) -> list[str]:
    """Return the example and a second examiner's visit that differs in three answers."""
    other = later_visit(
        folder,
        0,
        examiner="ZZ",
        supination_resistance_left="very-low",
        jack_effort_left="easy",
        lunge_distance_right=8.0,
    )
    return [str(FIRST), str(other)]


def test_it_tells_where_two_examiners_differ_and_which_grades_to_read_again(tmp_path, capsys):
    assert main(["agree", *of_two(tmp_path)]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "P-1041: MK on 2026-09-14, ZZ on 2026-09-14" in said
    resistance = said[said.index("Supination resistance: 1 of 2 the same") :]
    assert "P-1041, left: " in resistance
    assert "very low: Fingertip pressure is enough; the arch rises at once." in resistance
    assert "Lunge distance: 1 of 2 the same P-1041, right: 7.0 cm against 8.0 cm" in said
    assert "not which of them is right" in said
    assert said.endswith("The clinician and local rules decide.")


def test_json_names_each_pair_that_differs(tmp_path, capsys):
    assert main(["agree", *of_two(tmp_path), "--as", "json"]) == 0
    data = json.loads(capsys.readouterr().out)
    (lunge,) = [one for one in data["tests"] if one["test"] == "lunge-distance"]
    assert (lunge["pairs"], lunge["exact"], lunge["limits"]) == (2, 0.5, None)
    assert lunge["differing"] == [{"patient": "P-1041", "side": "right", "first": 7, "second": 8}]


def test_one_visit_alone_is_refused_in_a_sentence(capsys):
    assert main(["agree", str(FIRST)]) == 1
    told = capsys.readouterr()
    assert told.out == ""
    assert "Patient P-1041 has 1 of the visits named here" in told.err
