"""The JSON Schema for editors says what the reader says, as far as a schema can."""

import copy
import json
import random
import re
import tomllib
from collections.abc import Iterator
from datetime import date
from math import isfinite
from pathlib import Path
from typing import Any

import pytest
import rtoml
import tomli_w
from good_protocol import FILES, problems_of, write_files
from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError
from test_any_change_to_a_protocol import GOOD, change
from test_structuring_each_key import (
    PLACES,
    REMOVED,
    REQUIRED,
    Renamed,
    changed,
    is_id_of_the_file,
    table_name,
    wrong_values,
)

from examwalk.cli import main
from examwalk.protocol.checking import check
from examwalk.protocol.documents import read_document
from examwalk.protocol.library import shipped_folder, shipped_protocols
from examwalk.protocol.locating import KeyPath, locate
from examwalk.protocol.model import Protocol
from examwalk.protocol.schema import ID_PATTERN, protocol_schema, schema_text
from examwalk.protocol.structuring import BROKEN, check_id, structure

COMMITTED = Path(__file__).parents[2] / "protocols" / "protocol.schema.json"
SCHEMA = Draft202012Validator(protocol_schema())
SHIPPED = [part.path for path in shipped_protocols() for part in read_document(path).parts]
READ_BY_EDITORS = {
    *("$schema", "$defs", "$ref", "title", "description", "default", "type", "enum", "pattern"),
    *("properties", "additionalProperties", "required", "items", "minItems", "maxItems"),
    *("minProperties", "maxProperties", "oneOf"),
}
LOST_WITHOUT_HARM = {"if", "else", "not", "propertyNames"}
"""Rarer keywords: an editor that does not know them underlines less, and nothing wrongly."""
HEAD = '[protocol]\nid = "clinic"\ntitle = "Our clinic"\nversion = "1"\n'
EXTENDS = 'extends = "good"\n'


def relative(path: Path) -> str:
    return path.relative_to(shipped_folder()).as_posix()


def name_of(part: object) -> str:
    return relative(part) if isinstance(part, Path) else ""


def errors(data: Any, validator: Draft202012Validator = SCHEMA) -> list[ValidationError]:
    return list(validator.iter_errors(data))


def places(error: ValidationError) -> Iterator[KeyPath]:
    """Return where a schema's error lies, as the reader counts it: an unknown key at that key."""
    path = tuple(error.absolute_path)
    if error.validator == "additionalProperties":
        yield from ((*path, key) for key in error.instance if key not in error.schema["properties"])
    elif "propertyNames" in error.absolute_schema_path:
        yield (*path, error.instance)
    else:
        yield path


def subschemas(schema: Any) -> Iterator[dict[str, Any]]:
    """Return a schema and every schema in it."""
    if not isinstance(schema, dict):
        return
    yield schema
    for key in ("properties", "$defs"):
        for inner in schema.get(key, {}).values():
            yield from subschemas(inner)
    for key in ("items", "additionalProperties", "propertyNames", "if", "else"):
        yield from subschemas(schema.get(key))
    for inner in schema.get("oneOf", ()):
        yield from subschemas(inner)


def test_the_schema_in_the_folder_is_the_one_that_the_program_prints(capsys):
    assert main(["protocol", "schema"]) == 0
    printed = capsys.readouterr().out
    assert COMMITTED.read_text(encoding="utf-8") == printed, (
        "write it anew: examwalk protocol schema > protocols/protocol.schema.json"
    )
    assert json.loads(printed) == protocol_schema()


@pytest.mark.parametrize("extending", [False, True])
def test_it_is_a_schema_of_the_keywords_that_editors_read(extending):
    schema = protocol_schema(extending=extending)
    Draft202012Validator.check_schema(schema)
    used = {key for inner in subschemas(schema) for key in inner}
    assert used <= READ_BY_EDITORS | LOST_WITHOUT_HARM
    assert schema_text(extending=extending).isascii()


def test_every_key_is_explained_to_who_writes_the_file():
    silent = {
        key
        for inner in subschemas({**protocol_schema(), "if": {}, "else": {}})
        for key, about in inner.get("properties", {}).items()
        if not about.get("description", "").endswith((".", "`", ")"))
    }
    assert silent == set(), "write a docstring under each of these attributes of the model"


