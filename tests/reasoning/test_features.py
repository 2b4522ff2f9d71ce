"""Features one after another: what they wait for, look up, exclude and match across the pair."""

import pytest
from attrs import evolve

from examwalk.protocol.condition_model import Condition
from examwalk.protocol.derived_model import Derived, Row
from examwalk.protocol.feature_model import (
    AcrossPair,
    Advice,
    Effect,
    Exclusion,
    LookedUp,
    RuleClass,
)
from examwalk.protocol.key_types import Sides
from examwalk.protocol.model import SourceMark
from examwalk.reasoning.results import FeatureStatus
from examwalk.session.model import Side
from made_protocols import amount, at, choice, feature_of, is_yes, made, rule, summary_of

RECOMMENDED, WAITING = FeatureStatus.RECOMMENDED, FeatureStatus.WAITING
NOT_APPLICABLE = FeatureStatus.NOT_APPLICABLE


def lift(id_: str, when: str | None = None, feature: str = "lift", **verb):
    return rule(id_, Effect(feature, **verb), when=when)


class TestOnWhichFoot:
    def test_a_rule_is_judged_for_each_foot(self):
        protocol = made(features=(amount(),), rules=(lift("more", "a", start=4),))
        findings = {"a left": "yes", "a right": "no"}
        assert feature_of(protocol, findings, side=Side.LEFT).value == 4
        assert feature_of(protocol, findings, side=Side.RIGHT).value == 0

    @pytest.mark.parametrize("side", ["left", "right"])
    def test_a_rule_on_a_feature_of_the_pair_holds_for_either_foot(self, side):
        protocol = made(features=(amount(sides=Sides.ONCE),), rules=(lift("more", "a", add=4),))
        findings = {"a": "no", f"a {side}": "yes"}
        result = feature_of(protocol, findings)
        assert (result.side, result.value) == (Side.WHOLE, 4)
        assert result.findings == (at(f"a {side}"),)

    def test_it_adds_once_where_it_holds_for_both_feet(self):
        protocol = made(features=(amount(sides=Sides.ONCE),), rules=(lift("more", "a", add=4),))
        assert feature_of(protocol, {"a": "yes"}).value == 4

    def test_a_finding_of_the_whole_person_acts_on_both_feet(self):
        protocol = made(features=(amount(),), rules=(lift("more", "person", start=4),))
        for side in (Side.LEFT, Side.RIGHT):
            assert feature_of(protocol, {"person": "yes"}, side=side).value == 4


class TestWaiting:
    PROTOCOL = made(features=(amount(needs=("a", "depth")),))

    def test_no_value_is_given_before_the_safety_questions_of_both_feet_are_answered(self):
        result = feature_of(self.PROTOCOL, {"a left": "no", "skin": ("intact",)})
        assert (result.status, result.value) == (WAITING, None)
        assert result.missing == (at("a right"),)

    def test_what_is_not_asked_is_not_waited_for(self):
        result = feature_of(self.PROTOCOL, {"a": "no", "skin": ("intact",)})
        assert (result.status, result.missing) == (RECOMMENDED, ())

    def test_what_might_be_asked_is(self):
        result = feature_of(self.PROTOCOL, {"a": "no"})
        assert (result.status, result.missing) == (WAITING, (at("depth left"), at("depth right")))


class TestApplying:
    PROTOCOL = made(features=(amount(applies_when=is_yes("a")),))

    @pytest.mark.parametrize(
        ("findings", "status", "missing"),
        [
            ({"a": "yes"}, RECOMMENDED, ()),
            ({"a": "no"}, NOT_APPLICABLE, ()),
            ({}, WAITING, (at("a left"),)),
        ],
    )
    def test_whether_it_applies_is_true_false_or_unknown(self, findings, status, missing):
        result = feature_of(self.PROTOCOL, findings)
        assert (result.status, result.missing) == (status, missing)

    def test_a_feature_that_waits_makes_those_that_hang_on_it_wait(self):
        shell = choice(applies_when=Condition(feature="lift", above=0))
        protocol = made(features=(*self.PROTOCOL.features, shell))
        result = feature_of(protocol, {}, "shell")
        assert (result.status, result.missing) == (WAITING, (at("a left"),))

    def test_no_condition_on_a_feature_that_does_not_apply_holds(self):
        for asked in ({"at_least": 0}, {"is_not": 7}, {"below": 9}):
            shell = choice(applies_when=Condition(feature="lift", **asked))
            protocol = made(features=(*self.PROTOCOL.features, shell))
            assert feature_of(protocol, {"a": "no"}, "shell").status is NOT_APPLICABLE


