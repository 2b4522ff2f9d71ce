"""A written page as plain parts, before it becomes HTML, text or Markdown."""

from enum import Enum

from attrs import frozen


class Tone(Enum):
    """How a paragraph is meant."""

    PLAIN = "plain"
    STRONG = "strong"
    QUIET = "quiet"
    BLANK = "blank"
    """A line to write on by hand follows."""


@frozen
class Words:
    """One paragraph."""

    text: str
    tone: Tone = Tone.PLAIN


@frozen
class Listing:
    """Items in no order."""

    items: tuple[str, ...]
    are_headed: bool = False
    """The first line of each is its heading."""
    are_numbered: bool = False
    """Each begins with a number of its own, so that no other sign is put before it."""


@frozen
class Grid:
    """A table; the first cell of each row says what the row is about."""

    caption: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    """A line break in a cell begins a new line there."""
    has_long_names: bool = False
    """The first column needs more room than all others together."""
    has_short_names: bool = False
    """The first column needs little room."""


@frozen
class Picture:
    """A drawing, and in words what it shows."""

    svg: str
    words: str
    """The finding, not only what kind of picture it is."""
    caption: str = ""
    """What stands below it, for who sees it."""
    plot: tuple[str, ...] = ()
    """The same picture in lines of characters, for pages without drawings."""


Block = Words | Listing | Grid | Picture


@frozen
class Section:
    """Parts under one heading."""

    title: str
    blocks: tuple[Block, ...]
    warns: bool = False
    """It is set apart from all others by a frame."""
    in_columns: bool = False
    """On paper it runs down two columns side by side: its lines and drawings are short."""


@frozen
class Page:
    """A whole page."""

    kind: str
    """``record``, ``order`` or another word; the style knows it as a class."""
    title: str
    running: str
    """What stands at the top of every sheet of paper, such as the patient's code."""
    standing: str
    """How binding the page is, such as ``Proposal, not signed``."""
    facts: tuple[tuple[str, str], ...]
    sections: tuple[Section, ...]
    standing_means: str = ""
    """What follows from that, in a sentence or two."""
    signing: tuple[str, ...] = ()
    """What is filled in by hand at the end, each with a line to write on."""
    closing: str = ""
