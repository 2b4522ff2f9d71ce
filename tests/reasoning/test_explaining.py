"""Why a feature has its value and why not another one: worked by hand, and by supposing."""

import random
from pathlib import Path

import pytest

from adult_cases import ADULT
from examwalk.protocol.condition_model import Condition
from examwalk.protocol.feature_model import AcrossPair, Effect, Exclusion, FeatureKind, RuleClass
from examwalk.reasoning.case import Case
from examwalk.reasoning.explaining import why_not
from examwalk.reasoning.features import settle_features
from examwalk.reasoning.fitting import case_of as case_of_visit
from examwalk.reasoning.lacking import Unmet, lacking
from examwalk.reasoning.results import FeatureStatus
from examwalk.reasoning.settling import value_words
from examwalk.reasoning.summary import ordered_values, summarise, summarise_case
from examwalk.session.model import Side
from examwalk.session.storing import read_session
from made_protocols import amount, at, case_of, choice, is_yes, made, rule

EXAMPLES = sorted((Path(__file__).parents[2] / "sessions").glob("*.toml"))
CAPPED = made(
    features=(amount(),),
    rules=(
        rule("base", Effect("lift", start=6), when="a"),
        rule("cap", Effect("lift", at_most=2), when="b", class_=RuleClass.TOLERANCE),
    ),
)


def asked(protocol, findings, value, name="lift", side=Side.LEFT, ordered=None):
    return why_not(case_of(protocol, findings), ordered or {}, name, side, value)


def rules_turned(why):
    """Return, way by way, the rules that would have to be otherwise and whether they apply."""
    return [
        [(one.acting.rule.id, one.acting.verdict.holds) for one in way.turned] for way in why.ways
    ]


def instead(why):
    return [dict(one.answers) for one in why.instead]


