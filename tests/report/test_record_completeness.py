"""What a record says of itself: whether it is signed, what was not done, when, and against what."""

import re
from datetime import UTC, datetime
from pathlib import Path

import pytest
from attrs import evolve

from adult_cases import ADULT
from examwalk.protocol.wording import answer_words
from examwalk.report.pages import told_about, written
from examwalk.session.model import Decision, Finding, Place, Session, Side, State
from examwalk.session.signing import Grounds, amend, sign
from examwalk.session.storing import read_session

NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
SESSIONS = Path(__file__).parents[2] / "sessions"
HEEL = read_session(SESSIONS / "heel-pain-right.toml")
REASONS = ADULT.not_done_reasons


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


def test_the_record_opens_with_what_matters_in_few_lines():
    text = written(told_about(ADULT, HEEL), "record", "text")
    short = part(text, "In short\n", "\nReferral and cautions\n")
    rows = re.split(r"\n  (?=\w)", short)[1:]
    assert len(rows) <= 11
    told = dict(" ".join(row.split()).split(": ", 1) for row in rows)
    # What the visit's file has of the right foot, and what the rules make of it.
    assert "Lunge distance: 7.0 cm" in told["Found, right"]
    assert "Foot Posture Index, total: 7, pronated" in told["Found, right"]
    assert "Lunge distance" not in told["Found, left"]
    assert "Medial heel skive: 2 mm" in told["Recommended, right"]
    assert "skive" not in told["Recommended, left"]
    # What held the skive back is why it is 2 mm and not 4 mm.
    assert "raised medial heel pressure" in told["Why"]
    assert text.index("In short\n") < text.index("Recommendations and decisions\n")


def test_once_something_is_ordered_the_short_part_says_so_and_marks_the_rest():
    other = Decision("heel-lift", Side.RIGHT, 6.0, 4.0, NOW, "the shoe has room")
    short = part(text_of(HEEL.with_decision(other)), "In short", "Referral and cautions -")
    assert "Ordered, right" in short
    assert "Recommended, right" not in short
    assert "Heel lift in the shoe: 6 mm;" in short
    assert "Heel cup depth: 16 mm *" in short
    assert "recommended 4 mm. the shoe has room" in short
    assert "* recommended; the clinician has not decided on it yet" in short


@pytest.mark.parametrize("how", ["noted", "not done", "not answered", "differs", "amended"])
def test_what_is_not_as_usual_stands_out_and_all_else_is_told_once_for_both_sides(how):
    left = Place("hamstring-length", Side.LEFT)
    title, usual = ADULT.tests_by_id[left.test].title, HEEL.finding(left)
    assert usual is not None
    words = answer_words(ADULT, ADULT.tests_by_id[left.test], usual.answer)
    tight = Finding(left, NOW, "tight")
    odd = {
        "noted": HEEL.with_finding(evolve(usual, note="sore")),
        "not done": HEEL.with_finding(Finding(left, NOW, not_done=next(iter(REASONS)))),
        "not answered": HEEL.without_finding(left),
        "differs": HEEL.with_finding(tight),
        "amended": amend(
            amend(sign(HEEL, "QX", NOW), left, "tight", Grounds("QX", NOW, "misread")),
            left,
            usual.answer,
            Grounds("QX", NOW, "read again"),
        ),
    }[how]
    for session, stands_out in ((HEEL, False), (odd, True)):
        text = text_of(session)
        first = part(text, "Findings that stand out", "All other findings")
        rest = part(text, "All other findings", "Not asked, since")
        assert (title in first) is stands_out
        assert (title in rest) is not stands_out
        assert stands_out or f"{title} Finding: both sides: {words}" in rest


def test_a_reason_that_is_true_of_one_foot_alone_is_told_of_that_foot():
    collapsing = read_session(SESSIONS / "collapsing-foot-left.toml")
    reasons = part(text_of(collapsing), "Reasons ---", "Sources ---")
    thickness = part(reasons, "Shell thickness", "Medial heel skive")
    # 4.5 mm is the table's thickness for 96 kg; a demand of 7 on the left adds half a millimetre.
    assert thickness.startswith("Shell thickness: left 5 mm, right 4.5 mm starts at 4.5 mm.")
    assert thickness.count("starts at 4.5 mm") == 1
    assert "Left: adds +0.5 mm." in thickness
    assert "Right: adds" not in thickness
