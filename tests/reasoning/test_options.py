"""How effects settle an option: bans and demands from the strongest class down, then votes."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from examwalk.protocol.feature_model import Effect, RuleClass
from examwalk.reasoning.results import FeatureResult
from examwalk.session.model import Side
from made_protocols import choice, feature_of, made, rule, summary_of

SAFETY, TOLERANCE = RuleClass.SAFETY, RuleClass.TOLERANCE
FUNCTION, PREFERENCE = RuleClass.FUNCTION, RuleClass.PREFERENCE
NAMES = ("soft", "medium", "firm")


def shell(id_: str, class_: RuleClass = FUNCTION, when: str | None = None, **verb):
    return rule(id_, Effect("shell", **verb), class_=class_, when=when)


def prefer(name: str, class_: RuleClass = FUNCTION, id_: str = "") -> object:
    return shell(id_ or f"prefer-{name}", class_, prefer=name)


def require(name: str, class_: RuleClass = FUNCTION) -> object:
    return shell(f"require-{name}", class_, require=name)


def ban(*names: str, class_: RuleClass = FUNCTION) -> object:
    return shell(f"ban-{'-'.join(names)}", class_, rule_out=names)


def settled(*rules, start: str = "medium") -> FeatureResult:
    protocol = made(features=(choice(start=start),), rules=rules)
    return feature_of(protocol, {}, "shell")


def collisions(*rules, start: str = "medium"):
    protocol = made(features=(choice(start=start),), rules=rules)
    found = summary_of(protocol, {}).collisions
    return [one for one in found if one.side is Side.LEFT]


class TestDemandsAndBans:
    def test_without_rules_it_is_the_start(self):
        assert settled().value == "medium"

    def test_a_demand_wins_over_any_number_of_votes(self):
        rules = (require("soft"), prefer("firm"), prefer("firm", SAFETY, "again"))
        assert settled(*rules).value == "soft"

    def test_a_ban_takes_votes_away(self):
        assert settled(prefer("firm"), ban("firm"), prefer("soft", PREFERENCE)).value == "soft"

    def test_where_the_start_is_banned_the_most_cautious_option_left_stands(self):
        assert settled(ban("medium")).value == "soft"
        assert settled(ban("medium", "soft")).value == "firm"

    @pytest.mark.parametrize(
        ("rules", "expected"),
        [
            ((require("soft", SAFETY), require("firm", TOLERANCE)), "soft"),
            ((require("firm", SAFETY), require("soft", TOLERANCE)), "firm"),
            ((ban("firm", class_=SAFETY), require("firm")), "medium"),
            ((require("firm", SAFETY), ban("firm")), "firm"),
        ],
    )
    def test_the_stronger_class_decides(self, rules, expected):
        assert settled(*rules).value == expected

    def test_of_two_demands_in_one_class_the_more_cautious_stands(self):
        assert settled(require("firm"), require("medium"), start="soft").value == "medium"

    def test_within_one_class_a_ban_wins_over_a_demand(self):
        assert settled(require("firm"), ban("firm")).value == "medium"

    def test_where_everything_is_ruled_out_the_most_cautious_option_stands(self):
        assert settled(ban(*NAMES)).value == "soft"
        assert settled(ban("soft", "firm"), ban("medium")).value == "soft"

    def test_a_weaker_class_cannot_rule_out_the_last_option_of_a_stronger(self):
        assert settled(ban("soft", "firm", class_=SAFETY), ban("medium")).value == "medium"


class TestVotes:
    def test_the_most_preferred_option_wins(self):
        rules = (prefer("firm"), prefer("firm", id_="again"), prefer("soft"))
        assert settled(*rules).value == "firm"

    def test_a_vote_of_a_stronger_class_outweighs_many_of_a_weaker(self):
        rules = (prefer("soft", TOLERANCE), prefer("firm"), prefer("firm", id_="again"))
        assert settled(*rules).value == "soft"

    def test_a_tie_goes_to_the_more_cautious_option(self):
        assert settled(prefer("firm"), prefer("medium"), start="soft").value == "medium"


class TestCollisions:
    def test_a_tie_is_the_clinicians_to_decide(self):
        (collision,) = collisions(prefer("firm"), prefer("soft"))
        assert collision.rules == ("prefer-firm", "prefer-soft")
        assert collision.stands == "soft"
        assert "prefers firm: Because of prefer-firm;" in collision.says

    def test_different_demands_of_one_class_collide(self):
        (collision,) = collisions(require("firm"), require("soft"))
        assert (collision.stands, collision.needs_decision) == ("soft", True)

    def test_a_demand_and_a_ban_of_one_class_collide(self):
        (collision,) = collisions(require("firm"), ban("firm", "soft"))
        assert collision.rules == ("require-firm", "ban-firm-soft")
        assert collision.stands == "medium"

    def test_ruling_everything_out_is_a_collision(self):
        (collision,) = collisions(ban("soft", "firm"), ban("medium"))
        assert collision.rules == ("ban-soft-firm", "ban-medium")
        assert "rules out soft, firm" in collision.says

    @pytest.mark.parametrize(
        "rules",
        [
            (prefer("firm"), prefer("firm", id_="again"), prefer("soft")),
            (require("firm", SAFETY), require("soft")),
            (ban("firm", class_=SAFETY), require("firm")),
            (prefer("firm", TOLERANCE), prefer("soft")),
            (prefer("firm"), prefer("soft"), require("medium", SAFETY)),
            (prefer("firm"), prefer("soft"), ban("firm", class_=SAFETY)),
            (prefer("firm"), prefer("firm", id_="again"), ban("medium")),
            (require("firm"), require("soft"), require("medium", SAFETY)),
            (require("firm", SAFETY), ban(*NAMES)),
        ],
    )
    def test_what_is_decided_by_number_or_class_is_no_collision(self, rules):
        assert collisions(*rules) == []


class TestTrace:
    def test_bans_and_demands_come_first_from_the_strongest_class_then_votes(self):
        trace = settled(prefer("firm", SAFETY), require("soft"), ban("medium", class_=TOLERANCE))
        assert [(step.did, step.after, step.changed) for step in trace.trace] == [
            ("rules out medium", "soft", True),
            ("requires soft", "soft", False),
            ("prefers firm", "soft", False),
        ]


effects = st.one_of(
    st.builds(
        lambda verb, name, class_: shell(f"{verb}-{name}", class_, **{verb: name}),
        st.sampled_from(["prefer", "require"]),
        st.sampled_from(NAMES),
        st.sampled_from(list(RuleClass)),
    ),
    st.builds(
        lambda names, class_: ban(*sorted(names), class_=class_),
        st.sets(st.sampled_from(NAMES), min_size=1),
        st.sampled_from(list(RuleClass)),
    ),
)


@given(
    st.lists(effects, max_size=7).flatmap(
        lambda rules: st.tuples(st.just(rules), st.permutations(rules))
    )
)
def test_the_order_of_the_rules_in_the_file_does_not_matter_and_an_option_always_stands(both):
    rules, shuffled = both
    assert settled(*rules).value == settled(*shuffled).value in NAMES
