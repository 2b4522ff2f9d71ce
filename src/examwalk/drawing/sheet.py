"""A contact sheet of many figures as one HTML file, and which neighbours look too much alike."""

import base64
import hashlib
from collections.abc import Iterator, Sequence
from html import escape
from itertools import pairwise

from attrs import frozen

from examwalk.drawing.atlas import Atlas
from examwalk.drawing.braille import Braille

SIZES = ((40, 14), (60, 20))
"""Columns and rows of the braille pictures on a sheet."""
LEAST_DIFFERENCE = 0.05
"""Neighbours of which a smaller share of dots stands apart look alike."""
_BITS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
_STYLE = """
:root { color-scheme: light; }
body { margin: 6mm; font: 9pt sans-serif; color: black; background: white; }
h1 { font-size: 14pt; } h2 { font-size: 11pt; margin: 4mm 0 1mm; }
section { break-inside: avoid; }
.row { display: flex; flex-wrap: wrap; gap: 4mm; }
figure { margin: 0; padding: 1mm; border: 0.2mm solid #bbb; break-inside: avoid; }
figcaption { max-width: 125mm; }
.id { font-weight: bold; }
.shown { display: flex; gap: 2mm; align-items: flex-end; }
.dots { background: #111; }
"""


@frozen
class Entry:
    """One figure on a sheet, at a value where one is given."""

    figure: str
    caption: str = ""
    value: float | None = None


@frozen
class Plate:
    """Figures that stand side by side and must be told apart: the grades of a test, in order."""

    title: str
    entries: tuple[Entry, ...]


@frozen
class Alike:
    """Two neighbours on a plate that are hard to tell apart on the screen."""

    plate: str
    first: Entry
    second: Entry
    difference: float
    """The share of the dots of both that the other one has nothing near to."""

    def __str__(self) -> str:
        return (
            f"{self.plate}: “{_name(self.first)}” and “{_name(self.second)}” differ in"
            f" {self.difference:.0%} of their dots."
        )


def alike(
    plates: Sequence[Plate],
    atlas: Atlas,
    size: tuple[int, int] = SIZES[0],
    least: float = LEAST_DIFFERENCE,
) -> tuple[Alike, ...]:
    """Return the neighbours that differ in less than this share of their dots.

    Figures that cannot be drawn are passed over: they have problems of their own.
    """
    found = []
    for plate in plates:
        for first, second in pairwise(plate.entries):
            pictures = [atlas.braille(one.figure, size, one.value) for one in (first, second)]
            if pictures[0] is None or pictures[1] is None:
                continue
            share = difference(pictures[0], pictures[1])
            if share < least:
                found.append(Alike(plate.title, first, second, share))
    return tuple(found)


def difference(first: Braille, second: Braille) -> float:
    """Return the share of the dots of two pictures that the other one has nothing near to.

    A line that is shifted by one dot looks the same; so only a dot that is further than one dot
    from every dot of the other picture counts.
    """
    one, other = set(_dots(first)), set(_dots(second))
    strays = len(one - _widened(other)) + len(other - _widened(one))
    return strays / len(one | other) if one | other else 0.0


def _widened(dots: set[tuple[int, int]]) -> set[tuple[int, int]]:
    around = (-1, 0, 1)
    return {(x + right, y + down) for x, y in dots for right in around for down in around}


def contact_sheet(title: str, plates: Sequence[Plate], atlas: Atlas) -> str:
    """Return one HTML page that needs nothing else: each figure as SVG and in braille.

    The braille is drawn dot by dot, so that it looks the same whatever fonts there are.
    """
    digest = base64.b64encode(hashlib.sha256(_STYLE.encode()).digest()).decode()
    policy = f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
    body = "".join(_section(plate, atlas) for plate in plates)
    return (
        '<!DOCTYPE html><html lang="en"><head><meta charset="utf-8">'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">'
        f"<title>{escape(title)}</title><style>{_STYLE}</style></head>"
        f"<body><h1>{escape(title)}</h1>{body}</body></html>\n"
    )


def _section(plate: Plate, atlas: Atlas) -> str:
    figures = "".join(_figure(entry, atlas) for entry in plate.entries)
    return f'<section><h2>{escape(plate.title)}</h2><div class="row">{figures}</div></section>'


def _figure(entry: Entry, atlas: Atlas) -> str:
    words = atlas.words(entry.figure, entry.value)
    caption = f'<figcaption><span class="id">{escape(_name(entry))}</span> {escape(words)}'
    svg = atlas.svg(entry.figure, entry.value, frame_mm=60)
    if not svg:
        return f"<figure>{caption} This figure cannot be drawn.</figcaption></figure>"
    pictures = (atlas.braille(entry.figure, size, entry.value) for size in SIZES)
    dots = "".join(_dotted(picture) for picture in pictures if picture is not None)
    return f'<figure><div class="shown">{svg}{dots}</div>{caption}</figcaption></figure>'


def _name(entry: Entry) -> str:
    number = "" if entry.value is None else f" at {entry.value:g}"
    return f"{entry.caption or entry.figure}{number}"


def _dotted(picture: Braille) -> str:
    """Draw the dots of braille text at two pixels each, light on dark."""
    width, height = 2 * len(picture.lines[0]), 4 * len(picture.lines)
    data = "".join(f"M{x + 0.5} {y + 0.5}h0" for x, y in _dots(picture))
    return (
        f'<svg class="dots" viewBox="0 0 {width} {height}" width="{2 * width}"'
        f' height="{2 * height}" aria-hidden="true"><path d="{data}" stroke="white"'
        ' stroke-width="0.85" stroke-linecap="round"/></svg>'
    )


def _dots(picture: Braille) -> Iterator[tuple[int, int]]:
    for row, line in enumerate(picture.lines):
        for column, character in enumerate(line):
            cell = ord(character) & 0xFF if character != " " else 0
            for down, bits in enumerate(_BITS):
                for right, bit in enumerate(bits):
                    if cell & bit:
                        yield 2 * column + right, 4 * row + down
