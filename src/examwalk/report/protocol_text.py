"""A protocol in words, for reading aloud before it is used."""

from collections.abc import Iterator
from textwrap import wrap

from examwalk.language import say, say_count
from examwalk.protocol.model import Protocol, Sides, Test
from examwalk.protocol.wording import choices_of, number_words, score_words
from examwalk.report.grounds import MARK_WORDS
from examwalk.report.text import SEVERITY_WORDS

WIDTH = 88


def protocol_text(protocol: Protocol) -> str:
    """Write a protocol's tests by position, with its checks, cautions and rules, as text."""
    return "\n".join(_lines(protocol)) + "\n"


def _lines(protocol: Protocol) -> Iterator[str]:
    identity = protocol.identity
    yield f"{identity.title} ({identity.id} {identity.version})"
    yield from _wrapped(identity.about)
    yield from _wrapped(identity.disclaimer)
    for position in protocol.positions:
        tests = [test for test in protocol.tests if test.position == position.id]
        if tests:
            yield ""
            count = say_count(len(tests), "{count} test", "{count} tests")
            yield f"{position.title}: {count}"
            yield from _wrapped(position.instruction)
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
            yield from _wrapped(f"{name}: {says}", "  - ")
    yield ""
    yield f"{say('Sources')}: {len(protocol.sources)}"
    for source_id, source in protocol.sources.items():
        text = f"{source_id} ({say(MARK_WORDS[source.mark])}): {source.cite} {source.identifier}"
        yield from _wrapped(text, "  - ")


def _test(protocol: Protocol, test: Test) -> Iterator[str]:
    side = say("each side") if test.sides is Sides.EACH else say("once")
    yield f"  {test.title} ({test.id}; {side})"
    yield from _wrapped(test.why, "    ")
    for number, step in enumerate(test.how, 1):
        yield from _wrapped(step, f"    {number}. ")
    for choice in choices_of(protocol, test):
        score = f" ({score_words(choice.score)})" if choice.score is not None else ""
        looks = f": {choice.looks}" if choice.looks else ""
        yield from _wrapped(f"{choice.label}{score}{looks}", "      = ")
    if test.hard:
        low, high = (number_words(limit, test.step) for limit in test.hard)
        span = say("{low} to {high}", low=low, high=high)
        yield f"      = {span} {test.unit}".rstrip()
    for mistake in test.mistakes:
        yield from _wrapped(f"{say('Mistake')}: {mistake}", "    ")
    for caution in test.cautions:
        yield from _wrapped(f"{say('Caution')}: {caution}", "    ")
    yield from _wrapped(test.reading, "    ")


def _wrapped(text: str, indent: str = "  ") -> list[str]:
    return wrap(text, WIDTH, initial_indent=indent, subsequent_indent=" " * len(indent))
