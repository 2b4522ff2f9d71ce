"""The visit that is open: every change goes through here and is on disk before it returns."""

from collections.abc import Sequence
from pathlib import Path

from attrs import evolve

from examwalk.language import later, say, say_count
from examwalk.protocol.model import Protocol
from examwalk.protocol.reading import LoadedProtocol
from examwalk.protocol.wording import answer_words, reason_words
from examwalk.reasoning.case import Case
from examwalk.reasoning.fitting import Misfit, misfits
from examwalk.reasoning.results import CrosscheckFired, FeatureResult, Summary
from examwalk.reasoning.summary import summarise
from examwalk.report.differing import Difference, differences
from examwalk.report.sides import with_side
from examwalk.session.model import (
    Answer,
    Decision,
    Finding,
    Place,
    Reply,
    Session,
    Side,
    State,
)
from examwalk.tui.clock import Clock
from examwalk.tui.drafts import Drafts
from examwalk.tui.outlook import Outlook
from examwalk.tui.visit_on_disk import Opened, VisitOnDisk

FINISHED = later(
    "This visit is finished, so nothing was changed. To go on, reopen it with f in the review or"
    " the summary."
)
SIGNED = later(
    "This visit is signed, so nothing in it was changed. A correction is written beside what "
    "stands: in the app press c in the exam, or Enter at an order in the summary."
)