def test_the_explanations_are_those_of_the_model():
    test = SCHEMA.schema["properties"]["test"]["items"]
    assert test["description"] == "One thing to examine or ask."
    told = {key: about["description"] for key, about in test["properties"].items()}
    assert told["hard"] == "The smallest and the largest number that is accepted at all."
    assert told["kind"] == "The kind of answer a test takes."
    assert told["alone"].endswith("such as `none`.")


def test_ids_are_what_the_reader_takes_for_ids():
    words = [
        "a",
        "a-b",
        "4-legs",
        "a1-b2-c3",
        "",
        "A",
        "a_b",
        "-a",
        "a-",
        "a--b",
        "a b",
        "é",
        "a.b",
    ]
    for word in words:
        taken = check_id(word, (), lambda path, message: None)
        assert bool(re.search(ID_PATTERN, word)) is taken, word


class TestShippedProtocols:
    def test_there_are_some_and_the_schema_is_none_of_them(self):
        assert len(SHIPPED) >= 15
        assert COMMITTED.stem not in {path.stem for path in shipped_protocols()}
        assert shipped_folder() / "starters" not in shipped_protocols()

    @pytest.mark.parametrize("path", SHIPPED, ids=name_of)
    def test_each_file_is_good_by_itself(self, path):
        found = errors(tomllib.loads(path.read_text(encoding="utf-8")))
        assert [f"{error.json_path}: {error.message}" for error in found] == []

    @pytest.mark.parametrize("path", SHIPPED, ids=name_of)
    def test_each_file_names_the_schema_before_anything_else(self, path):
        first, _, _ = path.read_text(encoding="utf-8").partition("\n")
        directive, _, target = first.partition(" ")
        assert directive == "#:schema"
        assert target == ("./" if path.parent == shipped_folder() else "../") + COMMITTED.name
        assert (path.parent / target).resolve() == (shipped_folder() / COMMITTED.name).resolve()

    @pytest.mark.parametrize("path", SHIPPED, ids=name_of)
    def test_another_reader_of_toml_reads_the_same(self, path):
        text = path.read_text(encoding="utf-8")
        ours, theirs = tomllib.loads(text), rtoml.loads(text)
        assert ours == theirs
        # As JSON, true is not 1, 1 is not 1.0, and the order of options counts.
        assert json.dumps(ours) == json.dumps(theirs)


def test_nothing_is_required_at_the_top_since_a_folder_is_read_as_one():
    assert "required" not in SCHEMA.schema
    assert errors({}) == []
    for part in FILES.values():
        assert errors(tomllib.loads(part)) == []
    assert errors(GOOD) == []


