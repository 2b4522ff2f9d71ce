"""What any reader of the shipped adult protocol can check by eye holds throughout."""

import tomllib
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from examwalk.protocol.library import find_protocol
from examwalk.protocol.reading import read_protocol

FOLDER = find_protocol("adult")
FILES = {path.name: tomllib.loads(path.read_text("utf-8")) for path in FOLDER.glob("*.toml")}


def every(kind: str) -> list[dict[str, Any]]:
    """List the tables of one kind from all files, as they stand there."""
    return [table for data in FILES.values() for table in data.get(kind, [])]


def named(kind: str) -> dict[str, Any]:
    """Join the tables that are told apart by name from all files."""
    return {name: table for data in FILES.values() for name, table in data.get(kind, {}).items()}


def by_id(tables: list[dict[str, Any]]) -> dict[str, dict[str, Any]]:
    return {table["id"]: table for table in tables}


def values_of(value: Any, *keys: str) -> Iterator[Any]:
    """Find what stands under any of these keys, however deep."""
    items = value.items() if isinstance(value, dict) else enumerate(value)
    for key, inner in items:
        if key in keys:
            yield inner
        if isinstance(inner, dict | list):
            yield from values_of(inner, *keys)


TESTS = by_id(every("test"))
GRADED = {name: test for name, test in TESTS.items() if test["kind"] == "grade"}
MEASURED = {name: test for name, test in TESTS.items() if test["kind"] == "measure"}
CHOSEN = {name: test for name, test in TESTS.items() if test["kind"] == "choice"}


@pytest.fixture(scope="module")
def loaded():
    return read_protocol(FOLDER)


def test_it_reads_without_a_problem_and_holds_all_that_its_files_hold(loaded):
    protocol = loaded.protocol
    assert {test.id for test in protocol.tests} == set(TESTS)
    for kind, tables in (
        ("test", protocol.tests),
        ("derived", protocol.derived),
        ("crosscheck", protocol.crosschecks),
        ("caution", protocol.cautions),
        ("feature", protocol.features),
        ("rule", protocol.rules),
        ("exclusion", protocol.exclusions),
        ("advice", protocol.advice),
    ):
        assert len(tables) == len(every(kind)), kind
    assert set(protocol.sources) == set(named("sources"))


def test_its_copy_in_one_file_is_the_same_protocol(loaded, tmp_path):
    copy = tmp_path / "adult.toml"
    copy.write_text(loaded.text, encoding="utf-8")
    again = read_protocol(copy)
    assert again.fingerprint == loaded.fingerprint
    assert again.protocol == loaded.protocol
    assert again.text == loaded.text


def test_the_patient_is_moved_from_interview_to_sitting_lying_standing_walking():
    positions = [position["id"] for position in every("position")]
    assert positions == ["interview", "seated", "supine", "prone", "standing", "walking", "effort"]
    assert {test["position"] for test in TESTS.values()} == set(positions)


@pytest.mark.parametrize("test_id", TESTS)
def test_each_test_says_why_and_how_and_where_it_comes_from(test_id):
    test = TESTS[test_id]
    assert test["title"].strip()
    assert len(test["why"].split()) >= 5
    assert test["how"]
    assert all(step.strip() for step in test["how"])
    assert test["basis"]


@pytest.mark.parametrize("test_id", GRADED)
def test_each_grade_of_each_graded_test_says_what_it_looks_like(test_id):
    test = GRADED[test_id]
    described = {grade: table["looks"] for grade, table in test["grades"].items()}
    assert set(described) == set(named("scales")[test["scale"]]["grades"])
    assert all(looks.strip() for looks in described.values())
    assert len(set(described.values())) == len(described), "two grades are described alike"


@pytest.mark.parametrize("test_id", MEASURED)
def test_each_measure_has_limits_within_which_the_usual_range_lies(test_id):
    test = MEASURED[test_id]
    smallest, largest = test["hard"]
    low, high = test.get("usual", test["hard"])
    assert smallest <= low < high <= largest
    assert test.get("step", 1) > 0
    assert test["unit"]


@pytest.mark.parametrize("test_id", CHOSEN)
def test_each_choice_has_two_to_ten_options_with_different_labels(test_id):
    test = CHOSEN[test_id]
    options = test["options"] if "options" in test else named("option_sets")[test["option_set"]]
    labels = [option["label"] for option in options.values()]
    assert 2 <= len(labels) <= 10
    assert len(set(labels)) == len(labels)


def test_each_scale_is_used_by_a_test_and_has_two_to_ten_different_grades():
    scales = named("scales")
    assert set(scales) == {test["scale"] for test in GRADED.values()}
    for name, scale in scales.items():
        assert 2 <= len(scale["grades"]) <= 10, name
        assert len(set(scale["grades"])) == len(scale["grades"]), name


@pytest.mark.parametrize(
    "kind", ["position", "test", "derived", "crosscheck", "caution", "feature", "rule", "advice"]
)
def test_each_id_is_given_once(kind):
    counts = Counter(table["id"] for table in every(kind))
    assert counts
    assert [name for name, count in counts.items() if count > 1] == []


def test_each_source_is_cited_and_each_citation_has_its_source():
    cited = set(values_of(list(FILES.values()), "source"))
    for basis in values_of(list(FILES.values()), "basis"):
        cited |= set(basis)
    assert cited == set(named("sources"))


def test_each_statement_has_a_basis():
    for kind in ("derived", "crosscheck", "caution", "feature", "rule", "exclusion", "advice"):
        for table in every(kind):
            assert table["basis"], (kind, table.get("id"))


def test_each_safety_question_can_raise_a_caution():
    asked = {name for name, test in TESTS.items() if test.get("safety")}
    used = set(values_of(every("caution"), "test"))
    derived = by_id(every("derived"))
    for name in values_of(every("caution"), "derived"):
        used |= set(values_of(derived[name], "test"))
    assert len(asked) >= 5
    assert asked <= used


def test_each_feature_is_reached_by_a_rule():
    acted_on = {effect["feature"] for rule in every("rule") for effect in rule["effects"]}
    assert acted_on == {feature["id"] for feature in every("feature")}


def test_a_caution_that_stops_the_device_says_so_and_each_urgency_is_used():
    urgencies = named("urgencies")
    assert {caution["urgency"] for caution in every("caution")} == set(urgencies)
    assert any(caution["device"] == "stop" for caution in every("caution"))


def test_it_says_that_the_clinician_decides():
    disclaimer = named("protocol")["disclaimer"]
    assert "never replaces" in disclaimer
    assert "clinician" in disclaimer


def test_its_files_are_plain_text_that_ends_in_a_line():
    for path in sorted(Path(FOLDER).glob("*.toml")):
        data = path.read_bytes()
        assert data.endswith(b"\n"), path.name
        assert b"\r" not in data, path.name
        assert not any(line.endswith(b" ") for line in data.split(b"\n")), path.name


def test_what_is_said_to_the_patient_stands_in_curly_quotation_marks():
    folder = find_protocol("adult").parent
    files = sorted(path for path in folder.rglob("*.toml") if "translations" not in path.parts)
    assert len(files) > 30
    texts = [text for path in files for text in texts_in(tomllib.loads(path.read_text("utf-8")))]
    assert [text for text in texts if '"' in text] == []


def texts_in(value: Any) -> Iterator[str]:
    """Return every text inside a value read from TOML."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict | list):
        for inner in value.values() if isinstance(value, dict) else value:
            yield from texts_in(inner)
