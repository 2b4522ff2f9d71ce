"""The summary as text: what stands in it, in which order, and what is never lost from it."""

from datetime import UTC, datetime
from pathlib import Path

import pytest
from attrs import evolve

from adult_cases import ADULT, NORMAL, normal_but, visit_with
from examwalk.protocol.condition_model import Condition
from examwalk.protocol.derived_model import Derived
from examwalk.protocol.feature_model import Effect
from examwalk.reasoning.summary import summarise
from examwalk.report.text import summary_text
from examwalk.session.model import (
    Decision,
    Finding,
    Place,
    Reply,
    Session,
    Side,
)
from examwalk.session.storing import read_session
from made_protocols import amount, made, rule

SESSIONS = Path(__file__).parents[2] / "sessions"
EXAMPLES = {path.stem: read_session(path) for path in SESSIONS.glob("*.toml")}
NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
HEADINGS = (
    "Referral and cautions",
    "Worked out from the findings",
    "Findings that do not fit",
    "For the pair",
    "Left foot",
    "Right foot",
    "Advice and review",
)


def visit(findings, **more) -> Session:
    return visit_with(findings, NOW, **more)


def page(session: Session) -> str:
    return summary_text(ADULT, session, summarise(ADULT, session))


def section(text: str, heading: str) -> str:
    """Return what stands under a heading, its line breaks folded away."""
    lines = text.splitlines()
    start = lines.index(heading) + 2
    underlines = [n for n, line in enumerate(lines) if line and set(line) == {"-"}]
    end = next((n - 1 for n in underlines if n > start), len(lines))
    return " ".join(" ".join(lines[start:end]).split())


@pytest.mark.parametrize("name", EXAMPLES)
class TestExamples:
    def test_cautions_come_before_the_device_and_its_features(self, name):
        lines = page(EXAMPLES[name]).splitlines()
        order = [lines.index(heading) for heading in HEADINGS]
        assert order == sorted(order)

    def test_the_disclaimer_stands_before_everything_that_advises(self, name):
        text = " ".join(page(EXAMPLES[name]).split())
        assert text.index(ADULT.identity.disclaimer) < text.index(HEADINGS[0])

    def test_no_line_is_too_long_for_a_page(self, name):
        assert max(len(line) for line in page(EXAMPLES[name]).splitlines()) <= 88

    def test_it_ends_in_one_newline(self, name):
        text = page(EXAMPLES[name])
        assert text.endswith("\n")
        assert not text.endswith("\n\n")


def test_a_caution_says_how_urgent_it_is_to_whom_to_refer_and_on_what_it_rests():
    text = section(page(EXAMPLES["collapsing-foot-left"]), "Referral and cautions")
    assert "! Collapsing foot on one side: tibialis posterior, left" in text
    assert "Urgent, within days to two weeks; device allowed" in text
    assert "Refer to: foot and ankle opinion" in text
    assert "Single heel raise, left: 0 raises" in text


def test_a_value_says_how_well_it_is_founded_and_what_each_rule_changed():
    text = section(page(EXAMPLES["heel-pain-right"]), "Right foot")
    assert "Medial heel skive: 2 mm [convention of this protocol]" in text
    assert "starts at 4 mm. Dosing table, demand 4–5." in text
    assert "at most 2 mm." in text
    assert "Heel tenderness, right: Inner front edge of the heel bone" in text


def test_a_cross_check_shows_its_findings_what_to_repeat_and_the_reply_given():
    session = EXAMPLES["heel-pain-right"]
    text = section(page(session), "Findings that do not fit")
    assert "Lunge distance, left: 9.0 cm" in text
    assert "Look again at: Lunge distance, left; Lunge distance, right" in text
    reply = Reply("lunge-sides-differ", Side.WHOLE, NOW, "Repeated, the same.")
    answered = section(page(session.with_reply(reply)), "Findings that do not fit")
    assert "Replied: Repeated, the same." in answered
    before = evolve(reply, at=session.started)
    answered = section(page(session.with_reply(before)), "Findings that do not fit")
    assert "Replied before a finding changed: Repeated, the same." in answered


def test_the_first_review_is_that_many_weeks_after_the_visit():
    # 14 September and four weeks.
    assert "\n  First review: 12 October 2026\n" in page(EXAMPLES["heel-pain-right"])


def test_a_review_that_was_ordered_sooner_is_counted_from_the_order():
    # 14 September and two weeks.
    order = Decision("review-weeks", Side.WHOLE, 2, 4, NOW, "She travels far.")
    text = page(EXAMPLES["heel-pain-right"].with_decision(order))
    assert "\n  First review: 28 September 2026\n" in text


def test_a_finding_behind_a_step_that_is_not_said_is_said_itself():
    quiet = Derived("twice", "Twice", "sum", ("practice",), inputs=("reach",), internal=True)
    far = rule("far", Effect("lift", at_least=4), when=Condition(derived="twice", above=3))
    protocol = made(derived=(quiet,), features=(amount(),), rules=(far,))
    reached = Finding(Place("reach", Side.LEFT), NOW, answer=6)
    session = evolve(EXAMPLES["heel-pain-right"], findings=(reached,), decisions=())
    text = summary_text(protocol, session, summarise(protocol, session))
    assert "Rests on: reach, left: 6" in text


def test_a_year_without_room_for_a_review_has_none():
    late = evolve(EXAMPLES["heel-pain-right"], started=datetime(9999, 12, 31, tzinfo=UTC))
    assert "\n  First review: " not in page(late)


