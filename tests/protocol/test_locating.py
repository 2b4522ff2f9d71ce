"""The line that is named for a key is the line on which a person finds it."""

import random
import re
import tomllib
from typing import Any

import pytest
import tomli_w
from hypothesis import given, settings
from hypothesis import strategies as st
from toml_writing import Writer

from examwalk.protocol.locating import DEEPEST, locate

DOCUMENT = '''# title = "no"

[protocol]
id = "x"            # id = 2
"quoted key" = 1
'lit"eral' = 2
"esc\\u0061ped" = 3
a.b . "c.d" = 4

[[test]]
id = "first"
hard = [
  0,  # ] }
  25,
]
text = """
[[test]]
title = "# no" ""\\""
"""
grades.high = { looks = "a", "more" = [ { x = 1 },
  { x = 2 } ] }
[test.options]
no = { label = "]" }
[test.options.yes]
label = \'\'\'
it\'s # "no"
\'\'\'
[[test.reliability]]
value = "0.61"
[[test.reliability]]
value = "0.62"

[[test]]
id = "second"
when = 1979-05-27 07:32:00
[test.options]
no.label = "N"
[scales.effort-5]
grades = []
'''
LINES = {
    ("protocol",): 3,
    ("protocol", "id"): 4,
    ("protocol", "quoted key"): 5,
    ("protocol", 'lit"eral'): 6,
    ("protocol", "escaped"): 7,
    ("protocol", "a"): 8,
    ("protocol", "a", "b"): 8,
    ("protocol", "a", "b", "c.d"): 8,
    ("test",): 10,
    ("test", 0): 10,
    ("test", 0, "id"): 11,
    ("test", 0, "hard"): 12,
    ("test", 0, "hard", 0): 13,
    ("test", 0, "hard", 1): 14,
    ("test", 0, "text"): 16,
    ("test", 0, "grades"): 20,
    ("test", 0, "grades", "high"): 20,
    ("test", 0, "grades", "high", "looks"): 20,
    ("test", 0, "grades", "high", "more"): 20,
    ("test", 0, "grades", "high", "more", 0): 20,
    ("test", 0, "grades", "high", "more", 0, "x"): 20,
    ("test", 0, "grades", "high", "more", 1): 21,
    ("test", 0, "grades", "high", "more", 1, "x"): 21,
    ("test", 0, "options"): 22,
    ("test", 0, "options", "no"): 23,
    ("test", 0, "options", "no", "label"): 23,
    ("test", 0, "options", "yes"): 24,
    ("test", 0, "options", "yes", "label"): 25,
    ("test", 0, "reliability"): 28,
    ("test", 0, "reliability", 0): 28,
    ("test", 0, "reliability", 0, "value"): 29,
    ("test", 0, "reliability", 1): 30,
    ("test", 0, "reliability", 1, "value"): 31,
    ("test", 1): 33,
    ("test", 1, "id"): 34,
    ("test", 1, "when"): 35,
    ("test", 1, "options"): 36,
    ("test", 1, "options", "no"): 37,
    ("test", 1, "options", "no", "label"): 37,
    ("scales",): 38,
    ("scales", "effort-5"): 38,
    ("scales", "effort-5", "grades"): 39,
}


def paths_of(value: Any, path: tuple[str | int, ...] = ()) -> set[tuple[str | int, ...]]:
    """List the key paths of every key and array element in a value."""
    items = value.items() if isinstance(value, dict) else enumerate(value)
    found: set[tuple[str | int, ...]] = set()
    for key, inner in items:
        found.add((*path, key))
        if isinstance(inner, dict | list):
            found |= paths_of(inner, (*path, key))
    return found


def test_every_kind_of_key_is_found_on_its_line():
    assert paths_of(tomllib.loads(DOCUMENT)) == set(LINES)
    assert locate(DOCUMENT) == LINES


def test_lines_are_the_same_whether_they_end_as_on_unix_or_on_windows():
    assert locate(DOCUMENT.replace("\n", "\r\n")) == LINES


@pytest.mark.parametrize(
    "string",
    [
        '""',
        "''",
        '""""""',
        "''''''",
        '"""a""""',
        '"""a"""""',
        '""""a"""',
        '"""""a"""',
        "'''a''''",
        "'''''a'''''",
        '"\\\\"',
        '"\\""',
        '"""\\"""a"""',
        '"""\\\\"""',
        "'\\'",
        "'''\\'''",
        '"# ] } ="',
        '"""\r\n# a = 1\r\n"""',
        '"""\\\n   \n  a"""',
    ],
)
def test_what_stands_in_a_string_is_not_taken_for_keys(string):
    text = f"a = {string} # a\nb = [{string}, {string}]\nlast = 1\n"
    assert tomllib.loads(text)["last"] == 1
    lines_before = text[: text.index("last")].count("\n")
    assert locate(text)["last",] == lines_before + 1


