"""A JSON Schema of the protocol file, made from the very classes that read it.

It is for editors of TOML, which complete and underline by it: only keywords that they commonly
read are used. The schema knows the shape of one file and no more: what a protocol means as a
whole, such as that an id is known, is for ``checking``.
"""

import json
import types
from collections.abc import Mapping
from enum import Enum
from typing import Any, Union, get_args, get_origin

import attrs

from examwalk.drawing.figure import SUBJECTS as PART_SUBJECTS
from examwalk.drawing.figure import Part, Stroke
from examwalk.protocol.condition_model import SUBJECTS, Condition
from examwalk.protocol.derived_model import Derived
from examwalk.protocol.exam_checking import MOST_CHOICES
from examwalk.protocol.exam_model import Band, Scale
from examwalk.protocol.extending import KINDS
from examwalk.protocol.feature_model import (
    AMOUNT_VERBS,
    OPTION_VERBS,
    Effect,
    Exclusion,
    Feature,
    LookedUp,
)
from examwalk.protocol.model import Protocol
from examwalk.protocol.schema_words import words_for_class, words_for_key
from examwalk.protocol.structuring import keys_of
from examwalk.protocol.vocabulary import CALCULATIONS

Schema = dict[str, Any]

ID_PATTERN = "^[a-z0-9]+(-[a-z0-9]+)*$"
_SOME_TEXT = r"\S"
_ABOUT = (
    "One file of an examwalk protocol. A file that extends another states only what differs; any"
    " other file states its tables whole. `examwalk protocol check` checks what a schema cannot."
)
_ABOUT_EXTENDING = (
    "One file of a folder that extends an examwalk protocol: each table states only what differs."
)
_REMOVE = (
    "Takes inherited tables away, by their ids. A table that others still use stays, and"
    " `examwalk protocol check` lists its users."
)
_PLACEMENT = {
    "after": "Puts this table after the one with this id.",
    "before": "Puts this table before the one with this id.",
}
_AND_MORE = {"additionalProperties": True}
"""Some editors underline each key that a schema does not name, even one that only adds."""
_NEVER: Schema = {"not": {}}
_SCALARS = {str: "string", int: "integer", float: "number", bool: "boolean"}
_NAMING_KEYS = frozenset(
    {"id", "test", "derived", "feature", "caution", "position", "scale", "option_set", "urgency"}
    | {"source", "recheck", "inputs", "needs", "basis", "features", "alone", "prefer", "require"}
    | {"rule_out", "includes", "includes_any", "figure", "like", "outline"}
    | {"stiffness", "thickness_feature", "material_feature"}
)
"""Keys whose text, or each text of whose list, can only be an id."""

_EXACTLY_ONE_OF: Mapping[type, tuple[str, ...]] = {
    Effect: (*AMOUNT_VERBS, *OPTION_VERBS),
    Stroke: ("d", "through"),
    Part: PART_SUBJECTS,
}


def protocol_schema(*, extending: bool = False) -> Schema:
    """Return the JSON Schema of one protocol file.

    No table is required at the top, since each file of a folder holds only some of them.

    Args:
        extending: take every file as one that extends another. Else a file does so where its
            ``[protocol]`` says it, which the other files of such a folder cannot.
    """
    schema: Schema = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Protocol of examwalk",
        "description": _ABOUT_EXTENDING if extending else _ABOUT,
        "type": "object",
        "additionalProperties": False,
        "properties": {key: _top(key, expected) for key, expected in _tables().items()},
    }
    schema["properties"]["remove"] = _removal()
    if not extending:
        schema["if"] = {
            "required": ["protocol"],
            "properties": {"protocol": {"required": ["extends"], **_AND_MORE}},
            **_AND_MORE,
        }
        schema["else"] = _whole_file()
    schema["$defs"] = {
        "condition": _table(Condition),
        "condition-in-part": _table(Condition, in_part=True),
    }
    return schema


def schema_text(*, extending: bool = False) -> str:
    """Return the schema as a JSON text in ASCII, the same in every locale."""
    return json.dumps(protocol_schema(extending=extending), indent=2) + "\n"


