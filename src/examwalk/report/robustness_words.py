"""What hangs on what, in words: for screens, the printed summary and pages alike."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby

from examwalk.language import later, say, say_count, say_decimal
from examwalk.protocol.model import Protocol
from examwalk.protocol.wording import answer_words, number_words
from examwalk.reasoning.consequences import CautionShift, Consequences, FeatureShift
from examwalk.reasoning.nudging import Nudge, Size
from examwalk.reasoning.results import FeatureResult, FeatureStatus, Summary
from examwalk.reasoning.robustness import Repeat, Robustness, Tried
from examwalk.report.sides import with_either_side, with_side
from examwalk.report.words import place_words
from examwalk.session.model import Place, Side

MOST_CHANGES = 3
"""So many changes of one finding are named; the rest is counted."""

_SIZE_WORDS = {
    Size.GRADE: later("one grade"),
    Size.PUBLISHED: later("the published error of measurement, {amount}"),
    Size.ASSUMED: later("an assumed error of measurement, {amount}"),
    Size.STEP: later("moved by {amount}, as no error of measurement is published"),
}
MEANING = later(
    "Each grade was moved by one, and each number by its error of measurement, up and down, one "
    "finding at a time. What no such move changes stands."
)
NOTHING_HANGS = later("No single finding that is a little off changes anything.")
NOTHING_TOGETHER = later("No two findings do together what neither does alone.")
TOGETHER = later("Only if two findings were off at once")
ONE_GRADE_AWAY = later("Not raised, but one finding off by a grade or by its error would raise it")


def standing_words(robustness: Robustness, result: FeatureResult) -> str:
    """Say in a few words whether a value stands; nothing for what does not apply and stands."""
    places = robustness.hangs_on(result.id, result.side)
    if places:
        return say_count(len(places), "hangs on {count} finding", "hangs on {count} findings")
    return say("stands") if result.status is FeatureStatus.RECOMMENDED else ""


def nudge_words(protocol: Protocol, nudge: Nudge) -> str:
    """Say how a finding would be: ``Jack's test, effort, left: moderate instead of hard``."""
    return f"{place_words(protocol, nudge.place)}: {_turn(protocol, nudge)}"


def _turn(protocol: Protocol, nudge: Nudge) -> str:
    test = protocol.tests_by_id[nudge.place.test]
    return say(
        "{answer} instead of {found}",
        answer=answer_words(protocol, test, nudge.after),
        found=answer_words(protocol, test, nudge.before),
    )


def size_words(protocol: Protocol, nudge: Nudge) -> str:
    """Say by how much a finding was moved, and whose figure that is."""
    test = protocol.tests_by_id[nudge.place.test]
    amount = f"{number_words(nudge.amount, test.step)} {test.unit}".strip()
    return say(_SIZE_WORDS[nudge.size], amount=amount)


def feature_change_words(change: FeatureShift) -> str:
    """Say what a feature would come to: ``First ray, left: cut-out → none``."""
    return f"{with_side(change.title, change.side)}: {change.before} → {change.after}"


def caution_change_words(change: CautionShift) -> str:
    """Say what would become of a caution."""
    title = with_side(change.title, change.side)
    if change.is_raised:
        return say("raises the caution {caution}", caution=title)
    if change.is_taken_away:
        return say("takes away the caution {caution}", caution=title)
    if change.is_excluded:
        return say("excludes the caution {caution}", caution=title)
    return say("no longer excludes the caution {caution}", caution=title)


def change_words(found: Consequences, most: int | None = None) -> str:
    """Say all that would come out otherwise, cautions first; of many the first and how many."""
    names = [
        *(caution_change_words(change) for change in found.cautions),
        *(feature_change_words(change) for change in found.features),
    ]
    if most is None or len(names) <= most + 1:
        return "; ".join(names)
    left = len(names) - most
    return say("{changes}; and {count} more", changes="; ".join(names[:most]), count=left)


def agreement_words(agreement: float | None) -> str:
    """Say how well examiners agree on a test, as far as it is published."""
    if agreement is None:
        return say("no published agreement")
    return say("published agreement from {value}", value=say_decimal(f"{agreement:.2g}"))