@settings(max_examples=150)
@given(seed=st.integers(0, 2**32), newline=st.sampled_from(["\n", "\r\n"]))
def test_keys_are_found_where_they_were_written_in_any_style(seed, newline):
    writer = Writer(random.Random(seed), newline)
    writer.document()
    assert tomllib.loads(writer.text) == writer.data, writer.text
    assert paths_of(writer.data) <= set(writer.lines)
    assert locate(writer.text) == writer.lines, writer.text


VALUES = st.recursive(
    st.one_of(
        st.text(st.characters(exclude_categories=["Cs"]), max_size=8),
        st.integers(-9, 9),
        st.booleans(),
        st.floats(allow_nan=False, allow_infinity=False),
    ),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3),
        st.dictionaries(st.text("ab\n\"'.[]# =\\é", max_size=4), inner, max_size=3),
    ),
    max_leaves=12,
)


def _with_numbered_keys(value: Any, count: list[int]) -> Any:
    """Give each key a number of its own, so that the text holds it once."""
    if isinstance(value, dict):
        numbered = {}
        for key, inner in value.items():
            count[0] += 1
            name = f"{key}KEY{count[0]}END"
            numbered[name] = _with_numbered_keys(inner, count)
        return numbered
    if isinstance(value, list):
        return [_with_numbered_keys(inner, count) for inner in value]
    return value


@settings(max_examples=150)
@given(data=st.dictionaries(st.text("ab\"'.é ", max_size=3), VALUES, max_size=4))
def test_the_line_found_holds_the_key_in_what_the_writer_of_the_format_writes(data):
    data = _with_numbered_keys(data, [0])
    text = tomli_w.dumps(data)
    assert tomllib.loads(text) == data
    lines = text.split("\n")
    found = locate(text)
    for path in paths_of(data):
        key = path[-1]
        if isinstance(key, str):
            number = re.search(r"KEY\d+END", key)[0]
            assert number in lines[found[path] - 1]
            assert not any(number in line for line in lines[: found[path] - 1])


PIECES = [
    "a", "b.c", '"d"', "'e'", '"\\u0066"', "[", "]", "[[", "]]", "{", "}", "=", ",", ".", "#",
    "\n", "\r\n", " ", "\t", "1", "true",
    '""', "''", '"""', "'''", '"', "'", "\\", "x", "1979-05-27",
]  # fmt: skip


@settings(max_examples=500)
@given(pieces=st.lists(st.sampled_from(PIECES), max_size=14))
def test_nothing_that_the_parser_takes_makes_it_stumble(pieces):
    text = "".join(pieces)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return
    found = locate(text)
    assert set(found) == paths_of(data)
    assert all(1 <= line <= text.count("\n") + 1 for line in found.values())


@settings(max_examples=300)
@given(
    lines=st.lists(
        st.sampled_from(
            [
                "k{n} = [",
                "k{n} = [[1, [2]], [], # ]\n]",
                "k{n} = '''",
                'k{n} = """',
                '"""',
                "'''",
                "]",
                "1,",
                "'x', # '''",
                '"]",',
                "{{ k{n} = 1 }},",
                "{{}},",
                "[k{n}]",
                "[[k]]",
                "[k.a{n}]",
                "[[k.b]]",
                "k{n}.a.'b' = {{ x.y = [{{}}, {{ z = 1 }}] }}",
                "# \"\"\" ''' [ {{",
                "",
            ]
        ),
        max_size=10,
    )
)
def test_no_mixture_of_hard_lines_makes_it_stumble(lines):
    text = "\n".join(line.format(n=number) for number, line in enumerate(lines))
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return
    assert set(locate(text)) == paths_of(data)


@pytest.mark.parametrize(
    ("opening", "closing"), [("[", "]"), ("{ a = ", "}"), ("[{ a = ", "}]"), ("{ a.a.a = ", "}")]
)
def test_any_depth_that_the_parser_bears_is_borne(opening, closing):
    deepest = 0
    for depth in range(20, 400, 20):
        text = f"top = {opening * depth}1{closing * depth}\nlast = 1\n"
        try:
            tomllib.loads(text)
        except RecursionError:
            break
        deepest = depth
        assert locate(text)["last",] == 2
    assert deepest > 100


def test_beyond_the_deepest_level_keys_count_to_the_table_around_them():
    keys = [f"k{number}" for number in range(DEEPEST + 10)]
    found = locate(f"\n{'.'.join(keys)} = 1\n")
    assert found[tuple(keys[:DEEPEST])] == 2
    assert max(len(path) for path in found) == DEEPEST


@pytest.mark.parametrize(
    "text",
    [
        'a = "' + "\\\\" * 500_000 + '"\nlast = 1\n',
        'a = """' + '""\\"' * 250_000 + '"""\nlast = 1\n',
        "a = '''" + "''x" * 300_000 + "'''\nlast = 1\n",
        "# " + "[" * 1_000_000 + "\nlast = 1\n",
        " \t" * 500_000 + "\nlast = 1\n",
        "a = [" + "1," * 60_000 + "]\nlast = 1\n",
    ],
    ids=["escapes", "quotes", "literal quotes", "comment", "white space", "array"],
)
def test_a_text_as_large_as_a_file_may_be_is_walked_to_its_end(text):
    assert locate(text)["last",] == 2
