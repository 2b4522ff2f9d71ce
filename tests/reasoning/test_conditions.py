"""What a condition answers: sides, kinds of answer, and what is unknown or not indicated."""

import pytest
from attrs import evolve

from examwalk.protocol.caution_model import Caution
from examwalk.protocol.condition_model import Condition, DeviceEffect, SideScope
from examwalk.protocol.derived_model import Derived
from examwalk.protocol.exam_model import Position
from examwalk.protocol.key_types import Sides
from examwalk.reasoning.results import Truth
from examwalk.session.model import Side
from made_protocols import asked, at, case_of, is_yes, made, measured

PROTOCOL = made()
ONE_SIDED = {"a left": "yes", "a right": "no"}


def truth(condition: Condition, findings: dict, side: Side = Side.LEFT, protocol=PROTOCOL) -> Truth:
    return case_of(protocol, findings).verdict(condition, side).truth


def missing(condition: Condition, findings: dict, protocol=PROTOCOL) -> tuple:
    return case_of(protocol, findings).verdict(condition, Side.LEFT).missing


class TestSides:
    @pytest.mark.parametrize(
        ("scope", "from_left", "from_right"),
        [
            (SideScope.SAME, Truth.TRUE, Truth.FALSE),
            (SideScope.OTHER, Truth.FALSE, Truth.TRUE),
            (SideScope.EITHER, Truth.TRUE, Truth.TRUE),
            (SideScope.BOTH, Truth.FALSE, Truth.FALSE),
        ],
    )
    def test_a_condition_looks_at_the_side_it_names(self, scope, from_left, from_right):
        condition = is_yes("a", side=scope)
        assert truth(condition, ONE_SIDED, Side.LEFT) is from_left
        assert truth(condition, ONE_SIDED, Side.RIGHT) is from_right

    def test_either_is_true_as_soon_as_one_side_is_whatever_the_other_may_be(self):
        assert truth(is_yes("a", side=SideScope.EITHER), {"a right": "yes"}) is Truth.TRUE

    def test_both_is_unknown_while_one_side_is(self):
        condition = is_yes("a", side=SideScope.BOTH)
        assert truth(condition, {"a left": "yes"}) is Truth.UNKNOWN
        assert missing(condition, {"a left": "yes"}) == (at("a right"),)

    def test_a_finding_of_the_whole_person_counts_for_both_sides(self):
        for side in Side:
            assert truth(is_yes("person"), {"person": "yes"}, side) is Truth.TRUE

    @pytest.mark.parametrize(
        ("scope", "side", "limit", "expected"),
        [
            (SideScope.DIFFERENCE, Side.LEFT, 3, Truth.TRUE),
            (SideScope.DIFFERENCE, Side.RIGHT, 3, Truth.TRUE),
            (SideScope.DIFFERENCE, Side.LEFT, 4, Truth.FALSE),
            (SideScope.EXCESS, Side.LEFT, 3, Truth.TRUE),
            (SideScope.EXCESS, Side.RIGHT, 3, Truth.FALSE),
            (SideScope.EXCESS, Side.RIGHT, -3, Truth.TRUE),
        ],
    )
    def test_a_difference_has_no_sign_and_an_excess_has(self, scope, side, limit, expected):
        findings = {"reach left": 8, "reach right": 5}
        condition = Condition(test="reach", side=scope, at_least=limit)
        assert truth(condition, findings, side) is expected

    def test_a_difference_of_grades_counts_the_steps_between_them(self):
        condition = Condition(test="arch", side=SideScope.DIFFERENCE, at_least=2)
        assert truth(condition, {"arch left": "low", "arch right": "high"}) is Truth.TRUE
        assert truth(condition, {"arch left": "medium", "arch right": "high"}) is Truth.FALSE

    def test_a_difference_is_settled_before_both_sides_are_known_if_it_cannot_be_reached(self):
        condition = Condition(test="reach", side=SideScope.DIFFERENCE, above=6)
        assert truth(condition, {"reach left": 5}) is Truth.FALSE  # from 0 to 10 it is 5 at most
        assert truth(condition, {"reach left": 3}) is Truth.UNKNOWN

    @pytest.mark.parametrize(
        ("answer", "left", "right"),
        [
            ("left", Truth.TRUE, Truth.FALSE),
            ("right", Truth.FALSE, Truth.TRUE),
            ("both", Truth.TRUE, Truth.TRUE),
            ("none", Truth.FALSE, Truth.FALSE),
        ],
    )
    def test_an_answer_that_names_a_side_is_true_there(self, answer, left, right):
        condition = Condition(test="short", is_this_side=True)
        assert truth(condition, {"short": answer}, Side.LEFT) is left
        assert truth(condition, {"short": answer}, Side.RIGHT) is right


