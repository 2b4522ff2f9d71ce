"""What a recommendation hangs on: expected values are worked out by hand from the made rules."""

from itertools import combinations
from pathlib import Path

import pytest
from attrs import evolve

from adult_cases import ADULT
from examwalk.protocol.caution_model import Caution
from examwalk.protocol.condition_model import Condition, DeviceEffect
from examwalk.protocol.exam_model import Kind, Position
from examwalk.protocol.feature_model import Effect
from examwalk.protocol.model import AssumedAgreement
from examwalk.protocol.reliability_model import Coefficient, Reliability
from examwalk.reasoning.case import Case
from examwalk.reasoning.consequences import Rank
from examwalk.reasoning.features import settle_features
from examwalk.reasoning.fitting import case_of as case_of_visit
from examwalk.reasoning.nudging import Size, nudges, nudges_at
from examwalk.reasoning.results import Truth
from examwalk.reasoning.robustness import Trial, gathered, robustness_of, with_pairs
from examwalk.reasoning.summary import ordered_values
from examwalk.session.model import Side
from examwalk.session.storing import read_session
from made_protocols import (
    FRAME,
    amount,
    at,
    case_of,
    choice,
    graded,
    made,
    measured,
    rule,
)

EXAMPLES = sorted((Path(__file__).parents[2] / "sessions").glob("*.toml"))
HIGH_ARCH = Condition(test="arch", is_="high")
LIFTED = made(features=(amount(),), rules=(rule("high", Effect("lift", start=5), when=HIGH_ARCH),))


def with_test(test, **tables):
    """Return the frame with a test of the same id replaced, and tables."""
    tests = tuple(test if one.id == test.id else one for one in FRAME.tests)
    return made(tests=tests, **tables)


def moved(protocol, name, answer):
    return [
        (nudge.after, nudge.size, nudge.amount) for nudge in nudges_at(protocol, at(name), answer)
    ]


class TestHowFarAFindingIsMoved:
    def test_a_grade_goes_one_down_and_one_up(self):
        assert moved(FRAME, "arch left", "medium") == [
            ("low", Size.GRADE, 1),
            ("high", Size.GRADE, 1),
        ]

    def test_the_lowest_and_the_highest_grade_go_one_way_only(self):
        assert moved(FRAME, "arch left", "low") == [("medium", Size.GRADE, 1)]
        assert moved(FRAME, "arch left", "high") == [("medium", Size.GRADE, 1)]

    def test_options_have_no_order_and_stay(self):
        assert moved(FRAME, "a left", "yes") == []
        assert moved(FRAME, "skin left", ("callus",)) == []

    @pytest.mark.parametrize(
        ("figure", "expected"),
        [
            ({"standard_error": 2.2}, 2),
            # 5.544 / (1.96 × 1.41421) = 2.0001
            ({"minimal_detectable_change": 5.544}, 2),
            # 4 × √(1 − 0.75) = 2
            ({"standard_deviation": 4, "coefficient": 0.75}, 2),
            # Less than half a step is still a step.
            ({"standard_error": 0.2}, 1),
        ],
    )
    def test_a_number_goes_by_its_published_error_in_whole_steps(self, figure, expected):
        protocol = with_test(measured("reach", reliability=(Reliability("x", "1", "t", **figure),)))
        assert moved(protocol, "reach left", 5) == [
            (5 - expected, Size.PUBLISHED, expected),
            (5 + expected, Size.PUBLISHED, expected),
        ]

    def test_a_number_stays_within_its_limits(self):
        figure = Reliability("x", "1", "t", standard_error=3)
        protocol = with_test(measured("reach", reliability=(figure,)))
        assert [after for after, _, _ in moved(protocol, "reach left", 9)] == [6, 10]
        assert [after for after, _, _ in moved(protocol, "reach left", 10)] == [7]

    def test_without_any_figure_a_number_goes_by_one_step(self):
        assert moved(FRAME, "reach left", 5) == [(4, Size.STEP, 1), (6, Size.STEP, 1)]

    def test_a_step_below_one_is_kept(self):
        protocol = with_test(measured("reach", step=0.1))
        assert [after for after, _, _ in moved(protocol, "reach left", 5.0)] == [4.9, 5.1]

    def test_an_error_that_the_protocol_assumes_is_taken_where_none_is_published(self):
        assumed = {"hand": AssumedAgreement(Kind.MEASURE, ("practice",), error_in_steps=3)}
        protocol = made(assumed_agreement=assumed)
        assert moved(protocol, "reach left", 5) == [(2, Size.ASSUMED, 3), (8, Size.ASSUMED, 3)]

    def test_a_number_that_is_only_asked_stays(self):
        """Nobody mismeasures an age; a position without any assumed error is one for asking."""
        assumed = {
            "hand": AssumedAgreement(
                Kind.MEASURE, ("practice",), except_in=("seated", "told"), error_in_steps=3
            ),
            "grade": AssumedAgreement(
                Kind.GRADE, ("practice",), except_in=("told",), weighted_kappa=0.6
            ),
        }
        protocol = made(
            tests=tuple(
                evolve(one, position="told") if one.id == "mass" else one for one in FRAME.tests
            ),
            assumed_agreement=assumed,
            positions=(*FRAME.positions, Position("told", "Told")),
        )
        assert moved(protocol, "mass", 70) == []
        # Left out of one table only, it is measured all the same, by one step.
        assert moved(protocol, "reach left", 5) == [(4, Size.STEP, 1), (6, Size.STEP, 1)]

    def test_what_nothing_looks_at_is_not_moved(self):
        case = case_of(LIFTED, {"arch": "medium", "reach": 5})
        assert {nudge.place.test for nudge in nudges(case)} == {"arch"}


