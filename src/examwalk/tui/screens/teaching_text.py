"""Everything a protocol says about a test, as lines."""

from collections.abc import Sequence

from textual.content import Content

from examwalk.language import later, say
from examwalk.protocol.change_model import ImportantChange
from examwalk.protocol.entry import keys_of, limits_words
from examwalk.protocol.exam_model import Band, Kind, Test
from examwalk.protocol.model import Protocol
from examwalk.protocol.reliability_model import Reliability
from examwalk.protocol.wording import choices_of, number_words, short_number
from examwalk.report.grounds import MARK_WORDS
from examwalk.tui.screens.figure_text import Figures
from examwalk.tui.text import hanging, literal, phrase


def everything_about(protocol: Protocol, test: Test, width: int, figures: Figures) -> list[Content]:
    """Write why and how a test is done, how it is read, and how far it can be trusted."""
    sections = (
        (say("Careful"), _each("▲", test.cautions, width)),
        (say("Why"), _wrapped(test.why, width)),
        (say("How"), [*_numbered(test.how, width), *figures.of_test]),
        (say("Mistakes"), _each("–", test.mistakes, width)),
        (say("Answers"), [*_answers(protocol, test, width), *figures.of_answers]),
        (say("Reading"), _wrapped(test.reading, width)),
        (say("Reliability"), _reliability(protocol, test, width)),
        (say("Where this comes from"), _sources(protocol, test, width)),
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
        number = say("a number in {unit}", unit=test.unit) if test.unit else say("a number")
        says = say(
            "{limits}, in steps of {step}",
            limits=limits_words(test) or number,
            step=number_words(test.step, test.step),
        )
        lines = _wrapped(says, width)
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
        (later("from {bound}"), band.at_least),
        (later("above {bound}"), band.above),
        (later("to {bound}"), band.at_most),
        (later("below {bound}"), band.below),
    )
    said = " ".join(say(text, bound=short_number(at)) for text, at in bounds if at is not None)
    return f"{band.label}: {said}" if said else band.label


def _reliability(protocol: Protocol, test: Test, width: int) -> list[Content]:
    lines: list[Content] = []
    for figure in test.reliability:
        lines += hanging(
            literal(" –  "), literal(_reliability_words(protocol, figure, test)), width
        )
    if test.important_change is not None:
        words = _important_words(protocol, test.important_change, test)
        lines += hanging(literal(" –  "), literal(words), width)
    return lines


def _important_words(protocol: Protocol, important: ImportantChange, test: Test) -> str:
    change = f"{short_number(important.change)} {test.unit}".strip()
    words = say("a change matters to patients from {change}", change=change)
    if important.note:
        words += f". {important.note.rstrip('.')}"
    source = protocol.sources.get(important.source)
    return f"{words}. {source.cite}" if source else words


def _reliability_words(protocol: Protocol, figure: Reliability, test: Test) -> str:
    who = say("same examiner") if figure.within_examiner else say("between examiners")
    if figure.by_patient:
        who = say("the patient's own answer")
    words = f"{figure.statistic} {figure.value} ({who})"
    if figure.minimal_detectable_change is not None:
        change = f"{short_number(figure.minimal_detectable_change)} {test.unit}".strip()
        words += f"; {say('a change is real from {change}', change=change)}"
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
        parts = [
            f"{source.cite}.",
            source.identifier,
            f"[{say(MARK_WORDS[source.mark])}]",
            source.note,
        ]
        lines += _each("–", [" ".join(part for part in parts if part)], width)
    return lines
