"""The worked example visits: invented, complete, and readable as every other visit."""

from pathlib import Path

import pytest

from adult_cases import ADULT
from examwalk.reasoning.fitting import case_of, misfits
from examwalk.reasoning.summary import summarise
from examwalk.report.text import summary_text
from examwalk.session.storing import read_session

SESSIONS = Path(__file__).parents[2] / "sessions"
EXAMPLES = sorted(SESSIONS.glob("*.toml"))


def test_there_are_three():
    assert [path.stem for path in EXAMPLES] == [
        "collapsing-foot-left",
        "heel-pain-right",
        "insensate-feet",
    ]


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
class TestEach:
    def test_it_says_that_it_is_invented_in_the_file_and_on_the_page(self, path):
        visit = read_session(path)
        assert visit.invented
        assert "nvented patient" in visit.about
        page = summary_text(ADULT, visit, summarise(ADULT, visit))
        assert "invented patient" in page.splitlines()[1]

    def test_every_place_that_is_asked_has_an_answer_and_no_other_place_has(self, path):
        visit = read_session(path)
        assert set(visit.answers) == set(case_of(ADULT, visit).places)

    def test_every_answer_is_a_possible_one(self, path):
        assert misfits(ADULT, read_session(path)) == ()

    def test_its_file_is_named_as_the_visit(self, path):
        assert read_session(path).id == path.stem
