"""The JSON Schema for editors says what the reader says, as far as a schema can."""

import json
import re
import tomllib
from collections.abc import Iterable, Iterator
from itertools import zip_longest
from pathlib import Path
from typing import Any

import pytest
import rtoml
from good_protocol import FILES, HERE, line_of, problems_of, with_mistake, write_files
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
EXTENDING = Draft202012Validator(protocol_schema(extending=True))
SHIPPED = [part.path for path in shipped_protocols() for part in read_document(path).parts]
READ_BY_EDITORS = {
    *("$schema", "$defs", "$ref", "title", "description", "default", "type", "enum", "pattern"),
    *("properties", "additionalProperties", "required", "items", "minItems", "maxItems"),
    *("minProperties", "maxProperties", "oneOf"),
}
LOST_WITHOUT_HARM = {"if", "else", "propertyNames"}
"""Younger keywords: an editor that does not know them underlines less, and nothing wrongly."""
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


def lines_of(found: Iterable[ValidationError], text: str) -> set[int]:
    lines = locate(text)
    at = [path for error in found for path in places(error)]
    return {lines[path] for path in at if path in lines}


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
    words = ["a", "a-b", "4-legs", "a1-b2-c3", "", "A", "a_b", "-a", "a-", "a--b", "a b", "é", "a.b"]
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


MISTAKES = [
    ("a misspelt key", 'hard = [0, 25]\nusual = [2, 18]\nbasis', 'hard = [0, 25]\nusul = [2, 18] #!\nbasis'),
    ("an unknown table", "[not_done_reasons]", "[not-done-reasons] #!"),
    ("a key of another table", 'cite = "Common practice"', 'cite = "Common practice"\nsays = "x" #!'),
    ("a missing key of a test", '[[test]]\nid = "story"\ntitle = "In the patient\'s words"', '[[test]] #!\nid = "story"'),
    ("a missing key without [protocol]", 'severity = "unlikely"\nsides', 'sides'),
    ("a missing key of a grade", 'easy = { looks = "One fingertip lifts it." }', "easy = {} #!"),
    ("a missing key of a list's table", '{ label = "short", below = 9 }', "{ below = 9 } #!"),
    ("text for a number", "step = 0.5\nhard", 'step = "0.5" #!\nhard'),
    ("a number for text", 'title = "Skin"', "title = 7 #!"),
    ("text for yes or no", "safety = true", 'safety = "yes" #!'),
    ("yes or no for a number", "minutes = 5", "minutes = true #!"),
    ("a fraction for a whole number", "decimals = 1", "decimals = 1.5 #!"),
    ("a date for text", 'version = "1.0.0"', "version = 2024-02-29 #!"),
    ("one text for a list", 'mistakes = ["The patient helps."]', 'mistakes = "The patient helps." #!'),
    ("a list for a text", 'why = "Both load the same tissue."', 'why = ["Both load the same tissue."] #!'),
    ("a text for a table", 'when = { test = "hot-foot", is = "yes" }', 'when = "hot-foot is yes" #!'),
    ("three limits", "range = [0, 12]", "range = [0, 6, 12] #!"),
    ("one limit", "usual = [40, 150]", "usual = [40] #!"),
    ("a limit in quotes", "hard = [20, 300]", 'hard = [20, "300"] #!'),
    ("an unknown kind", 'kind = "text"', 'kind = "words" #!'),
    ("an unknown severity", 'severity = "look again"', 'severity = "look-again" #!'),
    ("an unknown effect on a device", 'device = "stop"', 'device = "halt" #!'),
    ("an unknown class", 'class = "tolerance"', 'class = "comfort" #!'),
    ("an unknown mark", 'mark = "common practice"', 'mark = "hearsay" #!'),
    ("an unknown stage", 'stage = "summary"', 'stage = "end" #!'),
    ("an unknown calculation", 'calculation = "sum"', 'calculation = "total" #!'),
    ("an unknown direction", 'cautious = "low"', 'cautious = "lower" #!'),
    ("an id in capitals", 'id = "stretch"', 'id = "Stretch" #!'),
    ("an id of an option with a space", 'soft = { label = "a soft one" }', '"soft one" = { label = "a soft one" } #!'),
    ("a title in place of an id", 'id = "story"\ntitle = "In the patient\'s words"\nposition = "seated"', 'id = "story"\ntitle = "In the patient\'s words"\nposition = "Seated" #!'),
    ("a basis that is no id", 'kind = "exercise"', 'kind = "exercise"', ),
    ("a side that is none", 'side = "excess"', 'side = "left"'),
]