class TestLookingUpANumber:
    GRADE = Derived("grade", "Grade", "sum", ("practice",), inputs=("arch",))

    def protocol(self, **verb):
        return made(derived=(self.GRADE,), features=(amount(),), rules=(lift("as-graded", **verb),))

    def test_an_effect_takes_its_number_from_a_derived_value_of_its_side(self):
        protocol = self.protocol(start=LookedUp(derived="grade"))
        findings = {"arch left": "high", "arch right": "low"}
        left, right = (feature_of(protocol, findings, side=side) for side in list(Side)[:2])
        assert (left.value, right.value) == (3, 1)
        assert left.trace[0].did == "starts at 3 mm"
        assert left.through == (("grade", Side.LEFT),)

    def test_while_the_number_is_open_the_effect_does_not_act_and_what_it_lacks_is_told(self):
        result = feature_of(self.protocol(start=LookedUp(derived="grade")), {})
        assert (result.value, result.missing) == (0, (at("arch left"),))

    def test_a_cap_that_is_open_counts_with_its_least_number_too(self):
        # From 1 to 3 mm: only a low grade would cut the 2 mm, and it still might.
        protocol = made(
            derived=(self.GRADE,),
            features=(amount(start=2),),
            rules=(lift("capped", at_most=LookedUp(derived="grade")),),
        )
        assert feature_of(protocol, {}).missing == (at("arch left"),)

    def test_a_value_that_is_not_indicated_has_no_effect(self):
        none = Derived("none", "None", "lookup", ("practice",), rows=(Row(5, is_yes("a")),))
        protocol = made(
            derived=(none,),
            features=(amount(),),
            rules=(lift("rare", start=LookedUp(derived="none")),),
        )
        assert feature_of(protocol, {"a": "no"}).value == 0
        assert feature_of(protocol, {"a": "yes"}).value == 5

    def test_an_effect_takes_its_number_from_an_earlier_feature(self):
        protocol = made(
            features=(amount(), amount("stack", start=2)),
            rules=(
                lift("more", "a", start=4),
                lift("add-up", feature="stack", add=LookedUp(feature="lift")),
            ),
        )
        findings = {"a left": "yes", "a right": "no"}
        left = feature_of(protocol, findings, "stack", Side.LEFT)
        assert (left.value, left.findings) == (6, (at("a left"),))
        assert feature_of(protocol, findings, "stack", Side.RIGHT).value == 2

    def test_a_foot_takes_the_number_of_a_feature_of_the_pair(self):
        protocol = made(
            features=(amount(sides=Sides.ONCE), amount("stack")),
            rules=(
                lift("more", start=4),
                lift("add-up", feature="stack", add=LookedUp(feature="lift")),
            ),
        )
        assert feature_of(protocol, {}, "stack", Side.RIGHT).value == 4

    @pytest.mark.parametrize(
        ("findings", "value", "missing"),
        [({"a": "no"}, 2, ()), ({}, 2, (at("a left"),)), ({"a": "yes"}, 3, ())],
    )
    def test_a_feature_that_does_not_apply_adds_nothing_and_one_that_waits_might(
        self, findings, value, missing
    ):
        protocol = made(
            features=(amount(applies_when=is_yes("a"), start=1), amount("stack", start=2)),
            rules=(lift("add-up", feature="stack", add=LookedUp(feature="lift")),),
        )
        result = feature_of(protocol, findings, "stack")
        assert (result.value, result.missing) == (value, missing)


class TestLookingAtAnEarlierFeature:
    def test_a_rule_may_ask_how_much_caps_took_off(self):
        protocol = made(
            features=(amount(), choice()),
            rules=(
                lift("more", "a", start=6),
                lift("cap", "b", at_most=4),
                rule(
                    "moved",
                    Effect("shell", require="firm"),
                    when=Condition(feature="lift", cut_at_least=2),
                ),
            ),
        )
        findings = {"a": "yes", "b": "yes"}
        assert feature_of(protocol, findings, "shell").value == "firm"
        assert feature_of(protocol, {"a": "no", "b": "yes"}, "shell").value == "soft"
        assert feature_of(protocol, {"a": "yes", "b": "no"}, "shell").value == "soft"

    def test_what_could_change_the_earlier_one_could_change_the_later(self):
        protocol = made(
            features=(amount(), choice()),
            rules=(
                lift("more", "a", start=6),
                rule(
                    "so", Effect("shell", require="firm"), when=Condition(feature="lift", above=3)
                ),
            ),
        )
        result = feature_of(protocol, {}, "shell")
        assert (result.value, result.missing) == ("soft", (at("a left"),))
        assert feature_of(protocol, {"a": "no"}, "shell").missing == ()

    def test_a_feature_of_the_pair_looks_at_both_feet(self):
        protocol = made(
            features=(amount(), choice(sides=Sides.ONCE)),
            rules=(
                lift("more", "a", start=6),
                rule(
                    "so", Effect("shell", require="firm"), when=Condition(feature="lift", above=3)
                ),
            ),
        )
        findings = {"a left": "no", "a right": "yes"}
        assert feature_of(protocol, findings, "shell").value == "firm"


