"""Each mistake in a reference value is told once in its place."""

import pytest
from attrs import evolve

from examwalk.protocol.checking import check
from examwalk.protocol.norm_model import Norm
from made_protocols import FRAME, asked, made, measured

GOOD = Norm("50 adults", "trial", age_from=20, age_to=29, sex="female", mean=10.3, sd=3)
SEX = asked("sex", sides=FRAME.tests_by_id["person"].sides)


def problems(*norms: Norm, test=measured):
    sex = evolve(SEX, options={"female": SEX.options["no"], "male": SEX.options["yes"]})
    protocol = made(
        tests=(*FRAME.tests, sex, test("lunge", norms=norms)),
        identity=evolve(FRAME.identity, sex="sex"),
    )
    found = []
    check(protocol, lambda path, says: found.append((path, says)))
    return [(path[2:], says) for path, says in found if path[:1] == ("test",) and "norms" in path]


def test_a_whole_reference_is_right():
    assert problems(GOOD) == []


@pytest.mark.parametrize(
    ("changed", "place", "says"),
    [
        ({"source": "trail"}, ("norms", 0, "source"), "“trial”"),
        ({"mean": None, "sd": None}, ("norms", 0), "a mean with its sd, a middle value, or limits"),
        ({"mean": None, "middle": 3}, ("norms", 0, "sd"), "needs its mean"),
        ({"low": 5, "high": 4}, ("norms", 0, "low"), "above the upper one"),
        ({"age_from": 30}, ("norms", 0, "age_from"), "run backwards"),
        ({"sex": "femal"}, ("norms", 0, "sex"), "“female”"),
    ],
)
def test_a_mistake_is_told_with_what_would_be_right(changed, place, says):
    ((path, message),) = problems(evolve(GOOD, **changed))
    assert path == place
    assert says in message


def test_only_a_measured_number_can_have_norms():
    ((path, message),) = problems(GOOD, test=asked)
    assert path == ("norms",)
    assert "only a measured number" in message


def test_a_mean_without_a_spread_does_not_stop_a_protocol_from_being_used():
    assert problems(evolve(GOOD, sd=None)) == []
    assert problems(evolve(GOOD, sd=0)) == []
