"""Every problem of the outlines and figures of a protocol, each as a sentence with its place."""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache
from itertools import pairwise

import attrs

from examwalk.drawing.composing import Board, check_view_box, inherit
from examwalk.drawing.figure import (
    LARGEST_NUMBER,
    MOST_STROKES,
    SUBJECTS,
    SUBJECTS_OF_KEY,
    Bend,
    Figure,
    Following,
    Outline,
    Part,
    UndrawableError,
)
from examwalk.drawing.placing import Places, nearest
from examwalk.drawing.sketching import chains_of_stroke, landmarks_of

KeyPath = tuple[str | int, ...]
Fault = tuple[int, str]
"""The identity of a part, which figures that are alike share, and what is wrong with it."""
LONGEST_ALT = 240
"""Characters; a sentence that is heard, not read."""
_PLACEHOLDERS = ("side", "value")
_PLACEHOLDER = re.compile(r"\{([^{}]*)\}")


@attrs.frozen
class FigureProblem:
    """What is wrong with a figure or an outline."""

    path: KeyPath
    """The keys that lead to it, from the top of the file."""
    message: str
    """A sentence that names the figure and the part."""


def find_problems(
    outlines: Mapping[str, Outline], figures: Mapping[str, Figure]
) -> tuple[FigureProblem, ...]:
    """Return every problem, outlines first, in the order of the file."""
    found = [problem for name in outlines for problem in _of_outline(name, outlines[name])]

    @cache
    def faults(name: str) -> Sequence[Fault]:
        return _faults(name, outlines, figures)

    for name in figures:
        found.extend(_of_figure(name, figures, faults))
    return tuple(found)


def _of_outline(name: str, outline: Outline) -> Iterator[FigureProblem]:
    path: KeyPath = ("outlines", name)
    said = f"outline “{name}”"
    try:
        check_view_box(outline.view_box)
    except UndrawableError as error:
        yield FigureProblem((*path, "view_box"), f"{said}: {error}")
    if not 0 < len(outline.strokes) <= MOST_STROKES:
        message = f"{said}: it has {len(outline.strokes)} strokes; 1 to {MOST_STROKES}."
        yield FigureProblem((*path, "strokes"), message)
    try:
        marks = landmarks_of(outline)
    except UndrawableError as error:
        yield FigureProblem((*path, "landmarks"), f"{said}, landmarks: {error}")
        return
    for stroke_name, stroke in outline.strokes.items():
        try:
            chains_of_stroke(stroke, Places(None, {name: marks}))
        except UndrawableError as error:
            where = (*path, "strokes", stroke_name)
            yield FigureProblem(where, f"{said}, stroke “{stroke_name}”: {error}")


def _of_figure(
    name: str, figures: Mapping[str, Figure], faults_of: Callable[[str], Sequence[Fault]]
) -> Iterator[FigureProblem]:
    path: KeyPath = ("figures", name)
    said = f"figure “{name}”"
    figure = figures[name]
    try:
        whole = inherit(name, figures)
    except UndrawableError as error:
        yield FigureProblem(path, f"{said}: {error}{_unknown_hint(figure, figures)}")
        return
    for message in _alt_faults(whole.alt):
        yield FigureProblem((*path, "alt"), f"{said}: {message}")
    if not whole.parts:
        yield FigureProblem((*path, "parts"), f"{said}: it has no parts.")
    if whole.drawn_at is None and [v for part in whole.parts for v in _values_followed(part)]:
        message = "its parts follow a number; “drawn_at” must say which one is drawn at first."
        yield FigureProblem(path, f"{said}: {message}")
    numbers = {id(part): number for number, part in enumerate(figure.parts)}
    told_there = set(faults_of(figure.like)) if figure.like else set()
    faults = [fault for fault in faults_of(name) if fault not in told_there]
    for part in figure.parts:
        faults.extend((id(part), message) for message in _key_faults(part, figure.parts))
    for part_id, message in faults:
        if part_id in numbers:
            number = numbers[part_id]
            part_said = f"{said}, part {number + 1}{_kind(figure.parts[number])}"
            yield FigureProblem((*path, "parts", number), f"{part_said}: {message}")
        else:
            lost = f"a part of “{figure.like}” no longer fits here: {message}"
            yield FigureProblem((*path, "like"), f"{said}: {lost}")


def _unknown_hint(figure: Figure, figures: Mapping[str, Figure]) -> str:
    return nearest(figure.like, figures) if figure.like and figure.like not in figures else ""


def _kind(part: Part) -> str:
    """Name a part as its reader would: by its id, or by what it is."""
    if part.id:
        return f" (“{part.id}”)"
    if part.outline:
        return f" (“{part.outline}”)"
    given = next((subject for subject in SUBJECTS if getattr(part, subject) is not None), "")
    return f" ({given})" if given else ""


def _alt_faults(alt: str) -> Iterator[str]:
    if not alt:
        yield "it has no “alt”, one sentence that says what is seen."
    elif not alt.endswith(".") or "\n" in alt or len(alt) > LONGEST_ALT:
        yield (
            f"“alt” must be one sentence on one line, with a full stop at its end and at most"
            f" {LONGEST_ALT} characters."
        )
    for name in _PLACEHOLDER.findall(alt):
        if name not in _PLACEHOLDERS:
            yield f"“alt” may hold {{side}} and {{value}}, not {{{name}}}."


def _faults(
    name: str, outlines: Mapping[str, Outline], figures: Mapping[str, Figure]
) -> Sequence[Fault]:
    """Return what hinders the parts of a figure from being drawn, at the extremes it follows."""
    try:
        whole = inherit(name, figures)
    except UndrawableError:
        return []
    values = [value for part in whole.parts for value in _values_followed(part)]
    tried: set[float | None] = {whole.drawn_at}
    tried |= {min(values), max(values)} if values else set()
    found: dict[tuple[int, str], None] = {}
    for value in tried:
        board = Board(whole.view_box, outlines, value)
        for part in whole.parts:
            try:
                board.add(part)
            except UndrawableError as error:
                found.setdefault((id(part), str(error)))
    return list(found)


def _key_faults(part: Part, among: Sequence[Part]) -> Iterator[str]:
    for key, subjects in SUBJECTS_OF_KEY.items():
        default = getattr(attrs.fields(Part), key).default
        if getattr(part, key) != default and not any(
            getattr(part, subject) is not None for subject in subjects
        ):
            yield f"“{key}” means something only with {' or '.join(subjects)}."
    for following in _followings(part):
        values = [value for value, _ in following.follows]
        if any(later <= earlier for earlier, later in pairwise(values)):
            yield "the values of “follows” must rise from pair to pair."
    if part.id and sum(other.id == part.id for other in among) > 1:
        yield f"the id “{part.id}” is given to two parts of this figure."


def _values_followed(part: Part) -> Iterator[float]:
    for following in _followings(part):
        yield from (value for value, _ in following.follows if abs(value) <= LARGEST_NUMBER)


def _followings(given: object) -> Iterator[Following]:
    """Find the amounts that follow a number anywhere within a part."""
    if isinstance(given, Following):
        yield given
    elif isinstance(given, tuple):
        for item in given:
            yield from _followings(item)
    elif isinstance(given, Part | Bend):
        for attribute in attrs.fields(type(given)):
            yield from _followings(getattr(given, attribute.name))
