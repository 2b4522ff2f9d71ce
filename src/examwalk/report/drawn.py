"""The pieces that charts are drawn of: lines, words, and what was found on either foot."""

from html import escape

Point = tuple[float, float]


def line(
    start: Point, end: Point, colour: str = "black", width: float = 1, *, dashed: bool = False
) -> str:
    """Draw a straight line."""
    dashes = ' stroke-dasharray="4 3"' if dashed else ""
    return (
        f'<path d="M{start[0]:.1f} {start[1]:.1f}L{end[0]:.1f} {end[1]:.1f}" stroke="{colour}"'
        f' stroke-width="{width}" fill="none"{dashes}/>'
    )


def words_at(
    x: float, y: float, words: str, *, anchor: str = "start", bold: bool = False, size: int = 10
) -> str:
    """Write words on one line, with their ``start``, ``middle`` or ``end`` at a point."""
    weight = ' font-weight="bold"' if bold else ""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" font-size="{size}"{weight}>'
        f"{escape(words)}</text>"
    )


def found_mark(x: float, y: float, at: int) -> str:
    """Draw what was found on the left foot (0) as a disc, on the right one (1) as a square."""
    if at == 0:
        return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="5"/>'
    return f'<rect x="{x - 4.5:.1f}" y="{y - 4.5:.1f}" width="9" height="9"/>'


def open_mark(x: float, y: float, radius: float) -> str:
    """Draw a step of a scale on which nothing was found, or what was found first."""
    return (
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius}" fill="white" stroke="#595959"'
        ' stroke-width="1"/>'
    )


def image(name: str, title: str, size: tuple[float, float], drawn: str) -> str:
    """Return an ``<svg>`` element with its text alternative as the title.

    Args:
        name: an id that no other drawing of the page has.
        title: what the drawing shows, as a finding.
        size: width and height of its view box.
        drawn: what is in it.
    """
    named = f"{escape(name, quote=True)}-title"
    return (
        f'<svg role="img" aria-labelledby="{named}" viewBox="0 0 {size[0]:g} {size[1]:g}">'
        f'<title id="{named}">{escape(title)}</title>'
        f'<g font-family="sans-serif" font-size="10" fill="black">{drawn}</g></svg>'
    )


def shortened(name: str, longest: int) -> str:
    """Cut a name to so many characters, with a sign that it was cut."""
    return name if len(name) <= longest else f"{name[: longest - 1]}…"
