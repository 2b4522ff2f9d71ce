"""A protocol in words, to be read aloud before it is used."""

from adult_cases import ADULT
from examwalk.report.protocol_text import protocol_text

TEXT = protocol_text(ADULT)


def squeezed(text: str) -> str:
    """Take out all white space, since lines also break at hyphens."""
    return "".join(text.split())


ALL = squeezed(TEXT)


def test_every_test_stands_under_its_position_in_the_order_of_the_exam():
    places = [TEXT.index(f"({test.id};") for test in ADULT.tests_in_order]
    assert places == sorted(places)


def test_every_grade_and_option_is_told_with_its_words():
    for test in ADULT.tests:
        for grade in test.grades.values():
            assert squeezed(grade.looks) in ALL


def test_every_caution_cross_check_and_rule_is_in_it():
    for statement in (*ADULT.cautions, *ADULT.crosschecks):
        assert squeezed(statement.says) in ALL
    for rule in ADULT.rules:
        assert squeezed(f"{rule.id}: {rule.because}") in ALL


def test_every_source_is_told_with_how_well_it_is_known():
    for name, source in ADULT.sources.items():
        assert squeezed(f"{name} ({source.mark.value}):") in ALL


def test_it_says_what_it_is_and_that_the_clinician_decides():
    assert TEXT.splitlines()[0].startswith(ADULT.identity.title)
    assert squeezed(ADULT.identity.disclaimer) in ALL
