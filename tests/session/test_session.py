"""A visit as a value: each change makes a new one."""

from datetime import UTC, datetime

from examwalk.session.model import Decision, Finding, Place, ProtocolUsed, Reply, Session, Side

NOW = datetime(2026, 11, 25, 9, 12, tzinfo=UTC)
LEFT = Place("arch", Side.LEFT)
RIGHT = Place("arch", Side.RIGHT)
VISIT = Session("visit", NOW, "AB", "P-1", ProtocolUsed("short", "1"))


def decision(side: Side, value: int) -> Decision:
    return Decision("heel-lift", side, value, None, NOW)


def test_a_finding_replaces_the_one_at_its_place_and_comes_last():
    first = VISIT.with_finding(Finding(LEFT, NOW, answer="low"))
    both = first.with_finding(Finding(RIGHT, NOW, answer="high"))
    changed = both.with_finding(Finding(LEFT, NOW, answer="medium"))
    assert [finding.answer for finding in changed.findings] == ["high", "medium"]
    assert [finding.answer for finding in both.findings] == ["low", "high"]


def test_answers_hold_what_was_answered_and_nothing_else():
    visit = VISIT.with_finding(Finding(LEFT, NOW, not_done="pain")).with_finding(
        Finding(RIGHT, NOW, answer=0)
    )
    assert visit.answers == {RIGHT: 0}
    assert visit.finding(LEFT) == Finding(LEFT, NOW, not_done="pain")
    assert visit.finding(Place("gait", Side.WHOLE)) is None


def test_a_finding_can_be_taken_away():
    visit = VISIT.with_finding(Finding(LEFT, NOW, answer="low"))
    assert visit.without_finding(LEFT) == VISIT
    assert visit.without_finding(RIGHT) == visit


def test_each_foot_has_its_own_decision_on_a_feature():
    visit = VISIT.with_decision(decision(Side.LEFT, 4)).with_decision(decision(Side.RIGHT, 2))
    changed = visit.with_decision(decision(Side.LEFT, 6))
    assert changed.decisions == (decision(Side.RIGHT, 2), decision(Side.LEFT, 6))
    assert changed.without_decision("heel-lift", Side.RIGHT).decisions == (decision(Side.LEFT, 6),)


def test_a_reply_replaces_the_one_to_the_same_crosscheck_on_the_same_side():
    old = Reply("arch-rises", Side.LEFT, NOW, "repeated")
    new = Reply("arch-rises", Side.LEFT, NOW, "repeated twice")
    other = Reply("arch-rises", Side.RIGHT, NOW, "swelling")
    visit = VISIT.with_reply(old).with_reply(other).with_reply(new)
    assert visit.replies == (other, new)


def test_places_are_ordered_left_before_right():
    places = [Place("b", Side.WHOLE), RIGHT, LEFT]
    assert sorted(places) == [LEFT, RIGHT, Place("b", Side.WHOLE)]


def test_a_place_is_named_with_its_side_where_it_has_one():
    assert str(LEFT) == "arch (left)"
    assert str(Place("gait", Side.WHOLE)) == "gait"
