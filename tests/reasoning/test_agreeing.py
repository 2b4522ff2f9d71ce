"""Two examiners on the same patients."""

from datetime import UTC, datetime

import pytest

from examwalk.reasoning.agreeing import FEWEST_PAIRS, agreement_of, agreement_refusal
from examwalk.reasoning.comparing import Visit
from examwalk.session.model import Finding, Place, ProtocolUsed, Session, Side, State
from made_protocols import made

AT = datetime(2026, 3, 2, 9, tzinfo=UTC)
GRADES = ("low", "medium", "high")


def a_visit(patient, examiner, answers, state=State.FINISHED):
    findings = tuple(
        Finding(Place(test, Side(side)), AT, answer=answer)
        for (test, side), answer in answers.items()
    )
    used = ProtocolUsed("made", "1")
    name = f"{patient}-{examiner}".lower()
    return Visit(Session(name, AT, examiner, patient, used, state=state, findings=findings), made())


def both(first, second):
    return agreement_of([a_visit("P-1", "AB", first), a_visit("P-1", "CD", second)])


def test_the_same_place_makes_a_pair_and_what_one_left_out_does_not():
    found = both(
        {("arch", "left"): "low", ("arch", "right"): "low", ("reach", "left"): 4},
        {("arch", "left"): "high", ("arch", "right"): "low"},
    )
    (arch,) = found.tests
    assert len(arch.pairs) == 2
    assert (arch.exact, arch.within_one, arch.furthest) == (0.5, 0.5, 2)


def test_the_examiner_first_by_initials_is_the_first_of_every_pair():
    second, first = (
        a_visit("P-1", who, {("reach", "left"): reach}) for who, reach in (("CD", 7), ("AB", 4))
    )
    (reach,) = agreement_of([second, first]).tests
    assert (reach.pairs[0].first, reach.pairs[0].second, reach.furthest) == (4, 7, 3)


def test_tests_furthest_apart_come_first_and_those_in_agreement_last():
    names = ("a", "arch", "reach", "b")
    first = dict.fromkeys([(name, "left") for name in names], "no") | {
        ("arch", "left"): "low",
        ("reach", "left"): 2,
    }
    second = first | {("a", "left"): "yes", ("arch", "left"): "medium", ("reach", "left"): 9}
    assert [one.test.id for one in both(first, second).tests] == ["arch", "reach", "a", "b"]


def test_options_in_another_order_agree():
    (skin,) = both(
        {("skin", "left"): ("callus", "wound")}, {("skin", "left"): ("wound", "callus")}
    ).tests
    assert (skin.exact, skin.furthest) == (1, 0)


def of_patients(count, first, second):
    return agreement_of(
        [
            a_visit(f"P-{number}", who, {("arch", "left"): grades[number % len(grades)]})
            for number in range(count)
            for who, grades in (("AB", first), ("CD", second))
        ]
    )


def test_pairs_of_many_patients_are_put_together_for_a_coefficient():
    # Ten patients; the second examiner gives the first one's grade, but medium where it is high.
    # By hand, grades 0 1 2: the first has 4, 3, 3 of them, the second 4, 6, 0; Σ|i−j| n = 3, and
    # Σ|i−j| r c = 4·6·1 + 3·4·1 + 3·(4·2 + 6·1) = 78: kappa = 1 − 3 · 10 / 78.
    (arch,) = of_patients(10, GRADES, ("low", "medium", "medium")).tests
    assert arch.kappa == pytest.approx(1 - 30 / 78)
    assert arch.exact == pytest.approx(0.7)


def test_a_coefficient_of_too_few_pairs_is_not_given():
    (arch,) = of_patients(FEWEST_PAIRS - 1, GRADES, GRADES[::-1]).tests
    assert (arch.kappa, arch.icc) == (None, None)


@pytest.mark.parametrize(
    ("visits", "says"),
    [
        ([("P-1", "AB", State.FINISHED)], "Patient P-1 has 1 of the visits"),
        ([("P-1", one, State.FINISHED) for one in ("AB", "CD", "EF")], "Patient P-1 has 3"),
        ([("P-1", "AB", State.FINISHED)] * 2, "p-1-ab is named twice"),
        (
            [("P-1", "AB", State.FINISHED), ("P-1", "CD", State.OPEN)],
            "p-1-cd is still open",
        ),
        ([], "Two visits of one patient"),
    ],
)
def test_what_gives_no_agreement_is_refused_in_a_sentence(visits, says):
    sessions = [a_visit(who, by, {}, state).session for who, by, state in visits]
    assert says in agreement_refusal(sessions)