class TestKindsOfAnswer:
    @pytest.mark.parametrize(
        ("comparison", "low", "medium", "high"),
        [
            ({"at_least": "medium"}, False, True, True),
            ({"at_most": "medium"}, True, True, False),
            ({"above": "medium"}, False, False, True),
            ({"below": "medium"}, True, False, False),
            ({"is_": "medium"}, False, True, False),
            ({"is_not": "medium"}, True, False, True),
            ({"one_of": ("low", "high")}, True, False, True),
        ],
    )
    def test_grades_are_compared_by_their_order_on_the_scale(self, comparison, low, medium, high):
        condition = Condition(test="arch", **comparison)
        for grade, expected in {"low": low, "medium": medium, "high": high}.items():
            assert truth(condition, {"arch": grade}) is (Truth.TRUE if expected else Truth.FALSE)

    @pytest.mark.parametrize(
        ("comparison", "chosen", "expected"),
        [
            ({"includes": "callus"}, ("callus", "wound"), Truth.TRUE),
            ({"includes": "callus"}, ("wound",), Truth.FALSE),
            ({"includes_any": ("callus", "wound")}, ("wound",), Truth.TRUE),
            ({"includes_any": ("callus", "wound")}, ("intact",), Truth.FALSE),
        ],
    )
    def test_several_options_are_searched_for_one(self, comparison, chosen, expected):
        assert truth(Condition(test="skin", **comparison), {"skin": chosen}) is expected

    def test_a_condition_that_counts_asks_how_many_hold(self):
        condition = Condition(count=tuple(is_yes(name) for name in "abc"), at_least=2)
        assert truth(condition, {"a": "yes", "b": "no", "c": "yes"}) is Truth.TRUE
        assert truth(condition, {"a": "yes", "b": "no", "c": "no"}) is Truth.FALSE
        assert truth(condition, {"a": "yes", "b": "no"}) is Truth.UNKNOWN
        assert truth(condition, {"a": "no", "b": "no"}) is Truth.FALSE


class TestUnknownIsNotNormal:
    def test_an_unanswered_test_makes_a_condition_unknown_and_so_its_opposite(self):
        assert truth(is_yes("a"), {}) is Truth.UNKNOWN
        assert truth(Condition(not_=is_yes("a")), {}) is Truth.UNKNOWN
        assert missing(is_yes("a"), {}) == (at("a left"),)

    def test_only_answered_is_never_unknown_yet_an_answer_could_turn_it(self):
        has_none = Condition(test="a", answered=False)
        assert truth(has_none, {}) is Truth.TRUE
        assert missing(has_none, {}) == (at("a left"),)
        assert truth(has_none, {"a left": "no"}) is Truth.FALSE
        assert missing(has_none, {"a left": "no"}) == ()


class TestNotIndicated:
    """``depth`` is asked only where the skin has a wound."""

    DEEP = Condition(test="depth", at_least=5)

    def test_conditions_on_what_is_not_asked_are_false_and_lack_nothing(self):
        findings = {"skin": ("intact",)}
        assert truth(self.DEEP, findings) is Truth.FALSE
        assert missing(self.DEEP, findings) == ()

    def test_that_holds_for_every_comparison_also_for_one_with_not_equal(self):
        findings = {"skin": ("intact",)}
        for comparison in ({"is_not": 3}, {"below": 9}, {"answered": False}):
            assert truth(Condition(test="depth", **comparison), findings) is Truth.FALSE

    def test_an_answer_from_before_the_test_was_left_out_is_not_read(self):
        assert truth(self.DEEP, {"skin": ("intact",), "depth": 9}) is Truth.FALSE

    def test_while_it_is_open_whether_it_is_asked_both_answers_are_missing(self):
        assert truth(self.DEEP, {}) is Truth.UNKNOWN
        assert missing(self.DEEP, {}) == (at("depth left"), at("skin left"))

    def test_what_would_hold_for_any_depth_is_still_unknown_until_it_is_asked(self):
        any_depth = Condition(derived="depth-sum", at_least=0)
        summed = Derived("depth-sum", "Sum", "sum", ("practice",), inputs=("depth",))
        protocol = made(derived=(summed,))
        assert truth(any_depth, {}, protocol=protocol) is Truth.UNKNOWN
        assert truth(any_depth, {"skin": ("wound",)}, protocol=protocol) is Truth.TRUE
        assert truth(any_depth, {"skin": ("callus",)}, protocol=protocol) is Truth.FALSE

    def test_it_is_not_among_the_places_to_examine(self):
        assert at("depth left") not in case_of(PROTOCOL, {"skin": ("intact",)}).places
        assert at("depth left") in case_of(PROTOCOL, {"skin": ("wound",)}).places
        assert at("depth left") in case_of(PROTOCOL, {}).places

    def test_each_side_is_asked_for_itself(self):
        places = case_of(PROTOCOL, {"skin left": ("wound",), "skin right": ("intact",)}).places
        assert at("depth left") in places
        assert at("depth right") not in places


