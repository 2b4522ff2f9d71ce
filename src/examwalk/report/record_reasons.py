"""Why each value is recommended, as the record tells it, with its sources named once at the end."""

from collections.abc import Iterable, Iterator

from examwalk.language import say
from examwalk.reasoning.results import FeatureResult, TraceStep
from examwalk.report.document import Listing, Section
from examwalk.report.grounds import basis_words
from examwalk.report.page_parts import Told
from examwalk.report.sides import with_side
from examwalk.report.words import grounds_words


def reason_sections(told: Told) -> Iterator[Section]:
    """Yield the reasons of every value that a rule has changed, and the sources they name."""
    reasoned = [one for one in told.summary.features if _telling(one)]
    if not reasoned:
        return
    numbers = _numbers(
        source for one in reasoned for step in _telling(one) for source in step.basis
    )
    items = tuple("\n".join(_lines(told, one, numbers)) for one in reasoned)
    yield Section(say("Reasons"), (Listing(items),))
    sources = tuple(
        f"[{number}] {basis_words(told.protocol, (source,))}" for source, number in numbers.items()
    )
    if sources:
        yield Section(say("Sources of the reasons"), (Listing(sources),))


def _telling(result: FeatureResult) -> tuple[TraceStep, ...]:
    return tuple(step for step in result.trace if step.changed)


def _numbers(sources: Iterable[str]) -> dict[str, int]:
    """Number sources in the order in which they are first named."""
    return {source: number for number, source in enumerate(dict.fromkeys(sources), 1)}


def _lines(told: Told, result: FeatureResult, numbers: dict[str, int]) -> Iterator[str]:
    yield f"{with_side(result.title, result.side)}: {result.words}"
    for step in _telling(result):
        cited = ", ".join(str(numbers[source]) for source in step.basis)
        yield f"{step.did}. {step.because}{f' [{cited}]' if cited else ''}"
    rests = grounds_words(told.protocol, told.session, told.summary, result)
    if rests:
        yield f"{say('Rests on')}: {'; '.join(rests)}"
