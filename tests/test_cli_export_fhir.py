"""One visit as FHIR on the command line."""

import json
from pathlib import Path

import pytest

from examwalk.cli import main

FIRST = Path(__file__).parents[1] / "sessions" / "heel-pain-right.toml"


def test_the_bundle_is_printed_or_written_alike(tmp_path, capfdbinary):
    assert main(["export", str(FIRST), "--as", "fhir"]) == 0
    printed = capfdbinary.readouterr().out
    assert json.loads(printed)["resourceType"] == "Bundle"
    out = tmp_path / "visit.json"
    assert main(["export", str(FIRST), "--as", "fhir", "--out", str(out)]) == 0
    assert out.read_bytes() == printed


def test_a_file_that_is_there_is_left_as_it_is(tmp_path, capfdbinary):
    out = tmp_path / "visit.json"
    out.write_text("mine", encoding="utf-8")
    assert main(["export", str(FIRST), "--as", "fhir", "--out", str(out)]) == 1
    assert b"--force" in capfdbinary.readouterr().err
    assert out.read_text(encoding="utf-8") == "mine"


def test_a_visit_whose_findings_cannot_be_gives_no_bundle(tmp_path, capfdbinary):
    text = FIRST.read_text(encoding="utf-8")
    assert 'test = "pain-worst"\nanswer = 6' in text
    odd = tmp_path / "odd.toml"
    odd.write_text(text.replace('"pain-worst"\nanswer = 6', '"pain-worst"\nanswer = 60'), "utf-8")
    out = tmp_path / "visit.json"
    assert main(["export", str(odd), "--as", "fhir", "--out", str(out)]) == 1
    assert b"60" in capfdbinary.readouterr().err
    assert not out.exists()


def test_a_folder_is_refused_in_a_sentence(capfdbinary):
    assert main(["export", str(FIRST.parent), "--as", "fhir"]) == 1
    assert b"a file is needed here" in capfdbinary.readouterr().err


@pytest.mark.parametrize(("form", "option"), [("csv", "--without-snomed"), ("fhir", "--no-bom")])
def test_an_option_of_another_form_is_refused_rather_than_ignored(form, option, capfdbinary):
    with pytest.raises(SystemExit) as stopped:
        main(["export", str(FIRST), "--as", form, option])
    assert stopped.value.code == 2
    assert option.encode() in capfdbinary.readouterr().err
