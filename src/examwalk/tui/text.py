"""The one way for text from a file or a person to reach the screen."""

from string import Formatter

from textual.content import Content

from examwalk.text import clean, clean_line

Part = str | tuple[str, str] | Content


def literal(text: str, style: str = "") -> Content:
    """Return text that is cleaned, keeps its line breaks and is never read as markup."""
    return Content.styled(clean(text), style) if style else Content(clean(text))


def literal_line(text: str, style: str = "") -> Content:
    """Return text as :func:`literal` does, on one line."""
    return literal(clean_line(text), style)


def phrase(*parts: Part) -> Content:
    """Join plain texts, (text, style) pairs and contents; none of them is read as markup."""
    return Content.assemble(
        *(
            part
            if isinstance(part, Content)
            else literal(part)
            if isinstance(part, str)
            else literal(*part)
            for part in parts
        )
    )


def filled(pattern: str, **values: Part) -> Content:
    """Put values, each in its style, where a text that was said without them names them."""
    parts: list[Part] = []
    for text, name, _, _ in Formatter().parse(pattern):
        parts.append(text)
        if name is not None:
            parts.append(values[name])
    return phrase(*parts)


def shortened(text: str, width: int) -> str:
    """Return text on one line and cut to a width in cells, an ellipsis in place of the rest."""
    line = Content(clean_line(text))
    if line.cell_length <= width:
        return line.plain
    return line.truncate(max(1, width), ellipsis=True).plain


def hanging(head: Content, body: Content, width: int) -> list[Content]:
    """Wrap a body to a width behind its head, further lines indented as far as the head."""
    indent = head.cell_length
    lines = body.wrap(max(1, width - indent))
    return [
        head.append(line) if number == 0 else line.pad_left(indent)
        for number, line in enumerate(lines)
    ]


def goes_on(line: Content, width: int, more: str) -> Content:
    """Cut a line between two of its words, and say at its end that there is more."""
    room = max(0, width - len(more) - 2)
    if line.cell_length > room:
        kept = line.truncate(room).plain
        if line.plain[len(kept) : len(kept) + 1] != " ":
            kept = kept[: kept.rfind(" ") + 1]
        line = line[: len(kept.rstrip(" ·"))]
    return phrase(line.pad_right(room - line.cell_length), (f" {more} ", "$here"))
