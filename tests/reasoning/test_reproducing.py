"""Repeats of an examination against exact answers, on a protocol small enough to enumerate.

Arch, three grades equally common, linear kappa 0.7: a high or low grade is kept with 0.8 and
becomes medium with 0.2; a medium one is kept with 0.6 and becomes each other with 0.2 (worked by
hand in ``test_misgrading``). Reach is read again around the first with a spread of 1.
"""

import math
import os
import subprocess
import sys
from datetime import UTC, datetime
from itertools import product
from pathlib import Path

import pytest
from attrs import evolve

from adult_cases import ADULT, normal_but
from adult_cases import case_of as adult_case_of
from examwalk.protocol.caution_model import Caution
from examwalk.protocol.condition_model import Condition, DeviceEffect, SideScope
from examwalk.protocol.feature_model import Effect
from examwalk.protocol.reliability_model import Coefficient, Reliability
from examwalk.protocol.wording import choices_of
from examwalk.reasoning.case import Case
from examwalk.reasoning.features import settle_features
from examwalk.reasoning.misgrading import Regraded
from examwalk.reasoning.reproducing import Share, Simulation, bearing_tests
from examwalk.reasoning.summary import summarise_case
from examwalk.session.model import Decision, Finding, Place, ProtocolUsed, Session, Side
from made_protocols import TESTS, amount, choice, made, placed, rule

NOW = datetime(2026, 1, 1, tzinfo=UTC)
KAPPA = Reliability(
    "kappa", "0.7", "trial", coefficient=0.7, coefficient_is=Coefficient.LINEAR_KAPPA
)
ERROR = Reliability("error", "0.7", "trial", standard_error=1 / math.sqrt(2))
HIGH = Condition(test="arch", is_="high")
RAISED_ARCH = Condition(test="arch", at_least="medium", side=SideScope.BOTH)
PROTOCOL = made(
    tests=tuple(
        evolve(test, reliability=(KAPPA,))
        if test.id == "arch"
        else evolve(test, reliability=(ERROR,))
        if test.id == "reach"
        else test
        for test in TESTS
    ),
    features=(amount(), choice("shell", ("soft", "firm"), sides=amount().sides)),
    rules=(
        rule("high", Effect("lift", at_least=4), when=HIGH),
        rule(
            "far",
            Effect("shell", prefer="firm"),
            when=Condition(test="reach", at_least=6),
        ),
    ),
    cautions=(
        Caution(
            *(
                "both",
                "Both arches",
                RAISED_ARCH,
                "routine",
                DeviceEffect.ALLOW,
                "Look.",
                ("trial",),
            )
        ),
    ),
)
FINDINGS = {"arch left": "high", "arch right": "medium", "reach": 5, "a": "yes"}
REPEATS = 4000


def session_of(findings=FINDINGS, **options) -> Session:
    return Session(
        id="made",
        started=NOW,
        examiner="AB",
        patient="P-1",
        protocol=ProtocolUsed("made", "1"),
        findings=tuple(
            Finding(place, NOW, answer=answer)
            for place, answer in placed(PROTOCOL, findings).items()
        ),
        **options,
    )


def reproduced(session: Session | None = None, repeats: int = REPEATS, seed: int = 3):
    simulation = Simulation(PROTOCOL, session or session_of(), seed=seed)
    for _ in simulation.run(repeats):
        pass
    return simulation.result()


RESULT = reproduced()
BY_NAME = {(one.id, one.side): one for one in (*RESULT.features, *RESULT.cautions)}
EXACT = {
    ("lift", Side.LEFT): 0.8,  # 4 mm: the arch must be high again
    ("lift", Side.RIGHT): 0.8,  # none: it must not become high, which it does with 0.2
    ("shell", Side.LEFT): 0.691462,  # soft: read below 5.5, Phi(0.5) of the normal tables
    ("shell", Side.RIGHT): 0.691462,
    ("both", Side.LEFT): 0.8,  # the left stays above low for certain, the right with 0.8
    ("both", Side.RIGHT): 0.8,
}


def within_four_errors(count: int, repeats: int, exact: float) -> bool:
    return abs(count / repeats - exact) <= 4 * math.sqrt(exact * (1 - exact) / repeats)


@pytest.mark.parametrize("key", EXACT, ids=str)
def test_the_share_is_the_exact_one_within_four_standard_errors(key):
    same = BY_NAME[key].same
    assert same.repeats == REPEATS
    assert within_four_errors(same.count, REPEATS, EXACT[key])