class TestWhyNot:
    def test_a_cap_that_holds_it_down_is_named_and_so_is_the_finding_behind_it(self):
        why = asked(CAPPED, {"a": "yes", "b": "yes"}, 6)
        assert why.result.value == 2
        assert rules_turned(why) == [[("cap", True)]]
        assert instead(why) == [{at("b left"): "no"}]

    def test_a_rule_that_would_lead_there_is_named_with_what_it_lacks(self):
        why = asked(CAPPED, {"a": "no", "b": "no"}, 6)
        assert rules_turned(why) == [[("base", False)]]
        (unmet,) = why.ways[0].turned[0].lacks.parts
        assert (unmet.condition, unmet.wanted) == (is_yes("a"), True)
        assert instead(why) == [{at("a left"): "yes"}]

    def test_what_is_not_answered_is_supposed_as_well(self):
        why = asked(CAPPED, {"b": "no"}, 6)
        assert why.ways[0].turned[0].lacks.parts[0].verdict.is_unknown
        assert instead(why) == [{at("a left"): "yes"}]

    def test_two_rules_that_must_turn_are_told_together_and_two_findings_are_found(self):
        why = asked(CAPPED, {"a": "no", "b": "yes"}, 6)
        assert rules_turned(why) == [[("base", False), ("cap", True)]]
        assert instead(why) == [{at("a left"): "yes", at("b left"): "no"}]

    def test_a_rule_that_lacks_two_findings_is_met_by_both_together(self):
        both = Condition(all=(is_yes("a"), Condition(test="arch", at_least="high")))
        protocol = made(
            features=(amount(),), rules=(rule("both", Effect("lift", start=6), when=both),)
        )
        why = asked(protocol, {"a": "no", "arch": "low"}, 6)
        assert instead(why) == [{at("a left"): "yes", at("arch left"): "high"}]

    def test_a_value_that_no_rule_leads_to_has_no_way(self):
        why = asked(CAPPED, {"a": "yes", "b": "no"}, 5)
        assert (why.ways, why.instead) == ((), ())

    def test_the_recommended_value_needs_nothing(self):
        why = asked(CAPPED, {"a": "yes", "b": "yes"}, 2)
        assert why.is_it
        assert why.ways == ()

    def test_a_weaker_rule_against_a_stronger_ban_is_no_way_alone(self):
        protocol = made(
            features=(choice(),),
            rules=(
                rule("firm", Effect("shell", prefer="firm"), when="a"),
                rule("ban", Effect("shell", rule_out=("firm",)), when="b", class_=RuleClass.SAFETY),
            ),
        )
        why = asked(protocol, {"a": "no", "b": "yes"}, "firm", "shell")
        assert rules_turned(why) == [[("firm", False), ("ban", True)]]

    def test_a_number_is_brought_as_near_as_it_still_makes_the_value(self):
        protocol = made(
            features=(amount(),),
            rules=(rule("short", Effect("lift", start=4), when=Condition(test="reach", below=8)),),
        )
        assert instead(asked(protocol, {"reach": 10}, 4)) == [{at("reach left"): 7}]
        assert instead(asked(protocol, {"reach": 3}, 0)) == [{at("reach left"): 8}]

    def test_the_nearest_grade_that_makes_the_value_is_named(self):
        protocol = made(
            features=(amount(),),
            rules=(
                rule(
                    "any", Effect("lift", start=4), when=Condition(test="arch", at_least="medium")
                ),
            ),
        )
        assert instead(asked(protocol, {"arch": "low"}, 4)) == [{at("arch left"): "medium"}]

    def test_the_other_foot_of_a_matching_pair_is_named_as_what_took_the_value(self):
        protocol = made(
            features=(amount(across_pair=AcrossPair.HIGHER),),
            rules=(rule("base", Effect("lift", start=6), when="a"),),
        )
        why = asked(protocol, {"a left": "no", "a right": "yes"}, 0)
        assert why.result.value == 6
        assert [step.before for step in why.gave_way] == ["none"]
        assert "right" in why.gave_way[0].did
        assert instead(why) == [{at("a right"): "no"}]

    def test_a_feature_that_excludes_this_one_is_named_as_what_took_the_value(self):
        protocol = made(
            features=(amount("skive"), amount()),
            rules=(
                rule("skive", Effect("skive", start=4), when="a"),
                rule("lift", Effect("lift", start=6), when="b"),
            ),
            exclusions=(Exclusion(("skive", "lift"), "Not both.", ("practice",)),),
        )
        why = asked(protocol, {"a": "yes", "b": "yes"}, 6)
        assert [step.because for step in why.gave_way] == ["Not both."]

    def test_what_a_feature_lacks_to_apply_is_told(self):
        protocol = made(features=(amount(applies_when=is_yes("a")),))
        why = asked(protocol, {"a": "no"}, 3)
        assert why.result.status is FeatureStatus.NOT_APPLICABLE
        assert [part.condition for part in why.lacks.parts] == [is_yes("a")]

    def test_a_feature_that_waits_says_so_and_nothing_else(self):
        why = asked(made(features=(amount(needs=("a",)),)), {}, 3)
        assert why.result.status is FeatureStatus.WAITING
        assert (why.ways, why.instead, why.lacks) == ((), (), None)

    def test_a_rule_of_the_pair_lacks_it_on_either_foot(self):
        protocol = made(
            features=(amount(sides=CAPPED.tests_by_id["person"].sides),),
            rules=(rule("base", Effect("lift", start=6), when="a"),),
        )
        why = asked(protocol, {"a": "no"}, 6, side=Side.WHOLE)
        lacks = why.ways[0].turned[0].lacks
        assert (len(lacks.parts), lacks.needed) == (2, 1)
        assert instead(why) == [{at("a left"): "yes"}, {at("a right"): "yes"}]

    def test_what_is_ordered_for_an_earlier_feature_is_followed(self):
        protocol = made(
            features=(amount("skive"), amount()),
            rules=(
                rule(
                    "after",
                    Effect("lift", start=6),
                    when=Condition(feature="skive", at_least=2),
                ),
            ),
        )
        assert asked(protocol, {}, 6, ordered={("skive", Side.LEFT): 4.0}).is_it
        assert rules_turned(asked(protocol, {}, 6)) == [[("after", False)]]