class TestWhatHangsOnWhat:
    def test_a_feature_hangs_on_the_finding_that_one_grade_would_turn(self):
        found = robustness_of(case_of(LIFTED, {"arch left": "medium", "arch right": "low"}))
        assert found.hangs_on("lift", Side.LEFT) == (at("arch left"),)
        ((tried, change),) = found.on_feature("lift", Side.LEFT)
        assert [(nudge.before, nudge.after) for nudge in tried.nudges] == [("medium", "high")]
        assert (change.value_before, change.value_after) == (0, 5)
        assert (change.before, change.after) == ("none", "5 mm")

    def test_a_feature_that_no_grade_turns_stands(self):
        found = robustness_of(case_of(LIFTED, {"arch left": "medium", "arch right": "low"}))
        assert found.hangs_on("lift", Side.RIGHT) == ()
        assert found.moves == 3  # medium both ways, low one way

    def test_findings_that_only_together_turn_it_leave_it_standing(self):
        both = made(
            features=(amount(),),
            rules=(
                rule(
                    "both",
                    Effect("lift", start=5),
                    when=Condition(all=(HIGH_ARCH, Condition(test="reach", at_least=6))),
                ),
            ),
        )
        trial = Trial(case_of(both, {"arch left": "medium", "reach left": 5}))
        single = gathered(both, tuple(trial.single()))
        assert single.tried == ()
        (tried,) = [one for one in trial.pairs() if not one.found.is_nothing]
        assert [nudge.after for nudge in tried.nudges] == ["high", 6]
        assert [change.value_after for change in tried.found.features] == [5]

    def test_a_pair_that_does_what_one_of_it_does_alone_tells_nothing_new(self):
        trial = Trial(case_of(LIFTED, {"arch left": "medium", "arch right": "medium"}))
        single = gathered(LIFTED, tuple(trial.single()))
        assert single.pairs is None
        assert with_pairs(single, trial.pairs()).pairs == ()
        assert trial.count_pairs() == 4  # two moves on either side

    def test_a_finding_is_told_of_everything_that_follows_it(self):
        followed = made(
            features=(
                choice("shell"),
                amount(applies_when=Condition(feature="shell", is_="firm"), start=2),
            ),
            rules=(rule("firm", Effect("shell", prefer="firm"), when=HIGH_ARCH),),
        )
        found = robustness_of(case_of(followed, {"arch left": "high", "arch right": "low"}))
        (tried,) = found.tried
        assert [(one.id, one.before, one.after) for one in tried.found.features] == [
            ("shell", "firm", "soft"),
            ("lift", "2 mm", "not applicable"),
        ]
        assert [one.weight for one in tried.found.features] == [1, 1]

    def test_what_was_ordered_is_not_moved_and_what_follows_it_stands(self):
        followed = made(
            features=(
                choice("shell"),
                amount(applies_when=Condition(feature="shell", is_="firm"), start=2),
            ),
            rules=(rule("firm", Effect("shell", prefer="firm"), when=HIGH_ARCH),),
        )
        case = case_of(followed, {"arch left": "high", "arch right": "low"})
        found = robustness_of(case, {("shell", Side.LEFT): "firm"})
        assert found.hangs_on("shell", Side.LEFT) == (at("arch left"),)
        assert found.hangs_on("lift", Side.LEFT) == ()

    def test_nothing_answered_hangs_on_nothing(self):
        found = robustness_of(case_of(LIFTED, {}))
        assert (found.moves, found.tried, found.repeat_first) == (0, (), ())


