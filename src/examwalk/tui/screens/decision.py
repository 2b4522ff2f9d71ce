"""The sheet that orders a value for one feature, with a reason where it is not as recommended."""

from typing import ClassVar

from attrs import frozen
from textual import on
from textual.app import ComposeResult
from textual.content import Content
from textual.widgets import Input, Static

from examwalk.language import later, say
from examwalk.protocol.feature_model import FeatureKind
from examwalk.reasoning.deciding import (
    Value,
    needs_reason,
    open_collision,
    ordered_words,
    range_words,
    read_amount,
)
from examwalk.reasoning.results import FeatureResult, FeatureStatus
from examwalk.report.grounds import sentence, standing_words
from examwalk.report.sides import with_side
from examwalk.text import clean_line
from examwalk.tui.keys import Action, bindings_of
from examwalk.tui.screens.page import Sheet
from examwalk.tui.screens.why import WhyPage
from examwalk.tui.screens.words import COLLISION_SIGN, DONE_SIGN, OPEN_SIGN, Outcome
from examwalk.tui.text import filled, phrase
from examwalk.tui.widgets.key_line import KeyLine
from examwalk.tui.widgets.line_input import LineInput
from examwalk.tui.widgets.lines import Pointer, Row
from examwalk.tui.widgets.row_list import RowList

LONGEST_REASON = 2000
NOT_RECOMMENDED = {
    FeatureStatus.WAITING: later("Nothing is recommended: waiting for answers."),
    FeatureStatus.NOT_APPLICABLE: later("Nothing is recommended: not applicable."),
}
MOST_OPTIONS_IN_SIGHT = 8


@frozen
class Ordered:
    """What the clinician ordered, and why."""

    value: Value
    because: str


