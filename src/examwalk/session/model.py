"""One visit as immutable values: findings, decisions and the place that was reached."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from enum import Enum
from functools import cached_property

from attrs import evolve, field, frozen


class Side(Enum):
    """A side of the body, or the whole person for what is asked once."""

    LEFT = "left"
    RIGHT = "right"
    WHOLE = "whole"

    # Each side is one object: its identity is a hash, and a quicker one than that of its name.
    __hash__ = object.__hash__

    @property
    def other(self) -> "Side":
        """The opposite side; the whole person is its own other side."""
        return _OTHER_SIDE[self]


BOTH_FEET = (Side.LEFT, Side.RIGHT)
_OTHER_SIDE = {Side.LEFT: Side.RIGHT, Side.RIGHT: Side.LEFT, Side.WHOLE: Side.WHOLE}

Answer = str | int | float | tuple[str, ...]
"""A grade or option (its id), a number in the test's unit, a text, or several options."""


@frozen(order=True, cache_hash=True)
class Place:
    """One thing to answer: a test on one side, or a test of the whole person."""

    test: str
    side: Side = field(order=lambda side: list(Side).index(side))

    def __str__(self) -> str:
        return self.test if self.side is Side.WHOLE else f"{self.test} ({self.side.value})"


@frozen
class Finding:
    """One recorded answer, or the reason why there is none.

    Either ``answer`` or ``not_done`` is given; a finding with neither carries a note alone and
    counts as unanswered.
    """

    place: Place
    at: datetime
    answer: Answer | None = None
    not_done: str | None = None
    """A reason's id in the protocol, or free words."""
    note: str = ""

    @property
    def is_settled(self) -> bool:
        """Whether nothing is left to do here: it is answered, or not done for a reason."""
        return self.answer is not None or self.not_done is not None


@frozen
class Decision:
    """What the clinician ordered for one feature, and why where it differs."""

    feature: str
    side: Side
    value: str | int | float
    recommended: str | int | float | None
    at: datetime
    because: str = ""


@frozen
class Reply:
    """What the clinician answered to a cross-check that fired."""

    crosscheck: str
    side: Side
    at: datetime
    says: str


@frozen
class ProtocolUsed:
    """Which protocol a visit was examined under; the fingerprint is a SHA-256 in hex."""

    id: str
    version: str
    fingerprint: str = ""


class State(Enum):
    """How far a visit has come."""

    OPEN = "open"
    FINISHED = "finished"


class AmendmentKind(Enum):
    """What an amendment does to a signed visit."""

    LATE_ENTRY = "late-entry"
    """Adds what was found at the visit and left out."""
    ADDENDUM = "addendum"
    """Adds what was not known yet at the visit."""
    CORRECTION = "correction"
    """Puts right what was entered wrongly."""
    RETRACTION = "retraction"
    """Takes back what was never to be entered."""


@frozen
class Ordered:
    """One thing to order: a feature on one side, or a feature of the pair."""

    feature: str
    side: Side

    def __str__(self) -> str:
        return self.feature if self.side is Side.WHOLE else f"{self.feature} ({self.side.value})"


@frozen
class Signature:
    """Who stands for a visit as it was at that moment."""

    by: str
    at: datetime
    hash: str
    """The SHA-256 in hex of what was signed, with who and when."""
    amendments: int = 0
    """How many amendments were made since, so that a missing last one shows."""


@frozen
class Amendment:
    """One change after signing. What it changes stays readable beside it."""

    kind: AmendmentKind
    by: str
    at: datetime
    path: Place | Ordered
    """The finding or the order that it is about."""
    old: Answer | None
    """What stood there before; nothing where there was no answer."""
    new: Answer | None
    """What stands there from now on; nothing after a retraction."""
    because: str
    previous: str
    """The hash of the amendment before it, or of the signature."""
    hash: str = ""
    """The SHA-256 in hex of this amendment and of the hash before it."""
    old_not_done: str | None = None
    """Why the test was not done, where that stood there before."""


