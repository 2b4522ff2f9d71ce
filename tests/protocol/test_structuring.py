"""Plain values become the model exactly as they stand, or are refused in words."""

import random
import string
import tomllib
import types
from collections.abc import Mapping
from datetime import date
from enum import Enum
from typing import Any, Union, get_args, get_origin, get_type_hints

import attrs
import pytest
import tomli_w
from hypothesis import given, settings
from hypothesis import strategies as st

from examwalk.protocol.condition_model import Condition
from examwalk.protocol.exam_model import Band, Scale, Test
from examwalk.protocol.feature_model import Effect, Feature, LookedUp
from examwalk.protocol.key_types import Sides
from examwalk.protocol.locating import KeyPath
from examwalk.protocol.model import Identity, Protocol, Source, SourceMark
from examwalk.protocol.structuring import BROKEN, LARGEST_NUMBER, LONGEST_TEXT, structure

LETTERS = string.ascii_letters + string.digits + " äß足🦶“”–\"'\\#=[]{}\n\t.,:"


def read(cls: type, value: Any) -> tuple[Any, list[tuple[KeyPath, str]]]:
    problems: list[tuple[KeyPath, str]] = []
    return structure(cls, value, lambda path, message: problems.append((path, message))), problems


def problem(cls: type, value: Any) -> tuple[KeyPath, str]:
    """Read a value that must be refused with one problem, and return it."""
    found, problems = read(cls, value)
    assert found is BROKEN
    (one,) = problems
    return one


def random_value(expected: Any, chance: random.Random, depth: int) -> Any:
    """Make a value of a type of the model."""
    origin = get_origin(expected)
    if origin in (Union, types.UnionType):
        members = [member for member in get_args(expected) if member is not type(None)]
        if type(None) in get_args(expected) and (depth > 5 or chance.random() < 0.6):
            return None
        return random_value(chance.choice(members), chance, depth)
    if origin is tuple:
        items = get_args(expected)
        if items[-1] is not Ellipsis:
            return tuple(random_value(item, chance, depth) for item in items)
        count = 0 if depth > 5 else chance.randint(0, 2)
        return tuple(random_value(items[0], chance, depth + 1) for _ in range(count))
    if origin is not None and issubclass(origin, Mapping):
        inner = get_args(expected)[1]
        count = 0 if depth > 5 else chance.randint(0, 3)
        return {random_id(chance): random_value(inner, chance, depth + 1) for _ in range(count)}
    if attrs.has(expected):
        return random_instance(expected, chance, depth + 1)
    if issubclass(expected, Enum):
        return chance.choice(list(expected))
    return random_scalar(expected, chance)


def random_scalar(expected: type, chance: random.Random) -> Any:
    if expected is bool:
        return chance.random() < 0.5
    if expected is int:
        return chance.choice((0, 1, -3, 12, LARGEST_NUMBER, -LARGEST_NUMBER))
    if expected is float:
        return chance.choice((0.0, -0.5, 1e-7, 3.25, 1e8, -0.1, chance.uniform(-99, 99)))
    return "w" + "".join(chance.choices(LETTERS, k=chance.randint(0, 9)))


def random_id(chance: random.Random) -> str:
    return "-".join("".join(chance.choices("abcz019", k=2)) for _ in range(chance.randint(1, 3)))


def random_instance(cls: type, chance: random.Random, depth: int = 0) -> Any:
    """Make an instance of a class of the model, leaving out some of what may be left out."""
    hints = get_type_hints(cls)
    given: dict[str, Any] = {}
    for attribute in attrs.fields(cls):
        if attribute.name in {"id", "version"}:  # both end up in one line of a visit
            given[attribute.name] = random_id(chance)
        elif attribute.default is attrs.NOTHING or chance.random() < 0.4:
            given[attribute.name] = random_value(hints[attribute.name], chance, depth)
    return cls(**given)


def plain(value: Any) -> Any:
    """Write a value of the model as the file has it: what is left out is left out."""
    if attrs.has(type(value)):
        return {
            attribute.metadata.get("key", attribute.name): plain(inner)
            for attribute in attrs.fields(type(value))
            if (inner := getattr(value, attribute.name)) is not None
        }
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, tuple):
        return [plain(inner) for inner in value]
    if isinstance(value, Mapping):
        return {key: plain(inner) for key, inner in value.items()}
    return value


