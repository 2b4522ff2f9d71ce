"""The summary: what follows from the findings, with reasons, and what is ordered."""

from collections.abc import Sequence
from functools import partial
from typing import ClassVar

from textual.app import ComposeResult
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from examwalk.language import later, say, say_count
from examwalk.reasoning.deciding import acceptable
from examwalk.reasoning.results import FeatureResult
from examwalk.report.differing import Difference
from examwalk.report.sides import side_heading, with_side
from examwalk.session.model import Ordered as Subject
from examwalk.session.model import Side
from examwalk.tui.keys import Action, bindings_of
from examwalk.tui.open_visit import OpenVisit
from examwalk.tui.screens.charts import ChartsPage
from examwalk.tui.screens.comparing import ComparingPage
from examwalk.tui.screens.decision import DecisionSheet, Ordered
from examwalk.tui.screens.earlier_visits import compared_with_earlier
from examwalk.tui.screens.outcome_page import OutcomePage
from examwalk.tui.screens.records import ask_to_correct
from examwalk.tui.screens.repeats import RepeatsPage
from examwalk.tui.screens.summary_text import (
    DIFFERENCE,
    LEGEND,
    feature_at,
    how_far,
    place_at,
    reasons,
    summary_rows,
)
from examwalk.tui.screens.why import WhyPage
from examwalk.tui.text import literal, phrase
from examwalk.tui.widgets.lines import GUTTER, Columns, Line, Pointer, Row
from examwalk.tui.widgets.row_list import RowList


class SideHeadings(Widget):
    """Left over the left column, Right over the right one."""

    DEFAULT_CSS = """
    SideHeadings { height: 1; width: 1fr; }
    """

    def render(self) -> Content:
        """Draw the headings where the columns of the list stand."""
        columns = Columns.for_width(self.size.width)
        seen = phrase((say("as seen from behind"), "$dim"))
        left = phrase((" " * GUTTER, ""), (side_heading(Side.LEFT), "bold"))
        return (
            seen.truncate(columns.label, pad=True)
            + left.truncate(columns.column, pad=True)
            + phrase((" " * GUTTER, ""), (side_heading(Side.RIGHT), "bold"))
        )


NOT_ON_A_FEATURE = later("Put the pointer on a feature of the device first, with ↑ ↓.")


class SummaryScreen(OutcomePage):
    """Shows each recommendation beside what is ordered; nothing is ordered by itself."""

    NAME = "summary"
    TITLE_WORDS = later("Summary")
    LEGEND = LEGEND
    ON_LINE = (
        *("decide", "accept-all", "why", "pages", "charts", "repeats", "compare", "undo"),
        *("help", "exam", "review", "finish", "sign", "leave"),
        *("withdraw", "row", "reading"),
    )
    BINDINGS: ClassVar = bindings_of(NAME)

    def __init__(self, visit: OpenVisit) -> None:
        super().__init__(visit)
        self._told: tuple[Difference, ...] | None = None
        """What a save of the protocol has changed, as far as the pointer was led to it."""

    def refresh_visit(self) -> None:
        """Show the open visit; in a trial begin at what the last save has changed."""
        super().refresh_visit()
        if self.visit.differences is not self._told:
            self._told = self.visit.differences
            self.row_list.point_at(Pointer((DIFFERENCE, 0)))

    def compose_top(self) -> ComposeResult:
        """Yield the disclaimer, which stays in sight."""
        yield Static(literal(self.visit.protocol.identity.disclaimer), id="disclaimer")

    def compose_above(self) -> ComposeResult:
        """Yield the headings of the columns."""
        yield SideHeadings()

    def called_now(self, action: Action) -> Action:
        """Say what Enter does to a feature, where it orders nothing."""
        if action.id == "decide" and self.visit.frozen:
            is_signed = self.visit.is_signed and not self.visit.held_elsewhere
            return action.called(later("correct") if is_signed else later("go there"))
        return super().called_now(action)

    def rows(self) -> Sequence[Row]:
        """Return the rows as the visit is now."""
        return summary_rows(self.outcome)

    def reasons(self, pointer: Pointer) -> Sequence[Line]:
        """Return what stands behind the row at the pointer."""
        return reasons(self.outcome, pointer)

    def how_far(self) -> str:
        """Say what is ordered and what is left."""
        return how_far(self.outcome)

    def on_row_list_pointed(self, event: RowList.Pointed) -> None:
        """Decide on a feature that was clicked."""
        if event.chosen:
            self.action_decide()

    def _feature(self) -> FeatureResult | None:
        result = feature_at(self.outcome, self.row_list.pointer)
        if result is None:
            self.say(say(NOT_ON_A_FEATURE))
        elif self.visit.frozen:
            self.say(self.visit.frozen)
            return None
        return result

    def action_decide(self) -> None:
        """Order the feature at the pointer; from a caution or a missing answer go to its test."""
        place = place_at(self.outcome, self.row_list.pointer)
        if place is not None:
            self.visit.go(place)
            self.examwalk.show_exam()
            return
        result = feature_at(self.outcome, self.row_list.pointer)
        if result is not None and self.visit.is_signed:
            subject = Subject(result.id, result.side)
            ask_to_correct(self.app, self.visit, subject, partial(self.changed, True))
            return
        result = self._feature()
        if result is None:
            return

        def decided(ordered: Ordered | None) -> None:
            if ordered is not None:
                done = self.visit.decide(result.id, result.side, ordered.value, ordered.because)
                name = with_side(result.title, result.side)
                self.changed(done, say("Ordered: {feature}.", feature=name))

        self.app.push_screen(DecisionSheet(self.outcome, result), decided)

    def action_withdraw(self) -> None:
        """Take back what is ordered for the feature at the pointer."""
        result = self._feature()
        if result is None:
            return
        name = with_side(result.title, result.side)
        if self.outcome.session.decision(result.id, result.side) is None:
            self.say(say("Nothing is ordered yet: {feature}.", feature=name))
            return
        says = say("No longer ordered: {feature}.", feature=name)
        self.changed(self.visit.withdraw(result.id, result.side), says)

    def action_accept_all(self) -> None:
        """Order what is recommended wherever nothing is ordered and no rules collide."""
        results = acceptable(self.outcome.session, self.outcome.summary)
        if self.visit.frozen or not results:
            nothing = say("There is nothing left to accept.")
            self.say(self.visit.frozen if self.visit.frozen else nothing)
            return
        self.visit.accept(results)
        accepted = say_count(
            len(results), "{count} recommendation accepted.", "{count} recommendations accepted."
        )
        self.changed(True, accepted)

    def action_why(self) -> None:
        """Tell the whole chain behind the feature at the pointer."""
        result = feature_at(self.outcome, self.row_list.pointer)
        if result is None:
            self.say(say(NOT_ON_A_FEATURE))
        else:
            self.app.push_screen(WhyPage(self.outcome, result))

    def action_repeats(self) -> None:
        """Simulate repeat examinations on a page of their own."""
        self.app.push_screen(RepeatsPage(self.visit.protocol, self.visit.session))

    def action_charts(self) -> None:
        """Show the profile and the charts on a page of their own."""
        self.app.push_screen(ChartsPage(self.outcome))

    def action_compare(self) -> None:
        """Compare the visit with the same patient's earlier ones, on a page of its own."""
        visit = self.visit
        self.app.push_screen(
            ComparingPage(
                visit.session.patient,
                partial(compared_with_earlier, visit.path.parent, visit.session, visit.protocol),
            )
        )

    def action_review(self) -> None:
        """Go to the review."""
        self.examwalk.show_review()
