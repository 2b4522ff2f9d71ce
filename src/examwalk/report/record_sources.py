"""Where what a record says comes from: each source once, with a number that is cited."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import chain

from attrs import frozen

from examwalk.language import say
from examwalk.reasoning.norms import Referenced
from examwalk.reasoning.results import FeatureResult, TraceStep
from examwalk.report.document import Listing, Section
from examwalk.report.grounds import basis_words
from examwalk.report.page_parts import Told


@frozen
class Cited:
    """The sources of a record by their numbers."""

    numbers: Mapping[str, int]

    def after(self, text: str, basis: Sequence[str]) -> str:
        """Write the numbers of what a text rests on behind it: ``… bears less. [5, 1]``."""
        numbers = ", ".join(str(self.numbers[source]) for source in basis)
        return f"{text} [{numbers}]" if numbers else text


def changing_steps(result: FeatureResult) -> tuple[TraceStep, ...]:
    """Return the steps that made a value another one."""
    return tuple(step for step in result.trace if step.changed)


def cited_in(told: Told, referenced: Sequence[Referenced]) -> Cited:
    """Number the sources in the order in which a record names them first."""
    named = chain.from_iterable(_bases(told, referenced))
    return Cited({source: number for number, source in enumerate(dict.fromkeys(named), 1)})


def _bases(told: Told, referenced: Sequence[Referenced]) -> Iterator[Iterable[str]]:
    summary = told.summary
    yield from (one.basis for one in (*summary.cautions, *summary.open_cautions))
    yield from (one.basis for one in summary.crosschecks)
    yield from (one.basis for one in summary.advice)
    yield from (one.basis for one in summary.derived if not one.internal)
    yield (at.norm.source for one in referenced for at in one.placed)
    yield from (step.basis for one in summary.features for step in changing_steps(one))


def sources_section(told: Told, cited: Cited) -> Section:
    """Return every source that is cited, by its number."""
    items = tuple(
        f"[{number}] {basis_words(told.protocol, (source,))}"
        for source, number in cited.numbers.items()
    )
    listed = (Listing(items, are_numbered=True),) if items else ()
    return Section(say("Sources"), listed, in_columns=True)