@frozen
class Session:
    """One visit. Every change makes a new value; nothing here touches a file or the clock."""

    id: str
    started: datetime
    examiner: str
    patient: str
    """A code that the clinic gives, never a name."""
    protocol: ProtocolUsed
    state: State = State.OPEN
    finished: datetime | None = None
    invented: bool = False
    """The patient and the findings are made up, for teaching and tests."""
    about: str = ""
    findings: tuple[Finding, ...] = ()
    """The current findings in the order they were made, at most one for each place."""
    decisions: tuple[Decision, ...] = ()
    replies: tuple[Reply, ...] = ()
    here: Place | None = None
    """Where the exam was left."""
    signature: Signature | None = None
    amendments: tuple[Amendment, ...] = ()
    """What was changed after signing; ``findings`` and ``decisions`` are those after it."""
    as_signed: "Session | None" = field(default=None, eq=False, repr=False)
    """The visit before its amendments; none where there are no amendments."""

    @cached_property
    def by_place(self) -> Mapping[Place, Finding]:
        """The findings by their places."""
        return {finding.place: finding for finding in self.findings}

    @cached_property
    def answers(self) -> Mapping[Place, Answer]:
        """The answers alone, by their places."""
        return {
            finding.place: finding.answer for finding in self.findings if finding.answer is not None
        }

    def finding(self, place: Place) -> Finding | None:
        """Return the finding at a place, if there is one."""
        return self.by_place.get(place)

    def decision(self, feature: str, side: Side) -> Decision | None:
        """Return what was ordered for a feature on a side, if anything was."""
        on_it = (one for one in self.decisions if (one.feature, one.side) == (feature, side))
        return next(on_it, None)

    def with_finding(self, finding: Finding) -> "Session":
        """Return the session with this finding added last, replacing any at the same place."""
        return evolve(self, findings=(*self._findings_without(finding.place), finding))

    def without_finding(self, place: Place) -> "Session":
        """Return the session with the finding at a place taken away."""
        return evolve(self, findings=self._findings_without(place))

    def with_decision(self, decision: Decision) -> "Session":
        """Return the session with this decision, replacing one on the same feature and side."""
        return evolve(
            self,
            decisions=(*self._decisions_without(decision.feature, decision.side), decision),
        )

    def without_decision(self, feature: str, side: Side) -> "Session":
        """Return the session with the decision on this feature and side taken away."""
        return evolve(self, decisions=self._decisions_without(feature, side))

    def with_reply(self, reply: Reply) -> "Session":
        """Return the session with this reply, replacing one to the same cross-check and side."""
        others = self.without_reply(reply.crosscheck, reply.side).replies
        return evolve(self, replies=(*others, reply))

    def without_reply(self, crosscheck: str, side: Side) -> "Session":
        """Return the session with the reply to this cross-check and side taken away."""
        kept = (one for one in self.replies if (one.crosscheck, one.side) != (crosscheck, side))
        return evolve(self, replies=tuple(kept))

    def reply_to(self, crosscheck: str, side: Side) -> Reply | None:
        """Return the reply to this cross-check and side, or none."""
        return next(
            (one for one in self.replies if (one.crosscheck, one.side) == (crosscheck, side)), None
        )

    def is_outdated(self, reply: Reply, findings: Iterable[Place]) -> bool:
        """Say whether one of the findings that a reply is about was made anew after it."""
        made = (self.finding(place) for place in findings)
        return any(one is not None and one.at > reply.at for one in made)

    def _findings_without(self, place: Place) -> tuple[Finding, ...]:
        return tuple(finding for finding in self.findings if finding.place != place)

    def _decisions_without(self, feature: str, side: Side) -> tuple[Decision, ...]:
        return tuple(
            decision
            for decision in self.decisions
            if (decision.feature, decision.side) != (feature, side)
        )