def _tables() -> Mapping[str, Any]:
    return {key: expected for key, (_, expected, _) in keys_of(Protocol).items()}


def _top(key: str, expected: Any) -> Schema:
    """Describe one kind of table as a file that extends another may state it."""
    item = _item_of(expected)
    if get_origin(expected) is tuple:
        table = _table(item, in_part=True)
        table["required"] = ["features" if item is Exclusion else "id"]
        for word, about in _PLACEMENT.items():
            table["properties"][word] = {"description": about, "type": "string"}
        shape: Schema = {"type": "array", "items": table}
    elif item is not None:
        shape = _named_tables(_table(item, in_part=True) if attrs.has(item) else _shape(item))
    else:
        shape = {**_table(expected, in_part=True), "required": ["id"]}
    return _described(shape, words_for_key(Protocol, key, expected))


def _described(shape: Schema, words: str) -> Schema:
    """Put the words of a key first, in place of those for every table of this class."""
    return {"description": words} | shape | {"description": words}


def _removal() -> Schema:
    return {
        "description": _REMOVE,
        "type": "object",
        "additionalProperties": False,
        "properties": {
            word: {
                "description": f"What to take away of {word.replace('_', ' ')}, by id.",
                "type": "array",
                "items": {"type": "string"},
            }
            for word in KINDS
        },
    }


def _whole_file() -> Schema:
    """Add what a file must say that has nothing to inherit it from."""
    added: Schema = {"remove": _NEVER}
    for key, expected in _tables().items():
        item = _item_of(expected)
        if get_origin(expected) is tuple:
            whole = _whole_table(item)
            nothing_to_stand_by = dict.fromkeys(_PLACEMENT, _NEVER)
            whole["properties"] = {**whole.get("properties", {}), **nothing_to_stand_by}
            added[key] = {"items": whole}
        elif item is not None and attrs.has(item):
            added[key] = {"additionalProperties": _whole_table(item)}
        elif attrs.has(expected):
            added[key] = _whole_table(expected)
    return {"properties": added, **_AND_MORE}


def _whole_table(cls: type) -> Schema:
    """Return what a table that is stated in part does not demand: its keys, at each depth."""
    added = _demands(cls) | _AND_MORE
    for key, (_, expected, _) in keys_of(cls).items():
        item = _item_of(expected)
        if _is_merged_by_name(expected, item):
            added.setdefault("properties", {})[key] = {"additionalProperties": _whole_table(item)}
    return added


def _is_merged_by_name(expected: Any, item: Any) -> bool:
    """Say whether a key holds named tables that an extension may state in part."""
    return (
        get_origin(expected) is not tuple
        and item is not None
        and attrs.has(item)
        and item is not Condition
    )


def _demands(cls: type) -> Schema:
    """Return what a table of this class must state, where it stands whole."""
    required = [key for key, (_, _, is_required) in keys_of(cls).items() if is_required]
    demands: Schema = {"required": required} if required else {}
    if cls is Condition:
        keys = {name: key for key, (name, _, _) in keys_of(Condition).items()}
        subjects = [[keys[name]] for name in SUBJECTS]
        demands["oneOf"] = [
            {"required": [*subject, *(["at_least"] if subject == ["count"] else [])]}
            for subject in subjects
        ]
    elif cls in _EXACTLY_ONE_OF:
        demands["oneOf"] = [{"required": [key]} for key in _EXACTLY_ONE_OF[cls]]
    elif cls is Band:
        demands["minProperties"] = 2  # its label and a bound
    elif cls is LookedUp:
        demands |= {"minProperties": 1, "maxProperties": 1}
    return demands


def _table(cls: type, *, in_part: bool = False) -> Schema:
    """Describe the table of a class, whole or as far as an extension states it.

    Named tables inside a table that is stated in part are merged by name, so that they too may
    be stated in part; a list or a condition replaces the inherited one and is whole.
    """
    properties = {}
    for key, (_, expected, required) in keys_of(cls).items():
        item = _item_of(expected)
        if in_part and _is_merged_by_name(expected, item):
            shape = _named_tables(_by_reference(item, in_part=True))
        else:
            shape = _shape(expected)
        properties[key] = {
            **_described(shape, words_for_key(cls, key, expected)),
            **_narrowed(cls, key, shape, expected, required=required),
            **_default(cls, key),
        }
    return {
        "description": words_for_class(cls),
        "type": "object",
        "additionalProperties": False,
        "properties": properties,
        **({} if in_part else _demands(cls)),
    }