class TestIncompleteVisits:
    def test_a_visit_without_findings_waits_and_raises_nothing(self):
        text = page(visit({}))
        assert section(text, "Referral and cautions").startswith("None raised. Not excluded yet:")
        assert "Kind of device: waits for:" in section(text, "For the pair")

    def test_what_is_missing_is_listed_with_what_it_could_change(self):
        # Heel pain and a dropping arch make 2; a high resistance would make 4, and a skive.
        changes = {"complaint-region right": ("plantar-heel",), "arch-height-loaded": "low"}
        findings = normal_but(changes)
        del findings["supination-resistance"]
        text = section(page(visit(findings)), "Not answered, most consequential first")
        assert "- Supination resistance, right; could change: Kind of device" in text

    def test_a_test_that_was_not_done_is_listed_with_its_reason(self):
        findings = {name: answer for name, answer in NORMAL.items() if name != "lunge-distance"}
        not_done = Finding(Place("lunge-distance", Side.LEFT), NOW, not_done="pain")
        text = page(visit(findings).with_finding(not_done))
        listed = section(text, "Not answered, most consequential first")
        assert "- Lunge distance, left (not done: Too painful)" in listed

    def test_long_lists_are_cut_short_with_a_count(self):
        text = section(page(visit({})), "Not answered, most consequential first")
        assert "… and" in text
        assert "more" in text

    def test_a_value_that_is_open_is_told_by_its_bounds(self):
        findings = {name: answer for name, answer in NORMAL.items() if name != "fpi-forefoot"}
        # 0 + 1 + 1 + 0 + 0 = 2, and the sixth item from -2 to +2.
        text = section(page(visit(findings)), "Worked out from the findings")
        assert "Foot Posture Index, total: left not settled, 0 to 4" in text

    def test_a_value_that_may_not_be_indicated_has_no_bounds(self):
        findings = {name: answer for name, answer in NORMAL.items() if name != "diabetes"}
        text = section(page(visit(findings)), "Worked out from the findings")
        assert "Foot risk category in diabetes (IWGDF): not settled" in text


class TestDecisions:
    SESSION = EXAMPLES["heel-pain-right"]

    def ordered(self, feature, value, recommended=None, side=Side.RIGHT, because="") -> str:
        decision = Decision(feature, side, value, recommended, NOW, because)
        return " ".join(page(self.SESSION.with_decision(decision)).split())

    def test_an_order_as_recommended_is_told_as_such(self):
        assert "> Ordered as recommended: 2 mm" in self.ordered("medial-heel-skive", 2, 2)

    def test_an_order_that_differs_stands_with_its_reason_beside_the_recommendation(self):
        text = self.ordered("rearfoot-post", -2, 4, because="She could not bear it.")
        assert "Rearfoot post, extrinsic: 4° varus (medial)" in text
        assert "> Ordered: 2° valgus (lateral). She could not bear it." in text

    def test_an_option_is_told_by_its_label(self):
        text = self.ordered("first-ray", "mortons", "reverse-mortons", because="Short ray.")
        assert "> Ordered: Morton's extension (under the first ray). Short ray." in text

    def test_a_recommendation_that_has_changed_since_is_told(self):
        text = self.ordered("medial-heel-skive", 4, 4)
        assert "> Ordered as recommended: 4 mm (The recommendation was 4 mm then.)" in text

    def test_a_value_between_the_steps_is_not_rounded(self):
        assert "> Ordered: 2.5 mm" in self.ordered("medial-heel-skive", 2.5, 2)

    def test_an_order_for_what_does_not_apply_is_not_lost(self):
        text = self.ordered("first-ray-thickness", 2, side=Side.LEFT, because="To try.")
        assert "Thickness of that extension or accommodation: not applicable" in text
        assert "> Ordered: 2 mm. To try." in text

    def test_an_order_while_the_value_waits_is_not_lost(self):
        decision = Decision("device", Side.WHOLE, "ready-made", None, NOW, "In stock.")
        text = " ".join(page(visit({}).with_decision(decision)).split())
        assert "> Ordered: ready-made, contoured. In stock." in text

    @pytest.mark.parametrize(
        ("feature", "value", "side"),
        [
            ("glass-shell", "thick", Side.LEFT),
            ("glass-shell", 3.5, Side.LEFT),
            ("device", "none", Side.LEFT),
        ],
    )
    def test_an_order_that_no_feature_of_the_protocol_takes_is_not_lost(self, feature, value, side):
        text = self.ordered(feature, value, side=side)
        assert "Ordered, but not a feature of this protocol" in text
        assert f"- {feature}, left: Ordered:" in text

    def test_an_option_that_the_protocol_does_not_know_is_told_as_it_stands(self):
        assert "> Ordered: bamboo." in self.ordered("shell-material", "bamboo")


def test_collisions_say_both_wishes_and_what_stands():
    protocol = made(
        features=(amount(),),
        rules=(
            rule("raise", Effect("lift", at_least=6)),
            rule("spare", Effect("lift", at_most=2)),
        ),
    )
    session = visit({})
    text = summary_text(protocol, session, summarise(protocol, session))
    told = section(text, "Rules that collide: the clinician decides")
    assert "Lift, left: at least 6 mm: Because of raise; at most 2 mm: Because of spare." in told
    assert "Stands for now: 2 mm" in told