class TestExclusion:
    PROTOCOL = made(
        features=(amount(), amount("tilt", unit="°", start=0)),
        rules=(lift("more", "a", start=6), lift("lean", "b", feature="tilt", start=3)),
        exclusions=(Exclusion(("lift", "tilt"), "They do not go together.", ("memory",)),),
    )

    def test_the_later_one_gives_way_on_the_same_foot_and_the_clinician_decides(self):
        findings = {"a left": "yes", "a right": "no", "b": "yes"}
        summary = summary_of(self.PROTOCOL, findings)
        assert summary.feature("lift", Side.LEFT).value == 6
        assert summary.feature("tilt", Side.LEFT).value == 0
        assert summary.feature("tilt", Side.RIGHT).value == 3
        (collision,) = summary.collisions
        assert (collision.feature, collision.side) == ("tilt", Side.LEFT)
        assert "3° is wanted, but Lift (6 mm) excludes it" in collision.says
        assert set(collision.rules) == {"more", "lean"}

    def test_the_trace_says_so_last(self):
        step = feature_of(self.PROTOCOL, {"a": "yes", "b": "yes"}, "tilt").trace[-1]
        assert (step.did, step.before, step.after) == ("gives way to Lift: 6 mm", "3°", "none")

    def test_it_stands_on_the_weakest_of_what_decided_the_exclusion_included(self):
        # The rule is published and the exclusion, which took its value away, from memory.
        lean = rule("lean", Effect("tilt", start=3), when="b", basis=("trial",))
        protocol = evolve(self.PROTOCOL, rules=(*self.PROTOCOL.rules[:1], lean))
        kept = feature_of(protocol, {"a": "no", "b": "yes"}, "tilt")
        set_back = feature_of(protocol, {"a": "yes", "b": "yes"}, "tilt")
        assert kept.standing is SourceMark.PUBLISHED
        assert set_back.standing is SourceMark.FROM_MEMORY

    def test_while_the_earlier_one_is_open_it_could_still_take_the_later_one_away(self):
        result = feature_of(self.PROTOCOL, {"b": "yes"}, "tilt")
        assert (result.value, result.missing) == (3, (at("a left"),))


class TestMatchingAcrossThePair:
    @pytest.mark.parametrize(("direction", "expected"), [("higher", 6), ("lower", 2)])
    def test_amounts_are_matched_in_the_stated_direction(self, direction, expected):
        protocol = made(
            features=(amount(across_pair=AcrossPair(direction), start=2),),
            rules=(lift("more", "a", start=6),),
        )
        findings = {"a left": "yes", "a right": "no"}
        for side in (Side.LEFT, Side.RIGHT):
            assert feature_of(protocol, findings, side=side).value == expected

    @pytest.mark.parametrize(("direction", "expected"), [("first", "soft"), ("last", "firm")])
    def test_options_are_matched_by_their_place_in_the_list(self, direction, expected):
        protocol = made(
            features=(choice(across_pair=AcrossPair(direction), start="soft"),),
            rules=(rule("hard", Effect("shell", require="firm"), when="a"),),
        )
        findings = {"a left": "no", "a right": "yes"}
        for side in (Side.LEFT, Side.RIGHT):
            assert feature_of(protocol, findings, "shell", side).value == expected

    @pytest.mark.parametrize(
        ("other", "within", "expected"), [(5.5, 0.5, 5.0), (5.0, 0.5, 4.5), (4.0, 2, 4.0)]
    )
    def test_sides_may_differ_by_no_more_than_allowed(self, other, within, expected):
        protocol = made(
            features=(amount(step=0.5, start=4, across_pair_within=within),),
            rules=(lift("more", "a", start=other),),
        )
        findings = {"a left": "no", "a right": "yes"}
        assert feature_of(protocol, findings, side=Side.LEFT).value == expected
        assert feature_of(protocol, findings, side=Side.RIGHT).value == other

    def test_rounding_to_a_step_keeps_within_what_is_allowed(self):
        # Within 1 of 6 lies, on steps of 2, only 6 itself.
        protocol = made(
            features=(amount(step=2, across_pair_within=1),),
            rules=(lift("more", "a", start=6),),
        )
        assert feature_of(protocol, {"a left": "no", "a right": "yes"}).value == 6

    def test_the_moved_foot_says_why_and_on_what_it_rests(self):
        protocol = made(
            features=(amount(across_pair=AcrossPair.HIGHER),),
            rules=(lift("more", "a", start=6),),
        )
        moved = feature_of(protocol, {"a left": "yes", "a right": "no"}, side=Side.RIGHT)
        step = moved.trace[-1]
        assert (step.did, step.after) == ("matched to the left foot (6 mm)", "6 mm")
        assert moved.findings == (at("a left"),)
        assert moved.standing is SourceMark.COMMON_PRACTICE

    def test_what_could_change_one_foot_could_change_the_other(self):
        protocol = made(
            features=(amount(across_pair=AcrossPair.HIGHER),),
            rules=(lift("more", "a", start=6),),
        )
        left = feature_of(protocol, {"a left": "no"}, side=Side.LEFT)
        assert (left.value, left.missing) == (0, (at("a right"),))

    def test_a_foot_without_a_value_moves_nothing(self):
        protocol = made(
            features=(amount(across_pair=AcrossPair.HIGHER, applies_when=is_yes("b")),),
            rules=(lift("more", "a", start=6),),
        )
        findings = {"a left": "no", "a right": "yes", "b left": "yes", "b right": "no"}
        assert feature_of(protocol, findings, side=Side.LEFT).value == 0