def caution(id_, when, device=DeviceEffect.MODIFY, **options):
    return Caution(id_, id_.capitalize(), when, "urgent", device, "Says.", ("practice",), **options)


WARNED = made(cautions=(caution("steep", HIGH_ARCH, refer_to="a doctor"),))


class TestCautions:
    def test_a_caution_that_one_grade_would_raise_is_told_and_not_raised(self):
        case = case_of(WARNED, {"arch left": "medium", "arch right": "low"})
        ((tried, change),) = robustness_of(case).would_raise
        assert tried.places == (at("arch left"),)
        assert (change.id, change.side) == ("steep", Side.LEFT)
        assert (change.before, change.after) == (Truth.FALSE, Truth.TRUE)
        assert case.cautions == ()

    def test_a_caution_that_one_grade_would_take_away_is_told(self):
        case = case_of(WARNED, {"arch left": "high", "arch right": "low"})
        found = robustness_of(case)
        assert found.would_raise == ()
        ((tried, change),) = found.would_take_away
        assert tried.places == (at("arch left"),)
        assert change.after is Truth.FALSE


class TestWhatToRepeatFirst:
    def test_stops_come_before_referrals_these_before_other_cautions_and_features_last(self):
        protocol = made(
            tests=(*FRAME.tests, graded("b1"), graded("b2"), graded("b3")),
            features=(amount(),),
            rules=(rule("high", Effect("lift", start=20), when=HIGH_ARCH),),
            cautions=(
                caution("note", Condition(test="b1", is_="high")),
                caution("send", Condition(test="b2", is_="high"), refer_to="a doctor"),
                caution("halt", Condition(test="b3", is_="high"), DeviceEffect.STOP),
            ),
        )
        names = ("arch left", "b1 left", "b2 left", "b3 left")
        found = robustness_of(case_of(protocol, dict.fromkeys(names, "medium")))
        order = [(repeat.place.test, repeat.rank) for repeat in found.repeat_first]
        assert order == [
            ("b3", Rank(-1, 0, 0, 0)),
            ("b2", Rank(0, -1, 0, 0)),
            ("b1", Rank(0, 0, -1, 0)),
            ("arch", Rank(0, 0, 0, -1)),
        ]

    def test_of_equal_consequence_the_test_on_which_examiners_agree_least_comes_first(self):
        def agreeing(name, kappa):
            figure = Reliability(
                "kappa", "x", "trial", coefficient=kappa, coefficient_is=Coefficient.KAPPA
            )
            return graded(name, reliability=(figure,) if kappa is not None else ())

        names = {"good": 0.9, "unknown": None, "poor": 0.1}
        protocol = made(
            tests=tuple(agreeing(name, kappa) for name, kappa in names.items()),
            features=(choice(names=("soft", "medium", "firm")),),
            rules=(
                rule(
                    "any",
                    Effect("shell", prefer="firm"),
                    when=Condition(any=tuple(Condition(test=name, is_="high") for name in names)),
                ),
            ),
        )
        found = robustness_of(case_of(protocol, {f"{name} left": "medium" for name in names}))
        assert [(one.place.test, one.agreement) for one in found.repeat_first] == [
            ("poor", 0.1),
            ("unknown", None),
            ("good", 0.9),
        ]

    def test_a_small_change_of_an_amount_weighs_less_than_another_option(self):
        """5 of a range of 20 mm weighs 0.25 and is rounded away; an option weighs 1."""
        protocol = made(
            tests=(graded("arch"), graded("other")),
            features=(amount(), choice()),
            rules=(
                rule("high", Effect("lift", start=5), when=HIGH_ARCH),
                rule(
                    "firm", Effect("shell", prefer="firm"), when=Condition(test="other", is_="high")
                ),
            ),
        )
        found = robustness_of(case_of(protocol, {"arch left": "medium", "other left": "medium"}))
        assert [(one.place.test, one.rank.weight) for one in found.repeat_first] == [
            ("other", -1),
            ("arch", 0),
        ]


