"""What the tests of screens share."""

from functools import wraps
from typing import Any

from textual.css.model import RuleSet
from textual.css.stylesheet import Stylesheet

_parse = Stylesheet._parse_rules
_parsed: dict[tuple[object, ...], list[RuleSet]] = {}


@wraps(_parse)
def _parsed_once(self: Stylesheet, *source: Any, **where: Any) -> list[RuleSet]:
    key = (source, *where.items(), *self._variables.items())
    if key not in _parsed:
        _parsed[key] = _parse(self, *source, **where)
    return _parsed[key]


# Textual remembers the styles it has parsed within one app; here each test has its own, with mostly
# the same styles. Parsing them anew took a tenth of the time of these tests.
Stylesheet._parse_rules = _parsed_once
