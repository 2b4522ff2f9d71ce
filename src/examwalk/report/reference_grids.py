"""Numbers against their reference values as tables: each population beside where a number lies."""

from collections.abc import Iterator, Sequence
from itertools import groupby

from examwalk.language import say
from examwalk.protocol.exam_model import Test
from examwalk.protocol.model import Protocol
from examwalk.reasoning.norms import Referenced
from examwalk.report.document import Grid
from examwalk.report.grounds import sentence
from examwalk.report.norm_words import (
    NONE_BECAUSE,
    described,
    item_of,
    verdict_words,
    with_unit,
)
from examwalk.report.record_sources import Cited
from examwalk.report.sides import side_heading
from examwalk.session.model import BOTH_FEET, Side

Row = tuple[str, ...]


def reference_grids(
    protocol: Protocol, referenced: Sequence[Referenced], cited: Cited
) -> tuple[Grid, ...]:
    """Return the numbers of the whole person and those of each side, with their references."""
    parts = (
        (side_heading(Side.WHOLE), (Side.WHOLE,)),
        (say("Each side"), BOTH_FEET),
    )
    grids = []
    for caption, sides in parts:
        of_sides = [one for one in referenced if one.side in sides]
        rows: list[Row] = []
        for _, group in groupby(of_sides, key=lambda one: one.id):
            rows += _rows(protocol, list(group), sides, cited)
        heads = (say("Result"),) if len(sides) == 1 else map(side_heading, sides)
        if rows:
            columns = (say("Number and reference"), *heads)
            grids.append(Grid(caption, columns, tuple(rows), has_long_names=True))
    return tuple(grids)


def _rows(
    protocol: Protocol, group: list[Referenced], sides: Sequence[Side], cited: Cited
) -> Iterator[Row]:
    item = item_of(protocol, group[0])
    found = {one.side: one for one in group}

    def cells(words: dict[Side, str]) -> Row:
        return tuple(words.get(side, "") for side in sides)

    name = item.name if isinstance(item, Test) else item.title
    if any(one.disagree for one in group):
        name += "\n" + say("Authors disagree on what is normal here.")
    yield (name, *cells({side: _number(protocol, one) for side, one in found.items()}))
    for norm in item.norms:
        placed = {
            side: verdict_words(at) or say("no score")
            for side, one in found.items()
            for at in one.placed
            if at.norm == norm
        }
        if placed:
            what = f"{norm.population}: {'; '.join(described(item, norm))}."
            note = f" {sentence(norm.note)}" if norm.note else ""
            yield (cited.after(f"{what}{note}", (norm.source,)), *cells(placed))


def _number(protocol: Protocol, one: Referenced) -> str:
    number = with_unit(item_of(protocol, one), one.value)
    return f"{number}\n{say(NONE_BECAUSE[one.none_because])}" if one.none_because else number
