"""What the clinician orders stands beside the recommendation, and the rest follows it."""

from datetime import UTC, datetime

import pytest

from examwalk.protocol.condition_model import Condition
from examwalk.protocol.feature_model import Effect, LookedUp
from examwalk.protocol.model import Protocol
from examwalk.reasoning.results import FeatureStatus, Summary
from examwalk.reasoning.summary import summarise
from examwalk.session.model import Decision, Finding, ProtocolUsed, Session, Side
from made_protocols import amount, choice, made, placed, rule

NOW = datetime(2026, 3, 4, 10, 0, tzinfo=UTC)

PROTOCOL = made(
    features=(
        choice("shell", applies_when=Condition(test="a", is_="yes")),
        amount("lift", applies_when=Condition(feature="shell", is_not="soft")),
        amount("stack"),
    ),
    rules=(
        rule("firm", Effect("shell", require="firm"), when="b"),
        rule("raise", Effect("lift", start=4)),
        rule("add-up", Effect("stack", add=LookedUp(feature="lift"))),
    ),
)


def summary_with(protocol: Protocol, *decisions: tuple[str, str | float]) -> Summary:
    answers = placed(protocol, {"a": "yes", "b": "no"})
    session = Session(
        id="made",
        started=NOW,
        examiner="AB",
        patient="P-1",
        protocol=ProtocolUsed("made", "1"),
        findings=tuple(Finding(place, NOW, answer=answer) for place, answer in answers.items()),
        decisions=tuple(
            Decision(feature, Side.LEFT, value, None, NOW, "My reason.")
            for feature, value in decisions
        ),
    )
    return summarise(protocol, session)


def value(summary: Summary, feature: str, side: Side = Side.LEFT) -> object:
    result = summary.feature(feature, side)
    return result.value if result.status is FeatureStatus.RECOMMENDED else result.status


def test_without_an_order_the_rest_follows_the_recommendation() -> None:
    summary = summary_with(PROTOCOL)
    assert value(summary, "shell") == "soft"
    assert value(summary, "lift") is FeatureStatus.NOT_APPLICABLE
    assert value(summary, "stack") == 0


def test_an_order_changes_what_follows_and_not_what_was_recommended() -> None:
    summary = summary_with(PROTOCOL, ("shell", "firm"))
    assert value(summary, "shell") == "soft"
    assert value(summary, "lift") == 4
    assert value(summary, "stack") == 4


def test_an_order_for_one_foot_leaves_the_other_as_it_was() -> None:
    summary = summary_with(PROTOCOL, ("shell", "firm"))
    assert value(summary, "lift", Side.RIGHT) is FeatureStatus.NOT_APPLICABLE


def test_an_ordered_amount_is_added_up() -> None:
    summary = summary_with(PROTOCOL, ("shell", "firm"), ("lift", 9))
    assert value(summary, "lift") == 4
    assert value(summary, "stack") == 9


@pytest.mark.parametrize("order", [("shell", "gone"), ("shell", 3), ("lift", "high"), ("x", 1)])
def test_an_order_that_the_protocol_no_longer_knows_changes_nothing(order: tuple) -> None:
    assert summary_with(PROTOCOL, order).features == summary_with(PROTOCOL).features