EITHER = Condition(any=(is_yes("a"), is_yes("b")))


class TestLacking:
    @pytest.mark.parametrize(
        ("condition", "findings", "parts", "needed"),
        [
            (Condition(all=(is_yes("a"), is_yes("b"), is_yes("c"))), {"a": "yes"}, ["b", "c"], 2),
            (EITHER, {"a": "no"}, ["a", "b"], 1),
            (Condition(not_=is_yes("a")), {"a": "yes"}, ["a"], 1),
            (
                Condition(not_=Condition(any=(is_yes("a"), is_yes("b")))),
                {"a": "yes"},
                ["a", "b"],
                2,
            ),
            (
                Condition(count=(is_yes("a"), is_yes("b"), is_yes("c")), at_least=2),
                {"a": "yes", "b": "no", "c": "no"},
                ["b", "c"],
                1,
            ),
        ],
    )
    def test_only_the_parts_in_the_way_are_named(self, condition, findings, parts, needed):
        lacks = lacking(case_of(CAPPED, findings), condition, Side.LEFT, {})
        assert [part.condition.test for part in lacks.parts] == parts
        assert lacks.needed == needed

    def test_what_holds_lacks_nothing(self):
        assert lacking(case_of(CAPPED, {"a": "yes"}), is_yes("a"), Side.LEFT, {}) is None

    def test_alternatives_stay_together_among_what_is_all_needed(self):
        condition = Condition(all=(is_yes("a"), Condition(any=(is_yes("b"), is_yes("c")))))
        lacks = lacking(case_of(CAPPED, {}), condition, Side.LEFT, {})
        first, second = lacks.parts
        assert isinstance(first, Unmet)
        assert (len(second.parts), second.needed) == (2, 1)
        assert lacks.size == 2


def values_of_feature(feature):
    if feature.kind is FeatureKind.OPTION:
        return list(feature.options)
    low, high = feature.range
    return [low + feature.step * n for n in range(round((high - low) / feature.step) + 1)]


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
class TestExampleVisits:
    def test_each_step_begins_where_the_last_one_ended_and_the_last_is_the_value(self, path):
        summary = summarise(ADULT, read_session(path))
        for result in summary.features:
            if result.status is not FeatureStatus.RECOMMENDED:
                continue
            feature = ADULT.features_by_id[result.id]
            start = feature.start if isinstance(feature.start, str) else float(feature.start)
            reached = value_words(feature, start)
            for step in result.trace:
                assert step.before == reached
                reached = step.after
            assert reached == result.words

    def test_every_statement_comes_true_when_it_is_supposed(self, path):
        visit = read_session(path)
        case, ordered = case_of_visit(ADULT, visit), ordered_values(ADULT, visit)
        chance = random.Random(path.stem)
        questions = [
            (result, value)
            for result in summarise(ADULT, visit).features
            if result.status is FeatureStatus.RECOMMENDED
            for value in values_of_feature(ADULT.features_by_id[result.id])
        ]
        told = 0
        for result, value in chance.sample(questions, 40):
            why = why_not(case, ordered, result.id, result.side, value)
            assert why.is_it is (result.value == value)
            for way in why.ways:
                turned = {(result.id, result.side): frozenset(x.acting.key for x in way.turned)}
                supposed = settle_features(Case(ADULT, case.answers), ordered, turned)
                found = {(one.id, one.side): one.value for one in supposed.results}
                assert found[result.id, result.side] == value
                told += 1
            for other in why.instead:
                again = summarise_case(Case(ADULT, {**case.answers, **other.answers}), {}, ordered)
                assert again.feature(result.id, result.side).value == value
                told += 1
        assert told