def test_enumerating_every_repeat_gives_what_was_worked_by_hand():
    agreements = {
        one.place: one.repeat for one in RESULT.agreements if isinstance(one.repeat, Regraded)
    }
    assert set(agreements) == {Place("arch", side) for side in (Side.LEFT, Side.RIGHT)}
    recorded = placed(PROTOCOL, FINDINGS)
    base = summarise_case(Case(PROTOCOL, recorded), {})
    same = dict.fromkeys(Side, 0.0)
    raised = 0.0
    for left, right in product(range(3), repeat=2):
        turned = {}
        share = 1.0
        for (place, repeat), number in zip(agreements.items(), (left, right), strict=True):
            turned[place] = repeat.answers[number]
            share *= repeat.shares[number]
        summary = summarise_case(Case(PROTOCOL, {**recorded, **turned}), {})
        for side in (Side.LEFT, Side.RIGHT):
            if summary.feature("lift", side).value == base.feature("lift", side).value:
                same[side] += share
        raised += share * bool(summary.cautions)
    assert same[Side.LEFT] == pytest.approx(0.8)
    assert same[Side.RIGHT] == pytest.approx(0.8)
    assert raised == pytest.approx(0.8)


def test_the_commonest_other_value_is_told():
    left = BY_NAME["lift", Side.LEFT]
    assert (left.recorded, left.other) == (4, 0)
    assert left.other_share.count == REPEATS - left.same.count


def test_the_standard_error_is_that_of_a_binomial():
    """0.8 of 400: √(0.16 / 400) = 0.02."""
    assert Share(320, 400).standard_error == pytest.approx(0.02)


def test_the_same_seed_gives_the_same_and_another_seed_another():
    assert reproduced(repeats=50) == reproduced(repeats=50)
    assert reproduced(repeats=50).features != reproduced(repeats=50, seed=4).features


def test_a_run_that_was_stopped_is_the_beginning_of_a_longer_one():
    simulation = Simulation(PROTOCOL, session_of(), seed=3)
    for done in simulation.run(1000):
        if done == 60:
            break
    stopped = simulation.result()
    assert (stopped.repeats, stopped.wanted) == (60, 1000)
    assert stopped.features == reproduced(repeats=60).features


def test_nothing_can_be_told_before_the_first_repeat():
    with pytest.raises(ValueError, match="nothing was repeated"):
        Simulation(PROTOCOL, session_of(), seed=1).result()


def test_the_same_whatever_order_sets_have_in_this_run():
    code = (
        "import sys; sys.path[:0] = sys.argv[1:]\n"
        "from test_reproducing import reproduced\n"
        "print([(one.id, one.side.value, one.same.count)\n"
        "       for one in (*reproduced(repeats=80).features, *reproduced(repeats=80).cautions)])"
    )
    here = Path(__file__).parent
    said = [
        subprocess.run(
            [sys.executable, "-c", code, str(here), str(here.parent)],
            env=os.environ | {"PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    ]
    assert said[0] == said[1]
    assert "lift" in said[0]


def test_a_visit_without_answers_always_comes_out_the_same():
    result = reproduced(session_of({}), repeats=20)
    assert result.agreements == ()
    assert all(one.same.share == 1 for one in (*result.features, *result.cautions))


def test_only_what_a_result_hangs_on_is_repeated():
    assert bearing_tests(PROTOCOL) == {"arch", "reach", "skin"}  # skin decides what is asked
    assert {one.place.test for one in RESULT.agreements} == {"arch", "reach"}


def test_what_was_ordered_stays_ordered():
    protocol = evolve(
        PROTOCOL,
        features=(amount(), amount("cup")),
        rules=(
            PROTOCOL.rules[0],
            rule("cup", Effect("cup", at_least=9), when=Condition(feature="lift", at_least=4)),
        ),
    )
    decided = Decision("lift", Side.LEFT, 4, 4, NOW)
    shares = []
    for session in (session_of(), session_of(decisions=(decided,))):
        simulation = Simulation(protocol, session, seed=1)
        for _ in simulation.run(200):
            pass
        cup = next(one for one in simulation.result().features if one.id == "cup")
        shares.append(cup.same.share)
    assert within_four_errors(round(shares[0] * 200), 200, 0.8)
    assert shares[1] == 1


def test_nothing_of_adult_hangs_on_a_test_that_is_not_repeated():
    bearing = bearing_tests(ADULT)
    idle = [test for test in ADULT.tests if test.id not in bearing]
    assert 0 < len(idle) < len(ADULT.tests) / 2
    findings = normal_but({"complaint-side": "both", "complaint-region": ("plantar-heel",)})
    base = outcome_of(findings)
    for test in idle:
        for answer in (*(one.id for one in choices_of(ADULT, test)), *(test.hard or ())):
            given = (answer,) if test.several else answer
            assert outcome_of({**findings, test.id: given}) == base, test.id


def outcome_of(findings):
    case = adult_case_of(findings)
    values = [(result.id, result.value) for result in settle_features(case).results]
    return values, [(caution.id, caution.side) for caution in case.cautions]