MISTAKES: list[tuple[str, str, Any]] = [
    ("a misspelt key", "test lunge usual", Renamed("usul")),
    ("a misspelt key that is needed", "rule shell-when-loaded because", Renamed("becuase")),
    ("an unknown table", "not_done_reasons", Renamed("not-done-reasons")),
    ("a key of another table", "sources common-practice says", "x"),
    ("a key of another list", "test lunge bands 0 value", 3),
    ("a missing key of a test", "test story title", REMOVED),
    ("a missing key of a source", "sources convention cite", REMOVED),
    ("a missing key of an option", "test skin options callus label", REMOVED),
    ("a missing key of a list's table", "test lunge bands 0 label", REMOVED),
    ("a missing key of the protocol", "protocol version", REMOVED),
    ("text for a number", "test lunge step", "0.5"),
    ("a number for text", "test skin title", 7),
    ("text for yes or no", "test hot-foot safety", "yes"),
    ("yes or no for a number", "protocol minutes", True),
    ("a fraction for a whole number", "derived effort-total decimals", 1.5),
    ("a date for text", "protocol version", date(2024, 2, 29)),
    ("one text for a list", "test resistance mistakes", "The patient helps."),
    ("a list for a text", "crosscheck weak-but-hard why", ["Both load the same tissue."]),
    ("a text for a table", "caution hot when", "hot-foot is yes"),
    ("one table for a list of them", "position", {"id": "seated", "title": "Seated"}),
    ("three limits", "feature lift range", [0, 6, 12]),
    ("one limit", "test body-mass usual", [40]),
    ("a limit in quotes", "test body-mass hard 1", "300"),
    ("an unknown kind of test", "test story kind", "words"),
    ("an unknown kind of feature", "feature lift kind", "number"),
    ("an unknown severity", "crosscheck feet-differ severity", "look-again"),
    ("an unknown stage", "crosscheck feet-differ stage", "end"),
    ("an unknown effect on a device", "caution hot device", "halt"),
    ("an unknown class", "rule shell-when-loaded class", "comfort"),
    ("an unknown mark", "sources convention mark", "hearsay"),
    ("an unknown word for sides", "advice stretch sides", "both"),
    ("an unknown word for a pair", "feature cup across_pair", "highest"),
    ("an unknown calculation", "derived effort-total calculation", "total"),
    ("an unknown direction", "feature lift cautious", "lower"),
    ("an id in capitals", "advice stretch id", "Stretch"),
    ("the id of an option with a space", "feature device options soft", Renamed("a soft one")),
    ("the id of a grade in capitals", "scales strength grades 1", "Weak"),
    ("a title in place of an id", "test story position", "Seated"),
    ("a basis that is no id", "advice stretch basis 0", "Common practice"),
    ("no basis", "test skin basis", []),
    ("nothing to look at again", "crosscheck feet-differ recheck", []),
    ("a rule without effects", "rule shell-when-loaded effects", []),
    ("an empty sentence", "caution hot says", " "),
    ("a scale of one grade", "scales strength grades", ["none"]),
    ("a scale of eleven grades", "scales strength grades", [f"grade-{n}" for n in range(11)]),
    ("a band without a bound", "test lunge bands 0 below", REMOVED),
    ("a condition without a subject", "caution hot when test", REMOVED),
    ("a condition of two subjects", "caution hot when derived", "effort-total"),
    ("a group and a subject", "crosscheck weak-but-hard when test", "skin"),
    ("a mistake deep in a condition", "advice stretch when all 0 bellow", 3),
    ("an unknown side", "crosscheck feet-differ when any 0 side", "left"),
    ("an empty group", "crosscheck weak-but-hard when all", []),
    ("a list that nothing is in", "caution cracked when includes_any", []),
    ("one answer for a list", "crosscheck weak-but-hard when all 1 one_of", "hard"),
    ("a count of how many is not said", "rule lift-for-the-shorter-limb when at_least", REMOVED),
    ("an effect with two verbs", "rule cup-follows-the-lift effects 0 at_most", 18),
    ("an effect without a verb", "rule cup-follows-the-lift effects 0 at_least", REMOVED),
    ("an amount in quotes", "rule cup-follows-the-lift effects 0 at_least", "14"),
    ("an amount looked up twice", "rule cup-follows-the-lift effects 1 start derived", "dose"),
    ("an amount looked up nowhere", "rule cup-follows-the-lift effects 1 start feature", REMOVED),
    ("one excluded feature", "exclusion 0 features", ["lift"]),
    ("something removed that was never inherited", "remove", {"tests": ["skin"]}),
    ("a place where nothing is inherited", "test skin after", "hot-foot"),
]
"""What is wrong, where in the good protocol, and what is put there."""


def key_path(words: str) -> KeyPath:
    """Turn ``test skin title`` into a key path; a table of a list is named by id or number."""
    path: list[str | int] = []
    value: Any = GOOD
    for word in words.split():
        key: str | int = word
        if isinstance(value, list):
            ids = [item.get("id") if isinstance(item, dict) else None for item in value]
            key = ids.index(word) if word in ids else int(word)
        path.append(key)
        is_there = isinstance(key, int) or key in value
        value = value[key] if is_there else None
    return tuple(path)


def told_by_the_reader(data: Any) -> set[KeyPath]:
    told: set[KeyPath] = set()

    def report(path: KeyPath, message: str) -> None:
        told.add(path)

    protocol = structure(Protocol, data, report)
    if protocol is not BROKEN:
        check(protocol, report)
    return told


