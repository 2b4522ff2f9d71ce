"""How effects settle an amount: start, additions, then bounds by class, steps and range."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from examwalk.protocol.feature_model import Effect, RuleClass
from examwalk.reasoning.results import FeatureResult
from examwalk.session.model import Side
from made_protocols import amount, at, feature_of, made, rule, summary_of

SAFETY, TOLERANCE = RuleClass.SAFETY, RuleClass.TOLERANCE
FUNCTION, PREFERENCE = RuleClass.FUNCTION, RuleClass.PREFERENCE


def lift(verb: str, number: float, class_: RuleClass = FUNCTION, when: str | None = None, **more):
    """Make a rule with one effect on the lift; its id says what it does."""
    id_ = f"{verb}-{number}-{class_.value}"
    return rule(id_, Effect("lift", **{verb: number}), class_=class_, when=when, **more)


def settled(*rules, findings=None, **options) -> FeatureResult:
    return feature_of(made(features=(amount(**options),), rules=rules), findings or {})


class TestOrder:
    @pytest.mark.parametrize(
        ("rules", "expected"),
        [
            ((), 0),
            ((lift("start", 4),), 4),
            ((lift("start", 4), lift("add", 3), lift("add", -1)), 6),
            ((lift("add", 2), lift("at_least", 5)), 5),
            ((lift("add", 7), lift("at_least", 5)), 7),
            ((lift("at_least", 5), lift("at_least", 8)), 8),
            ((lift("start", 9), lift("at_most", 6), lift("at_most", 4)), 4),
            ((lift("start", 2), lift("at_least", 5), lift("at_most", 8)), 5),
        ],
    )
    def test_start_then_additions_then_the_highest_floor_then_the_lowest_cap(self, rules, expected):
        assert settled(*rules).value == expected
        assert settled(*reversed(rules)).value == expected

    def test_a_start_replaces_that_of_the_feature_and_additions_come_on_top(self):
        assert settled(lift("add", 2), lift("start", 3), start=10).value == 5

    def test_the_start_of_the_stronger_class_counts(self):
        assert settled(lift("start", 9, TOLERANCE), lift("start", 2)).value == 9

    @pytest.mark.parametrize(("cautious", "expected"), [("low", 2), ("high", 9)])
    def test_of_two_starts_in_one_class_the_careful_one_counts(self, cautious, expected):
        assert settled(lift("start", 9), lift("start", 2), cautious=cautious).value == expected


class TestClasses:
    @pytest.mark.parametrize(
        ("strong", "weak"),
        [(SAFETY, TOLERANCE), (TOLERANCE, FUNCTION), (FUNCTION, PREFERENCE), (SAFETY, PREFERENCE)],
    )
    def test_the_bound_of_the_stronger_class_wins_whichever_way_it_points(self, strong, weak):
        capped = settled(lift("at_most", 2, strong), lift("at_least", 6, weak))
        raised = settled(lift("at_least", 6, strong), lift("at_most", 2, weak))
        assert (capped.value, raised.value) == (2, 6)

    @pytest.mark.parametrize(("cautious", "expected"), [("low", 2), ("high", 6)])
    def test_bounds_of_one_class_that_exclude_each_other_leave_the_careful_one(
        self, cautious, expected
    ):
        result = settled(lift("at_least", 6), lift("at_most", 2), cautious=cautious)
        assert result.value == expected

    def test_additions_are_bounded_by_every_class(self):
        result = settled(lift("add", 9, PREFERENCE), lift("at_most", 5, PREFERENCE))
        assert result.value == 5


class TestStepsAndRange:
    @pytest.mark.parametrize(
        ("value", "step", "cautious", "expected"),
        [
            (2.4, 1, "low", 2),
            (2.6, 1, "low", 3),
            (2.5, 1, "low", 2),
            (2.5, 1, "high", 3),
            (3, 2, "low", 2),
            (3, 2, "high", 4),
            (0.7, 0.5, "low", 0.5),
            (0.75, 0.5, "high", 1.0),
        ],
    )
    def test_a_value_goes_to_the_nearest_step_and_a_half_the_careful_way(
        self, value, step, cautious, expected
    ):
        assert settled(lift("start", value), step=step, cautious=cautious).value == expected

    @pytest.mark.parametrize(
        ("value", "cautious", "expected"),
        [(-2.5, "low", -3), (-2.5, "high", -2), (-0.5, "low", -1), (-0.5, "high", 0)],
    )
    def test_a_half_below_0_goes_the_careful_way_too(self, value, cautious, expected):
        """The careful way is down or up the range, not towards 0."""
        given = settled(lift("start", value), range=(-6, 8), cautious=cautious)
        assert given.value == expected

    def test_no_amount_is_a_negative_0(self):
        assert str(settled(lift("start", -0.4), range=(-6, 8)).value) == "0.0"

    def test_tenths_do_not_drift(self):
        # 0.1 + 0.2 is 0.30000000000000004 in binary.
        assert settled(lift("add", 0.1), lift("add", 0.2), step=0.1).value == 0.3

    def test_a_cap_is_not_rounded_up_past_nor_a_floor_rounded_down(self):
        assert settled(lift("start", 8), lift("at_most", 3.5), step=2).value == 2
        assert settled(lift("at_least", 2.5), step=2).value == 4

    @pytest.mark.parametrize(("number", "expected"), [(-5, 0), (25, 20)])
    def test_a_value_stays_in_the_range(self, number, expected):
        assert settled(lift("add", number)).value == expected

    def test_an_amount_may_be_negative(self):
        post = amount("lift", range=(-6, 8), unit="°", positive="varus", negative="valgus")
        result = feature_of(made(features=(post,), rules=(lift("start", -2),)), {})
        assert (result.value, result.words) == (-2, "2° valgus")


class TestCut:
    @pytest.mark.parametrize(
        ("rules", "cut"),
        [
            ((lift("start", 6),), 0),
            ((lift("start", 6), lift("at_most", 2)), 4),
            ((lift("start", 6), lift("at_most", 2, SAFETY), lift("at_most", 4)), 4),
            ((lift("start", 2), lift("at_most", 6)), 0),
            ((lift("start", 2), lift("at_least", 6, SAFETY), lift("at_most", 4)), 0),
            ((lift("start", 30), lift("at_most", 15)), 5),
        ],
    )
    def test_the_cut_is_what_caps_took_off_within_the_range(self, rules, cut):
        assert settled(*rules).cut == cut


class TestTrace:
    RULES = (
        lift("at_most", 4, SAFETY),
        lift("at_least", 6, FUNCTION),
        lift("add", 1),
        lift("start", 2),
    )

    def test_it_shows_each_rule_in_the_order_of_its_action_and_what_it_changed(self):
        trace = settled(*self.RULES).trace
        assert [(step.did, step.before, step.after) for step in trace] == [
            ("starts at 2 mm", "none", "2 mm"),
            ("adds +1 mm", "2 mm", "3 mm"),
            ("at least 6 mm", "3 mm", "6 mm"),
            ("at most 4 mm", "6 mm", "4 mm"),
        ]

    def test_a_rule_that_changes_nothing_is_shown_as_such(self):
        trace = settled(lift("start", 4), lift("at_most", 6), lift("at_least", 2)).trace
        assert [step.changed for step in trace] == [True, False, False]

    def test_a_rule_that_does_not_hold_is_not_in_it(self):
        result = settled(lift("start", 4, when="a"), findings={"a": "no"})
        assert (result.value, result.trace) == (0, ())

    def test_each_step_says_why_and_on_which_findings(self):
        result = settled(lift("start", 4, when="a"), findings={"a": "yes"})
        (step,) = result.trace
        assert (step.rule, step.because) == (
            "start-4-function",
            "Because of start-4-function.",
        )
        assert step.findings == result.findings == (at("a left"),)
        assert step.basis == ("practice",)

    def test_taking_something_off_is_told_with_its_sign(self):
        trace = settled(lift("start", 5), lift("add", -2)).trace
        assert trace[1].did == "adds −2 mm"


class TestCollisions:
    def collisions(self, *rules, findings=None):
        protocol = made(features=(amount(),), rules=rules)
        found = summary_of(protocol, findings or {}).collisions
        return [one for one in found if one.side is Side.LEFT]

    def test_bounds_of_one_class_that_exclude_each_other_are_the_clinicians_to_decide(self):
        (collision,) = self.collisions(lift("at_least", 6), lift("at_most", 2))
        assert collision.needs_decision
        assert collision.rules == ("at_least-6-function", "at_most-2-function")
        assert "at least 6 mm: Because of at_least-6-function;" in collision.says
        assert "at most 2 mm: Because of at_most-2-function." in collision.says
        assert collision.stands == "2 mm"

    def test_different_starts_of_one_class_collide(self):
        (collision,) = self.collisions(lift("start", 2), lift("start", 4))
        assert collision.stands == "2 mm"

    def test_starts_that_agree_do_not(self):
        assert self.collisions(lift("start", 2), rule("same", Effect("lift", start=2))) == []

    def test_bounds_that_leave_room_do_not(self):
        assert self.collisions(lift("at_least", 2), lift("at_most", 6)) == []

    def test_between_classes_there_is_nothing_to_decide(self):
        assert self.collisions(lift("at_least", 6), lift("at_most", 2, SAFETY)) == []

    def test_what_a_stronger_class_has_decided_is_not_left_to_decide(self):
        rules = (lift("start", 2), lift("start", 4), lift("at_most", 0, SAFETY))
        assert self.collisions(*rules) == []

    def test_rules_that_do_not_both_hold_do_not_collide(self):
        rules = (lift("start", 2), lift("start", 4, when="a"))
        assert self.collisions(*rules, findings={"a": "no"}) == []
        assert self.collisions(*rules) == []
        assert len(self.collisions(*rules, findings={"a": "yes"})) == 1


effects = st.builds(
    lift,
    st.sampled_from(["start", "add", "at_least", "at_most"]),
    st.integers(-3, 12),
    st.sampled_from(list(RuleClass)),
)


@given(
    st.lists(effects, max_size=7).flatmap(
        lambda rules: st.permutations(rules).map(lambda shuffled: (rules, shuffled))
    )
)
def test_the_order_of_the_rules_in_the_file_does_not_matter(both):
    rules, shuffled = both
    assert settled(*rules).value == settled(*shuffled).value


@given(st.lists(effects, max_size=7), st.integers(0, 12))
def test_a_cap_of_the_strongest_class_is_never_exceeded(rules, cap):
    safe = [one for one in rules if one.class_ is not SAFETY]
    assert settled(*safe, lift("at_most", cap, SAFETY)).value <= cap
