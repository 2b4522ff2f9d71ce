"""Which figure the exam shows beside the teaching text."""

from examwalk.language import later, say
from examwalk.protocol.exam_model import Kind, Test
from examwalk.protocol.figures import figure_of_choice, figure_of_test
from examwalk.protocol.wording import MINUS, answer_words, choices_of
from examwalk.report.sides import side_heading
from examwalk.session.model import Place, Side
from examwalk.tui.exam_walk import Cursor
from examwalk.tui.open_visit import OpenVisit
from examwalk.tui.pictures import Picture

HINT = later("↑ ↓ draw each answer")


def picture_at(visit: OpenVisit, test: Test, cursor: Cursor) -> Picture | None:
    """Return the figure of the answer that matters now, else the test's own.

    What matters is the answer at the pointer, the number that is typed, or what is recorded on
    this side, in this order. There is none for a test without figures.
    """
    side = drawn_side(visit, test, cursor.place)
    if side is None:
        return None
    if test.kind is Kind.MEASURE:
        return _measured(visit, test, cursor, side)
    protocol = visit.protocol
    choices = choices_of(protocol, test)
    drawn = {choice.id: figure_of_choice(protocol, test, choice.id) for choice in choices}
    own = figure_of_test(protocol, test)
    if own is None and not any(drawn.values()):
        return None
    if cursor.pointed is not None:
        answer: object = choices[cursor.pointed].id
    else:
        answer = visit.session.answers.get(cursor.place)
    for choice in choices:
        figure = drawn[choice.id]
        if choice.id == answer and figure is not None:
            return Picture(figure, side, caption=_captioned(side, choice.label))
    if own is None:
        return Picture("", side, caption=say(HINT))
    return Picture(own, side, caption=_captioned(side, say("how it is done")))


def drawn_side(visit: OpenVisit, test: Test, place: Place) -> Side | None:
    """Return the side of which a test is drawn, or none while that is not known."""
    if test.figure_side is None:
        return place.side
    chosen = visit.session.answers.get(Place(test.figure_side, Side.WHOLE))
    return {"left": Side.LEFT, "right": Side.RIGHT}.get(str(chosen))


def _measured(visit: OpenVisit, test: Test, cursor: Cursor, side: Side) -> Picture | None:
    figure = figure_of_test(visit.protocol, test)
    if figure is None:
        return None
    typed = visit.drafts.typed(cursor.place)
    value = _number(typed)
    if value is not None:
        return Picture(figure, side, value, _captioned(side, f"{typed} {test.unit}".strip()))
    recorded = visit.session.answers.get(cursor.place)
    if isinstance(recorded, int | float) and not typed:
        words = answer_words(visit.protocol, test, recorded)
        return Picture(figure, side, float(recorded), _captioned(side, words))
    return Picture(figure, side, caption=_captioned(side, say("how it is done")))


def _number(typed: str) -> float | None:
    """Read a number as far as it is typed; a slip is drawn too, so that it is seen."""
    try:
        return float(typed.replace(",", ".").replace(MINUS, "-"))
    except ValueError:
        return None


def _captioned(side: Side, words: str) -> str:
    return words if side is Side.WHOLE else f"{side_heading(side)}: {words}"