def told_by_the_schema(data: Any) -> set[KeyPath]:
    return {path for error in errors(data) for path in places(error)}


def test_the_protocol_of_these_tests_is_good():
    assert told_by_the_reader(GOOD) == set()


@pytest.mark.parametrize(
    ("words", "new"), [row[1:] for row in MISTAKES], ids=[r[0] for r in MISTAKES]
)
def test_a_mistake_is_caught_by_the_schema_and_by_the_reader_in_the_same_place(words, new):
    mistaken = changed(GOOD, key_path(words), new)
    by_schema, by_reader = told_by_the_schema(mistaken), told_by_the_reader(mistaken)
    assert by_schema & by_reader
    # A misspelt key that is needed is unknown and missing; the reader tells it once.
    around = {path[:length] for path in by_reader for length in range(len(path) + 1)}
    assert by_schema <= around


def test_there_are_mistakes_of_many_kinds():
    kinds = {
        error.validator
        for _, words, new in MISTAKES
        for error in errors(changed(GOOD, key_path(words), new))
    }
    assert kinds == {
        *("additionalProperties", "required", "type", "enum", "pattern", "minItems", "maxItems"),
        *("minProperties", "maxProperties", "oneOf", "not"),
    }


def beyond_a_schema(new: Any) -> bool:
    """Say whether only the reader minds: characters that disturb a screen, infinite numbers."""
    if isinstance(new, float):
        return not isfinite(new)
    return isinstance(new, str) and not new.isprintable()


@pytest.mark.parametrize("part", range(3))
def test_every_key_of_the_wrong_type_is_underlined(part):
    tried = 0
    for number, (path, value) in enumerate(PLACES):
        for new in wrong_values(path, value) if number % 3 == part else ():
            if beyond_a_schema(new):
                continue
            data = changed({path[0]: GOOD[path[0]]}, path, new)
            found = told_by_the_schema(data)
            assert found, (path, new)
            # What is in a condition or effect of the wrong type may no longer be one at all.
            assert any(path[: len(at)] == at for at in found), (path, new, found)
            tried += 1
    assert tried > 700


def test_every_misspelt_key_and_every_missing_one_is_underlined():
    for path, _ in PLACES:
        if isinstance(path[-1], int) or is_id_of_the_file(path):
            continue
        only = {path[0]: GOOD[path[0]]}
        misspelt = f"{path[-1][:-1]}q{path[-1][-1]}"
        assert (*path[:-1], misspelt) in told_by_the_schema(changed(only, path, Renamed(misspelt)))
        if len(path) > 1 and path[-1] in REQUIRED.get(table_name(path), ()):
            assert path[:-1] in told_by_the_schema(changed(only, path, REMOVED)), path


def test_what_the_reader_takes_is_never_underlined():
    taken = 0
    for seed in range(400):
        chance = random.Random(seed)
        data = copy.deepcopy(GOOD)
        change(data, chance)
        if data != GOOD and not told_by_the_reader(data):
            assert told_by_the_schema(data) == set(), seed
            taken += 1
    assert taken > 40


