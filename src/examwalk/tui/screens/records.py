"""What is asked before a visit is signed, and before a signed one is corrected."""

from collections.abc import Callable

from attrs import evolve
from textual.app import App

from examwalk.language import later, say
from examwalk.protocol.model import Kind, Test
from examwalk.protocol.wording import choices_of
from examwalk.reasoning.typed_values import Typed, read_answer
from examwalk.session.model import Place, Session
from examwalk.session.signing import (
    Grounds,
    RecordRefusedError,
    Weight,
    amend,
    sign,
    verify,
)
from examwalk.tui.open_visit import OpenVisit
from examwalk.tui.screens.confirm import ConfirmSheet
from examwalk.tui.screens.note import NoteSheet

Done = Callable[[str], None]
"""Takes the sentence that says what was done, or why nothing was."""

_TAKEN_BACK = "-"
"""What is typed to take an answer back."""
_MEANS = later(
    "Your signature says that you stand for this visit as it is. From then on it cannot be "
    "reopened: a correction is written beside what stands, with who, when and why. Sign it?"
)


def ask_to_sign(app: App[None], visit: OpenVisit, done: Done) -> None:
    """Sign the open visit, after saying what that means and asking for initials."""
    if visit.held_elsewhere:
        done(visit.held_elsewhere)
        return
    if not visit.is_finished:
        done(say("Only a finished visit is signed: press f first."))
        return
    if visit.is_signed:
        done(visit.frozen)
        return

    def initials(by: str | None) -> None:
        if by is not None:
            signed = say("This visit is signed.")
            _record(visit, lambda: sign(visit.session, by, visit.now()), signed, done)

    def meant(yes: bool | None) -> None:
        if yes:
            app.push_screen(NoteSheet(say("Sign with your initials")), initials)

    app.push_screen(ConfirmSheet(say(_MEANS)), meant)


def ask_to_correct(app: App[None], visit: OpenVisit, place: Place, done: Done) -> None:
    """Correct an answer of a signed visit, after asking for what, why and by whom."""
    if visit.held_elsewhere:
        done(visit.held_elsewhere)
        return
    test = visit.protocol.tests_by_id.get(place.test)
    if not visit.is_signed or test is None:
        done(say("Corrections are for signed visits; here the answer itself can be changed."))
        return
    if any(fault.weight is Weight.WRONG for fault in verify(visit.session)):
        done(say("Nothing is added to a record that is not as it was signed."))
        return

    def given(typed: str | None) -> None:
        if typed is None:
            return
        is_back = typed.strip() == _TAKEN_BACK
        value = Typed() if is_back else read_answer(visit.protocol, test, typed)
        if value.refusal:
            done(value.refusal)
        else:
            _ask_grounds(app, visit, place, value, done)

    now = visit.answer_at(place) or say("not answered")
    about = say("now: {answer}. {values}", answer=now, values=_values_words(visit, test))
    title = say("Correct {place}", place=visit.name_of(place))
    app.push_screen(NoteSheet(title, about=about), given)


def _ask_grounds(app: App[None], visit: OpenVisit, place: Place, value: Typed, done: Done) -> None:
    grounds = Grounds(by="", at=visit.now(), because="")

    def signed(by: str | None) -> None:
        if by is None:
            return
        whole = evolve(grounds, by=by, at=visit.now())
        says = say("{place}: corrected.", place=visit.name_of(place))
        _record(visit, lambda: amend(visit.session, place, value.value, whole), says, done)

    def explained(because: str | None) -> None:
        nonlocal grounds
        if because is not None:
            grounds = evolve(grounds, because=because)
            app.push_screen(NoteSheet(say("Your initials")), signed)

    def dated(was_known: bool | None) -> None:
        nonlocal grounds
        grounds = evolve(grounds, was_known=bool(was_known))
        app.push_screen(NoteSheet(say("Why is it corrected?")), explained)

    finding = visit.session.finding(place)
    if finding is not None and finding.answer is not None:
        dated(True)
        return
    question = say("Was this found at the visit itself, and only not written down then?")
    app.push_screen(ConfirmSheet(question), dated)


def _record(visit: OpenVisit, change: Callable[[], Session], says: str, done: Done) -> None:
    try:
        session = change()
    except RecordRefusedError as error:
        done(str(error))
        return
    visit.put_on_record(session)
    done(visit.unsaved or says)


def _values_words(visit: OpenVisit, test: Test) -> str:
    """Say what can be typed."""
    back = say("{sign} takes it back.", sign=_TAKEN_BACK)
    if test.kind is Kind.TEXT:
        return back
    if test.kind is Kind.MEASURE:
        return f"{say('In {unit}.', unit=test.unit)} {back}" if test.unit else back
    names = ", ".join(choice.id for choice in choices_of(visit.protocol, test))
    return (
        f"{say('One of: {values}.', values=names)} {back}"
        if not test.several
        else (f"{say('Some of, with commas: {values}.', values=names)} {back}")
    )
