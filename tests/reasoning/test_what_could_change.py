"""Missing answers that could still change a value, against every way the rules could act."""

from itertools import chain, combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from examwalk.protocol.condition_model import Condition
from examwalk.protocol.exam_model import Kind
from examwalk.protocol.feature_model import Effect, Rule, RuleClass
from examwalk.protocol.model import Protocol
from examwalk.reasoning.results import MissingFinding
from examwalk.reasoning.summary import summarise_case
from examwalk.session.model import Side
from made_protocols import amount, asked, at, case_of, choice, feature_of, is_yes, made, rule

QUESTIONS = tuple(f"q{number}" for number in range(5))
BASE = made(tests=(*made().tests, *(asked(name) for name in QUESTIONS)))


def lift(when: str | Condition, class_: RuleClass = RuleClass.FUNCTION, **verb) -> Rule:
    return rule(f"{verb}", Effect("lift", **verb), when=when, class_=class_)


class TestByHand:
    def missing(self, *rules: Rule, findings=None, **options) -> tuple:
        protocol = made(features=(amount(**options),), rules=rules)
        return feature_of(protocol, findings or {}).missing

    def test_a_rule_that_would_change_the_value_is_told(self):
        assert self.missing(lift("a", start=4)) == (at("a left"),)

    def test_a_rule_that_could_change_nothing_is_not(self):
        assert self.missing(lift("a", at_most=9)) == ()
        capped = lift("b", at_most=0, class_=RuleClass.SAFETY)
        assert self.missing(lift("a", start=4), capped, findings={"b": "yes"}) == ()

    def test_a_cap_that_matters_only_beside_another_open_rule_is_told_with_it(self):
        assert self.missing(lift("a", start=4), lift("b", at_most=2)) == (at("a left"),)
        assert self.missing(lift("a", start=4), lift("b", at_most=2), findings={"a": "yes"}) == (
            at("b left"),
        )

    def test_two_that_change_the_value_only_together_are_both_told(self):
        halves = (lift("a", add=0.3), lift("b", add=0.3))
        assert self.missing(*halves) == (at("a left"), at("b left"))

    def test_two_effects_of_one_answer_are_looked_at_together(self):
        halves = (lift("a", add=0.3), lift("a", add=0.4))
        assert self.missing(*halves) == (at("a left"),)

    def test_votes_that_win_only_together_are_all_told(self):
        protocol = made(
            features=(choice(),),
            rules=(
                *(rule(f"soft{n}", Effect("shell", prefer="soft")) for n in range(2)),
                *(rule(f"firm{n}", Effect("shell", prefer="firm"), when=n) for n in "abcd"),
            ),
        )
        result = feature_of(protocol, {}, "shell")
        assert result.value == "soft"
        assert result.missing == tuple(at(f"{name} left") for name in "abcd")

    def test_one_that_changes_nothing_without_another_is_not_told_beside_one_that_does(self):
        both = Condition(all=(is_yes("a"), is_yes("b")))
        assert self.missing(lift(both, start=4), lift("c", start=2)) == (at("c left"),)
        assert self.missing(lift(both, start=4)) == (at("a left"), at("b left"))

    def test_a_choice_of_several_that_changes_the_value_by_two_options_at_once_is_told(self):
        wounds = tuple(Condition(test="skin", includes=name) for name in ("callus", "wound"))
        rules = lift(Condition(all=wounds), start=4), lift("c", start=2)
        assert self.missing(*rules) == (at("skin left"), at("c left"))

    def test_a_text_that_changes_the_value_once_it_is_written_is_told(self):
        remark = asked("remark", kind=Kind.TEXT, options={})
        written = lift(Condition(test="remark", answered=True), start=4)
        unwritten = made(
            tests=(*BASE.tests, remark), features=(amount(),), rules=(written, lift("c", start=2))
        )
        assert set(feature_of(unwritten, {}).missing) == {at("remark left"), at("c left")}

    def test_a_value_that_waits_names_all_that_it_waits_for(self):
        assert self.missing(lift("c", start=2), needs=("a", "person")) == (
            at("a left"),
            at("a right"),
            at("person"),
        )

    def test_a_rule_in_force_that_no_answer_can_turn_lacks_nothing(self):
        either = Condition(any=(is_yes("a"), is_yes("b")))
        assert self.missing(lift(either, start=4), findings={"a": "yes"}) == ()


