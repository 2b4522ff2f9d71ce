"""Three-valued logic: true, false and unknown, with the findings that made it so.

Source: Kleene's strong three-valued logic (Kleene 1952, Introduction to Metamathematics,
section 64; from memory).
"""

from collections.abc import Iterable
from functools import lru_cache
from itertools import chain
from typing import TypeVar

from attrs import frozen

from examwalk.reasoning.results import DerivedAt, Truth
from examwalk.session.model import Place


@frozen
class Verdict:
    """The answer to a condition, the findings it rests on, and what it still lacks."""

    truth: Truth
    findings: tuple[Place, ...] = ()
    missing: tuple[Place, ...] = ()
    """The unanswered places that keep it unknown, or that could still turn what holds now."""
    through: tuple[DerivedAt, ...] = ()
    """The derived values that stand between the findings and the answer."""

    @property
    def holds(self) -> bool:
        """Whether it is true."""
        return self.truth is Truth.TRUE

    @property
    def is_unknown(self) -> bool:
        """Whether it is neither true nor false."""
        return self.truth is Truth.UNKNOWN

    @property
    def is_final(self) -> bool:
        """Whether no missing answer could still turn it."""
        return not self.is_unknown and not self.missing

    @property
    def certainty(self) -> bool | None:
        """Whether it is true; nothing while a missing answer could turn it."""
        truth = self.truth
        if self.missing or truth is Truth.UNKNOWN:
            return None
        return truth is Truth.TRUE


ALWAYS = Verdict(Truth.TRUE)
NEVER = Verdict(Truth.FALSE)

Item = TypeVar("Item")
_OPPOSITE = {Truth.TRUE: Truth.FALSE, Truth.FALSE: Truth.TRUE, Truth.UNKNOWN: Truth.UNKNOWN}


@lru_cache(maxsize=10_000)
def known(answer: bool, *findings: Place) -> Verdict:
    """Return the verdict of a question that could be answered."""
    return Verdict(Truth.TRUE if answer else Truth.FALSE, findings)


def negation(verdict: Verdict) -> Verdict:
    """Return the opposite; the opposite of unknown is unknown."""
    return _with_truth(verdict, _OPPOSITE[verdict.truth])


def _with_truth(verdict: Verdict, truth: Truth) -> Verdict:
    if verdict.truth is truth:
        return verdict
    return Verdict(truth, verdict.findings, verdict.missing, verdict.through)


def conjunction(verdicts: Iterable[Verdict]) -> Verdict:
    """Return whether all hold: one false decides, else one unknown leaves it unknown."""
    return _decide(tuple(verdicts), Truth.FALSE, Truth.TRUE)


def disjunction(verdicts: Iterable[Verdict]) -> Verdict:
    """Return whether any holds: one true decides, else one unknown leaves it unknown."""
    return _decide(tuple(verdicts), Truth.TRUE, Truth.FALSE)


def _decide(verdicts: tuple[Verdict, ...], decisive: Truth, otherwise: Truth) -> Verdict:
    """Keep the findings of those verdicts that made the outcome, and what could turn it."""
    deciding = [verdict for verdict in verdicts if verdict.truth is decisive]
    if deciding:
        joined = _joined(decisive, deciding)
        is_final = any(not verdict.missing for verdict in deciding)
        return _final(joined) if is_final else joined
    unknown = [verdict for verdict in verdicts if verdict.truth is Truth.UNKNOWN]
    if unknown:
        return _open(unknown, (*unknown, *verdicts))
    return _joined(otherwise, verdicts)


def at_least(count: int, verdicts: Iterable[Verdict]) -> Verdict:
    """Return whether this many of the verdicts hold."""
    verdicts = tuple(verdicts)
    true = [verdict for verdict in verdicts if verdict.holds]
    unknown = [verdict for verdict in verdicts if verdict.is_unknown]
    final = [verdict for verdict in verdicts if verdict.is_final]
    if len(true) >= count:
        joined = _joined(Truth.TRUE, true)
        return _final(joined) if sum(verdict.holds for verdict in final) >= count else joined
    if len(true) + len(unknown) >= count:
        return _open((*true, *unknown), (*unknown, *verdicts))
    joined = _joined(Truth.FALSE, verdicts)
    surely_false = sum(not verdict.holds for verdict in final)
    return _final(joined) if len(verdicts) - surely_false < count else joined


def _final(verdict: Verdict) -> Verdict:
    if not verdict.missing:
        return verdict
    return Verdict(verdict.truth, verdict.findings, through=verdict.through)


def _open(grounds: Iterable[Verdict], verdicts: Iterable[Verdict]) -> Verdict:
    """Return unknown on these grounds; an answer that turns any of the verdicts is missing."""
    grounds = tuple(grounds)
    return Verdict(
        Truth.UNKNOWN,
        merged([verdict.findings for verdict in grounds]),
        merged([verdict.missing for verdict in verdicts]),
        merged([verdict.through for verdict in grounds]),
    )


def _joined(truth: Truth, verdicts: Iterable[Verdict]) -> Verdict:
    verdicts = tuple(verdicts)
    if len(verdicts) == 1:
        return _with_truth(verdicts[0], truth)
    return Verdict(
        truth,
        merged([verdict.findings for verdict in verdicts]),
        merged([verdict.missing for verdict in verdicts]),
        merged([verdict.through for verdict in verdicts]),
    )


def merged(groups: Iterable[tuple[Item, ...]]) -> tuple[Item, ...]:
    """Join groups into one, each item once, in the order of its first place.

    No item stands twice in one group.
    """
    filled = [group for group in groups if group]
    if len(filled) < 2:  # most often nothing is missing: this is asked more than anything else
        return filled[0] if filled else ()
    return tuple(dict.fromkeys(chain.from_iterable(filled)))
