"""Everything a protocol says about a test, as lines."""

from collections.abc import Sequence

from textual.content import Content

from examwalk.protocol.entry import keys_of, limits_words
from examwalk.protocol.model import Band, Kind, Protocol, Reliability, Test
from examwalk.protocol.wording import choices_of, number_words
from examwalk.tui.screens.figure_text import Figures
from examwalk.tui.text import hanging, literal, phrase


def everything_about(protocol: Protocol, test: Test, width: int, figures: Figures) -> list[Content]:
    """Write why and how a test is done, how it is read, and how far it can be trusted."""
    sections = (
        ("Careful", _each("▲", test.cautions, width)),
        ("Why", _wrapped(test.why, width)),
        ("How", [*_numbered(test.how, width), *figures.of_test]),
        ("Mistakes", _each("–", test.mistakes, width)),
        ("Answers", [*_answers(protocol, test, width), *figures.of_answers]),
        ("Reading", _wrapped(test.reading, width)),
        ("Reliability", _reliability(protocol, test, width)),
        ("Where this comes from", _sources(protocol, test, width)),
    )
    lines: list[Content] = []
    for title, section in sections:
        if section:
            lines += [Content(""), literal(title, "bold"), *section]
    return lines


def _wrapped(text: str, width: int) -> list[Content]:
    return literal(text).wrap(width) if text else []


def _numbered(texts: Sequence[str], width: int) -> list[Content]:
    lines: list[Content] = []
    for number, text in enumerate(texts, start=1):
        lines += hanging(phrase((f"{number:>2}  ", "$dim")), literal(text), width)
    return lines


def _each(sign: str, texts: Sequence[str], width: int) -> list[Content]:
    lines: list[Content] = []
    for text in texts:
        lines += hanging(phrase((f" {sign}  ", "$dim")), literal(text), width)
    return lines


def _answers(protocol: Protocol, test: Test, width: int) -> list[Content]:
    if test.kind is Kind.MEASURE:
        limits = limits_words(test) or f"a number in {test.unit}".strip()
        lines = _wrapped(f"{limits}, in steps of {number_words(test.step, test.step)}", width)
        return [*lines, *_each("–", [_band_words(band) for band in test.bands], width)]
    choices = choices_of(protocol, test)
    lines = []
    for key, choice in zip(keys_of(choices), choices, strict=True):
        looks = f": {choice.looks}" if choice.looks else ""
        body = phrase((choice.label, "bold"), looks)
        lines += hanging(phrase((f" {key}  ", "$dim")), body, width)
    return lines


def _band_words(band: Band) -> str:
    bounds = (
        ("from", band.at_least),
        ("above", band.above),
        ("to", band.at_most),
        ("below", band.below),
    )
    said = " ".join(f"{word} {bound:g}" for word, bound in bounds if bound is not None)
    return f"{band.label}: {said}" if said else band.label


def _reliability(protocol: Protocol, test: Test, width: int) -> list[Content]:
    lines: list[Content] = []
    for figure in test.reliability:
        lines += hanging(
            literal(" –  "), literal(_reliability_words(protocol, figure, test)), width
        )
    return lines


def _reliability_words(protocol: Protocol, figure: Reliability, test: Test) -> str:
    who = "same examiner" if figure.within_examiner else "between examiners"
    words = f"{figure.statistic} {figure.value} ({who})"
    if figure.minimal_detectable_change is not None:
        change = f"{figure.minimal_detectable_change:g} {test.unit}".strip()
        words += f"; a change is real from {change}"
    if figure.note:
        words += f". {figure.note}"
    source = protocol.sources.get(figure.source)
    return f"{words}. {source.cite}" if source else words


def _sources(protocol: Protocol, test: Test, width: int) -> list[Content]:
    lines: list[Content] = []
    for source_id in test.basis:
        source = protocol.sources.get(source_id)
        if source is None:
            continue
        parts = [f"{source.cite}.", source.identifier, f"[{source.mark.value}]", source.note]
        lines += _each("–", [" ".join(part for part in parts if part)], width)
    return lines
