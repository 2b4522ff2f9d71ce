"""The exam as a conversation in lines of text, for a screen reader or a terminal without a screen.

One line is read for each thing said, and everything is told in words, figures too. It is the same
walk through the same visit as on the screen.
"""

from collections.abc import Callable, Iterator

from attrs import frozen

from examwalk.drawing.figure import Side as DrawnSide
from examwalk.language import later, say, say_count
from examwalk.protocol.condition_model import DeviceEffect
from examwalk.protocol.entry import keys_of, limits_words, read_number
from examwalk.protocol.exam_model import Kind
from examwalk.protocol.figures import atlas_of, figure_of_choice, figure_of_test
from examwalk.reasoning.robustness import Trial, gathered
from examwalk.report.sides import side_heading, with_side
from examwalk.report.text import summary_text
from examwalk.session.model import Place, Side
from examwalk.session.walking import left_over, progress
from examwalk.text import clean_line
from examwalk.tui.cautions import refer_words, stop_words
from examwalk.tui.exam_walk import ExamWalk
from examwalk.tui.open_visit import OpenVisit

Read = Callable[[str], str]
"""Asks for a line and returns it; ``EOFError`` says that there are no more."""
Write = Callable[[str], None]


@frozen
class Command:
    """Something that can be asked for in place of an answer."""

    letter: str
    does: str


COMMANDS = (
    Command("h", later("tell again what this test is and how it is done")),
    Command("l", later("tell what each answer looks like")),
    Command("s", later("go to the other side")),
    Command("b", later("go back to the test before")),
    Command("g", later("go on to the next test without an answer")),
    Command("x", later("not done, with a reason: x too painful")),
    Command("n", later("write a note: n swollen")),
    Command("u", later("take the last change back")),
    Command("c", later("take the answer here away")),
    Command("o", later("tell what is still open")),
    Command("w", later("tell which findings disagree, and go there")),
    Command("v", later("tell what follows so far")),
    Command("f", later("finish the visit")),
    Command("q", later("leave; everything is kept")),
    Command("?", later("tell these letters")),
)
PROMPT = "> "


