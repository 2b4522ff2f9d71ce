"""What a record says of itself: whether it is signed, what was not done, when, and against what."""

from datetime import UTC, datetime
from pathlib import Path

import pytest
from attrs import evolve

from adult_cases import ADULT
from examwalk.report.pages import told_about, written
from examwalk.session.model import Decision, Finding, Place, Session, Side, State
from examwalk.session.signing import sign
from examwalk.session.storing import read_session

NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
HEEL = read_session(Path(__file__).parents[2] / "sessions" / "heel-pain-right.toml")


def text_of(session: Session, kind: str = "record", **more) -> str:
    return " ".join(written(told_about(ADULT, session, **more), kind, "text").split())


def part(text: str, start: str, end: str) -> str:
    return text[text.index(start) : text.index(end, text.index(start))]


def test_an_unsigned_record_is_not_signed_and_says_what_that_means_and_is_no_proposal():
    text = text_of(HEEL)
    assert "Not signed Nobody has signed for this record yet" in text
    assert "Proposal" not in text
    assert "Not signed; the visit is still open" in text_of(
        evolve(HEEL, state=State.OPEN, finished=None)
    )


def test_an_unsigned_order_stays_a_proposal_that_nothing_is_made_from():
    text = text_of(HEEL, "order")
    assert "Proposal, not signed" in text
    assert "make nothing from it" in text


@pytest.mark.parametrize("kind", ["record", "order"])
def test_a_signed_page_says_who_signed_and_nothing_of_being_open_to_change(kind):
    text = text_of(sign(HEEL, "QX", NOW), kind)
    assert "Signed by QX" in text
    assert "Nobody has signed" not in text


def test_the_head_says_from_when_to_when_the_examination_lasted():
    # 09:05 and 09:49 are the first and the last moment in the visit's file.
    assert "Examined: 14 Sep 2026, 09:05 to 09:49" in text_of(HEEL)


def test_what_was_not_done_stands_in_one_place_with_reason_note_and_moment():
    lunge, rise = Place("lunge-distance", Side.LEFT), Place("single-heel-raise", Side.RIGHT)
    reason, words = next(iter(ADULT.not_done_reasons.items()))
    before = text_of(HEEL)
    session = HEEL.with_finding(Finding(lunge, NOW, not_done=reason, note="a cast"))
    section = part(text_of(session.without_finding(rise)), "What was not done", "Recommendations")
    assert f"Lunge distance, left: not done ({words}). Note: a cast (25 Nov 2026, 09:00)" in section
    assert "No answer: Single heel raise, right." in section
    assert "Not done, with a reason: 1. Without an answer: 1." in section
    assert "Not done, with a reason: 0. Without an answer: 0." in before


def test_the_record_counts_what_was_decided_otherwise_and_says_why_even_where_nobody_did():
    assert "Nothing was ordered at this visit" in text_of(HEEL)
    same = Decision("heel-lift", Side.LEFT, 4.0, 4.0, NOW)
    other = Decision("heel-lift", Side.RIGHT, 6.0, 4.0, NOW)
    text = text_of(HEEL.with_decision(same).with_decision(other))
    assert "Decided as recommended: 1. Decided otherwise: 1." in text
    assert "Entered: 25 Nov 2026, 09:00" in text
    assert (
        "Heel lift in the shoe, right: ordered 6 mm, recommended 4 mm. No reason was given." in text
    )


def test_the_record_places_a_number_among_each_population_and_says_where_authors_disagree():
    section = part(text_of(HEEL), "Against reference values", "Name and registration")
    # (9.0 - 10.3) / 3.0 and (7.0 - 12) / 2.8, by hand.
    assert "50 adults: mean 10.3 cm, SD 3" in section
    assert "Left: z −0.43" in section
    assert "Right: z −1.79" in section
    assert "Authors disagree on what is normal here." in section
    assert "J Sci Med Sport" in section


def test_the_record_says_where_no_reference_is_for_this_age():
    child = HEEL.with_finding(Finding(Place("age", Side.WHOLE), NOW, 12))
    section = part(text_of(child), "Against reference values", "Name and registration")
    assert "There is no reference for this age." in section


def test_an_anonymous_record_gives_no_moment():
    text = text_of(HEEL, anonymous=True)
    assert "Entered:" not in text
    assert "09:05" not in text
