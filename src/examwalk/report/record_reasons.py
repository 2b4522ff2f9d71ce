"""Why each value is recommended: said once for both feet where it is the same."""

from collections.abc import Iterator, Sequence

from examwalk.language import say
from examwalk.reasoning.results import FeatureResult
from examwalk.report.document import Listing, Section
from examwalk.report.page_parts import Told, by_feature
from examwalk.report.record_sources import Cited, changing_steps
from examwalk.report.sides import side_heading, with_both_sides, with_side
from examwalk.report.words import derived_words, findings_words, grounds_of
from examwalk.session.model import Side

_LONGEST_TOLD_AGAIN = 60
"""Characters; what a value rests on is written out once where it is longer."""


def reasons_section(told: Told, cited: Cited) -> Section:
    """Return the reasons of every value that a rule has changed."""
    reasoned = [one for one in told.summary.features if changing_steps(one)]
    told_at: dict[str, str] = {}
    items = tuple("\n".join(_lines(told, cited, group, told_at)) for group in by_feature(reasoned))
    listed = (Listing(items, are_headed=True),) if items else ()
    return Section(say("Reasons"), listed, in_columns=True)


def _lines(
    told: Told, cited: Cited, group: Sequence[FeatureResult], told_at: dict[str, str]
) -> Iterator[str]:
    """Yield the value, each step towards it and what it rests on.

    Args:
        told: what the record is written from.
        cited: the numbers of the sources.
        group: a feature of one foot or of both.
        told_at: what was said before that a value rests on, with where; added to.
    """
    yield _heading(group)
    steps: dict[tuple[str, int], list[Side]] = {}
    for one in group:
        said = [cited.after(f"{at.did}. {at.because}", at.basis) for at in changing_steps(one)]
        for number, words in enumerate(said):
            # A step that is taken twice on a foot is told twice.
            steps.setdefault((words, said[:number].count(words)), []).append(one.side)
    for (words, _), sides in steps.items():
        yield _on(sides, group, words)
    rests: dict[str, list[Side]] = {}
    for one in group:
        if words := "; ".join(_grounds(told, one)):
            rests.setdefault(words, []).append(one.side)
    for words, sides in rests.items():
        first = told_at.setdefault(words, group[0].title)
        again = first != group[0].title and len(words) > _LONGEST_TOLD_AGAIN
        grounds = say("the same as {feature}", feature=first) if again else words
        yield _on(sides, group, f"{say('Rests on')}: {grounds}")


def _heading(group: Sequence[FeatureResult]) -> str:
    first = group[0]
    if len({one.words for one in group}) == 1:
        title = (
            with_both_sides(first.title) if len(group) > 1 else with_side(first.title, first.side)
        )
        return f"{title}: {first.words}"
    left, right = group
    return say(
        "{title}: left {left}, right {right}", title=first.title, left=left.words, right=right.words
    )


def _on(sides: Sequence[Side], group: Sequence[FeatureResult], words: str) -> str:
    """Name the side in front of what is true of one of two feet alone."""
    one_of_two = len(group) > 1 and len(set(sides)) == 1
    return f"{side_heading(sides[0])}: {words}" if one_of_two else words


def _grounds(told: Told, result: FeatureResult) -> Iterator[str]:
    """Say what a value rests on; what made a derived value up stands where it is worked out."""
    derived, places = grounds_of(told.summary, result)
    taken_up = [frozenset(one.inputs) for one in derived if one.because]
    for one in derived:
        if not any(frozenset(one.inputs) < other for other in taken_up):
            words = one.because if one.internal else derived_words(one)
            yield f"{with_side(one.title, one.side)}: {words}"
    yield from findings_words(told.protocol, told.session, places)
