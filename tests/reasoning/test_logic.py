"""Three-valued logic against Kleene's strong tables.

Published: Kleene, Introduction to Metamathematics (1952), section 64. The tables below are
written out in full; t is true, f false and u unknown.
"""

from itertools import product

import pytest

from examwalk.reasoning.logic import (
    Verdict,
    at_least,
    conjunction,
    disjunction,
    known,
    merged,
    negation,
)
from examwalk.reasoning.results import Truth
from examwalk.session.model import Place, Side

TRUTH = {"t": Truth.TRUE, "f": Truth.FALSE, "u": Truth.UNKNOWN}

NOT = {"t": "f", "u": "u", "f": "t"}
AND = {
    "tt": "t", "tu": "u", "tf": "f",
    "ut": "u", "uu": "u", "uf": "f",
    "ft": "f", "fu": "f", "ff": "f",
}  # fmt: skip
OR = {
    "tt": "t", "tu": "t", "tf": "t",
    "ut": "t", "uu": "u", "uf": "u",
    "ft": "t", "fu": "u", "ff": "f",
}  # fmt: skip


def place(name: str) -> Place:
    return Place(name, Side.WHOLE)


def verdict(sign: str, name: str = "x") -> Verdict:
    """Make a verdict that rests on the finding f-NAME, and if unknown lacks m-NAME."""
    missing = (place(f"m-{name}"),) if sign == "u" else ()
    return Verdict(TRUTH[sign], (place(f"f-{name}"),), missing)


def verdicts(signs: str) -> list[Verdict]:
    return [verdict(sign, str(number)) for number, sign in enumerate(signs)]


def named(places: tuple[Place, ...]) -> str:
    return " ".join(one.test for one in places)


class TestKleenesTables:
    @pytest.mark.parametrize(("sign", "expected"), NOT.items())
    def test_not(self, sign, expected):
        assert negation(verdict(sign)).truth is TRUTH[expected]

    @pytest.mark.parametrize(("signs", "expected"), AND.items())
    def test_and(self, signs, expected):
        assert conjunction(verdicts(signs)).truth is TRUTH[expected]

    @pytest.mark.parametrize(("signs", "expected"), OR.items())
    def test_or(self, signs, expected):
        assert disjunction(verdicts(signs)).truth is TRUTH[expected]

    def test_de_morgans_laws_hold_for_three_conditions(self):
        for signs in product("tfu", repeat=3):
            parts = verdicts("".join(signs))
            turned = [negation(part) for part in parts]
            assert negation(conjunction(parts)).truth is disjunction(turned).truth

    def test_all_of_nothing_is_true_and_any_of_nothing_is_false(self):
        assert conjunction(()).truth is Truth.TRUE
        assert disjunction(()).truth is Truth.FALSE


class TestCounting:
    @pytest.mark.parametrize("count", [1, 2, 3])
    @pytest.mark.parametrize("signs", ["".join(signs) for signs in product("tfu", repeat=3)])
    def test_it_is_true_or_false_only_where_every_way_to_fill_in_the_unknown_agrees(
        self, count, signs
    ):
        ways = product(*("tf" if sign == "u" else sign for sign in signs))
        answers = {sum(sign == "t" for sign in way) >= count for way in ways}
        expected = Truth.UNKNOWN if len(answers) == 2 else known(answers.pop()).truth
        assert at_least(count, verdicts(signs)).truth is expected

    def test_counting_one_is_or_and_counting_all_is_and(self):
        for signs in product("tfu", repeat=2):
            parts = verdicts("".join(signs))
            assert at_least(1, parts).truth is disjunction(parts).truth
            assert at_least(2, parts).truth is conjunction(parts).truth


class TestGrounds:
    """What an outcome rests on is what made it so; what it lacks is what could turn it."""

    def test_a_false_and_rests_on_the_false_parts_alone(self):
        outcome = conjunction(verdicts("tfu"))
        assert (named(outcome.findings), named(outcome.missing)) == ("f-1", "")

    def test_a_true_or_rests_on_the_true_parts_alone(self):
        outcome = disjunction(verdicts("utf"))
        assert (named(outcome.findings), named(outcome.missing)) == ("f-1", "")

    def test_an_unknown_and_names_every_answer_that_it_lacks(self):
        outcome = conjunction(verdicts("tuu"))
        assert named(outcome.missing) == "m-1 m-2"

    def test_a_true_and_rests_on_all_its_parts(self):
        assert named(conjunction(verdicts("tt")).findings) == "f-0 f-1"

    def test_the_opposite_rests_on_the_same_findings(self):
        outcome = negation(verdict("u"))
        assert (named(outcome.findings), named(outcome.missing)) == ("f-x", "m-x")

    def test_a_count_that_is_reached_rests_on_those_that_hold(self):
        outcome = at_least(2, verdicts("tfut"))
        assert (named(outcome.findings), named(outcome.missing)) == ("f-0 f-3", "")

    def test_a_count_that_cannot_be_reached_lacks_nothing(self):
        assert named(at_least(2, verdicts("ffu")).missing) == ""

    def test_each_place_is_named_once_in_the_order_of_its_first_mention(self):
        groups = ((place("b"), place("a")), (place("a"), place("c")))
        assert named(merged(groups)) == "b a c"


class TestWhatCouldStillTurn:
    """A part that holds now, but hangs on a missing answer, as one on a feature may."""

    HOLDS_FOR_NOW = Verdict(Truth.TRUE, missing=(place("m-now"),))
    FAILS_FOR_NOW = Verdict(Truth.FALSE, missing=(place("m-now"),))

    def test_what_holds_for_now_is_not_final(self):
        assert not self.HOLDS_FOR_NOW.is_final
        assert verdict("t").is_final
        assert not verdict("u").is_final

    def test_a_true_and_hangs_on_each_part_that_could_turn(self):
        outcome = conjunction((verdict("t"), self.HOLDS_FOR_NOW))
        assert (outcome.truth, named(outcome.missing)) == (Truth.TRUE, "m-now")

    def test_an_unknown_and_hangs_on_what_holds_for_now_as_well(self):
        assert named(conjunction((verdict("u"), self.HOLDS_FOR_NOW)).missing) == "m-x m-now"

    def test_one_part_that_is_surely_false_settles_an_and(self):
        outcome = conjunction((self.FAILS_FOR_NOW, verdict("f")))
        assert (outcome.truth, named(outcome.missing)) == (Truth.FALSE, "")

    def test_one_part_that_surely_holds_settles_an_or(self):
        outcome = disjunction((self.HOLDS_FOR_NOW, verdict("t")))
        assert (outcome.truth, named(outcome.missing)) == (Truth.TRUE, "")

    @pytest.mark.parametrize(
        ("parts", "missing"),
        [
            ((verdict("t"), verdict("t"), HOLDS_FOR_NOW), ""),
            ((verdict("t"), HOLDS_FOR_NOW, verdict("f")), "m-now"),
            ((verdict("t"), FAILS_FOR_NOW, verdict("f")), "m-now"),
            ((verdict("f"), FAILS_FOR_NOW, verdict("f")), ""),
        ],
    )
    def test_a_count_of_two_hangs_only_on_what_could_turn_it(self, parts, missing):
        assert named(at_least(2, parts).missing) == missing
