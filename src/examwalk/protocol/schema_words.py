"""The words of the JSON Schema: the docstrings of the model, read from its source.

Python keeps no docstrings of attributes, and none at all where it runs with ``-OO``.
"""

import ast
import inspect
import sys
from collections.abc import Iterator, Mapping
from enum import Enum
from functools import cache
from typing import Any, get_args

import attrs
from attrs import frozen

from examwalk.protocol.vocabulary import CALCULATIONS

_COMMON: Mapping[str, str] = {
    "id": "What other tables name this by; never used for anything else again.",
    "title": "What it is called on screen and on paper.",
    "label": "What it is called on screen and on paper.",
    "basis": "Where this comes from: ids of sources.",
    "because": "The reason, as a sentence that is shown beside what follows from it.",
    "says": "The sentence that is shown.",
    "why": "Why it matters, in a sentence.",
    "when": "Where this holds.",
    "unit": "The unit of its numbers.",
    "unit_one": "The unit beside the number 1, where it is another word: week of weeks.",
    "step": "The numbers are counted in steps of this size.",
    "note": "What else is to be known.",
    "looks": "What it looks or feels like.",
    "about": "What it is and what it is for.",
    "source": "Where this comes from: the id of a source.",
    "at_least": "This much or more.",
    "at_most": "This much or less.",
    "above": "More than this.",
    "below": "Less than this.",
}
"""Words for keys that mean the same in every table."""

_OWN: Mapping[str, str] = {
    "Protocol.option_sets": "Options that several choices share, by the id of the set.",
    "Protocol.not_done_reasons": "Why a test was not done: the words of each reason by its id.",
    "Identity.id": "What visits name this protocol by. One that extends another needs its own.",
    "Identity.version": "Raise it with each change; visits keep the version they were made under.",
    "Identity.language": "The language of its words, such as en.",
    "Position.instruction": "What the patient is asked to do.",
    "Scale.grades": "The ids of the grades, lowest first.",
    "Scale.labels": "Words for a grade where its id does not say it, by the id of the grade.",
    "Scale.first_score": "The number that the first grade counts as.",
    "Reliability.within_examiner": "One examiner twice, rather than two examiners.",
    "Test.position": "The id of the position in which it is examined.",
    "Test.short_title": "A shorter title for narrow places.",
    "Test.how": "How it is done, step by step.",
    "Test.mistakes": "What is often done wrong.",
    "Test.cautions": "When to leave it out or take care, for the examiner.",
    "Test.ask_when": "Asked only where this holds; it may look at earlier tests.",
    "Test.scale": "For a grade: the id of its scale.",
    "Test.option_set": "For a choice: the id of the option set that it shares with others.",
    "Test.several": "For a choice: more than one option may be chosen.",
    "Points.points": "How many points; below 0 they are taken off.",
    "Row.value": "The value that this row gives.",
    "Derived.parameters": "Numbers that the calculation needs, by the name it gives them.",
    "Derived.decimals": "How many decimals are shown.",
    "Caution.urgency": "How soon: the id of an urgency.",
    "Caution.refer_to": "To whom.",
    "Feature.group": "The heading under which it stands.",
    "Feature.range": "For an amount: the smallest and the largest that can be ordered.",
    "Feature.start": "What it is before any rule: a number, or the id of an option.",
    "Feature.negative": "The word added to amounts below 0.",
    "Feature.applies_when": "Settled only where this holds; it may look at earlier features.",
    "LookedUp.derived": "The id of a derived value.",
    "LookedUp.feature": "The id of an amount that stands before this feature.",
    "Effect.feature": "The id of the feature that it acts on.",
    "Effect.start": "For an amount: begin here instead.",
    "Effect.add": "For an amount: this much more; below 0 it is less.",
    "Effect.at_least": "For an amount: raise it to this where it is less.",
    "Effect.at_most": "For an amount: cut it to this where it is more.",
    "Effect.prefer": "For options: lean towards this one.",
    "Effect.require": "For options: it must be this one.",
    "Effect.rule_out": "For options: it can be none of these.",
    "Exclusion.features": "The ids of the two features, in the order of the file.",
    "Advice.kind": "What sort of advice it is, such as shoes or exercise.",
    "Source.cite": "The source in words, as it is printed.",
    "Outline.landmarks": "Points that figures refer to by name, each right and down.",
    "Following.follows": "Pairs of a value and the amount that goes with it, values ascending.",
    "Part.outline": "The id of an outline that is put in its place.",
    "Part.d": "SVG path data.",
    "Part.mirror": "Turned into its mirror image, left for right.",
    "Condition.test": "Ask about a test, by its id.",
    "Condition.derived": "Ask about a derived value, by its id.",
    "Condition.feature": "Ask about a feature that is settled already, by its id.",
    "Condition.caution": "True when the caution with this id is raised.",
    "Condition.all": "True when every one of these conditions holds.",
    "Condition.any": "True when at least one of these conditions holds.",
    "Condition.not": "True when this condition does not hold.",
    "Condition.is": "It is exactly this.",
    "Condition.is_not": "It is anything but this.",
    "Condition.one_of": "It is any one of these.",
    "Condition.at_least": "It is this or more. For count: so many of the conditions.",
    "Condition.includes_any": "For a choice of several: at least one of these is chosen.",
}
"""Words for keys of one table, where its class leaves them unsaid."""


