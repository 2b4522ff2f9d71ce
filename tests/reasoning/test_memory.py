"""What is remembered from one case to the next is what would be worked out anew."""

from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

from adult_cases import ADULT, PLACES, any_findings, possible_answer
from examwalk.protocol.condition_model import Condition
from examwalk.protocol.feature_model import Effect, LookedUp
from examwalk.protocol.key_types import Sides
from examwalk.reasoning import memory
from examwalk.reasoning.case import Case
from examwalk.reasoning.features import settle_features
from examwalk.reasoning.results import Truth
from examwalk.reasoning.summary import summarise_case
from examwalk.reasoning.supposed import Supposed
from examwalk.reasoning.values import touched_by, values_after, values_of
from examwalk.session.model import Side
from made_protocols import amount, at, case_of, choice, is_yes, made, placed, rule

CHANGES = st.lists(st.sampled_from(PLACES), min_size=1, max_size=4, unique=True)


def anew(answers):
    """Return the case under a protocol of which nothing is remembered."""
    return Case(evolve(ADULT), answers)


@st.composite
def some_changes(draw):
    places = draw(CHANGES)
    tests = [ADULT.tests_by_id[place.test] for place in places]
    return {
        place: draw(st.none() | possible_answer(test))
        for place, test in zip(places, tests, strict=True)
    }


def seen(values):
    """Return values and cautions without the order in which they were worked out."""
    return (
        {at_: (one.status, one.value, one.cut, one.words) for at_, one in values.features.items()},
        {at_: (one.status, one.value, one.cut) for at_, one in values.as_ordered.items()},
        dict(values.cautions),
    )


def seen_in_full(case, ordered):
    settled = settle_features(case, ordered)
    return (
        {
            (one.id, one.side): (one.status, one.value, one.cut, one.words)
            for one in settled.results
        },
        {at_: (one.status, one.value, one.cut) for at_, one in settled.as_ordered.items()},
        {
            (caution.id, side): case.caution(caution, side).truth
            for caution in ADULT.cautions
            for side in ((Side.WHOLE,) if caution.sides is Sides.ONCE else (Side.LEFT, Side.RIGHT))
        },
    )


@settings(max_examples=5, deadline=None)
@given(any_findings(), st.lists(some_changes(), min_size=1, max_size=3))
def test_the_summary_after_changes_is_the_one_that_is_worked_out_anew(answers, changes):
    case = Case(ADULT, answers)
    for change in changes:
        case = case.with_changes(change)
        assert summarise_case(case, {}) == summarise_case(anew(case.answers), {})


ORDERED = {("device", Side.WHOLE): "custom-functional", ("heel-lift", Side.LEFT): 6.0}


@settings(max_examples=5, deadline=None)
@given(any_findings(), st.lists(some_changes(), min_size=1, max_size=3), st.booleans())
def test_values_after_changes_are_those_that_are_worked_out_anew(answers, changes, is_ordered):
    ordered = ORDERED if is_ordered else {}
    case = Case(ADULT, answers)
    values = values_of(case, ordered)
    for change in changes:
        case = case.with_changes(change)
        values = values_after(values, case, change, ordered)
        assert seen(values) == seen_in_full(anew(case.answers), ordered)


SMALL = made(
    features=(
        choice("shell"),
        amount("lift", across_pair_within=2),
        amount("pad", applies_when=Condition(feature="shell", is_not="soft")),
    ),
    rules=(
        rule("firm", Effect("shell", prefer="firm"), when="a"),
        rule("high", Effect("lift", start=4), when="b"),
        rule("follow", Effect("pad", add=LookedUp(feature="lift")), when="c"),
    ),
)
SMALL_FINDINGS = {"a": "no", "b left": "no", "b right": "no", "c": "yes", "d": "no"}


def values_with(**changes):
    return values_of(case_of(SMALL, {**SMALL_FINDINGS, **changes}))


def test_what_looks_at_nothing_that_changed_is_not_worked_out_again():
    case = case_of(SMALL, SMALL_FINDINGS)
    before = values_of(case)
    changed = case.with_changes({at("b left"): "yes"})
    after = values_after(before, changed, [at("b left")])
    assert after.features["shell", Side.LEFT] is before.features["shell", Side.LEFT]
    assert after.features["lift", Side.LEFT].value == 4
    assert after.features["lift", Side.RIGHT].value == 2  # the pair may differ by 2


def test_a_change_is_followed_through_the_features_that_hang_on_it():
    case = case_of(SMALL, {**SMALL_FINDINGS, "a": "yes"})
    before = values_of(case)
    assert before.features["pad", Side.RIGHT].value == 0
    after = values_after(before, case.with_changes({at("b left"): "yes"}), [at("b left")])
    assert after.features["pad", Side.LEFT].value == 4
    assert after.features["pad", Side.RIGHT].value == 2


def test_a_place_touches_only_what_looks_at_it():
    assert touched_by(SMALL, at("b left")).features == {"lift"}
    assert touched_by(SMALL, at("d left")).is_nothing


def test_a_place_is_looked_at_through_what_decides_whether_a_test_is_asked():
    """``depth`` is asked where the skin is wounded, so a rule on it looks at the skin too."""
    protocol = made(
        features=(amount(),),
        rules=(rule("deep", Effect("lift", start=3), when=Condition(test="depth", above=2)),),
    )
    assert touched_by(protocol, at("skin left")).features == {"lift"}
    case = case_of(protocol, {"skin left": ("wound",), "depth left": 5})
    before = values_of(case)
    assert before.features["lift", Side.LEFT].value == 3
    changed = case.with_changes({at("skin left"): ("callus",)})
    after = values_after(before, changed, [at("skin left")])
    assert after.features["lift", Side.LEFT].value == 0


def test_an_answer_that_is_taken_away_is_unknown_again():
    case = case_of(SMALL, SMALL_FINDINGS)
    gone = case.with_changes({at("a left"): None})
    assert gone.verdict(SMALL.rules[0].when, Side.LEFT).truth is Truth.UNKNOWN
    assert case.verdict(SMALL.rules[0].when, Side.LEFT).truth is Truth.FALSE


def test_a_full_memory_begins_anew_and_answers_the_same(monkeypatch):
    expected = seen(values_with(b="yes"))
    monkeypatch.setattr(memory, "MOST_KEPT", 3)
    protocol = evolve(SMALL)
    case = Case(protocol, placed(protocol, {**SMALL_FINDINGS, "b": "yes"}))
    assert seen(values_of(case)) == expected
    assert len(memory.memory_of(protocol)._kept) <= 3


def test_what_is_supposed_in_part_is_not_mistaken_for_an_answer():
    case = Supposed(SMALL, {at("a left"): "yes"})
    assert case.verdict(is_yes("a"), Side.LEFT).holds
    assert Supposed(SMALL, {}).verdict(SMALL.rules[0].when, Side.LEFT).is_unknown
