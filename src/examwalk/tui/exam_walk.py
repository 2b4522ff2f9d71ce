"""The walk through the exam: what each key does to the visit, and where the cursor goes next.

Nothing here draws; the screen shows what this holds after every key.
"""

from attrs import evolve, frozen

from examwalk.language import say
from examwalk.protocol.entry import keys_of, read_number, typed_after
from examwalk.protocol.exam_model import Kind, Test
from examwalk.protocol.wording import Choice, choices_of
from examwalk.reasoning.results import CrosscheckFired
from examwalk.session.model import Answer, Place, Side
from examwalk.session.walking import (
    is_settled,
    neighbour,
    next_after_answer,
    other_side,
    resume_at,
)
from examwalk.text import clean_line
from examwalk.tui.drafts import toggled
from examwalk.tui.open_visit import OpenVisit

RaisedAt = tuple[str, Side]
"""A caution or cross-check by its id, and the side on which it is raised."""


@frozen
class Cursor:
    """Where the exam is, and the answer at the pointer if there is one."""

    place: Place
    pointed: int | None = None


@frozen
class Said:
    """What the last key did, or why it did nothing."""

    sentence: str = ""
    is_refusal: bool = False


class ExamWalk:
    """One walk through the exam of an open visit."""

    def __init__(self, visit: OpenVisit) -> None:
        place = resume_at(visit.case.places, visit.session)
        assert place is not None, "a protocol has at least one test"
        self.visit = visit
        self.cursor = Cursor(place)
        self.said = Said()
        self.is_over = False
        """Nothing is left after the answer that was given last."""
        self.fresh: frozenset[RaisedAt] = frozenset()
        """The cautions and cross-checks that the last answer raised, until one walks on."""
        visit.go(place)

    @property
    def here(self) -> Place:
        """The place under the cursor."""
        return self.cursor.place

    @property
    def test(self) -> Test:
        """The test under the cursor."""
        return self.visit.protocol.tests_by_id[self.here.test]

    @property
    def choices(self) -> tuple[Choice, ...]:
        """The grades or options of the test under the cursor."""
        return choices_of(self.visit.protocol, self.test)

    # --- answering ---

    def answer(self, key: str) -> None:
        """Record or tick the answer with this key, or type a figure."""
        if self.test.kind is Kind.MEASURE:
            self.type(key)
            return
        keys = keys_of(self.choices)
        if key in keys:
            self._choose(self.choices[keys.index(key)])
        elif keys:
            self._refuse(
                say(
                    "There is no answer {key} here: the keys are {first} to {last}.",
                    key=key,
                    first=keys[0],
                    last=keys[-1],
                )
            )

    def type(self, key: str) -> None:
        """Type a figure or sign into a number; ``backspace`` takes the last one back."""
        if self.test.kind is not Kind.MEASURE:
            return
        if self.visit.frozen:
            self._refuse(self.visit.frozen)
            return
        self._say()
        drafts = self.visit.drafts
        drafts.type(self.here, typed_after(drafts.typed(self.here), key))

    def accept(self) -> None:
        """Record what is typed, ticked or pointed at; go on where that is recorded already."""
        untouched = not self.visit.drafts.has(self.here)
        pointed = self.cursor.pointed
        if pointed is not None and not self.test.several:
            self._choose(self.choices[pointed])
        elif untouched and is_settled(self.visit.session, self.here):
            self._say()
            self._advance()
        elif self.test.kind is Kind.MEASURE:
            self._accept_number()
        elif self.test.several:
            self._accept_ticks()
        else:
            self._refuse(say("Press the key of an answer, or point at one with ↑ ↓ first."))

    def tick(self) -> None:
        """Tick or untick the option at the pointer, where several are possible."""
        if self.test.several and self.cursor.pointed is not None:
            self._choose(self.choices[self.cursor.pointed])

    def write(self, words: str) -> None:
        """Record an answer in words."""
        words = clean_line(words)
        if words:
            self._record(words)
        else:
            self._refuse(say("Nothing is written yet. Esc and then x say that it is not done."))

    def draft(self, words: str) -> None:
        """Keep words that are being written and not accepted yet."""
        recorded = self.visit.session.answers.get(self.here, "")
        self.visit.drafts.type(self.here, "" if words == recorded else words)

    # --- what else can be said of a test ---

    def not_done(self, reason: str, *, both_sides: bool) -> None:
        """Record that the test is not done, on this side or on both."""
        here, other = self.here, other_side(self.visit.case.places, self.here)
        places = (here, other) if both_sides and other != here else (here,)
        with self.visit.one_save():
            if self.visit.frozen:
                self._refuse(self.visit.frozen)
                return
            before = self._standing(here)
            for place in places:
                self.visit.not_done(place, reason)
            self._after_recording(*places, before=before)

    def tell(self, sentence: str) -> None:
        """Say what was done to the visit by others than the walk."""
        self._say(sentence)

    def note(self, text: str) -> None:
        """Write a note on the test and side; an empty one takes it away."""
        if self.visit.note(self.here, text):
            self._say(say("Note kept.") if text else say("Note taken away."))
        elif self.visit.frozen:
            self._refuse(self.visit.frozen)

    def clear(self) -> None:
        """Take the answer away, with what is typed or ticked."""
        self.visit.drafts.drop(self.here)
        if self.visit.clear(self.here):
            self._say(say("{place}: taken away.", place=self.visit.name_of(self.here)))
        elif self.visit.frozen:
            self._refuse(self.visit.frozen)

    def undo(self) -> None:
        """Take back the last change and go to where it was made."""
        if self.visit.held_elsewhere:
            self._refuse(self.visit.frozen)
            return
        taken_back = self.visit.undo()
        self.fresh = frozenset()
        if taken_back is None:
            self._say(say("There is nothing to take back since the visit was opened."))
            return
        self.go(resume_at(self.visit.case.places, self.visit.session) or self.here)
        self._say(taken_back)

    # --- moving ---

    def go(self, place: Place) -> None:
        """Go to a place."""
        self._say()
        self._move_to(place)

    def other_side(self) -> None:
        """Go to the other side."""
        self.go(other_side(self.visit.case.places, self.here))

    def side(self, side: Side) -> None:
        """Go to the left or to the right side, where the test is asked there."""
        place = Place(self.here.test, side)
        if place in self.visit.case.places:
            self.go(place)

    def look(self, step: int) -> None:
        """Move the pointer through the answers without recording anything."""
        count = len(self.choices)
        if count:
            at = self.cursor.pointed
            start = 0 if step > 0 else count - 1
            self.cursor = evolve(self.cursor, pointed=start if at is None else (at + step) % count)

    def step(self, step: int) -> None:
        """Go to the next test, or to the previous one with a negative step."""
        place = neighbour(self.visit.case.places, self.here, step)
        if place.test != self.here.test:
            self.fresh = frozenset()
            self.go(place)
        elif step > 0:
            self._say(say("This is the last test. r shows the review."))
        else:
            self._say(say("This is the first test."))

    def look_again(self) -> None:
        """Go to what the worst cross-check asks to look at again, then to the next."""
        checks = sorted(self.visit.open_crosschecks, key=self._is_old)
        places = list(dict.fromkeys(place for check in checks for place in check.recheck))
        if places:
            at = places.index(self.here) + 1 if self.here in places else 0
            self.go(places[at % len(places)])
        else:
            self._say(say("No findings disagree."))

    # --- the small steps ---

    def _choose(self, choice: Choice) -> None:
        if not self.test.several:
            self._record(choice.id)
        elif choice.id in self.test.alone:
            self._record((choice.id,))
        elif self.visit.frozen:
            self._refuse(self.visit.frozen)
        else:
            drafts, here = self.visit.drafts, self.here
            recorded = self.visit.session.answers.get(here)
            before = drafts.ticked(here, recorded if isinstance(recorded, tuple) else ())
            order = [option.id for option in self.choices]
            drafts.tick(here, toggled(before, choice.id, self.test.alone, order))
            self._say(say("Enter records what is ticked."))

    def _accept_ticks(self) -> None:
        ticked = self.visit.drafts.ticked(self.here, ())
        if ticked:
            self._record(ticked)
        else:
            self._refuse(say("Nothing is ticked: press the keys of all that applies, then Enter."))

    def _accept_number(self) -> None:
        entry = read_number(self.test, self.visit.drafts.typed(self.here))
        if entry.value is None:
            self._refuse(entry.refusal)
        elif entry.doubt and not self.visit.drafts.doubt(self.here, entry.value):
            self._refuse(entry.doubt)
        else:
            self._record(entry.value)

    def _record(self, answer: Answer) -> None:
        raised, before = self._raised(), self._standing(self.here)
        with self.visit.one_save():
            if self.visit.answer(self.here, answer):
                self.fresh = self._raised() - raised
                self._after_recording(self.here, before=before)
            else:
                self._refuse(self.visit.frozen)

    def _raised(self) -> frozenset[RaisedAt]:
        case = self.visit.case
        cautions = frozenset((caution.id, caution.side) for caution in case.cautions)
        return cautions.union((check.id, check.side) for check in self.visit.open_crosschecks)

    def _is_old(self, check: CrosscheckFired) -> bool:
        return (check.id, check.side) not in self.fresh

    def _standing(self, place: Place) -> str:
        """Return what stands at a place in words, or nothing while it is open."""
        return self.visit.answer_at(place) if is_settled(self.visit.session, place) else ""

    def _after_recording(self, *places: Place, before: str) -> None:
        """Say what was recorded, and what stood there before, and go on."""
        for place in places:
            self.visit.drafts.drop(place)
        here = places[0]
        name, answer = self.visit.name_of(here), self.visit.answer_at(here)
        if before in ("", answer):
            self._say(say("Recorded: {place}: {answer}", place=name, answer=answer))
        else:
            self._say(
                say(
                    "Changed: {place}: {answer} (before: {before})",
                    place=name,
                    answer=answer,
                    before=before,
                )
            )
        self._advance(corrected=bool(before) and len(places) == 1)

    def _advance(self, *, corrected: bool = False) -> None:
        onwards = next_after_answer(
            self.visit.case.places, self.visit.session, self.here, corrected=corrected
        )
        self.is_over = onwards is None
        if onwards is not None:
            self._move_to(onwards)

    def _move_to(self, place: Place) -> None:
        self.cursor = Cursor(place)
        self.visit.go(place)

    def _say(self, sentence: str = "") -> None:
        self.said = Said(sentence)

    def _refuse(self, sentence: str) -> None:
        self.said = Said(sentence, is_refusal=True)