def test_a_trial_can_be_stopped_and_tells_what_it_has():
    case = case_of(LIFTED, {"arch left": "medium", "arch right": "medium"})
    trial = Trial(case)
    moves = trial.single()
    first = next(moves)
    assert len(trial.nudges) == 4
    partly = gathered(LIFTED, (first, next(moves)))
    assert partly.moves == 2
    assert partly.hangs_on("lift", Side.LEFT) == (at("arch left"),)
    assert partly.hangs_on("lift", Side.RIGHT) == ()


def in_full(protocol, answers, ordered):
    """Reason everything from the beginning; return values by feature and side, and cautions."""
    case = Case(protocol, answers)
    return (
        {
            (one.id, one.side): (one.status, one.value)
            for one in settle_features(case, ordered).results
        },
        {(one.id, one.side) for one in case.cautions},
    )


def told(tried):
    return (
        {(one.id, one.side) for one in tried.found.features},
        {(one.id, one.side) for one in tried.found.cautions if one.is_raised or one.is_taken_away},
    )


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_for_the_example_patients_it_is_what_reasoning_anew_for_each_move_gives(path):
    visit = read_session(path)
    ordered = ordered_values(ADULT, visit)
    case = case_of_visit(ADULT, visit)
    fresh = evolve(ADULT)  # nothing is remembered of it
    features, cautions = in_full(fresh, case.answers, ordered)
    trial = Trial(case, ordered)
    assert len(trial.nudges) > 90
    for tried in trial.single():
        (nudge,) = tried.nudges
        new_features, new_cautions = in_full(
            fresh, {**case.answers, nudge.place: nudge.after}, ordered
        )
        changed = {at_ for at_ in features if features[at_] != new_features[at_]}
        assert told(tried) == (changed, cautions ^ new_cautions), nudge


def test_pairs_of_an_example_patient_are_what_reasoning_anew_gives():
    """Every pair that tells something, and some of those that tell nothing."""
    visit = read_session(EXAMPLES[0])
    case = case_of_visit(ADULT, visit)
    trial = Trial(case)
    fresh = evolve(ADULT)
    base, cautions = in_full(fresh, case.answers, {})
    alone = {}
    for tried in trial.single():
        (nudge,) = tried.nudges
        alone[nudge] = in_full(fresh, {**case.answers, nudge.place: nudge.after}, {})
    pairs = list(trial.pairs())
    telling = [one for one in pairs if not one.found.is_nothing]
    assert telling
    for tried in (*telling, *pairs[:: len(pairs) // 150]):
        one, other = tried.nudges
        answers = {**case.answers, one.place: one.after, other.place: other.after}
        together, raised = in_full(fresh, answers, {})
        new = {
            at_
            for at_, value in together.items()
            if value not in (base[at_], alone[one][0][at_], alone[other][0][at_])
        }
        turned = {
            at_
            for at_ in cautions ^ raised
            if (at_ in raised) is not (at_ in alone[one][1])
            and (at_ in raised) is not (at_ in alone[other][1])
        }
        assert told(tried) == (new, turned), tried.nudges


def test_every_two_moves_of_different_findings_are_a_pair():
    trial = Trial(case_of(LIFTED, {"arch left": "medium", "arch right": "low"}))
    expected = [
        (one, other) for one, other in combinations(trial.nudges, 2) if one.place != other.place
    ]
    assert [tried.nudges for tried in trial.pairs()] == expected
