"""Why a feature has its value, and why not another one that was expected."""

from collections.abc import Sequence
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Input, Static

from examwalk.language import say
from examwalk.protocol.feature_model import FeatureKind
from examwalk.reasoning.case import Case
from examwalk.reasoning.deciding import range_words, read_amount
from examwalk.reasoning.fitting import case_of
from examwalk.reasoning.results import FeatureResult
from examwalk.reasoning.settling import Value
from examwalk.reasoning.summary import ordered_values
from examwalk.report.said import Said
from examwalk.report.sides import with_side
from examwalk.report.why_page import defers, not_told
from examwalk.report.why_text import why_told
from examwalk.tui.keys import Action, bindings_of
from examwalk.tui.screens.page import Page
from examwalk.tui.screens.reasons_text import lines_of, visit_of
from examwalk.tui.screens.words import OPEN_SIGN, Outcome, lines_words
from examwalk.tui.text import literal, phrase
from examwalk.tui.widgets.key_line import KeyLine
from examwalk.tui.widgets.line_input import LineInput
from examwalk.tui.widgets.lines import Row
from examwalk.tui.widgets.row_list import Divider, Reader, RowList, Window

MOST_OPTIONS_IN_SIGHT = 8
ONLY_ASKING = ("answer-why", "choose")


class WhyPage(Page[None]):
    """Tells the chain behind a value; another value can be asked about beneath it."""

    NAME = "why"
    BINDINGS: ClassVar = bindings_of(NAME)
    CSS_PATH: ClassVar = "why.tcss"
    AUTO_FOCUS = ""

    def __init__(self, outcome: Outcome, result: FeatureResult) -> None:
        super().__init__()
        self.result = result
        self.feature = outcome.protocol.features_by_id[result.id]
        self._visit = visit_of(outcome)
        self._case: Case = case_of(outcome.protocol, outcome.session)
        self._ordered = ordered_values(outcome.protocol, outcome.session)
        self._asks = False
        self._tells_another = False

    @property
    def is_amount(self) -> bool:
        """Whether a number is asked about, not an option."""
        return self.feature.kind is FeatureKind.AMOUNT

    def compose_page(self) -> ComposeResult:
        """Lay out the chain, the question beneath it and the keys."""
        yield Static(id="why-title", classes="reading-title")
        yield Static(literal(defers(self._visit)), id="disclaimer")
        yield Reader("why-text")
        yield Divider("below-why")
        yield Static(id="why-not")
        yield LineInput(id="value", compact=True, max_length=12)
        yield RowList("options", points_at_once=False)
        yield Static(id="refusal")
        yield KeyLine(self.key_line())

    def on_mount(self) -> None:
        """Tell the chain; nothing is asked yet."""
        self._ask(False)
        self._tell_chain()

    def key_line(self) -> tuple[Action, ...]:
        """Return the actions for the line of keys: those of the question while it is asked."""
        without: tuple[str, ...] = ONLY_ASKING
        if self._asks:
            without = ("ask", "scroll", "choose") if self.is_amount else ("ask",)
        return tuple(one for one in super().key_line() if one.id not in without)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Let digits and Enter belong to the question while it is asked."""
        if action in ("choose", "answer_why") and not self._asks:
            return False
        if action == "ask" and self._asks:
            return False
        return super().check_action(action, parameters)

    def _tell_chain(self) -> None:
        name = with_side(self.result.title, self.result.side)
        _, *chain = why_told(self._visit, self.result)
        self._tell(say("Why: {feature}", feature=name), chain)

    def _tell(self, title: str, paragraphs: Sequence[Said]) -> None:
        self.query_one("#why-title", Static).update(literal(title, "bold $here"))
        self.query_one("#why-text", Reader).show(lines_of(paragraphs))

    @on(Window.Moved)
    def _moved(self, event: Window.Moved) -> None:
        event.stop()
        below = self.query_one("#why-text", Reader).lines_below
        more = lines_words(below) if below else ""
        self.query_one("#below-why", Divider).show("", more)

    def _ask(self, asks: bool) -> None:
        self._asks = asks
        self.query_one("#why-not").display = asks
        self.query_one("#value").display = asks and self.is_amount
        self.query_one("#options").display = asks and not self.is_amount
        self._refuse("")
        self.query_one(KeyLine).show(self.key_line())
        if not asks:
            self.set_focus(None)
            return
        wish = (
            say("Why not …? Type {range}.", range=range_words(self.feature))
            if self.is_amount
            else say("Why not one of these?")
        )
        self.query_one("#why-not", Static).update(phrase((wish, "bold")))
        if self.is_amount:
            field = self.query_one("#value", Input)
            field.clear()
            field.focus()
        else:
            options = self.query_one("#options", RowList)
            options.styles.height = min(len(self.feature.options), MOST_OPTIONS_IN_SIGHT)
            options.show(self._options())

    def _options(self) -> list[Row]:
        rows = []
        for number, (name, option) in enumerate(self.feature.options.items(), 1):
            key = str(number % 10) if number <= 10 else " "
            sign = f"  {OPEN_SIGN} {say('recommended')}" if name == self.result.value else ""
            text = phrase((f"{key}  ", "$dim"), option.label, (sign, "$here"))
            rows.append(Row(text, key=name, hang=3))
        return rows

    def action_ask(self) -> None:
        """Ask about another value."""
        self._ask(True)

    def action_choose(self, key: str) -> None:
        """Ask about the option with this number."""
        options = list(self.feature.options)
        number = (int(key) or 10) - 1
        if self.is_amount:
            return
        if number < len(options):
            self._answer(options[number])
        else:
            self._refuse(say("There is no option with this number."))

    @on(RowList.Pointed)
    def _pointed(self, event: RowList.Pointed) -> None:
        event.stop()
        if event.chosen and self._asks:
            self._answer(str(event.rows.pointer.key))

    def action_answer_why(self) -> None:
        """Find out about the value that is typed or at the pointer."""
        if not self.is_amount:
            key = self.query_one("#options", RowList).pointer.key
            if key is None:
                self._refuse(say("Choose an option first: by its number, or with the arrows."))
            else:
                self._answer(str(key))
            return
        reading = read_amount(self.feature, self.query_one("#value", Input).value)
        if reading.value is None:
            self._refuse(reading.refusal)
        else:
            self._answer(reading.value)

    def _answer(self, value: Value) -> None:
        title, *told = not_told(self._visit, self._case, self._ordered, self.result, value)
        self._tells_another = True
        self._ask(False)
        self._tell(title.text, told)

    def _refuse(self, why: str) -> None:
        refusal = self.query_one("#refusal", Static)
        refusal.update(phrase((why, "$stop")))
        refusal.display = bool(why)

    @on(Input.Changed)
    def _typed(self) -> None:
        self._refuse("")

    def action_scroll(self, key: str) -> None:
        """Scroll the text, or move through the options while one is asked for."""
        if self._asks and not self.is_amount:
            self.query_one("#options", RowList).move_by_key(key)
            return
        reader = self.query_one("#why-text", Reader)
        lines, far = {"up": -1, "down": 1}, {"home": 0, "end": len(reader.all_lines())}
        if key in lines:
            reader.scroll_to(reader.lines_above + lines[key])
        elif key in far:
            reader.scroll_to(far[key])
        else:
            reader.scroll_page(-1 if key == "pageup" else 1)

    def action_close(self) -> None:
        """Put the question away, or go back to the chain, or to the screen beneath."""
        if self._asks:
            self._ask(False)
        elif self._tells_another:
            self._tells_another = False
            self._tell_chain()
        else:
            self.dismiss(None)