def _shape(expected: Any) -> Schema:
    origin = get_origin(expected)
    if origin in (Union, types.UnionType):
        return _one_of_types(get_args(expected))
    if origin is tuple:
        items = get_args(expected)
        fixed = {} if items[-1] is Ellipsis else {"minItems": len(items), "maxItems": len(items)}
        return {"type": "array", "items": _shape(items[0]), **fixed}
    if origin is not None:
        return _named_tables(_shape(get_args(expected)[1]))
    if attrs.has(expected):
        return _by_reference(expected)
    if issubclass(expected, Enum):
        return {"type": "string", "enum": [member.value for member in expected]}
    return {"type": _SCALARS[expected]}


def _one_of_types(members: tuple[Any, ...]) -> Schema:
    """Put the types of a union side by side: keywords of one say nothing about the others."""
    merged: Schema = {}
    kinds: list[str] = []
    for member in members:
        if member is type(None):
            continue
        shape = _shape(member)
        kinds += [shape["type"]] if isinstance(shape.get("type"), str) else shape.get("type", [])
        merged |= shape
    kinds = [kind for kind in dict.fromkeys(kinds) if kind != "integer" or "number" not in kinds]
    if kinds:
        merged["type"] = kinds if len(kinds) > 1 else kinds[0]
    return merged


def _named_tables(item: Schema) -> Schema:
    return {
        "type": "object",
        "propertyNames": {"pattern": ID_PATTERN},
        "additionalProperties": item,
    }


def _by_reference(cls: type, *, in_part: bool = False) -> Schema:
    """Refer to a condition, which may hold itself; write any other table where it stands."""
    if cls is not Condition:
        return _table(cls, in_part=in_part)
    return {"$ref": "#/$defs/condition-in-part" if in_part else "#/$defs/condition"}


def _narrowed(cls: type, key: str, shape: Schema, expected: Any, *, required: bool) -> Schema:
    """Return what the reader demands of a value beyond its type."""
    if (cls, key) == (Derived, "calculation"):
        return {"enum": list(CALCULATIONS)}
    if (cls, key) == (Feature, "cautious"):
        return {"enum": ["low", "high"]}
    if (cls, key) == (Scale, "grades"):
        ids = {"type": "string", "pattern": ID_PATTERN}
        return {"items": ids, "minItems": 2, "maxItems": MOST_CHOICES}
    if cls is Effect and key in AMOUNT_VERBS:
        return {"type": ["number", "object"]}
    if shape.get("type") == "string" and "enum" not in shape:
        return _narrowed_text(key, required=required)
    if shape.get("type") != "array":
        return {}
    narrowed: Schema = {}
    if shape["items"] == {"type": "string"} and key in _NAMING_KEYS:
        narrowed["items"] = {"type": "string", "pattern": ID_PATTERN}
    # An empty list says something only where leaving it out means the same.
    if "minItems" not in shape and (required or type(None) in get_args(expected)):
        narrowed["minItems"] = 1
    return narrowed


def _narrowed_text(key: str, *, required: bool) -> Schema:
    if key in _NAMING_KEYS:
        return {"pattern": ID_PATTERN}
    return {"pattern": _SOME_TEXT} if required else {}


def _default(cls: type, key: str) -> Schema:
    """Return what a key that is left out counts as, where there is something to say."""
    name, _, _ = keys_of(cls)[key]
    default = attrs.fields_dict(cls)[name].default
    if isinstance(default, Enum) and default is not attrs.NOTHING:
        default = default.value
    return {"default": default} if isinstance(default, str | int | float) and default != "" else {}


def _item_of(expected: Any) -> Any:
    """Return the class of the elements of a list or of named tables; none for another type."""
    origin = get_origin(expected)
    if origin is tuple:
        return get_args(expected)[0]
    if origin in (None, Union, types.UnionType):
        return None
    return get_args(expected)[1]
