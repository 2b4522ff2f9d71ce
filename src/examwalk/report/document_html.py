"""A page as one HTML file that needs nothing else and runs nothing.

Every stored text is escaped; the policy in the head, which allows one style by its hash, is a
second guard behind that.
"""

import base64
import hashlib
from collections.abc import Iterator
from html import escape
from typing import assert_never

from examwalk.language import chosen_language
from examwalk.report.document import Block, Grid, Listing, Page, Picture, Section, Tone, Words
from examwalk.report.page_style import style_of

_NAMESPACE = ' xmlns="http://www.w3.org/2000/svg"'


def page_html(page: Page, paper: str = "A4") -> str:
    """Return a page as HTML.

    Args:
        page: what stands on it.
        paper: the paper it is printed on, ``A4`` or ``letter``.
    """
    style = style_of(page, paper)
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    policy = (
        f"default-src 'none'; style-src 'sha256-{digest}'; img-src data:;"
        " base-uri 'none'; form-action 'none'"
    )
    return (
        f'<!DOCTYPE html>\n<html lang="{_safe(chosen_language())}">\n<head>\n'
        '<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{_safe(page.title)} – {_safe(page.running)}</title>\n"
        f"<style>{style}</style>\n</head>\n"
        f'<body class="{_safe(page.kind)}">\n<main>\n{"".join(_body(page))}</main>\n'
        "</body>\n</html>\n"
    )


def _body(page: Page) -> Iterator[str]:
    yield f"<header>\n<h1>{_safe(page.title)}</h1>\n"
    yield f'<p class="standing">{_safe(page.standing)}</p>\n'
    if page.standing_means:
        yield f'<p class="quiet">{_safe(page.standing_means)}</p>\n'
    yield '<dl class="facts">\n'
    for name, value in page.facts:
        yield f"<div><dt>{_safe(name)}</dt><dd>{_lines(value)}</dd></div>\n"
    yield "</dl>\n</header>\n"
    for section in page.sections:
        yield from _section(section)
    if page.signing:
        yield '<div class="signing">\n'
        yield from (f'<p>{_safe(name)} <span class="rule"></span></p>\n' for name in page.signing)
        yield "</div>\n"
    if page.closing:
        yield f'<p class="closing">{_safe(page.closing)}</p>\n'


def _section(section: Section) -> Iterator[str]:
    yield '<section class="warns">\n' if section.warns else "<section>\n"
    yield f"<h2>{_safe(section.title)}</h2>\n"
    if section.in_columns:
        yield '<div class="in-columns">\n'
    pictured = False
    for block in section.blocks:
        # A picture and the table that follows it stand side by side where there is room.
        if isinstance(block, Picture) and not pictured:
            yield '<div class="pictured">\n'
        yield _block(block, section)
        if pictured and not isinstance(block, Picture):
            yield "</div>\n"
        pictured = isinstance(block, Picture)
    if pictured:
        yield "</div>\n"
    yield "</div>\n</section>\n" if section.in_columns else "</section>\n"


def _block(block: Block, section: Section) -> str:
    match block:
        case Words():
            tone = "" if block.tone is Tone.PLAIN else f' class="{block.tone.value}"'
            blank = ' <span class="rule"></span>' if block.tone is Tone.BLANK else ""
            return f"<p{tone}>{_lines(block.text)}{blank}</p>\n"
        case Listing():
            item_html = _headed if block.are_headed else _lines
            items = "".join(f"<li>{item_html(item)}</li>\n" for item in block.items)
            numbered = ' class="numbered"' if block.are_numbered else ""
            return f"<ul{numbered}>\n{items}</ul>\n"
        case Grid():
            return _grid(block, is_named=block.caption != section.title)
        case Picture():
            # Inside HTML the elements of a drawing are known without their namespace.
            caption = f"<figcaption>{_safe(block.caption)}</figcaption>" if block.caption else ""
            return f"<figure>{block.svg.replace(_NAMESPACE, '')}{caption}</figure>\n"
        case _:
            assert_never(block)


def _grid(grid: Grid, *, is_named: bool) -> str:
    """Write a table; its caption is not shown where a heading has just said the same."""
    heads = "".join(f'<th scope="col">{_safe(column)}</th>' for column in grid.columns)
    rows = "".join(
        f'<tr><th scope="row">{_lines(row[0])}</th>'
        + "".join(f"<td>{_lines(cell)}</td>" for cell in row[1:])
        + "</tr>\n"
        for row in grid.rows
    )
    wide = len(grid.columns) - 1
    names = " long-names" if grid.has_long_names else ""
    names = " short-names" if grid.has_short_names else names
    unseen = "" if is_named else ' class="unseen"'
    return (
        f'<table class="columns-{wide}{names}">\n<caption{unseen}>{_safe(grid.caption)}</caption>\n'
        f"<thead><tr>{heads}</tr></thead>\n<tbody>\n{rows}</tbody>\n</table>\n"
    )


def _lines(text: str) -> str:
    return "<br>".join(_safe(line) for line in text.split("\n"))


def _headed(text: str) -> str:
    head, *more = text.split("\n")
    return "<br>".join((f"<strong>{_safe(head)}</strong>", *map(_safe, more)))


def _safe(text: str) -> str:
    """Escape a text, and show as a dash what is empty, so that no cell looks forgotten."""
    return escape(text, quote=True) or "—"