class Conversation:
    """Leads through the exam of an open visit until the examiner leaves."""

    def __init__(self, visit: OpenVisit, read: Read, write: Write) -> None:
        self._visit = visit
        self._walk = ExamWalk(visit)
        self._atlas = atlas_of(visit.protocol)
        self._read = read
        self._write = write
        self._told: Place | None = None
        self._position = ""
        self._has_told_stop: set[tuple[str, Side]] = set()

    def lead(self) -> None:
        """Ask, record and go on; every answer is saved before the next question."""
        self._say_all(self._greeting())
        while True:
            self._tell_cautions()
            self._tell_place()
            try:
                line = self._read(PROMPT)
            except EOFError:
                break
            if not self._take(line):
                break
        self._write("")
        unsaved = self._visit.would_be_lost()
        self._write(unsaved or say("Everything is saved in {file}.", file=self._visit.path))

    # --- what is told ---

    def _greeting(self) -> Iterator[str]:
        session, identity = self._visit.session, self._visit.protocol.identity
        yield say(
            "{protocol}. Patient {patient}.", protocol=identity.title, patient=session.patient
        )
        if session.invented:
            yield say("An invented patient, for teaching and for trying out.")
        if self._visit.protocol_note:
            yield self._visit.protocol_note
        if self._visit.frozen:
            yield self._visit.frozen
        yield say("A question mark and Enter tell what can be said. q and Enter leave.")

    def _tell_place(self) -> None:
        here = self._walk.here
        if here == self._told:
            return
        same_test = self._told is not None and self._told.test == here.test
        self._told = here
        self._write("")
        if same_test:
            self._write(f"{side_heading(here.side)}.")
        else:
            self._say_all(self._about_test())
        self._say_all(self._present_answer())

    def _about_test(self) -> Iterator[str]:
        visit, here, test = self._visit, self._walk.here, self._walk.test
        position = visit.protocol.position(test.position)
        if position.id != self._position:
            self._position = position.id
            yield f"{position.title}. {position.instruction}".strip()
        places = visit.case.places
        done = progress(places, visit.session, {place.test for place in places})
        yield say(
            "{test}. {count}.",
            test=with_side(test.title, here.side),
            count=say_count(
                done.total, "{done} of {count} test", "{done} of {count} tests", done=done.done
            ),
        )
        for caution in test.cautions:
            yield say("Careful: {what}", what=caution)
        for number, step in enumerate(test.how, start=1):
            yield f"{number}. {step}"
        for mistake in test.mistakes:
            yield say("Mistake: {what}", what=mistake)
        figure = figure_of_test(visit.protocol, test)
        words = self._atlas.words(figure, None, _drawn(here.side)) if figure else ""
        if words:
            yield say("Picture: {what}", what=words)
        yield from self._answers()

    def _answers(self) -> Iterator[str]:
        test, choices = self._walk.test, self._walk.choices
        if test.kind is Kind.MEASURE:
            yield say("A number: {limits}.", limits=limits_words(test) or test.unit)
        elif test.kind is Kind.TEXT:
            yield say("In your own words. A letter to ask for something has a dot before it here.")
        else:
            told = (
                f"{key} {choice.label}"
                for key, choice in zip(keys_of(choices), choices, strict=True)
            )
            yield ", ".join(told) + "."
            if test.several:
                yield say("Several are possible: write their keys with spaces between.")

    def _present_answer(self) -> Iterator[str]:
        words = self._visit.answer_at(self._walk.here)
        if words:
            yield say("Recorded is: {answer}.", answer=words)

    def _looks(self) -> Iterator[str]:
        protocol, test, side = self._visit.protocol, self._walk.test, self._walk.here.side
        choices = self._walk.choices
        for key, choice in zip(keys_of(choices), choices, strict=True):
            yield f"{key} {choice.label}. {choice.looks}".strip()
            figure = figure_of_choice(protocol, test, choice.id)
            words = self._atlas.words(figure, None, _drawn(side)) if figure else ""
            if words:
                yield say("Picture: {what}", what=words)
        if not choices:
            yield from self._answers()
        for band in test.bands:
            yield band.label

    def _tell_cautions(self) -> None:
        """Tell what is raised and was not told before: cautions first."""
        case = self._visit.case
        for caution in case.cautions:
            key = (caution.id, caution.side)
            if key in self._has_told_stop:
                continue
            self._has_told_stop.add(key)
            title = with_side(caution.title, caution.side)
            if caution.device is DeviceEffect.STOP:
                self._write(f"▲ {stop_words(title, caution)} {caution.says}")
            else:
                words = f"{title}. {caution.urgency_words}. {caution.says} {refer_words(caution)}"
                self._write(f"▲ {words.rstrip()}")
        for check in self._visit.open_crosschecks:
            if (check.id, check.side) in self._walk.fresh:
                self._write(
                    say(
                        "These findings disagree: {what} w and Enter go there.",
                        what=with_side(check.says, check.side),
                    )
                )

    # --- what is taken ---

    def _take(self, line: str) -> bool:
        """Do what a line says, and return whether to go on."""
        line = clean_line(line).strip()
        in_words = self._walk.test.kind is Kind.TEXT
        letter, _, rest = line.removeprefix(".").partition(" ")
        known = {command.letter for command in COMMANDS}
        is_command = letter in known and (line.startswith(".") or not in_words)
        if not line:
            self._told = None
            return True
        if is_command:
            return self._command(letter, rest.strip())
        if self._answer(line):
            self._said()
        return True

    def _answer(self, line: str) -> bool:
        """Give an answer, and return whether the walk has something to say to it."""
        walk, test = self._walk, self._walk.test
        if test.kind is Kind.TEXT:
            walk.write(line)
        elif test.kind is Kind.MEASURE:
            return self._number(line)
        elif test.several:
            self._visit.drafts.tick(walk.here, ())
            for key in line.replace(",", " ").split():
                walk.answer(key)
                if walk.said.is_refusal:
                    self._visit.drafts.drop(walk.here)
                    return True
            if self._visit.drafts.has(walk.here):
                walk.accept()
        else:
            walk.answer(line)
        return True

    def _number(self, line: str) -> bool:
        """Record a number; one that is unlikely is asked about, and the same once more keeps it."""
        walk, entry = self._walk, read_number(self._walk.test, line)
        if entry.value is None:
            self._write(entry.refusal)
            return False
        if entry.doubt:
            self._write(entry.doubt)
            if self._asked() not in ("", line):
                self._write(say("Not recorded."))
                return False
        for key in line.strip():
            walk.type(key)
        walk.accept()
        if walk.said.is_refusal and entry.doubt:
            walk.accept()
        return True

    def _asked(self) -> str | None:
        try:
            return clean_line(self._read(PROMPT)).strip()
        except EOFError:
            return None

    def _said(self) -> None:
        if self._walk.said.sentence:
            self._write(self._walk.said.sentence)
        if self._visit.unsaved:
            self._write(self._visit.unsaved)
        if self._walk.is_over:
            self._walk.is_over = False
            self._write(say("Everything is answered. v tells what follows, f finishes the visit."))

    def _command(self, letter: str, rest: str) -> bool:
        if letter == "q":
            return False
        actions: dict[str, Callable[[], None]] = {
            "h": self._tell_again,
            "l": lambda: self._say_all(self._looks()),
            "s": self._walk.other_side,
            "b": lambda: self._walk.step(-1),
            "g": lambda: self._walk.step(1),
            "x": lambda: self._not_done(rest),
            "n": lambda: self._walk.note(rest),
            "u": self._walk.undo,
            "c": self._walk.clear,
            "o": lambda: self._say_all(self._open()),
            "w": self._walk.look_again,
            "v": lambda: self._say_all(self._summary()),
            "f": self._finish,
            "?": self._tell_letters,
        }
        actions[letter]()
        if letter in "sbgxnucw":
            self._said()
        return True

    def _tell_again(self) -> None:
        self._told = None
        self._position = ""

    def _tell_letters(self) -> None:
        self._write(say("An answer is its key, then Enter. Instead of an answer:"))
        for command in COMMANDS:
            self._write(f"{command.letter} — {say(command.does)}")

    def _not_done(self, reason: str) -> None:
        reasons = self._visit.protocol.not_done_reasons
        by_words = {words.casefold(): key for key, words in reasons.items()}
        if reason:
            self._walk.not_done(by_words.get(reason.casefold(), reason), both_sides=False)
        else:
            told = "; ".join(reasons.values())
            self._write(say("Say why after the x, in your words or as: {reasons}.", reasons=told))

    def _open(self) -> Iterator[str]:
        places = left_over(self._visit.case.places, self._visit.session)
        yield say_count(len(places), "{count} place is open.", "{count} places are open.")
        yield from (self._visit.name_of(place) for place in places)

    def _summary(self) -> Iterator[str]:
        case = self._visit.case
        robustness = gathered(case.protocol, tuple(Trial(case).single()))
        yield summary_text(
            self._visit.protocol, self._visit.session, self._visit.summary, robustness
        )

    def _finish(self) -> None:
        if self._visit.finish():
            self._write(say("The visit is finished and frozen. The app can open it again."))
        else:
            self._write(self._visit.frozen)
        if self._visit.unsaved:
            self._write(self._visit.unsaved)

    def _say_all(self, lines: Iterator[str]) -> None:
        for line in lines:
            self._write(line)


def _drawn(side: Side) -> DrawnSide:
    return "right" if side is Side.RIGHT else "left"
