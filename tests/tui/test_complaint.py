"""The complaint at the top of the exam: the answers of the test that the protocol names for it."""

from datetime import UTC, datetime
from random import Random

import pytest
from small_protocol import SMALL, small_protocol

from examwalk.session.model import Place, Side
from examwalk.tui.open_visit import OpenVisit
from examwalk.tui.screens.exam_parts import complaint_of

NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
LEFT, RIGHT = Place("skin", Side.LEFT), Place("skin", Side.RIGHT)


def a_visit(folder, complaint: str) -> OpenVisit:
    named = SMALL.replace("[protocol]\n", f'[protocol]\ncomplaint = "{complaint}"\n')
    loaded = small_protocol(folder, named if complaint else SMALL)
    return OpenVisit.start(folder / "sessions", loaded, "P-1", "AB", lambda: NOW, Random(1))


def test_it_names_what_was_chosen_on_each_side(tmp_path):
    visit = a_visit(tmp_path, "skin")
    visit.answer(LEFT, ("callus", "crack"))
    visit.answer(RIGHT, ("crack",))
    assert complaint_of(visit) == "left: Callus, Cracks; right: Cracks"


def test_an_answer_that_stands_alone_is_no_complaint(tmp_path):
    visit = a_visit(tmp_path, "skin")
    visit.answer(LEFT, ("intact",))
    visit.answer(RIGHT, ("crack",))
    assert complaint_of(visit) == "right: Cracks"


def test_the_same_complaint_on_both_sides_is_named_once(tmp_path):
    visit = a_visit(tmp_path, "skin")
    visit.answer(LEFT, ("crack",))
    visit.answer(RIGHT, ("crack",))
    assert complaint_of(visit) == "both sides: Cracks"


def test_a_complaint_of_one_answer_is_named_too(tmp_path):
    visit = a_visit(tmp_path, "hot-foot")
    visit.answer(Place("hot-foot", Side.LEFT), "yes")
    assert complaint_of(visit) == "left: Yes"


@pytest.mark.parametrize("complaint", ["", "skin"])
def test_where_none_is_named_or_answered_nothing_is_said(tmp_path, complaint):
    visit = a_visit(tmp_path, complaint)
    visit.answer(Place("hot-foot", Side.LEFT), "yes")
    assert complaint_of(visit) == ""
