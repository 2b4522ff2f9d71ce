"""A protocol in words, for reading aloud before it is used."""

from collections.abc import Iterator

from examwalk.language import say, say_count
from examwalk.protocol.exam_model import Test
from examwalk.protocol.key_types import Sides
from examwalk.protocol.model import Protocol
from examwalk.protocol.wording import choices_of, number_words, score_words
from examwalk.report.grounds import MARK_WORDS
from examwalk.report.text_lines import paragraph
from examwalk.report.words import SEVERITY_WORDS


def protocol_text(protocol: Protocol) -> str:
    """Write a protocol's tests by position, with its checks, cautions and rules, as text."""
    return "\n".join(_lines(protocol)) + "\n"


def _lines(protocol: Protocol) -> Iterator[str]:
    identity = protocol.identity
    yield f"{identity.title} ({identity.id} {identity.version})"
    yield from paragraph(identity.about, "  ")
    yield from paragraph(identity.disclaimer, "  ")
    for position in protocol.positions:
        tests = [test for test in protocol.tests if test.position == position.id]
        if tests:
            yield ""
            count = say_count(len(tests), "{count} test", "{count} tests")
            yield f"{position.title}: {count}"
            yield from paragraph(position.instruction, "  ")
        for test in tests:
            yield ""
            yield from _test(protocol, test)
    for title, statements in (
        (say("Cautions"), [(item.title, item.says) for item in protocol.cautions]),
        (
            say("Cross-checks"),
            [(say(SEVERITY_WORDS[item.severity]), item.says) for item in protocol.crosschecks],
        ),
        (say("Rules"), [(item.id, item.because) for item in protocol.rules]),
    ):
        yield ""
        yield f"{title}: {len(statements)}"
        for name, says in statements:
            yield from paragraph(f"{name}: {says}", "  - ")
    yield ""
    yield f"{say('Sources')}: {len(protocol.sources)}"
    for source_id, source in protocol.sources.items():
        text = f"{source_id} ({say(MARK_WORDS[source.mark])}): {source.cite} {source.identifier}"
        yield from paragraph(text, "  - ")


def _test(protocol: Protocol, test: Test) -> Iterator[str]:
    side = say("each side") if test.sides is Sides.EACH else say("once")
    yield f"  {test.title} ({test.id}; {side})"
    yield from paragraph(test.why, "    ")
    for number, step in enumerate(test.how, 1):
        yield from paragraph(step, f"    {number}. ")
    for choice in choices_of(protocol, test):
        score = f" ({score_words(choice.score)})" if choice.score is not None else ""
        looks = f": {choice.looks}" if choice.looks else ""
        yield from paragraph(f"{choice.label}{score}{looks}", "      = ")
    if test.hard:
        low, high = (number_words(limit, test.step) for limit in test.hard)
        span = say("{low} to {high}", low=low, high=high)
        yield f"      = {span} {test.unit}".rstrip()
    for mistake in test.mistakes:
        yield from paragraph(f"{say('Mistake')}: {mistake}", "    ")
    for caution in test.cautions:
        yield from paragraph(f"{say('Caution')}: {caution}", "    ")
    yield from paragraph(test.reading, "    ")
