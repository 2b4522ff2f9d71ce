"""Paragraphs that a page of text and a screen show alike: words, and how each is to be stressed."""

from collections.abc import Iterable
from enum import Enum
from string import Formatter
from textwrap import wrap

from attrs import frozen

from examwalk.report.grounds import sentence

COLLISION_SIGN = "◆"


class Stress(Enum):
    """How words are to be stressed, where that is possible."""

    PLAIN = "plain"
    STRONG = "strong"
    QUIET = "quiet"
    WARNING = "warning"
    DONE = "done"


@frozen
class Part:
    """Words in one stress."""

    text: str
    stress: Stress = Stress.PLAIN


@frozen
class Said:
    """One paragraph, standing in by ``indent`` and after its first line by ``hang`` more."""

    parts: tuple[Part, ...]
    indent: int = 0
    hang: int = 0

    @property
    def text(self) -> str:
        """The words alone."""
        return "".join(part.text for part in self.parts)


def said(*parts: Part | str, indent: int = 0, hang: int = 0) -> Said:
    """Join parts, of which plain texts are not stressed, to one paragraph."""
    whole = (part if isinstance(part, Part) else Part(part) for part in parts)
    return Said(tuple(part for part in whole if part.text), indent, hang)


def strong(text: str) -> Part:
    """Return words that matter most."""
    return Part(text, Stress.STRONG)


def quiet(text: str) -> Part:
    """Return words that may recede."""
    return Part(text, Stress.QUIET)


def warning(text: str, indent: int = 0) -> Said:
    """Say what must not be overlooked."""
    return said(Part(f"{COLLISION_SIGN} ", Stress.WARNING), text, indent=indent, hang=2)


def labelled(label: str, text: str, indent: int = 0) -> Said:
    """Say something after a word or two that tell what it is."""
    return said(quiet(f"{label}: "), sentence(text), indent=indent)


def put_in(pattern: str, **values: Part | str) -> tuple[Part | str, ...]:
    """Put parts where a text that was said without them names them."""
    parts: list[Part | str] = []
    for text, name, _, _ in Formatter().parse(pattern):
        parts.append(text)
        if name is not None:
            parts.append(values[name])
    return tuple(parts)


def as_text(paragraphs: Iterable[Said], width: int, indent: int = 0) -> list[str]:
    """Break paragraphs into lines of plain text."""
    lines: list[str] = []
    for one in paragraphs:
        first = indent + one.indent
        lines += wrap(
            one.text,
            width,
            initial_indent=" " * first,
            subsequent_indent=" " * (first + one.hang),
        ) or [""]
    return lines