class OpenVisit(VisitOnDisk):
    """A visit that is examined: its changes, how they are taken back, and what follows from them.

    Every method that changes the visit returns whether it did: a finished visit stays as it is
    until it is reopened, a signed one for good, and one that another window holds as long as that
    one has it (``frozen`` says which). Whatever was changed is saved before the method returns.
    """

    def __init__(self, path: Path, opened: Opened, now: Clock) -> None:
        super().__init__(path, opened, now)
        self.trial_note: str | None = None
        """Says that nothing here is kept, where the visit only tries a protocol out."""
        self.differences: tuple[Difference, ...] | None = None
        """What follows differently since the protocol was read anew; none where it never was."""
        self.drafts = Drafts()
        self.misfits: tuple[Misfit, ...] = ()
        """Answers in the file that the protocol cannot read; they are kept, and told about."""
        self._find_misfits()
        self.case = self._case()
        self._taken_back_by: list[tuple[Session, str]] = []
        self._summary: tuple[Session, Summary] | None = None
        self.outlook: Outlook | None = None
        """What hangs on single findings, as it was last worked out."""

    def mark_invented(self) -> None:
        """Mark the visit as one that examines nobody."""
        self.session = evolve(self.session, invented=True)
        self.save()

    def read_with(self, loaded: LoadedProtocol) -> None:
        """Read the visit with another version of its protocol; the answers stay."""
        before = self.summary
        self.loaded = loaded
        self._find_misfits()
        self._summary = None
        self.case = self._case()
        self.differences = differences(before, self.summary)

    @property
    def protocol(self) -> Protocol:
        """The protocol the visit is read with."""
        return self.loaded.protocol

    @property
    def is_finished(self) -> bool:
        """Whether the visit is finished and therefore frozen."""
        return self.session.state is State.FINISHED

    @property
    def is_signed(self) -> bool:
        """Whether the visit is signed and changes by amendments alone."""
        return self.session.signature is not None

    @property
    def frozen(self) -> str:
        """Say in a sentence why nothing can be changed here; an empty text if it can."""
        if self.held_elsewhere or not self.is_finished:
            return self.held_elsewhere
        return say(SIGNED if self.is_signed else FINISHED)

    @property
    def summary(self) -> Summary:
        """All that follows from the findings, worked out once for each state of the visit."""
        if self._summary is None or self._summary[0] is not self.session:
            self._summary = (self.session, summarise(self.protocol, self.session))
        return self._summary[1]

    def answer(self, place: Place, answer: Answer) -> bool:
        """Record an answer; a note that stands there already stays."""
        return self._record(Finding(place, self.now(), answer=answer, note=self._note_at(place)))

    def not_done(self, place: Place, reason: str) -> bool:
        """Record that a test is not done, for a reason's id or in free words."""
        return self._record(Finding(place, self.now(), not_done=reason, note=self._note_at(place)))

    def note(self, place: Place, text: str) -> bool:
        """Write a note at a place; an answer that stands there already stays."""
        finding = self.session.finding(place) or Finding(place, self.now())
        what = say("the note on {place}", place=self.name_of(place))
        if not text and not finding.is_settled:
            return self._change(self.session.without_finding(place), what)
        return self._change(self._replaced(evolve(finding, note=text)), what)

    def clear(self, place: Place) -> bool:
        """Take away the answer, the reason and the note at a place."""
        if self.session.finding(place) is None:
            return False
        what = say("the clearing of {place}", place=self.name_of(place))
        return self._change(self.session.without_finding(place), what)

    def decide(self, feature: str, side: Side, value: str | int | float, because: str = "") -> bool:
        """Record what is ordered for a feature, beside what was recommended at that moment."""
        recommended = self.summary.feature(feature, side).value
        decision = Decision(feature, side, value, recommended, self.now(), because)
        what = say("the decision on {feature}", feature=self._feature(feature, side))
        return self._change(self.session.with_decision(decision), what)

    def accept(self, results: Sequence[FeatureResult]) -> bool:
        """Order several recommended values as one change, which undo takes back as one."""
        session = self.session
        for result in results:
            assert result.value is not None
            session = session.with_decision(
                Decision(result.id, result.side, result.value, result.value, self.now())
            )
        what = say_count(
            len(results),
            "the acceptance of {count} recommendation",
            "the acceptance of {count} recommendations",
        )
        return self._change(session, what)

    def withdraw(self, feature: str, side: Side) -> bool:
        """Take a decision away."""
        session = self.session.without_decision(feature, side)
        if session.decisions == self.session.decisions:
            return False
        name = self._feature(feature, side)
        return self._change(
            session, say("the withdrawal of the decision on {feature}", feature=name)
        )

    def reply(self, crosscheck: str, side: Side, says: str) -> bool:
        """Keep an answer to a cross-check; an empty one takes it away."""
        session = (
            self.session.with_reply(Reply(crosscheck, side, self.now(), says))
            if says
            else self.session.without_reply(crosscheck, side)
        )
        return self._change(session, say("the reply to a cross-check"))

    @property
    def open_crosschecks(self) -> tuple[CrosscheckFired, ...]:
        """The cross-checks that speak during the exam and are not replied to, worst first."""
        checks = self.case.live_crosschecks
        return tuple(check for check in checks if not self._is_replied_to(check))

    def _is_replied_to(self, check: CrosscheckFired) -> bool:
        """Say whether a reply was given to these very answers, not to ones changed since."""
        reply = self.session.reply_to(check.id, check.side)
        return reply is not None and not self.session.is_outdated(reply, check.findings)

    def finish(self) -> bool:
        """Finish the visit: it is frozen until it is reopened."""
        session = evolve(self.session, state=State.FINISHED, finished=self.now())
        return self._change(session, say("the finishing of the visit"))

    def reopen(self) -> bool:
        """Open a finished visit again."""
        if not self.is_finished or self.is_signed:
            return False
        session = evolve(self.session, state=State.OPEN, finished=None)
        return self._change(session, say("the reopening of the visit"), even_if_finished=True)

    def put_on_record(self, session: Session) -> None:
        """Go on with the visit as signed or amended, which undo does not take back."""
        self._taken_back_by.clear()
        self.session = session
        self._after_change()

    def undo(self) -> str | None:
        """Take back the last change of this run and say in words what it was."""
        if not self._taken_back_by or self.held_elsewhere:
            return None
        self.session, what = self._taken_back_by.pop()
        self._after_change()
        return say("Taken back: {what}.", what=what)

    def follow(self) -> bool:
        """Show what the window that may change the visit has changed, and say if it has."""
        if not self.read_anew():
            return False
        self._taken_back_by.clear()
        self._find_misfits()
        self.case = self._case()
        return True

    def go(self, place: Place) -> None:
        """Remember where the exam is."""
        if self.session.here != place:
            self.session = evolve(self.session, here=place)
            self.save()

    def would_be_lost(self) -> str:
        """Say in a sentence what closing the visit now would lose; an empty text if nothing."""
        if self.unsaved is not None and not self.save():
            return self.unsaved or ""
        if self.drafts:
            names = "; ".join(self.name_of(place) for place in self.drafts.places)
            return say("Typed or ticked and not accepted yet: {places}.", places=names)
        return ""

    def name_of(self, place: Place) -> str:
        """Write a place in words: ``Supination resistance, left``."""
        test = self.protocol.tests_by_id.get(place.test)
        return with_side(test.name if test else place.test, place.side)

    def answer_at(self, place: Place) -> str:
        """Write in words what is recorded at a place; an empty text where nothing is."""
        finding = self.session.finding(place)
        return self._finding_words(finding) if finding else ""

    def _finding_words(self, finding: Finding) -> str:
        if finding.not_done is not None:
            return say("not done: {reason}", reason=reason_words(self.protocol, finding.not_done))
        if finding.answer is None:
            return ""
        test = self.protocol.tests_by_id.get(finding.place.test)
        return answer_words(self.protocol, test, finding.answer) if test else str(finding.answer)

    def _record(self, finding: Finding) -> bool:
        what = f"{self.name_of(finding.place)}: {self._finding_words(finding)}"
        return self._change(self.session.with_finding(finding), what)

    def _replaced(self, finding: Finding) -> Session:
        if self.session.finding(finding.place) is None:
            return self.session.with_finding(finding)
        findings = tuple(
            finding if old.place == finding.place else old for old in self.session.findings
        )
        return evolve(self.session, findings=findings)

    def _note_at(self, place: Place) -> str:
        finding = self.session.finding(place)
        return finding.note if finding else ""

    def _feature(self, feature: str, side: Side) -> str:
        return with_side(self.protocol.features_by_id[feature].title, side)

    def _change(self, session: Session, what: str, *, even_if_finished: bool = False) -> bool:
        if self.held_elsewhere or (self.is_finished and not even_if_finished):
            return False
        self._taken_back_by.append((self.session, what))
        self.session = session
        self._after_change()
        return True

    def _after_change(self) -> None:
        self.case = self._case()
        self.save()

    def _find_misfits(self) -> None:
        self.misfits = misfits(self.protocol, self.session)
        answers = self.session.answers
        self._unread = {misfit.place: answers[misfit.place] for misfit in self.misfits}

    def _case(self) -> Case:
        # Whatever is answered here fits, so only what the file held has to be left out.
        answers = self.session.answers
        if self._unread:
            answers = {
                place: answer
                for place, answer in answers.items()
                if self._unread.get(place) != answer
            }
        return Case(self.protocol, answers)
