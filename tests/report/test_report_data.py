"""The summary as data for scripts: its keys, and that it says the same as the text."""

import json
from pathlib import Path

import pytest

from adult_cases import ADULT
from examwalk.reasoning.fitting import case_of
from examwalk.reasoning.robustness import robustness_of
from examwalk.reasoning.summary import ordered_values, summarise
from examwalk.report.data import summary_data
from examwalk.session.model import Place, Side
from examwalk.session.storing import read_session

SESSIONS = Path(__file__).parents[2] / "sessions"
EXAMPLES = sorted(SESSIONS.glob("*.toml"))

# The keys that scripts may rely on.
KEYS = {
    "session": {
        "id",
        "patient",
        "examiner",
        "started",
        "finished",
        "state",
        "protocol",
        "protocol_version",
        "disclaimer",
        "first_review",
    },
    "derived": {"id", "side", "value", "low", "high", "unit", "band", "inputs"},
    "norms": {"id", "side", "value", "none_because", "authors_disagree", "references"},
    "crosschecks": {"id", "severity", "side", "says", "why", "recheck", "replies"},
    "cautions": {"id", "raised", "side", "urgency", "device", "says", "refer_to"},
    "shells": {"shell", "feature", "side", "ratio"},
    "features": {
        "id",
        "side",
        "status",
        "value",
        "unit",
        "words",
        "standing",
        "cut",
        "trace",
        "missing",
        "hangs_on",
    },
    "robustness": {"moves_tried", "changing", "together", "repeat_first"},
    "collisions": {"feature", "side", "says", "stands", "rules"},
    "missing": {"test", "side", "could_raise", "could_change"},
    "advice": {"id", "kind", "side", "says"},
    "decisions": {"feature", "side", "value", "recommended", "because"},
}
ONE_OBJECT = ("session", "robustness")
STEP = {"rule", "class", "did", "before", "after", "changed", "because", "findings", "basis"}


def data_of(path: Path, drop: tuple[str, ...] = ()) -> dict:
    visit = read_session(path)
    for name in drop:
        for side in Side:
            visit = visit.without_finding(Place(name, side))
    found = robustness_of(case_of(ADULT, visit), ordered_values(ADULT, visit))
    data = summary_data(ADULT, visit, summarise(ADULT, visit), found)
    return json.loads(json.dumps(data))


@pytest.fixture(params=EXAMPLES, ids=lambda path: path.stem, scope="module")
def data(request) -> dict:
    return data_of(request.param)


def test_its_top_keys_are_the_documented_ones(data):
    assert set(data) == set(KEYS)


@pytest.mark.parametrize("key", [key for key in KEYS if key not in ONE_OBJECT])
def test_each_entry_has_the_documented_keys(data, key):
    for entry in data[key]:
        assert KEYS[key] <= set(entry)


def test_what_hangs_on_what_has_the_documented_keys(data):
    assert set(data["robustness"]) == KEYS["robustness"]


def test_the_session_says_who_when_and_under_what_and_carries_the_disclaimer(data):
    assert KEYS["session"] <= set(data["session"])
    assert data["session"]["disclaimer"] == ADULT.identity.disclaimer
    assert data["session"]["invented"] is True
    assert data["session"]["protocol"] == "adult"


def test_every_feature_is_there_once_a_side(data):
    listed = [(entry["id"], entry["side"]) for entry in data["features"]]
    assert len(listed) == len(set(listed))
    assert {name for name, _ in listed} == set(ADULT.features_by_id)
    for name, feature in ADULT.features_by_id.items():
        sides = {"whole"} if feature.sides.value == "once" else {"left", "right"}
        assert {side for one, side in listed if one == name} == sides


def test_every_step_of_a_trace_has_its_keys_and_a_known_basis(data):
    steps = [step for entry in data["features"] for step in entry["trace"]]
    assert steps
    for step in steps:
        assert set(step) == STEP
        assert set(step["basis"]) <= set(ADULT.sources)


def test_a_recommended_feature_has_a_value_and_a_standing_and_others_have_neither(data):
    marks = {mark.value for mark in {source.mark for source in ADULT.sources.values()}}
    for entry in data["features"]:
        if entry["status"] == "recommended":
            assert entry["value"] is not None
            assert entry["standing"] in marks
        else:
            assert (entry["value"], entry["standing"]) == (None, None)


def test_a_value_that_waits_for_answers_has_bounds_and_says_what_it_lacks():
    data = data_of(EXAMPLES[1], drop=("fpi-forefoot",))
    totals = [entry for entry in data["derived"] if entry["id"] == "fpi-total"]
    # The other five items make 5 on the left and 6 on the right; the sixth is from -2 to +2.
    assert [(one["side"], one["value"], one["low"], one["high"]) for one in totals] == [
        ("left", None, 3, 7),
        ("right", None, 4, 8),
    ]
    assert totals[0]["missing"] == [{"test": "fpi-forefoot", "side": "left"}]


def test_cautions_that_are_not_excluded_are_marked_as_not_raised():
    data = data_of(EXAMPLES[1], drop=("hot-swollen-foot",))
    hot = [entry for entry in data["cautions"] if entry["id"] == "hot-foot"]
    assert {entry["raised"] for entry in hot} == {False}
    assert hot[0]["missing"] == [{"test": "hot-swollen-foot", "side": "left"}]
    assert data["features"][0]["status"] == "waiting"


def test_missing_answers_are_listed_with_what_hangs_on_them():
    data = data_of(EXAMPLES[1], drop=("heel-tenderness",))
    places = [(entry["test"], entry["side"]) for entry in data["missing"]]
    assert set(places) == {("heel-tenderness", "left"), ("heel-tenderness", "right")}
    right = data["missing"][places.index(("heel-tenderness", "right"))]
    assert "Medial heel skive" in right["could_change"]
    assert any("fracture" in title for title in right["could_raise"])
