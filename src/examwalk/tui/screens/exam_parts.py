"""What the exam shows of one test, worked out from the open visit."""

from attrs import evolve
from textual.content import Content

from examwalk.dates import short_date_words
from examwalk.language import later, say
from examwalk.protocol.entry import keys_of, limits_words
from examwalk.protocol.exam_model import Kind, Test
from examwalk.protocol.wording import answer_words, choices_of, reason_words, score_words
from examwalk.reasoning.places import sides_of
from examwalk.report.record_words import amended_words
from examwalk.report.sides import side_word
from examwalk.session.model import BOTH_FEET, Finding, Place, Side
from examwalk.session.walking import left_over
from examwalk.tui.exam_walk import Cursor
from examwalk.tui.keys import Action, action_called
from examwalk.tui.offering import offered
from examwalk.tui.open_visit import OpenVisit
from examwalk.tui.text import phrase, shortened
from examwalk.tui.widgets.answers import RECORDED, TICKED, Column, Field, Row
from examwalk.tui.widgets.looks import Look, LooksView

LONGEST_VISIT_MINUTES = 240
"""A visit taken up again later than this shows its date in place of its minutes."""


def asked_places(visit: OpenVisit, test: Test) -> tuple[Place, ...]:
    """Return the places of a test that are asked now, left before right."""
    return tuple(place for place in visit.case.places if place.test == test.id)


def columns_of(visit: OpenVisit, test: Test, cursor: Cursor) -> tuple[Column, ...]:
    """Return a column for each side; one that is not asked says so."""
    if cursor.place.side is Side.WHOLE:
        return (_column(visit, test, cursor.place, cursor),)
    asked = asked_places(visit, test)
    return tuple(
        _column(visit, test, place, cursor)
        if (place := Place(test.id, side)) in asked or place == cursor.place
        else Column(side, is_here=False, status=say("not asked"))
        for side in (Side.LEFT, Side.RIGHT)
    )


def looks_of(visit: OpenVisit, test: Test, cursor: Cursor) -> LooksView:
    """Return what the grades look like, with the one that matters now."""
    if test.kind is Kind.MEASURE:
        limits = limits_words(test)
        bands = " · ".join(band.label for band in test.bands)
        return LooksView(hint=f"{limits}{f'  ({bands})' if bands else ''}")
    if test.kind is Kind.TEXT:
        return LooksView()
    choices = choices_of(visit.protocol, test)
    looks = tuple(
        Look(key, choice.label, choice.looks)
        for key, choice in zip(keys_of(choices), choices, strict=True)
    )
    if not any(look.looks for look in looks):
        return LooksView()
    pointed = cursor.pointed
    if pointed is None:
        answer = visit.session.answers.get(cursor.place)
        ids = [choice.id for choice in choices]
        pointed = ids.index(answer) if isinstance(answer, str) and answer in ids else None
    return LooksView(looks, pointed, say("↑ ↓ show what each answer looks like"))


def top_line(visit: OpenVisit, test: Test, width: int) -> Content:
    """Write who is examined, why, where the exam is and for how long it has run."""
    position = visit.protocol.position(test.position)
    in_position = {t.id for t in visit.protocol.tests if t.position == position.id}
    tests = list(dict.fromkeys(p.test for p in visit.case.places if p.test in in_position))
    at = say("not asked")
    if test.id in tests:
        at = say("{number} of {total}", number=tests.index(test.id) + 1, total=len(tests))
    still_open = {place.test for place in left_over(visit.case.places, visit.session)}
    left = len(still_open & set(tests))
    still = f", {say('{count} open', count=left) if left else say('none open')}"
    invented = f" ({say('invented')})" if visit.session.invented else ""
    patient = f"{shortened(visit.session.patient, 20)}{invented}"
    told = ((still, f"   {_since_start(visit)}"), (still,), ())
    # Whose visit it is stays in sight in a narrow window, whatever else gives way.
    fitting = (
        phrase((position.title, "bold"), f"  {at}", *((one, "$dim") for one in more))
        for more in told
    )
    room_beside = width - len(patient) - 2
    right = next((one for one in fitting if one.cell_length <= room_beside), phrase(at))
    room = width - right.cell_length - len(patient) - 5
    about = shortened(complaint_of(visit), room) if room > 8 else ""
    head = phrase((patient, "bold"), "  ", (about, "$dim"))
    return head.truncate(max(0, width - right.cell_length - 2), pad=True).append("  ").append(right)


def title_line(visit: OpenVisit, test: Test) -> Content:
    """Write the test's title, and how the patient is placed until its position is begun."""
    safety = (f"   {say('safety question')}", "$warn") if test.safety else ""
    title = phrase((test.title, "bold $here"), safety)
    position = visit.protocol.position(test.position)
    begun = any(
        visit.protocol.tests_by_id[finding.place.test].position == position.id
        for finding in visit.session.findings
        if finding.place.test in visit.protocol.tests_by_id
    )
    if begun or not position.instruction:
        return title
    return phrase((f"{position.title}. ", "bold"), position.instruction, "\n", title)


