"""Where a TOML text cannot be read, the message says what is likely wrong, on the right line."""

from pathlib import Path

import pytest

from examwalk.problems import UnusableFileError
from examwalk.reading_files import parse_toml

GOOD = '[protocol]\nid = "clinic"\n'
FILE = Path("clinic.toml")

# What is written; on which line, counted within it, the fault is told; what the message must name.
MISTAKES = {
    "typographic quotation marks": ("title = “Arch”", 1, "typographic"),
    "typographic single quotation marks": ("title = ‘Arch’", 1, "typographic"),
    "German quotation marks in a list": ("how = [„Lift.“]", 1, "typographic"),
    "a decimal comma": ("at_least = 3,5", 1, "decimal point"),
    "a decimal comma before a remark": ("at_least = 3,5 # mm", 1, "decimal point"),
    "a decimal comma in braces": ("band = { below = 7,5 }", 1, "decimal point"),
    "a leading zero": ("at_least = 05", 1, "begin with a zero"),
    "a capital true": ("safety = True", 1, "true and false"),
    "a spoken yes": ("safety = yes", 1, "true and false"),
    "a unit after a number": ("at_least = 5 mm", 1, "without its unit"),
    "a per cent sign": ("share = 5%", 1, "without its unit"),
    "a colon": ('title: "Arch"', 1, "equals sign"),
    "a comparison sign": ("at_least >= 5", 1, "equals sign"),
    "a missing equals sign": ('title "Arch"', 1, "equals sign is missing"),
    "a key of two words": ('arch height = "low"', 1, "hyphens"),
    "a missing value": ("title =\nid = 2", 1, "no value"),
    "words without quotation marks": ("title = Arch height", 1, "quotation marks"),
    "an unclosed text": ('title = "Arch\nunit = "mm"', 1, "closing quotation mark"),
    "an unclosed text of several lines": ('why = """Arch\nunit = 1\n', None, "on line 3"),
    "a quotation mark within a text": ('title = "the "low" arch"', 1, "within a text"),
    "one quotation mark too many": ('title = "Arch""', 1, "too many"),
    "a key given twice": ('title = "A"\nunit = "mm"\ntitle = "B"', 3, "on line 3 already"),
    "a key twice in braces": ("when = { a = 1, a = 2 }", 1, "twice between these braces"),
    "a table given twice": ('[x]\na = 1\n[protocol]\nid = "b"', 3, "on line 1 already"),
    "one bracket where two stood": ('[[test]]\nid = "a"\n[test]\nid = "b"', 3, "[[test]]"),
    "two brackets where one stood": ('[test]\nid = "a"\n[[test]]\nid = "b"', 3, "[[test]]"),
    "an unclosed table name": ('[scales.x\ngrades = ["a"]', 1, "brackets"),
    "a half-closed table name": ('[[test]\nid = "a"', 1, "two brackets"),
    "an unclosed list": ('how = ["a", "b"\nid = 1', 2, "not closed"),
    "a missing comma in a list": ('how = ["a" "b"]', 1, "comma is missing"),
    "braces over two lines": ('when = { test = "a",\n is = "b" }', 1, "on one line"),
    "a comma before the closing brace": ("when = { a = 1, }", 1, "none after the last"),
    "a backslash": ('about = "C:\\path"', 1, "written twice"),
    "a slashed remark": ("a = 1 // high", 1, "begins with #"),
    "a semicolon": ("a = 1;", 1, "semicolon"),
    "two keys on a line": ("a = 1 b = 2", 1, "a line of its own"),
    "a space that does not break": ("a\u00a0= 1", 1, "plain spaces"),
    "a key in other letters": ("größe = 1", 1, "letters a to z"),
}


def message_on(written: str) -> tuple[str, int | None]:
    with pytest.raises(UnusableFileError) as caught:
        parse_toml(FILE, GOOD + written + "\n")
    (problem,) = caught.value.problems
    return problem.message, problem.line


@pytest.mark.parametrize("mistake", MISTAKES)
def test_the_likely_cause_is_said_beside_what_the_parser_says(mistake: str):
    written, line, named = MISTAKES[mistake]
    message, found_on = message_on(written)
    assert "This is not valid TOML" in message
    assert named in message.partition("Likely")[2]
    expected = None if line is None else GOOD.count("\n") + line
    assert found_on == expected


def test_where_nothing_likely_is_known_the_parser_speaks_alone():
    message, line = message_on("a = 2026-13-45")
    assert "Likely" not in message
    assert line == GOOD.count("\n") + 1
