"""Every figure of a protocol as files: SVG, terminal text, and one sheet of all."""

from collections.abc import Sequence
from pathlib import Path

from attrs import evolve, frozen

from examwalk.drawing.sheet import Entry, Plate, alike, contact_sheet
from examwalk.files import write_atomically
from examwalk.language import say
from examwalk.protocol.figures import atlas_of, figure_of_choice, figure_of_test
from examwalk.protocol.model import Protocol
from examwalk.protocol.wording import choices_of

TERMINAL_SIZES = ((40, 14), (60, 20))
LEAST_DIFFERENCE = 0.05
"""Neighbouring grades must differ by this share of their dots."""


@frozen
class Written:
    """What was written."""

    count: int
    sheet: Path
    alike: tuple[str, ...]
    """Neighbours that are hard to tell apart, each as a sentence."""


def write_figures(protocol: Protocol, folder: Path) -> Written:
    """Write each figure as SVG and as terminal text, and one HTML sheet, into a folder.

    Raises:
        SaveFailedError: the disk refused.
    """
    atlas = atlas_of(protocol)
    for name in protocol.figures:
        _write(folder / f"{name}.svg", atlas.svg(name, frame_mm=60))
        for size in TERMINAL_SIZES:
            picture = atlas.braille(name, size)
            lines = picture.lines if picture else (atlas.words(name),)
            width, height = size
            _write(folder / f"{name}-{width}x{height}.txt", "\n".join(lines) + "\n")
    plates = plates_of(protocol)
    sheet = folder / "figures.html"
    _write(sheet, contact_sheet(protocol.identity.title, plates, atlas))
    found = alike(grades_alone(plates), atlas, TERMINAL_SIZES[0], LEAST_DIFFERENCE)
    return Written(
        count=len(protocol.figures),
        sheet=sheet,
        alike=tuple(
            say(
                "{plate}: “{first}” and “{second}” differ in only {share} of their dots.",
                plate=pair.plate,
                first=pair.first.figure,
                second=pair.second.figure,
                share=f"{pair.difference:.0%}",
            )
            for pair in found
        ),
    )


def plates_of(protocol: Protocol) -> tuple[Plate, ...]:
    """Return the figures test by test: how it is done, then each grade or option."""
    plates = []
    for test in protocol.tests_in_order:
        how = figure_of_test(protocol, test)
        entries = [Entry(how)] if how else []
        for choice in choices_of(protocol, test):
            figure = figure_of_choice(protocol, test, choice.id)
            if figure is not None:
                entries.append(Entry(figure, caption=choice.label))
        if entries:
            plates.append(Plate(test.title, tuple(entries)))
    return tuple(plates)


def grades_alone(plates: Sequence[Plate]) -> tuple[Plate, ...]:
    """Leave out the drawings of how a test is done, which may well be like one of its grades."""
    return tuple(
        evolve(plate, entries=tuple(entry for entry in plate.entries if entry.caption))
        for plate in plates
    )


def _write(path: Path, text: str) -> None:
    write_atomically(path, text.encode(), keep_previous=False)
