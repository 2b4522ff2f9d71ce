"""What hangs on single findings, and what unanswered tests could tell, worked out bit by bit."""

from collections.abc import Iterator, Mapping

from attrs import evolve, field, frozen

from examwalk.protocol.model import Protocol
from examwalk.reasoning.features import Ordered
from examwalk.reasoning.fitting import case_of
from examwalk.reasoning.results import Summary
from examwalk.reasoning.robustness import Robustness, Trial, gathered
from examwalk.reasoning.summary import ordered_values
from examwalk.reasoning.unanswered import Unanswered, Worth, most_telling_first
from examwalk.session.model import Answer, Place, Session


@frozen
class Outlook:
    """What was worked out of a visit so far."""

    protocol: Protocol = field(eq=False, repr=False)
    answers: Mapping[Place, Answer]
    ordered: Ordered
    done: int = 0
    count: int = 0
    """How many findings are moved and how many tests tried, in all."""
    robustness: Robustness | None = None
    """Nothing before all is done."""
    worth: tuple[Worth, ...] = ()
    """What unanswered tests could tell, the most telling first."""

    def is_of(self, protocol: Protocol, session: Session) -> bool:
        """Whether it belongs to a visit as it is now."""
        return (
            self.protocol is protocol
            and self.answers == session.answers
            and self.ordered == ordered_values(protocol, session)
        )


def look_ahead(protocol: Protocol, session: Session, summary: Summary) -> Iterator[Outlook]:
    """Yield how far it is after each step, and at last all that was worked out."""
    case, ordered = case_of(protocol, session), ordered_values(protocol, session)
    trial = Trial(case, ordered)
    unanswered = Unanswered(case, [one.place for one in summary.missing], ordered)
    count = len(trial.nudges) + len(unanswered.places)
    outlook = Outlook(protocol, session.answers, ordered, 0, count)
    tried, worth = [], []
    for one in trial.single():
        tried.append(one)
        yield (outlook := evolve(outlook, done=outlook.done + 1))
    for telling in unanswered.run():
        worth.append(telling)
        yield (outlook := evolve(outlook, done=outlook.done + 1))
    yield evolve(outlook, robustness=gathered(protocol, tried), worth=most_telling_first(worth))
