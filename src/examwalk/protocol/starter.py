"""A first protocol file of a clinic: its text, and writing it where nothing is lost."""

import contextlib
import json
import re
from collections import Counter
from collections.abc import Iterator, Mapping
from pathlib import Path
from string import Template
from typing import Any

from examwalk.problems import Problem, UnusableFileError
from examwalk.protocol.library import (
    find_protocol,
    is_shipped,
    shipped_folder,
    takes_a_shipped_name,
)
from examwalk.protocol.reading import read_protocol
from examwalk.protocol.schema import schema_text
from examwalk.protocol.structuring import check_id
from examwalk.text import clean_line

SCHEMA_FILE = "protocol.schema.json"
_HERE = Path()
_MOST_LISTED = 8
_BOUNDS = ("at_least", "at_most", "above", "below")

Data = Mapping[str, Any]


def write_starter(name: str, extends: str | None = None, folder: Path = _HERE) -> Path:
    """Write a starter into a folder, and the schema for editors where it has none.

    Args:
        name: the id of the new protocol; the file is called by it.
        extends: the shipped protocol, or the file or folder in that folder, to inherit from.
        folder: where to; it is made where it is not there.

    Raises:
        UnusableFileError: the name cannot be one, is taken, or there is nothing to extend.
        OSError: a file cannot be written.
    """
    text = starter_text(name, extends, folder)
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"{name}.toml"
    try:
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError:
        raise _refusal(
            f"{path} is here already and is left as it is; choose another name, or delete it first."
        ) from None
    with (
        contextlib.suppress(FileExistsError),
        (folder / SCHEMA_FILE).open("x", encoding="utf-8", newline="\n") as file,
    ):
        file.write(schema_text())
    return path


def starter_text(name: str, extends: str | None = None, folder: Path = _HERE) -> str:
    """Return a commented protocol that passes the check and can be walked as it stands.

    Args:
        name: the id of the new protocol.
        extends: what it inherits from, as for ``write_starter``; without it stands alone.
        folder: where the protocol will lie.

    Raises:
        UnusableFileError: the name cannot be one, or what it extends cannot be used.
    """
    _check_name(name)
    words = {"name": name, "title": name.replace("-", " ").capitalize()}
    if extends is None:
        return _template("whole").substitute(words)
    base = read_protocol(find_protocol(extends))
    data = base.document.data
    first = base.protocol.positions[0].id
    neighbours = [test.id for test in base.protocol.tests if test.position == first]
    named = _name_of_base(base.path, folder)
    return _template("extending").substitute(
        words,
        extends=_literal(named),
        base=clean_line(named),
        position=first,
        neighbour=neighbours[0] if neighbours else base.protocol.tests[0].id,
        removal=_removal(data),
        bands=_changed_bands(data),
        cut_off=_changed_cut_off(data),
        steps=_reworded_steps(data),
    )


def _check_name(name: str) -> None:
    if not check_id(name, (), lambda path, message: None):
        shown = clean_line(name[:40])
        fitting = "-".join(re.findall("[a-z0-9]+", name.lower().removesuffix(".toml")))[:40]
        hint = f" Try “{fitting.strip('-')}”." if fitting else ""
        raise _refusal(
            f"a protocol cannot be called “{shown}”: a name is lower-case letters and digits in"
            f" words joined by hyphens.{hint}"
        )
    if takes_a_shipped_name(Path(name)):
        raise _refusal(
            f"“{name}” is a shipped protocol and would be taken for it; choose another name, such"
            f" as “our-{name}”. To build on it: examwalk protocol new our-{name} --extends {name}."
        )


def _refusal(message: str) -> UnusableFileError:
    return UnusableFileError([Problem(message)])


def _template(name: str) -> Template:
    path = shipped_folder() / "starters" / f"{name}.toml.txt"
    return Template(path.read_text(encoding="utf-8"))


def _name_of_base(path: Path, folder: Path) -> str:
    """Return what ``extends`` calls a protocol in a file of a folder."""
    if is_shipped(path):
        return path.stem
    here = folder.resolve()
    if not path.resolve().is_relative_to(here):
        raise _refusal(
            f"“{path}” lies outside {here}; a protocol must lie beside the one it extends. Go to"
            " that folder first."
        )
    return path.resolve().relative_to(here).as_posix()


def _removal(data: Data) -> str:
    """Show how to leave out tests; those that nothing else uses are named."""
    given = Counter(_texts(data))
    free = [
        test["id"] for test in data["test"] if not test.get("safety") and given[test["id"]] == 1
    ]
    if not free:
        return _none("test that nothing else uses")
    return "\n".join(
        (
            f"#    Tests that nothing else uses: {', '.join(free[:_MOST_LISTED])}.",
            "#[remove]",
            f"#tests = {_literal(free[:3])}",
        )
    )


def _texts(value: Any) -> Iterator[str]:
    """Return every text in a table or list, at any depth."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict | list):
        for inner in value.values() if isinstance(value, dict) else value:
            yield from _texts(inner)


def _changed_bands(data: Data) -> str:
    found = (test for test in data["test"] if test.get("bands"))
    return _example("test", found, "bands", "test with bands")


def _changed_cut_off(data: Data) -> str:
    return _example("rule", _rules_with_a_cut_off(data), "when", "rule with a simple cut-off")


def _rules_with_a_cut_off(data: Data) -> Iterator[Data]:
    """Return the rules that hang on one number, those that ask a test before the others."""
    for subject in ("test", "derived"):
        for rule in data.get("rule", ()):
            when = rule.get("when", {})
            numbers = [when[bound] for bound in _BOUNDS if bound in when]
            is_safety = rule.get("class") == "safety"
            if subject in when and not is_safety and any(_is_number(one) for one in numbers):
                yield rule


def _reworded_steps(data: Data) -> str:
    # Later tests are less about safety than the first ones, whose words should stand.
    found = (test for test in reversed(data["test"]) if test.get("how") and not test.get("safety"))
    return _example("test", found, "how", "test with steps")


def _example(kind: str, found: Iterator[Data], key: str, what: str) -> str:
    """Write the first table that is found with one key, as the base has it, commented out."""
    table = next(found, None)
    if table is None:
        return _none(what)
    value = table[key]
    lines = [f"[[{kind}]]", f"id = {_literal(table['id'])}"]
    if isinstance(value, list):
        lines += [f"{key} = [", *(f"{_literal(item)}," for item in value), "]"]
    else:
        lines.append(f"{key} = {_literal(value)}")
    title = table.get("title")
    heading = [f"#    {clean_line(title)}, as it is inherited:"] if title else []
    return "\n".join([*heading, *(f"#{line}" for line in lines)])


def _none(what: str) -> str:
    return f"#    (The protocol that this one extends has no {what}.)"


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _literal(value: object) -> str:
    """Write a value of a protocol as TOML on one line."""
    if isinstance(value, dict):
        pairs = ", ".join(f"{key} = {_literal(inner)}" for key, inner in value.items())
        return f"{{ {pairs} }}"
    if isinstance(value, list):
        return f"[{', '.join(_literal(inner) for inner in value)}]"
    if isinstance(value, str | bool):
        # A string of JSON is one of TOML as well.
        return json.dumps(value, ensure_ascii=False)
    return str(value)
