"""A page as plain text or as Markdown."""

import re
from collections.abc import Iterator
from textwrap import wrap
from typing import assert_never

from examwalk.report.document import Block, Grid, Listing, Page, Picture, Tone, Words

WIDTH = 88
_RULE = "_" * 24
_MARKS = re.compile(r"([\\`*_{}\[\]<>#|~])")
_FIRST = re.compile(r"^(\s*)([-+]|\d+[.)])(\s)")


def page_text(page: Page) -> str:
    """Return a page as text for a person, ending in a newline."""
    return "\n".join(_text(page)) + "\n"


def _text(page: Page) -> Iterator[str]:
    yield page.title
    yield "=" * len(page.title)
    yield page.standing
    yield from _wrapped(page.standing_means)
    for name, value in page.facts:
        yield from _wrapped(f"{name}: {value or '—'}")
    for section in page.sections:
        yield from ("", section.title, "-" * len(section.title))
        for block in section.blocks:
            yield from _block_text(block, section.title)
    yield ""
    yield from (f"{name} {_RULE}" for name in page.signing)
    yield from _wrapped(page.closing)


def _block_text(block: Block, heading: str) -> Iterator[str]:
    match block:
        case Words():
            yield from _wrapped(f"{block.text} {_RULE}" if _is_blank(block) else block.text)
        case Listing():
            for item in block.items:
                first, *more = item.split("\n")
                yield from _wrapped(f"- {first}", hang=2)
                for line in more:
                    yield from _wrapped(f"  {line}", hang=2)
        case Grid():
            yield from _grid_text(block, heading)
        case Picture():
            yield from _wrapped(block.words)
            yield from ("", *block.plot, "") if block.plot else ()
        case _:
            assert_never(block)


def _grid_text(grid: Grid, heading: str) -> Iterator[str]:
    """Yield a table row by row; a caption that the heading has just said is left out."""
    if grid.caption != heading:
        yield f"{grid.caption}:"
    for row in grid.rows:
        if grid.has_short_names:
            yield from _wrapped(f"  {row[0]}: {'; '.join(row[1:])}", hang=2)
            continue
        yield from _wrapped("  " + row[0].replace("\n", "\n    "), hang=2)
        for column, cell in zip(grid.columns[1:], row[1:], strict=True):
            yield from _wrapped(f"    {column}: {'; '.join(cell.split(chr(10)))}", hang=2)


def _is_blank(words: Words) -> bool:
    return words.tone is Tone.BLANK


def _wrapped(text: str, hang: int = 0) -> Iterator[str]:
    for line in text.split("\n"):
        indent = len(line) - len(line.lstrip())
        yield from wrap(
            line.strip(),
            WIDTH,
            initial_indent=" " * indent,
            subsequent_indent=" " * (indent + hang),
        )


def page_markdown(page: Page) -> str:
    """Return a page as Markdown; nothing in a stored text is read as a mark."""
    return "\n".join(_markdown(page)) + "\n"


def _markdown(page: Page) -> Iterator[str]:
    yield f"# {_plain(page.title)}"
    yield ""
    yield f"**{_plain(page.standing)}**"
    yield ""
    if page.standing_means:
        yield from (_plain(page.standing_means), "")
    yield from (f"- {_plain(name)}: {_plain(value) or '—'}" for name, value in page.facts)
    for section in page.sections:
        yield from ("", f"## {_plain(section.title)}", "")
        for block in section.blocks:
            yield from _block_markdown(block, section.title)
            yield ""
    yield from (f"{_plain(name)}: {_plain(_RULE)}\n" for name in page.signing)
    yield _plain(page.closing)


def _block_markdown(block: Block, heading: str) -> Iterator[str]:
    match block:
        case Words():
            text = _plain(block.text)
            if _is_blank(block):
                text = f"{text} {_plain(_RULE)}"
            yield f"**{text}**" if block.tone is Tone.STRONG else text
        case Listing():
            yield from (f"- {_plain(item)}" for item in block.items)
        case Grid():
            if block.caption != heading:
                yield from (f"{_plain(block.caption)}:", "")
            yield _row(block.columns)
            yield "|" + " --- |" * len(block.columns)
            yield from (_row(row) for row in block.rows)
        case Picture():
            yield _plain(block.words)
            yield from ("", "```text", *block.plot, "```") if block.plot else ()
        case _:
            assert_never(block)


def _row(cells: tuple[str, ...]) -> str:
    return "| " + " | ".join(_plain(cell) or "—" for cell in cells) + " |"


def _plain(text: str) -> str:
    """Write a text on one line and so that Markdown takes no character of it as a mark."""
    line = _MARKS.sub(r"\\\1", "; ".join(filter(None, text.split("\n"))))
    return _FIRST.sub(r"\1\\\2\3", line)