class TestNotIndicatedInItsPosition:
    """Nobody is asked to stand with a yes to ``a`` on either side."""

    STANDING = Position(
        "standing", "Standing", ask_when=Condition(not_=is_yes("a", side=SideScope.EITHER))
    )
    PROTOCOL = made(
        positions=(*made().positions, STANDING),
        tests=(
            *made().tests,
            evolve(measured("lunge"), position="standing"),
            evolve(measured("rise", ask_when=is_yes("b")), position="standing"),
            evolve(asked("sway", sides=Sides.ONCE), position="standing"),
        ),
    )

    def asked_standing(self, findings: dict) -> set[str]:
        places = case_of(self.PROTOCOL, findings).places
        return {f"{place.test} {place.side.value}" for place in places} & {
            "lunge left", "lunge right", "rise left", "rise right", "sway whole"
        }  # fmt: skip

    def test_no_test_of_the_position_is_examined_on_any_side(self):
        assert self.asked_standing({"a left": "yes", "a right": "no", "b": "yes"}) == set()

    def test_a_test_waits_for_its_own_condition_as_well(self):
        assert self.asked_standing({"a": "no", "b left": "yes", "b right": "no"}) == {
            "lunge left", "lunge right", "rise left", "sway whole"
        }  # fmt: skip

    def test_conditions_on_its_tests_are_false_and_lack_nothing(self):
        far = Condition(test="lunge", at_least=5)
        assert truth(far, {"a": "no", "lunge": 9}, protocol=self.PROTOCOL) is Truth.TRUE
        assert truth(far, {"a right": "yes", "lunge": 9}, protocol=self.PROTOCOL) is Truth.FALSE
        assert missing(far, {"a right": "yes"}, self.PROTOCOL) == ()
        assert missing(far, {"a right": "no"}, self.PROTOCOL) == (at("lunge left"), at("a left"))


class TestCautionsInConditions:
    HOT = Caution("hot", "Hot", is_yes("a"), "urgent", DeviceEffect.STOP, "Wait.", ("practice",))
    COLD = Caution(
        "cold",
        "Cold",
        is_yes("person"),
        "emergency",
        DeviceEffect.MODIFY,
        "Hurry.",
        ("practice",),
        sides=Sides.ONCE,
    )
    PROTOCOL = made(cautions=(HOT, COLD))

    def test_a_caution_of_each_side_is_asked_about_on_its_side(self):
        findings = {"a left": "yes", "a right": "no"}
        condition = Condition(caution="hot")
        assert truth(condition, findings, Side.LEFT, self.PROTOCOL) is Truth.TRUE
        assert truth(condition, findings, Side.RIGHT, self.PROTOCOL) is Truth.FALSE
        assert truth(condition, findings, Side.WHOLE, self.PROTOCOL) is Truth.TRUE

    def test_any_caution_of_an_effect_is_looked_for_on_all_sides(self):
        condition = Condition(any_caution=DeviceEffect.STOP)
        findings = {"a left": "no", "a right": "yes", "person": "no"}
        assert truth(condition, findings, Side.LEFT, self.PROTOCOL) is Truth.TRUE
        assert truth(condition, {"a": "no"}, Side.LEFT, self.PROTOCOL) is Truth.FALSE
        assert truth(condition, {"a left": "no"}, Side.LEFT, self.PROTOCOL) is Truth.UNKNOWN

    def test_cautions_are_told_most_urgent_first_and_apart_from_those_not_excluded(self):
        case = case_of(self.PROTOCOL, {"a left": "yes", "person": "yes"})
        assert [caution.id for caution in case.cautions] == ["cold", "hot"]
        assert all(caution.missing == () for caution in case.cautions)
        (still_open,) = case.open_cautions
        assert (still_open.id, still_open.missing) == ("hot", (at("a right"),))
