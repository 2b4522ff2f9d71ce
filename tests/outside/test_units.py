"""Every unit that the export codes is one of UCUM, by a parser of that standard."""

import tomllib
from importlib.resources import files

import pytest

ucumvert = pytest.importorskip("ucumvert", reason="ucumvert is not installed")

CODES = tomllib.loads((files("examwalk") / "report" / "fhir_codes.toml").read_text("utf-8"))
PARSER = ucumvert.get_ucum_parser()


def is_unit(code: str) -> bool:
    try:
        PARSER.parse(code)
    except Exception:  # of the parser's own many kinds
        return False
    return True


@pytest.mark.parametrize("code", sorted(set(CODES["ucum"].values())))
def test_a_unit_that_is_exported_is_one_of_the_standard(code):
    assert is_unit(code)


@pytest.mark.parametrize("code", ["mmHg", "kg/m²", "°", "degrees", "years", "cms"])
def test_what_is_no_unit_of_the_standard_is_refused(code):
    assert not is_unit(code)