@frozen
class _Docstrings:
    about: str
    by_attribute: Mapping[str, str]


def words_for_class(cls: type) -> str:
    """Return what a table of this class is, in one paragraph."""
    words = _docstrings(cls).about
    if issubclass(cls, Enum):
        members = _docstrings(cls).by_attribute
        words += "".join(
            f" `{member.value}`: {members[member.name]}" for member in cls if member.name in members
        )
    return words


def words_for_key(cls: type, key: str, expected: Any) -> str:
    """Return what a key of this class's table means; empty where nothing says it.

    Args:
        cls: the class of the table.
        key: the key as it stands in the file.
        expected: the type of its value.
    """
    if key == "calculation":
        listed = (f"`{name}`: {one.about}." for name, one in CALCULATIONS.items())
        return f"The named calculation. {' '.join(listed)}"
    name = next(
        attribute.name
        for attribute in attrs.fields(cls)
        if attribute.metadata.get("key", attribute.name) == key
    )
    said = _docstrings(cls).by_attribute.get(name)
    own = said or _OWN.get(f"{cls.__name__}.{key}")
    if own:
        return own
    of_value = next((words_for_class(one) for one in _classes_in(expected)), "")
    return _COMMON.get(key) or of_value


def _classes_in(expected: Any) -> Iterator[type]:
    """Return the classes of the model in a type, such as that of the elements of a list."""
    if isinstance(expected, type) and (attrs.has(expected) or issubclass(expected, Enum)):
        yield expected
    for inner in get_args(expected):
        yield from _classes_in(inner)


def _docstrings(cls: type) -> _Docstrings:
    return _in_module(cls.__module__)[cls.__name__]


@cache
def _in_module(name: str) -> Mapping[str, _Docstrings]:
    """Read the docstrings of every class of a module and of its attributes."""
    tree = ast.parse(inspect.getsource(sys.modules[name]))
    return {
        node.name: _Docstrings(_plain(ast.get_docstring(node) or ""), dict(_of_attributes(node)))
        for node in tree.body
        if isinstance(node, ast.ClassDef)
    }


def _of_attributes(node: ast.ClassDef) -> Iterator[tuple[str, str]]:
    for statement, following in zip(node.body, node.body[1:], strict=False):
        target = statement.targets[0] if isinstance(statement, ast.Assign) else None
        if isinstance(statement, ast.AnnAssign):
            target = statement.target
        match following:
            case ast.Expr(ast.Constant(str(text))) if isinstance(target, ast.Name):
                yield target.id, _plain(text)


def _plain(docstring: str) -> str:
    """Put a docstring on one line, with the marks of code that editors know."""
    return " ".join(docstring.split()).replace("``", "`")