@settings(max_examples=120)
@given(seed=st.integers(0, 2**32))
def test_a_protocol_comes_back_from_its_file_as_it_was(seed):
    protocol = random_instance(Protocol, random.Random(seed))
    text = tomli_w.dumps(plain(protocol))
    found, problems = read(Protocol, tomllib.loads(text))
    assert problems == []
    assert found == protocol
    assert list(found.urgencies) == list(protocol.urgencies)
    assert plain(found) == plain(protocol)
    assert types_in(plain(found)) == types_in(plain(protocol))


def types_in(value: Any) -> Any:
    """Replace each value by its type: 1, 1.0 and true are equal to Python, but not the same."""
    if isinstance(value, dict):
        return {key: types_in(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [types_in(inner) for inner in value]
    return type(value)


IDENTITY = {"id": "adult", "title": "Adult", "version": "1"}
SOURCE = {"cite": "Common practice"}


@pytest.mark.parametrize(
    ("cls", "value", "path", "words"),
    [
        (Identity, {**IDENTITY, "minutes": "5"}, "minutes", ("whole number", '"5"')),
        (Identity, {**IDENTITY, "minutes": 5.0}, "minutes", ("whole number", "5.0")),
        (Identity, {**IDENTITY, "minutes": True}, "minutes", ("whole number", "true")),
        (Identity, {**IDENTITY, "minutes": "no"}, "minutes", ("whole number",)),
        (Identity, {**IDENTITY, "version": 1}, "version", ("text in quotes", "found 1")),
        (Identity, {**IDENTITY, "version": 1.0}, "version", ("text in quotes", "found 1.0")),
        (Identity, {**IDENTITY, "title": ["Adult"]}, "title", ("text in quotes", "a list")),
        (Identity, {**IDENTITY, "title": {"en": "A"}}, "title", ("text in quotes", "a table")),
        (Identity, {**IDENTITY, "title": date(2024, 1, 2)}, "title", ("2024-01-02",)),
        (Scale, {"grades": "low"}, "grades", ("a list", '["low"]')),
        (Scale, {"grades": {"low": 1}}, "grades", ("a list", "a table")),
        (Scale, {"grades": ["low"], "labels": ["low"]}, "labels", ("a table", "a list")),
        (Source, {**SOURCE, "mark": "seen"}, "mark", ('"published"', '"from memory"', '"seen"')),
        (Source, {**SOURCE, "mark": "comon practice"}, "mark", ("“common practice”?",)),
        (Source, {**SOURCE, "mark": 1}, "mark", ("one of", "found 1")),
        (Band, {"label": "x", "below": "9"}, "below", ("expected a number", '"9"')),
        (Band, {"label": "x", "below": True}, "below", ("expected a number", "true")),
        (Condition, {"answered": 1}, "answered", ("true or false", "found 1")),
        (Condition, {"answered": "yes"}, "answered", ("true or false", '"yes"')),
        (Condition, {"test": "x", "is": ["a"]}, "is", ("text in quotes or", "a list")),
        (Condition, {"test": "x", "includes": 1}, "includes", ("text in quotes", "found 1")),
        (Condition, {"test": "x", "cut_at_least": False}, "cut_at_least", ("a number",)),
        (Effect, {"feature": "x", "rule_out": "thin"}, "rule_out", ("a list", '["thin"]')),
    ],
)  # fmt: skip
def test_nothing_is_coerced(cls, value, path, words):
    found_path, message = problem(cls, value)
    assert found_path == (path,)
    for word in words:
        assert word in message


@pytest.mark.parametrize("number", [float("nan"), float("inf"), float("-inf"), 10**10, -1e12])
def test_a_number_beyond_use_is_refused(number):
    path, message = problem(Band, {"label": "x", "above": number})
    assert path == ("above",)
    assert "ordinary number" in message


def test_a_number_too_long_to_write_is_refused_without_writing_it():
    for value in (16**5000, -(16**5000)):
        assert "very many digits" in problem(Band, {"label": "x", "above": value})[1]
        assert "very many digits" in problem(Source, {"cite": value})[1]


@pytest.mark.parametrize(
    ("harmful", "name"),
    [
        ("\x1b", "U+001B"),
        ("\x00", "U+0000"),
        ("\r", "U+000D"),
        ("\x7f", "U+007F"),
        ("\x9b", "U+009B"),
        ("\u202e", "U+202E"),
        ("\u2066", "U+2066"),
        ("\u200b", "U+200B"),
        ("\ufeff", "U+FEFF"),
        ("\ue000", "U+E000"),
    ],
)
def test_a_character_that_could_disturb_the_screen_is_refused_by_its_place(harmful, name):
    path, message = problem(Source, {"cite": f"für{harmful}"})
    assert path == ("cite",)
    assert f"character 4 is {name}" in message


def test_lines_tabs_and_letters_of_every_script_are_kept():
    text = "Zeile 1\n\tZeile 2 – “Fuß” 足 قدم पैर 🦶"
    found, problems = read(Source, {"cite": text})
    assert problems == []
    assert found.cite == text


def test_a_text_may_be_long_but_not_without_end():
    assert read(Source, {"cite": "x" * LONGEST_TEXT})[1] == []
    assert "20001 characters; at most 20000" in problem(Source, {"cite": "x" * 20_001})[1]


@pytest.mark.parametrize("blank", ["", "  ", "\n\t"])
def test_a_text_that_is_needed_may_not_be_blank(blank):
    assert problem(Source, {"cite": blank}) == (
        ("cite",),
        "this text is needed, and it is empty.",
    )
    assert read(Source, {**SOURCE, "note": blank})[1] == []


@pytest.mark.parametrize(
    "name", ["Adult", "a b", "a_b", "-a", "a-", "a--b", "", "ä", "a.b", "a\x1b[31m", "a\n"]
)
def test_an_id_is_lower_case_words_joined_by_hyphens(name):
    path, message = problem(Identity, {**IDENTITY, "id": name})
    assert path == ("id",)
    assert "cannot be an id" in message or "U+001B" in message
    path, message = problem(Scale, {"grades": [], "labels": {name: "x"}})
    assert path == ("labels", name)
    assert "cannot be an id" in message
    assert "\x1b" not in message


def test_every_mistake_of_a_table_is_told_at_once():
    value = {"id": "A", "titel": "x", "minutes": "5", "language": 1, "colour": "red"}
    problems = read(Identity, value)[1]
    assert {path[-1] if path else "" for path, _ in problems} == {
        "id",
        "titel",
        "minutes",
        "language",
        "colour",
        "",
    }
    (missing,) = [message for path, message in problems if not path]
    assert missing == "the key “version” is missing."


@pytest.mark.parametrize(
    ("written", "meant"),
    [("titel", "title"), ("verson", "version"), ("langauge", "language"), ("minuts", "minutes")],
)
def test_a_misspelt_key_is_told_once_with_the_key_that_was_meant(written, meant):
    value = {**IDENTITY, written: "x"}
    value.pop(meant, None)
    path, message = problem(Identity, value)
    assert path == (written,)
    assert message == f"this key is not known here. Did you mean “{meant}”?"


def test_a_key_that_is_already_given_is_no_suggestion_for_another():
    _, message = problem(Identity, {**IDENTITY, "idd": "x"})
    assert message == "this key is not known here."


def test_a_list_of_fixed_length_has_that_length():
    value = {"id": "a", "title": "A", "position": "b", "kind": "text", "basis": []}
    for hard in ([], [1], [1, 2, 3]):
        path, message = problem(Test, {**value, "hard": hard})
        assert path == ("hard",)
        assert f"a list of 2, found {len(hard)}" in message
    path, message = problem(Test, {**value, "hard": [1, "2"]})
    assert path == ("hard", 1)


def test_an_amount_is_a_number_or_a_table_that_says_where_to_look():
    found, _ = read(Effect, {"feature": "x", "add": {"derived": "y"}})
    assert found.add == LookedUp(derived="y")
    found, _ = read(Effect, {"feature": "x", "add": 2})
    assert found.add == 2
    path, message = problem(Effect, {"feature": "x", "add": {"derive": "y"}})
    assert path == ("add", "derive")
    assert "“derived”" in message


def test_what_is_left_out_has_its_default():
    found, _ = read(Source, SOURCE)
    assert found.mark is SourceMark.PUBLISHED
    feature = {"id": "a", "title": "A", "kind": "amount", "basis": []}
    found, _ = read(Feature, feature)
    assert (found.sides, found.start, found.step) == (Sides.EACH, 0, 1)


def test_a_whole_number_stays_one_and_a_broken_one_too():
    found, _ = read(Band, {"label": "x", "at_least": 3, "below": 3.0})
    assert (type(found.at_least), type(found.below)) == (int, float)


@pytest.mark.parametrize("value", [None, 1, "x", [], [{}], True])
def test_what_is_no_table_is_no_protocol(value):
    assert "expected a table" in problem(Protocol, value)[1]