class TestExtending:
    """A file that extends another states less, and may take away and move what it inherits."""

    def problems(self, folder: Path, text: str) -> tuple[int | None, ...]:
        write_files(folder / "good", FILES)
        path = folder / "clinic.toml"
        path.write_text(text, encoding="utf-8")
        return tuple(problem.line for problem in problems_of(path))

    LESS = (
        '[remove]\nadvice = ["stretch"]\n'
        '[[test]]\nid = "lunge"\nusual = [3, 20]\nbefore = "strength"\n'
        '[[test]]\nid = "skin"\noptions.callus.looks = "Hard skin"\n'
        '[[exclusion]]\nfeatures = ["lift", "cup"]\nbecause = "Both lift the heel."\n'
        '[[derived]]\nid = "limb-lift"\n'
        'conditions.linked-symptom = { test = "story", answered = false }\n'
        "parameters.fraction = 0.4\n"
        '[scales.effort.labels]\nhard = "very hard"\n[sources.convention]\nnote = "Ours."\n'
        '[urgencies]\nroutine = "Some time"\n'
    )

    def test_less_is_taken_by_both(self, tmp_path):
        text = '[protocol]\nid = "clinic"\n' + EXTENDS + self.LESS
        assert self.problems(tmp_path, text) == ()
        assert errors(tomllib.loads(text)) == []

    def test_less_is_refused_by_both_where_nothing_is_extended(self, tmp_path):
        text = HEAD + self.LESS
        assert self.problems(tmp_path, text)
        missing = {error.validator for error in errors(tomllib.loads(text))}
        assert missing == {"required", "not"}

    def test_any_single_key_may_be_all_that_a_table_says(self, tmp_path):
        named = {"id", "features", "version", "title"}
        longest = max(len(table) for value in GOOD.values() for table in value)
        for number in range(longest):
            said: dict[str, Any] = {"protocol": {**GOOD["protocol"], "extends": "good"}}
            for kind, value in GOOD.items():
                if kind == "protocol":
                    continue
                tables = value if isinstance(value, list) else value.values()
                less = [self.one_key(table, number, named) for table in tables]
                said[kind] = (
                    less if isinstance(value, list) else dict(zip(value, less, strict=True))
                )
            assert errors(said) == []
            assert self.problems(tmp_path, tomli_w.dumps(said)) == ()

    def one_key(self, table: Any, number: int, named: set[str]) -> Any:
        if not isinstance(table, dict):
            return table
        keys = list(table)
        kept = {*named, keys[number % len(keys)]}
        return {key: table[key] for key in keys if key in kept}

    @pytest.mark.parametrize(
        ("text", "line"),
        [
            ('[remove]\ntest = ["skin"]\n', 7),
            ('[remove]\ntests = "skin"\n', 7),
            ("[remove]\ntests = [1]\n", 7),
            ('[[test]]\nid = "lunge"\nusuall = [1, 2]\n', 8),
            ('[[test]]\nid = "lunge"\nusual = [1, 2, 3]\n', 8),
            ('[[test]]\nid = "skin"\n[test.options]\ncallus = { lable = "x" }\n', 9),
            ('[[test]]\nid = "lunge"\nbands = [\n  { below = 3 },\n]\n', 9),
            ('[[caution]]\nid = "hot"\nwhen = { is = "yes" }\n', 8),
            ('[[rule]]\nid = "cup-follows-the-lift"\neffects = [{ feature = "cup" }]\n', 8),
            ('[[rule]]\nid = "cup-follows-the-lift"\nbasis = []\n', 8),
            ('[[caution]]\nid = "hot"\nsays = ""\n', 8),
        ],
    )
    def test_a_mistake_is_caught_by_both_on_the_same_line(self, tmp_path, text, line):
        text = HEAD + EXTENDS + text
        assert self.problems(tmp_path, text) == (line,)
        lines = locate(text)
        found = told_by_the_schema(tomllib.loads(text))
        assert {lines[path] for path in found} == {line}

    def test_a_protocol_that_extends_another_needs_an_id_of_its_own(self, tmp_path):
        text = "[protocol]\n" + EXTENDS
        assert len(self.problems(tmp_path, text)) == 1
        assert told_by_the_schema(tomllib.loads(text)) == {("protocol",)}

    def test_the_other_files_of_a_folder_have_a_schema_of_their_own(self, tmp_path, capsys):
        part = '[[test]]\nid = "lunge"\nusual = [3, 20]\nafter = "skin"\n'
        write_files(tmp_path / "good", FILES)
        folder = tmp_path / "clinic"
        write_files(folder, {"a.toml": HEAD + 'extends = "../good"\n', "b.toml": part})
        assert errors(tomllib.loads(part)) != []
        assert main(["protocol", "schema", "--extending"]) == 0
        printed = json.loads(capsys.readouterr().out)
        assert errors(tomllib.loads(part), Draft202012Validator(printed)) == []
        wrong = tomllib.loads(part.replace("usual", "usuall"))
        assert errors(wrong, Draft202012Validator(printed)) != []
