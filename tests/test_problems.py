"""A problem is told as one line: where, at what, and what is wrong."""

from pathlib import Path

import pytest

from examwalk.problems import (
    Problem,
    Severity,
    UnusableFileError,
    did_you_mean,
    nearest,
    nearest_word,
)

FILE = Path("clinic/adult.toml")


@pytest.mark.parametrize(
    ("problem", "told"),
    [
        (Problem("It is so."), "It is so."),
        (Problem("It is so.", FILE), f"{FILE}: It is so."),
        (Problem("It is so.", FILE, 12), f"{FILE}:12: It is so."),
        (Problem("It is so.", line=12), "line 12: It is so."),
        (
            Problem("It is so.", FILE, 12, place='test "lunge", usual'),
            f'{FILE}:12: test "lunge", usual: It is so.',
        ),
        (Problem("It is so.", place="protocol"), "protocol: It is so."),
    ],
)
def test_a_problem_names_what_is_known_of_its_place(problem, told):
    assert str(problem) == told


def test_a_problem_is_an_error_unless_it_says_otherwise():
    assert Problem("x").severity is Severity.ERROR


@pytest.mark.parametrize("part", ["message", "place", "file"])
def test_a_problem_is_one_harmless_line_whatever_is_in_it(part):
    hostile = "a\x1b[2Jb\nc\u202ed"
    parts = {"message": "m", "place": "p", "file": Path("f")}
    parts[part] = Path(hostile) if part == "file" else hostile
    assert str(Problem(**parts)).isprintable()


def test_an_unusable_file_tells_all_its_problems_each_on_its_line():
    problems = [Problem("First.", FILE, 1), Problem("Second.", FILE, 2)]
    error = UnusableFileError(problems)
    assert error.problems == tuple(problems)
    assert str(error).splitlines() == [f"{FILE}:1: First.", f"{FILE}:2: Second."]


@pytest.mark.parametrize(
    ("word", "known", "found"),
    [
        ("lunge-distence", ["lunge-distance", "lunge-angle"], "lunge-distance"),
        ("standin", ["seated", "standing"], "standing"),
        ("titel", ["title", "version"], "title"),
        ("zzz", ["title", "version"], ""),
        ("anything", [], ""),
        ("", ["title"], ""),
    ],
)
def test_the_nearest_known_word_is_named_or_none(word, known, found):
    assert nearest_word(word, known) == found
    assert nearest(word, known) == (f" Did you mean “{found}”?" if found else "")


def test_a_hint_without_a_word_is_empty():
    assert did_you_mean("") == ""


def test_a_word_of_any_length_is_answered_at_once():
    assert nearest_word("x" * 2_000_000, ["title"] * 1000) == ""


def test_known_words_may_come_from_any_iterable():
    assert nearest_word("titel", (word for word in ("title", "version"))) == "title"