def repeat_words(protocol: Protocol, repeat: Repeat) -> str:
    """Name a finding to repeat, and how well examiners agree on it."""
    agreement = agreement_words(repeat.agreement)
    return f"{place_words(protocol, repeat.place)} ({agreement})"


def move_words(protocol: Protocol, tried: Tried, most: int | None = MOST_CHANGES) -> str:
    """Say what one move would do: ``with moderate instead of hard: First ray, left: …``."""
    if len(tried.nudges) > 1:
        turned = _nudges_words(protocol, tried)
    else:
        nudge = tried.nudges[0]
        turned = _turn(protocol, nudge)
        if nudge.size is not Size.GRADE:
            turned = f"{turned} ({size_words(protocol, nudge)})"
    return say("with {change}: {effects}", change=turned, effects=change_words(tried.found, most))


def hangs_on_words(
    protocol: Protocol, robustness: Robustness, result: FeatureResult
) -> tuple[str, ...]:
    """Say for each move that changes a value what the value would be."""
    moves = robustness.on_feature(result.id, result.side)
    return tuple(f"{_nudges_words(protocol, tried)} → {shift.after}" for tried, shift in moves)


def hangs_on_briefly(
    protocol: Protocol, robustness: Robustness, result: FeatureResult
) -> tuple[str, ...]:
    """Say for each other value which findings would bring it: ``Lunge, left or right → 4 mm``.

    How far each finding would be off is said where it is listed for repeating; the answer is named
    only where one finding could bring several values.
    """
    moves = robustness.on_feature(result.id, result.side)
    outcomes = {(tried.places, shift.after) for tried, shift in moves}
    several = Counter(places for places, _ in outcomes)
    by_value: dict[str, list[Tried]] = {}
    for tried, shift in moves:
        by_value.setdefault(shift.after, []).append(tried)
    return tuple(
        f"{say(', or ').join(_findings_briefly(protocol, tried, several))} → {value}"
        for value, tried in by_value.items()
    )


def _findings_briefly(
    protocol: Protocol, moves: Sequence[Tried], several: Counter[tuple[Place, ...]]
) -> Iterator[str]:
    alone = [tried.places[0] for tried in moves if several[tried.places] == 1]
    for test, places in groupby(alone, key=lambda place: place.test):
        sides = tuple(dict.fromkeys(place.side for place in places))
        name = place_words(protocol, Place(test, sides[0] if len(sides) == 1 else Side.WHOLE))
        yield name if len(sides) == 1 else with_either_side(name)
    for tried in moves:
        if several[tried.places] > 1:
            yield _nudges_words(protocol, tried)


def standing_overall_words(summary: Summary, robustness: Robustness) -> str:
    """Say how many of the recommended values stand: ``9 of 31 recommended values stand.``"""
    values = [one for one in summary.features if one.status is FeatureStatus.RECOMMENDED]
    standing = sum(not robustness.hangs_on(one.id, one.side) for one in values)
    return say("{standing} of {all} recommended values stand.", standing=standing, all=len(values))


def raised_by_words(
    protocol: Protocol, moves: Iterable[tuple[Tried, CautionShift]]
) -> tuple[str, ...]:
    """Say which moves would do something to a caution."""
    return tuple(_nudges_words(protocol, tried) for tried, _ in moves)


def _nudges_words(protocol: Protocol, tried: Tried) -> str:
    return say(" and ").join(nudge_words(protocol, nudge) for nudge in tried.nudges)


def by_caution(
    moves: Iterable[tuple[Tried, CautionShift]],
) -> tuple[tuple[CautionShift, tuple[tuple[Tried, CautionShift], ...]], ...]:
    """Put the moves together that do something to the same caution on the same side."""
    groups: dict[tuple[str, Side], list[tuple[Tried, CautionShift]]] = {}
    for pair in moves:
        groups.setdefault((pair[1].id, pair[1].side), []).append(pair)
    return tuple((several[0][1], tuple(several)) for several in groups.values())