class TestStanding:
    """How well a value is founded: by the weakest basis among the rules that decided it."""

    def standing(self, *rules, basis=("trial",)) -> SourceMark | None:
        return feature_of(made(features=(amount(basis=basis),), rules=rules), {}).standing

    def lift(self, id_: str, *basis: str, **verb):
        return rule(id_, Effect("lift", **verb), basis=basis)

    def test_a_start_value_stands_on_the_basis_of_its_feature(self):
        assert self.standing() is SourceMark.PUBLISHED
        assert self.standing(basis=("trial", "memory")) is SourceMark.FROM_MEMORY

    def test_the_weakest_of_the_deciding_rules_counts(self):
        first = self.lift("first", "trial", start=4)
        second = self.lift("second", "practice", add=1)
        assert self.standing(first) is SourceMark.PUBLISHED
        assert self.standing(first, second) is SourceMark.COMMON_PRACTICE

    def test_a_rule_with_two_sources_is_as_weak_as_the_weaker(self):
        assert self.standing(self.lift("one", "trial", "convention", start=4)) is (
            SourceMark.CONVENTION
        )

    def test_a_rule_that_changed_nothing_does_not_count(self):
        decided = self.lift("decided", "trial", start=4)
        idle = self.lift("idle", "convention", at_most=9)
        assert self.standing(decided, idle) is SourceMark.PUBLISHED

    def test_a_feature_without_a_value_has_none(self):
        protocol = made(features=(amount(applies_when=is_yes("a")),))
        assert feature_of(protocol, {"a": "no"}).standing is None


class TestAdvice:
    def test_advice_of_the_pair_is_given_once_and_of_each_side_where_it_holds(self):
        protocol = made(
            advice=(
                Advice("always", "shoes", "Wear shoes.", ("practice",)),
                Advice("pair", "exercise", "Stretch.", ("practice",), is_yes("a")),
                Advice("side", "skin", "Look.", ("practice",), is_yes("a"), Sides.EACH),
            )
        )
        given = summary_of(protocol, {"a left": "no", "a right": "yes"}).advice
        assert [(one.id, one.side) for one in given] == [
            ("always", Side.WHOLE),
            ("pair", Side.WHOLE),
            ("side", Side.RIGHT),
        ]
        assert given[1].findings == (at("a right"),)

    def test_advice_that_hangs_on_a_missing_answer_is_not_given(self):
        advice = Advice("pair", "exercise", "Stretch.", ("practice",), is_yes("a"))
        assert summary_of(made(advice=(advice,)), {}).advice == ()


class TestSeveralEffects:
    def test_one_rule_may_act_on_several_features_each_by_its_class(self):
        protocol = made(
            features=(amount(start=5), choice()),
            rules=(
                rule(
                    "careful",
                    Effect("lift", at_most=2),
                    Effect("shell", require="firm"),
                    when="a",
                    class_=RuleClass.SAFETY,
                ),
            ),
        )
        assert feature_of(protocol, {"a": "yes"}).value == 2
        assert feature_of(protocol, {"a": "yes"}, "shell").value == "firm"
        assert feature_of(protocol, {"a": "yes"}, "shell").trace[0].class_ is RuleClass.SAFETY
