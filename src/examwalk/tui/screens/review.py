"""The review: what was raised, what does not fit and what has no answer, before the summary."""

from collections.abc import Sequence
from typing import ClassVar

from examwalk.language import later, say
from examwalk.session.model import Place
from examwalk.tui.keys import bindings_of
from examwalk.tui.screens.note import NoteSheet
from examwalk.tui.screens.outcome_page import OutcomePage
from examwalk.tui.screens.review_text import (
    crosscheck_at,
    how_far,
    places_behind,
    reply_to,
    review_reasons,
    review_rows,
)
from examwalk.tui.widgets.lines import Line, Pointer, Row
from examwalk.tui.widgets.row_list import RowList


class ReviewScreen(OutcomePage):
    """Lists what to look at before the summary; one key goes to the test in question."""

    NAME = "review"
    TITLE_WORDS = later("Review")
    ON_LINE = (
        *("go-there", "reply", "row", "reading", "undo", "summary", "pages"),
        *("help", "exam", "finish", "sign", "leave"),
    )
    BINDINGS: ClassVar = bindings_of(NAME)

    def rows(self) -> Sequence[Row]:
        """Return the rows as the visit is now."""
        return review_rows(self.outcome)

    def reasons(self, pointer: Pointer) -> Sequence[Line]:
        """Return what stands behind the row at the pointer."""
        return review_reasons(self.outcome, pointer.key)

    def how_far(self) -> str:
        """Say how much is left."""
        return how_far(self.outcome)

    def on_row_list_pointed(self, event: RowList.Pointed) -> None:
        """Go to the test of a row that was clicked."""
        if event.chosen:
            self.action_go_there()

    def action_go_there(self, key: str = "enter") -> None:
        """Go to the test that the row at the pointer is about, or to the one with this number."""
        places = places_behind(self.outcome, self.row_list.pointer.key)
        number = int(key) - 1 if key.isdigit() else 0
        if number >= len(places):
            self.say(say("There is no test to go to here."))
            return
        self._go(places[number])

    def _go(self, place: Place) -> None:
        self.visit.go(place)
        self.examwalk.show_exam()

    def action_reply(self) -> None:
        """Write a reply to the cross-check at the pointer."""
        fired = crosscheck_at(self.outcome, self.row_list.pointer.key)
        if fired is None:
            self.say(say("A reply can be written to findings that do not fit together."))
            return
        before = reply_to(self.outcome, fired)

        def written(text: str | None) -> None:
            if text is not None:
                done = self.visit.reply(fired.id, fired.side, text)
                says = say("The reply is kept.") if text else say("There is no reply now.")
                self.changed(done, says)

        title = say("Why both findings stand")
        sheet = NoteSheet(title, before.says if before else "", fired.says)
        self.app.push_screen(sheet, written)

    def action_summary(self) -> None:
        """Go to the summary."""
        self.examwalk.show_summary()
