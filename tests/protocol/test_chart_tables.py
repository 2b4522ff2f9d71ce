"""Charts name findings that are there and can be drawn, and go with a finding that is removed."""

from pathlib import Path

import pytest
from good_protocol import FILES, problems_of, write_files

from examwalk.protocol.chart_model import ChartKind
from examwalk.protocol.reading import read_protocol

HEAD = '[protocol]\nid = "clinic"\ntitle = "Our clinic"\nversion = "1"\nextends = "adult"\n'
CHART = '[[chart]]\nid = "mine"\ntitle = "Mine"\n'


def told(folder: Path, text: str) -> str:
    path = folder / "clinic.toml"
    path.write_text(HEAD + text, encoding="utf-8")
    return "\n".join(f"{one.line}: {one.message}" for one in problems_of(path))


@pytest.mark.parametrize(
    ("keys", "says"),
    [
        ('kind = "drop"\nof = ["arch-height-loaded"]', "name 2, not 1"),
        ('kind = "drop"\nof = ["arch-height-unloaded", "arch-height"]', "no test “arch-height”"),
        ('kind = "drop"\nof = ["arch-height-unloaded", "jack-effort"]', "the same scale or unit"),
        ('kind = "drop"\nof = ["consent", "consent"]', "neither graded nor measured"),
        ('kind = "drop"\nof = ["age", "body-mass"]', "not the same scale or unit"),
        ('kind = "number"\nof = ["jack-effort"]', "is not a number"),
        ('kind = "number"\nof = ["age"]', "not found on each side"),
        ('kind = "number"\nof = ["lunge-distance"]\nresult = "arch-drop"', "for the kind “drop”"),
        ('kind = "number"\nof = ["lunge-distanse"]', "lunge-distance"),
        ('kind = "pie"\nof = ["lunge-distance"]', "number"),
    ],
)
def test_a_chart_that_cannot_be_drawn_is_named_with_what_is_wrong(keys, says, tmp_path):
    assert says in told(tmp_path, CHART + keys + "\n")


def test_a_chart_of_a_clinic_is_read_beside_those_of_its_base(tmp_path):
    path = tmp_path / "clinic.toml"
    path.write_text(HEAD + CHART + 'kind = "number"\nof = ["knee-hyperextension"]\n')
    charts = {one.id: one for one in read_protocol(path).protocol.charts}
    assert charts["mine"].kind is ChartKind.NUMBER
    assert len(charts) > 1


def test_a_chart_goes_with_the_test_that_it_draws_and_with_no_other(tmp_path):
    text = (
        '[protocol]\nid = "clinic"\ntitle = "Our clinic"\nversion = "1"\nextends = "good"\n'
        '[remove]\ntests = ["gone"]\n'
        '[[chart]]\nid = "stays"\ntitle = "Lunge"\nkind = "number"\nof = ["lunge"]\n'
    )
    extra = (
        '[[test]]\nid = "gone"\ntitle = "Gone"\nposition = "seated"\nkind = "measure"\n'
        'hard = [0, 10]\nbasis = ["common-practice"]\n'
        '[[chart]]\nid = "goes"\ntitle = "Gone"\nkind = "number"\nof = ["gone"]\n'
    )
    write_files(tmp_path / "good", {**FILES, "extra.toml": extra})
    path = tmp_path / "clinic.toml"
    path.write_text(text, encoding="utf-8")
    assert [str(one) for one in problems_of(path)] == []
    assert [one.id for one in read_protocol(path).protocol.charts] == ["stays"]