class DecisionSheet(Sheet[Ordered]):
    """Takes a value first, then a reason; nothing stands in the fields beforehand."""

    NAME = "decision"
    BINDINGS: ClassVar = bindings_of(NAME)
    CSS_PATH: ClassVar = "decision.tcss"
    AUTO_FOCUS = ""

    def __init__(self, outcome: Outcome, result: FeatureResult) -> None:
        super().__init__()
        self.outcome = outcome
        self.result = result
        self.feature = outcome.protocol.features_by_id[result.id]
        self._value: Value | None = None

    @property
    def is_amount(self) -> bool:
        """Whether a number is asked for, not an option."""
        return self.feature.kind is FeatureKind.AMOUNT

    def compose_page(self) -> ComposeResult:
        """Lay out what is recommended, the field or the options, and the reason."""
        yield Static(Content("\n").join(self._known()), id="known")
        yield Static(phrase((self._wish(), "$dim")), id="ask-value")
        if self.is_amount:
            yield LineInput(id="value", compact=True, max_length=12)
        else:
            yield RowList("options", points_at_once=False)
        yield Static(id="ask-reason")
        yield LineInput(id="reason", compact=True, max_length=LONGEST_REASON)
        yield Static(id="refusal")
        yield KeyLine(self.key_line())

    def on_mount(self) -> None:
        """Wait for the value first."""
        for hidden in ("#ask-reason", "#reason", "#refusal"):
            self.query_one(hidden).display = False
        if self.is_amount:
            self.query_one("#value", Input).focus()
            return
        options = self.query_one("#options", RowList)
        options.styles.height = min(len(self.feature.options), MOST_OPTIONS_IN_SIGHT)
        options.show(self._options())
        if self._can_be_accepted:
            options.point_at(Pointer(self.result.value))

    def key_line(self) -> tuple[Action, ...]:
        """Return the actions for the line of keys; options have keys of their own."""
        only_options = ("choose", "option")
        return tuple(
            action
            for action in super().key_line()
            if not (self.is_amount and action.id in only_options)
        )

    @property
    def _can_be_accepted(self) -> bool:
        """Whether Enter alone takes what is recommended."""
        is_settled = open_collision(self.outcome.summary, self.result) is None
        return self.result.status is FeatureStatus.RECOMMENDED and is_settled

    def _known(self) -> list[Content]:
        result = self.result
        lines = [phrase((with_side(result.title, result.side), "bold"))]
        if result.status is FeatureStatus.RECOMMENDED:
            standing = sentence(standing_words(result.standing))
            recommended = filled(say("Recommended: {value}"), value=(result.words, "bold"))
            lines.append(phrase(recommended, f", {standing}"))
        else:
            lines.append(phrase(say(NOT_RECOMMENDED[result.status])))
        collision = open_collision(self.outcome.summary, result)
        if collision is not None:
            yours = say("Rules collide, yours to decide.")
            sign = (f"{COLLISION_SIGN} {yours} ", "bold $warn")
            lines.append(phrase(sign, collision.says))
        decision = self.outcome.session.decision(result.id, result.side)
        if decision is not None:
            because = say(", because: {reason}", reason=decision.because)
            words = ordered_words(self.feature, decision.value)
            lines.append(
                phrase(
                    (f"{DONE_SIGN} {say('Ordered so far')}: ", "$here"),
                    (words, "bold"),
                    because if decision.because else "",
                )
            )
        return lines

    def _wish(self) -> str:
        if not self.is_amount:
            return say("Order one of these.")
        wish = say("Order {range}.", range=range_words(self.feature))
        if not self._can_be_accepted:
            return wish
        return f"{wish} {say('Enter alone: {value}, as recommended.', value=self.result.words)}"

    def _options(self) -> list[Row]:
        rows = []
        for number, (option_id, option) in enumerate(self.feature.options.items(), 1):
            key = str(number % 10) if number <= 10 else " "
            recommended = option_id == self.result.value
            rows.append(
                Row(
                    phrase(
                        (f"{key}  ", "$dim"),
                        (option.label, "bold" if recommended else ""),
                        (f"  {OPEN_SIGN} {say('recommended')}" if recommended else "", "$here"),
                        (f"  {option.note}" if option.note else "", "$dim"),
                    ),
                    key=option_id,
                    hang=3,
                )
            )
        return rows

    def action_choose(self, key: str) -> None:
        """Take the option with this number."""
        options = list(self.feature.options)
        number = (int(key) or 10) - 1
        if self.is_amount or self._value is not None:
            return
        if number >= len(options):
            self._refuse(say("There is no option with this number."))
            return
        self.query_one("#options", RowList).point_at(Pointer(options[number]))
        self._take(options[number])

    def action_option(self, key: str) -> None:
        """Move the pointer through the options."""
        if not self.is_amount and self._value is None:
            self.query_one("#options", RowList).move(-1 if key == "up" else 1)

    @on(RowList.Pointed)
    def _pointed(self, event: RowList.Pointed) -> None:
        if event.chosen and self._value is None:
            self._take(str(event.rows.pointer.key))

    @on(Input.Changed)
    def _typed(self) -> None:
        self._refuse("")

    def action_order(self) -> None:
        """Take the value, or the reason once it is asked for."""
        if self._value is not None:
            self._take_reason()
        elif self.is_amount:
            self._take_amount(self.query_one("#value", Input).value)
        else:
            pointed = self.query_one("#options", RowList).pointer.key
            if pointed is None:
                self._refuse(say("Choose an option first: by its number, or with the arrows."))
            else:
                self._take(str(pointed))

    def action_why(self) -> None:
        """Tell the whole chain behind what is recommended; what is typed stays."""
        self.app.push_screen(WhyPage(self.outcome, self.result))

    def action_close(self) -> None:
        """Leave everything as it was."""
        self.dismiss(None)

    def _take_amount(self, typed: str) -> None:
        if not typed.strip():
            if self._can_be_accepted and self.result.value is not None:
                self._take(self.result.value)
            else:
                self._refuse(say("Type an amount first; nothing is taken by itself here."))
            return
        reading = read_amount(self.feature, typed)
        if reading.value is None:
            self._refuse(reading.refusal)
        else:
            self._take(reading.value)

    def _take(self, value: Value) -> None:
        if not needs_reason(self.result, value):
            self.dismiss(Ordered(value, ""))
            return
        self._value = value
        words = ordered_words(self.feature, value)
        ask = self.query_one("#ask-reason", Static)
        if self.result.status is FeatureStatus.RECOMMENDED:
            why = say("{value} is not the recommended {other}. Why is it ordered?")
            ask.update(filled(why, value=(words, "bold"), other=self.result.words))
        else:
            why = say("{value} is not recommended. Why is it ordered?")
            ask.update(filled(why, value=(words, "bold")))
        ask.display = True
        if self.is_amount:
            self.query_one("#value", Input).disabled = True
        reason = self.query_one("#reason", Input)
        reason.display = True
        reason.focus()

    def _take_reason(self) -> None:
        reason = clean_line(self.query_one("#reason", Input).value)
        assert self._value is not None
        if reason:
            self.dismiss(Ordered(self._value, reason))
        else:
            self._refuse(say("A reason is needed where the order is not the recommendation."))

    def _refuse(self, why: str) -> None:
        refusal = self.query_one("#refusal", Static)
        refusal.update(phrase((why, "$stop")))
        refusal.display = bool(why)