conditions = st.one_of(
    st.sampled_from(QUESTIONS).map(is_yes),
    st.sampled_from(QUESTIONS).map(lambda name: Condition(not_=is_yes(name))),
    st.tuples(st.sampled_from(QUESTIONS), st.sampled_from(QUESTIONS)).map(
        lambda names: Condition(all=tuple(map(is_yes, names)))
    ),
)
classes = st.sampled_from(list(RuleClass))
amount_effects = st.tuples(
    st.sampled_from(["start", "add", "at_least", "at_most"]), st.sampled_from([-1, 0.4, 1, 3, 6])
).map(lambda verb: Effect("lift", **dict([verb])))
option_effects = st.one_of(
    st.tuples(
        st.sampled_from(["prefer", "require"]), st.sampled_from(["soft", "medium", "firm"])
    ).map(lambda verb: Effect("shell", **dict([verb]))),
    st.sets(st.sampled_from(["soft", "medium", "firm"]), min_size=1, max_size=2).map(
        lambda names: Effect("shell", rule_out=tuple(sorted(names)))
    ),
)


def rules_with(effects: st.SearchStrategy[Effect]) -> st.SearchStrategy[list[Rule]]:
    one = st.builds(
        lambda effect, when, class_: rule("r", effect, when=when, class_=class_),
        effects,
        conditions,
        classes,
    )
    return st.lists(one, min_size=1, max_size=6)


def values_of_every_completion(protocol: Protocol, known: dict, feature: str) -> set:
    still_open = [name for name in QUESTIONS if name not in known]
    subsets = chain.from_iterable(
        combinations(still_open, size) for size in range(len(still_open) + 1)
    )
    return {
        feature_of(
            protocol,
            {**known, **{name: "yes" if name in yes else "no" for name in still_open}},
            feature,
        ).value
        for yes in subsets
    }


def check(protocol: Protocol, known: dict, feature: str) -> None:
    result = feature_of(protocol, known, feature)
    if not result.missing:
        assert values_of_every_completion(protocol, known, feature) == {result.value}
    alone = {
        at(f"{name} left")
        for name in QUESTIONS
        for answer in ("yes", "no")
        if name not in known
        and feature_of(protocol, {**known, name: answer}, feature).value != result.value
    }
    assert alone == set(result.missing) or not alone


known_answers = st.dictionaries(st.sampled_from(QUESTIONS), st.sampled_from(["yes", "no"]))


@settings(max_examples=120, deadline=None)
@given(rules_with(amount_effects), known_answers)
def test_an_amount_that_lacks_nothing_is_the_same_however_the_rest_is_answered(rules, known):
    protocol = made(tests=BASE.tests, features=(amount(),), rules=tuple(rules))
    check(protocol, known, "lift")


@settings(max_examples=120, deadline=None)
@given(rules_with(option_effects), known_answers)
def test_an_option_that_lacks_nothing_is_the_same_however_the_rest_is_answered(rules, known):
    protocol = made(tests=BASE.tests, features=(choice(start="medium"),), rules=tuple(rules))
    check(protocol, known, "shell")


class TestTheListOfWhatIsMissing:
    PROTOCOL = made(
        features=(amount(), amount("stack")),
        rules=(
            lift("a", start=4),
            lift("b", add=1),
            rule("stack", Effect("stack", start=3), when="b"),
        ),
    )

    def missing(self, findings, not_done=None) -> tuple[MissingFinding, ...]:
        case = case_of(self.PROTOCOL, findings)
        return summarise_case(case, not_done or {}).missing

    def test_the_most_consequential_comes_first(self):
        left = [one.place for one in self.missing({}) if one.place.side is Side.LEFT]
        assert left[:2] == [at("b left"), at("a left")]

    def test_each_says_which_features_it_could_change(self):
        first = self.missing({})[0]
        assert (first.place, first.could_change) == (at("b left"), ("Lift", "Stack"))

    def test_what_was_not_done_is_listed_with_its_reason_and_is_unknown_to_every_rule(self):
        summary = summarise_case(case_of(self.PROTOCOL, {}), {at("b left"): "Too painful"})
        (not_done,) = summary.not_done
        assert (not_done.place, not_done.reason) == (at("b left"), "Too painful")
        assert not_done.could_change == ("Lift", "Stack")
        assert not_done in summary.missing
        assert summary.feature("stack", Side.LEFT).missing == (at("b left"),)

    def test_what_is_answered_or_not_asked_is_not_missing(self):
        places = [one.place for one in self.missing({"a": "no", "skin": ("intact",)})]
        assert at("a left") not in places
        assert at("depth left") not in places
        assert at("b left") in places
