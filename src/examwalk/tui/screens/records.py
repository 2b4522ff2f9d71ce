"""What is asked before a visit is signed, and before a signed one is corrected."""

from collections.abc import Callable, Mapping
from functools import partial

from attrs import evolve, frozen
from textual.app import App

from examwalk.language import later, say
from examwalk.protocol.entry import keys_of, limits_words
from examwalk.protocol.exam_model import Kind, Test
from examwalk.protocol.feature_model import FeatureKind
from examwalk.protocol.wording import choices_of
from examwalk.reasoning.deciding import ordered_words, range_words
from examwalk.reasoning.typed_values import Typed, read_answer, read_order
from examwalk.report.sides import with_side
from examwalk.session.amending import standing_at
from examwalk.session.model import Decision, Finding, Ordered, Place, Session
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


@frozen
class _Subject:
    """What can be corrected, as it stands now."""

    path: Place | Ordered
    name: str
    now: str
    stands: bool
    """Something stands there that is corrected; otherwise something is added."""
    values: str
    """Says what can be typed."""
    read: Callable[[str], Typed]
    was_left_out: str
    """Asks whether something that is added belongs to the visit itself."""


def _subject(visit: OpenVisit, path: Place | Ordered) -> _Subject | None:
    """Return what stands at a place or as an order; None where the protocol does not know it."""
    standing = standing_at(visit.session, path)
    if isinstance(path, Place):
        test = visit.protocol.tests_by_id.get(path.test)
        if test is None:
            return None
        return _Subject(
            path,
            visit.name_of(path),
            visit.answer_at(path) or say("not answered"),
            isinstance(standing, Finding) and standing.answer is not None,
            _values_words(visit, test),
            partial(_read_keyed, partial(read_answer, visit.protocol, test), _keyed(visit, test)),
            say("Was this found at the visit itself, and only not written down then?"),
        )
    feature = visit.protocol.features_by_id.get(path.feature)
    if feature is None:
        return None
    order = standing if isinstance(standing, Decision) else None
    amounts = feature.kind is FeatureKind.AMOUNT
    read_order_of = partial(read_order, feature)
    options = enumerate(feature.options.items(), start=1)
    named = {str(at): (id_, option.label) for at, (id_, option) in options}
    return _Subject(
        path,
        with_side(feature.title, path.side),
        ordered_words(feature, order.value) if order else say("not ordered"),
        order is not None,
        f"{range_words(feature)}." if amounts else _keys_words(named, several=False),
        read_order_of if amounts else partial(_read_keyed, read_order_of, named),
        say("Was this ordered at the visit itself, and only not written down then?"),
    )


def ask_to_correct(app: App[None], visit: OpenVisit, path: Place | Ordered, done: Done) -> None:
    """Correct an answer or an order of a signed visit, after asking for what, why and by whom."""
    if visit.held_elsewhere:
        done(visit.held_elsewhere)
        return
    subject = _subject(visit, path)
    if not visit.is_signed or subject is None:
        done(say("Corrections are for signed visits; here the answer itself can be changed."))
        return
    if any(fault.weight is Weight.WRONG for fault in verify(visit.session)):
        done(say("Nothing is added to a record that is not as it was signed."))
        return

    def given(typed: str | None) -> None:
        if typed is None:
            return
        value = Typed() if typed.strip() == _TAKEN_BACK else subject.read(typed)
        if value.refusal:
            done(value.refusal)
        else:
            _ask_grounds(app, visit, subject, value, done)

    values = f"{subject.values} {say('{sign} takes it back.', sign=_TAKEN_BACK)}".strip()
    about = say("now: {answer}. {values}", answer=subject.now, values=values)
    title = say("Correct {place}", place=subject.name)
    app.push_screen(NoteSheet(title, about=about), given)


def _ask_grounds(
    app: App[None], visit: OpenVisit, subject: _Subject, value: Typed, done: Done
) -> None:
    grounds = Grounds(by="", at=visit.now(), because="")

    def signed(by: str | None) -> None:
        if by is None:
            return
        whole = evolve(grounds, by=by, at=visit.now())
        says = say("{place}: corrected.", place=subject.name)
        _record(visit, lambda: amend(visit.session, subject.path, value.value, whole), says, done)

    def explained(because: str | None) -> None:
        nonlocal grounds
        if because is not None:
            grounds = evolve(grounds, because=because)
            app.push_screen(NoteSheet(say("Your initials")), signed)

    def dated(was_known: bool | None) -> None:
        nonlocal grounds
        grounds = evolve(grounds, was_known=bool(was_known))
        app.push_screen(NoteSheet(say("Why is it corrected?")), explained)

    if subject.stands:
        dated(True)
    else:
        app.push_screen(ConfirmSheet(subject.was_left_out), dated)


def _record(visit: OpenVisit, change: Callable[[], Session], says: str, done: Done) -> None:
    try:
        session = change()
    except RecordRefusedError as error:
        done(str(error))
        return
    visit.put_on_record(session)
    done(visit.unsaved or says)


def _values_words(visit: OpenVisit, test: Test) -> str:
    """Say which answers can be typed."""
    if test.kind is Kind.TEXT:
        return ""
    if test.kind is Kind.MEASURE:
        limits = limits_words(test) or test.unit
        return f"{limits}." if limits else ""
    return _keys_words(_keyed(visit, test), several=test.several)


Keyed = Mapping[str, tuple[str, str]]
"""The id and the label of what each key stands for."""


def _keyed(visit: OpenVisit, test: Test) -> Keyed:
    choices = choices_of(visit.protocol, test)
    keys = zip(keys_of(choices), choices, strict=True)
    return {key or choice.id: (choice.id, choice.label) for key, choice in keys}


def _keys_words(keyed: Keyed, *, several: bool) -> str:
    values = " · ".join(f"{key} {label}" for key, (_, label) in keyed.items())
    if several:
        return say("Type keys with commas: {values}.", values=values)
    return say("Type a key: {values}.", values=values)


def _read_keyed(read: Callable[[str], Typed], keyed: Keyed, typed: str) -> Typed:
    """Read what is typed by its keys in the exam, or in words."""
    parts = typed.split(",")
    return read(
        ",".join(keyed[part.strip()][0] if part.strip() in keyed else part for part in parts)
    )
