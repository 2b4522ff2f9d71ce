"""The rows of the review, where they lead, and the question before finishing."""

from datetime import timedelta

from attrs import evolve
from ordering_protocol import CALM, LEFT, RIGHT, WHOLE, an_outcome

from examwalk.reasoning.deciding import undecided
from examwalk.reasoning.summary import summarise
from examwalk.session.model import Finding, Place, Reply
from examwalk.tui.screens.review_text import (
    finishing_question,
    how_far,
    places_behind,
    review_reasons,
    review_rows,
)
from examwalk.tui.widgets.lines import Pointer, flow, row_lines

ODD = {
    **CALM,
    ("strength", LEFT): "none",
    ("jack", LEFT): "easy",
    ("resistance", LEFT): "hard",
}


def written(outcome):
    lines = [line for row in review_rows(outcome) for line in row_lines(row, 76, Pointer())]
    return "\n".join(line.plain for line in lines)


def told(outcome, key):
    return "\n".join(line.plain for line in flow(review_reasons(outcome, key), 90))


def replied(outcome, crosscheck, says):
    now = max(finding.at for finding in outcome.session.findings)
    reply = Reply(crosscheck, LEFT, now, says)
    return evolve(outcome, session=evolve(outcome.session, replies=(reply,)))


def not_done(outcome, place, reason):
    finding = Finding(place, outcome.session.started, not_done=reason)
    session = outcome.session.with_finding(finding)
    return evolve(outcome, session=session, summary=summarise(outcome.protocol, session))


def test_the_worst_disagreement_comes_first_with_its_severity_in_words(tmp_path):
    text = written(an_outcome(tmp_path, ODD))
    impossible = text.index("impossible, left: No strength, yet the toe comes up.")
    assert impossible < text.index("look again, left: High resistance but an easy toe.")


def test_a_disagreement_says_why_and_what_to_look_at_again(tmp_path):
    key = ("crosscheck", "no-strength-but-easy", LEFT)
    outcome = an_outcome(tmp_path, ODD)
    text = told(outcome, key)
    assert "One of the two cannot be so." in text
    assert "Look again at: 1 Strength, left; 2 Jack's test, left." in text
    assert "Strength, left: none" in text
    assert places_behind(outcome, key) == (Place("strength", LEFT), Place("jack", LEFT))


def test_a_reply_stands_with_the_disagreement_it_answers(tmp_path):
    outcome = replied(an_outcome(tmp_path, ODD), "no-strength-but-easy", "nerve injury")
    assert "● Replied: nerve injury" in written(outcome)
    assert "Replied: nerve injury." in told(outcome, ("crosscheck", "no-strength-but-easy", LEFT))


def test_a_reply_given_before_a_finding_was_changed_no_longer_explains_it(tmp_path):
    outcome = replied(an_outcome(tmp_path, ODD), "no-strength-but-easy", "nerve injury")
    assert "impossible pair" not in finishing_question(outcome, 0)
    finding = outcome.session.finding(Place("strength", LEFT))
    changed = evolve(finding, at=finding.at + timedelta(seconds=1))
    outcome = evolve(outcome, session=outcome.session.with_finding(changed))
    assert "○ Replied before a finding changed: nerve injury" in written(outcome)
    text = told(outcome, ("crosscheck", "no-strength-but-easy", LEFT))
    assert "○ Replied before a finding changed: nerve injury." in text
    assert "or reply (n) why both findings stand" in text
    assert "1 impossible pair of findings without a reply" in finishing_question(outcome, 0)


def test_every_raised_caution_is_listed_and_leads_to_its_finding(tmp_path):
    outcome = an_outcome(tmp_path, {("hot-foot", LEFT): "yes"})
    assert "Hot swollen foot, left" in written(outcome).partition("Findings that")[0]
    assert places_behind(outcome, ("caution", "hot", LEFT)) == (Place("hot-foot", LEFT),)


def test_what_was_not_done_is_apart_from_what_was_not_reached(tmp_path):
    outcome = not_done(an_outcome(tmp_path, CALM), Place("strength", LEFT), "pain")
    done, _, reached = written(outcome).partition("Not reached")
    assert "Strength, left: Too painful" in done
    assert "Strength, right" in reached
    assert "Strength, left" not in reached


def test_both_sides_of_a_test_on_which_the_same_hangs_take_one_row(tmp_path):
    text = written(an_outcome(tmp_path, CALM))
    assert text.count("Posture") == 1
    assert "Posture, left and right" in text


def test_the_most_consequential_missing_test_comes_first(tmp_path):
    reached = written(an_outcome(tmp_path, {})).partition("Not reached")[2]
    assert "Hot, swollen foot, left and right · safety question" in reached.splitlines()[1]
    after_that = written(an_outcome(tmp_path, CALM)).partition("Not reached")[2]
    # Posture could change the device and comes last in the exam, the story changes nothing.
    assert after_that.index("Posture") < after_that.index("In the patient's words")


def test_a_test_that_would_change_nothing_says_so(tmp_path):
    outcome = an_outcome(tmp_path, CALM)
    text = told(outcome, ("missing", Place("story", WHOLE)))
    assert "it would change no recommendation" in text


def test_finishing_names_all_that_is_open(tmp_path):
    outcome = an_outcome(tmp_path, {**ODD, ("hot-foot", RIGHT): "no"})
    del_one = an_outcome(tmp_path, {k: v for k, v in ODD.items() if k != ("hot-foot", RIGHT)})
    left = len(undecided(outcome.session, outcome.summary))
    question = finishing_question(outcome, left)
    assert "1 impossible pair of findings without a reply" in question
    assert f"{left} features without a decision" in question
    assert "safety" not in question
    assert "1 safety question without an answer" in finishing_question(del_one, left)


def test_finishing_a_complete_visit_asks_simply(tmp_path):
    outcome = an_outcome(tmp_path, CALM)
    for missing in outcome.summary.missing:
        outcome = not_done(outcome, missing.place, "refused")
    assert "Still open" not in finishing_question(outcome, 0)
    assert "Still open" in finishing_question(outcome, 1)


def test_the_top_line_counts_what_is_left(tmp_path):
    outcome = not_done(an_outcome(tmp_path, ODD), Place("posture", RIGHT), "pain")
    assert how_far(outcome).startswith("0 cautions · 2 not fitting · 1 not done")