def complaint_of(visit: OpenVisit) -> str:
    """Write the complaint in a few words, or what the visit says about itself."""
    test = visit.protocol.tests_by_id.get(visit.protocol.identity.complaint or "")
    if test is None:
        return visit.session.about
    told = {}
    for side in sides_of(test.sides):
        answer = visit.session.answers.get(Place(test.id, side))
        chosen = answer if isinstance(answer, tuple) else (answer,) if answer else ()
        named = tuple(one for one in chosen if one not in test.alone)
        if named:
            told[side] = answer_words(visit.protocol, test, named)
    if len(told) == len(BOTH_FEET) and len(set(told.values())) == 1:
        return say("both sides: {finding}", finding=told[Side.LEFT])
    said = (
        words if side is Side.WHOLE else f"{side_word(side)}: {words}"
        for side, words in told.items()
    )
    return "; ".join(said) or visit.session.about


ON_LINE = (
    "answer",
    "accept",
    "leave-field",
    "other-side",
    "correct",
    "not-done",
    "note",
    "undo",
    "help",
    "jump",
    "back",
    "forward",
    "fold",
    "teaching",
    "review",
    "summary",
    "leave",
)
"""The actions for the line of keys, most wanted first."""


def exam_keys(visit: OpenVisit, test: Test, place: Place) -> tuple[Action, ...]:
    """Return the actions for the line of keys, in the words that fit the test."""
    choices = choices_of(visit.protocol, test)
    left_out = set()
    words = {}
    if test.kind is Kind.TEXT:
        left_out.add("answer")
    else:
        left_out.add("leave-field")
    if test.kind is Kind.MEASURE:
        words["answer"] = (later("type"), "0-9 , −")
    if choices:
        keys = [key for key in keys_of(choices) if key]
        verb = later("grade") if test.kind is Kind.GRADE else later("answer")
        if test.several:
            verb = later("tick")
        words["answer"] = (verb, "1-9 0" if len(keys) == 10 else f"{keys[0]}-{keys[-1]}")
        if not test.several:
            left_out.add("accept")
    if place.side is Side.WHOLE:
        left_out.add("other-side")
    named = (action_called("exam", name) for name in ON_LINE if name not in left_out)
    return tuple(
        action.called(*words[action.id]) if action.id in words else action
        for action in offered(visit, named)
    )


def _column(visit: OpenVisit, test: Test, place: Place, cursor: Cursor) -> Column:
    is_here = place == cursor.place
    finding = visit.session.finding(place)
    column = Column(side=place.side, is_here=is_here, status=_status(visit, test, place, is_here))
    if test.kind is Kind.MEASURE:
        return evolve(column, field=_field(visit, test, place, finding))
    if test.kind is Kind.TEXT:
        text = finding.answer if finding and isinstance(finding.answer, str) else ""
        return evolve(column, text=text)
    return evolve(column, rows=_rows(visit, test, place, cursor.pointed if is_here else None))


def _status(visit: OpenVisit, test: Test, place: Place, is_here: bool) -> str:
    finding = visit.session.finding(place)
    said = []
    if finding is not None and finding.not_done is not None:
        said.append(
            say("not done: {reason}", reason=reason_words(visit.protocol, finding.not_done))
        )
    amended = amended_words(visit.protocol, visit.session, place)
    if amended:
        said.append(amended)
    if visit.drafts.has(place) and (test.several or not is_here):
        said.append(say("not accepted yet"))
    if finding is not None and finding.note:
        said.append(say("note"))
    return ", ".join(said)


def _field(visit: OpenVisit, test: Test, place: Place, finding: Finding | None) -> Field:
    answer = finding.answer if finding is not None else None
    recorded = band = ""
    if isinstance(answer, int | float):
        recorded = answer_words(visit.protocol, test, answer)
        band = next((band.label for band in test.bands if band.holds(answer)), "")
    return Field(visit.drafts.typed(place), test.unit, recorded, band)


def _rows(visit: OpenVisit, test: Test, place: Place, pointed: int | None) -> tuple[Row, ...]:
    choices = choices_of(visit.protocol, test)
    answer = visit.session.answers.get(place)
    recorded = answer if isinstance(answer, tuple) else (answer,)
    ticked = visit.drafts.ticked(place, ()) if visit.drafts.has(place) else None
    keys = keys_of(choices)
    return tuple(
        Row(
            key=key,
            words=choice.label,
            score=score_words(choice.score)
            if choice.score is not None and str(choice.score) != key
            else "",
            mark=_mark(choice.id, recorded, ticked),
            pointed=at == pointed,
        )
        for at, (key, choice) in enumerate(zip(keys, choices, strict=True))
    )


def _mark(option: str, recorded: tuple[object, ...], ticked: tuple[str, ...] | None) -> str:
    if ticked is not None:
        return TICKED if option in ticked else " "
    return RECORDED if option in recorded else " "


def _since_start(visit: OpenVisit) -> str:
    minutes = int((visit.now() - visit.session.started).total_seconds() // 60)
    if 0 <= minutes <= LONGEST_VISIT_MINUTES:
        return f"{minutes} min"
    return short_date_words(visit.session.started)
