"""The one table of keys.

Bindings, the line of keys at the bottom, the help screen and the table in the README all come
from here. A screen writes ``BINDINGS = bindings_of("exam")`` and has one method ``action_…`` for
every action listed under its name.
"""

from attrs import evolve, frozen
from textual.binding import Binding, BindingType

EVERYWHERE = "everywhere"
"""The name under which the app itself binds its keys."""

SCREEN_TITLES = {
    "start": "Start",
    "visit": "New visit",
    "exam": "Exam",
    "review": "Review",
    "summary": "Summary",
    "decision": "Decision",
    "note": "Note",
    "not-done": "Not done",
    "jump": "Go to a test",
    "reading": "Reading",
    "confirm": "Question",
    "tell": "Message",
    EVERYWHERE: "Everywhere",
}


@frozen
class Action:
    """One thing that can be done with a key."""

    id: str
    keys: tuple[str, ...]
    """The keys as Textual names them."""
    shown: str
    """The keys as a person reads them."""
    label: str
    """One or two words for the line of keys."""
    sentence: str
    """What it does, for the help screen."""
    screens: tuple[str, ...]
    tells_key: bool = False
    """The method is given the key that was pressed."""
    on_line: bool = True
    """Stands in the line of keys at the bottom."""
    priority: bool = False
    """Works even while a text field has the focus."""

    @property
    def method(self) -> str:
        """The action's name in Textual: the method is ``action_`` and this."""
        return self.id.replace("-", "_")

    def bindings(self) -> list[Binding]:
        """Return one binding for each key."""
        return [
            Binding(
                key,
                f"{self.method}({key!r})" if self.tells_key else self.method,
                self.label,
                show=self.on_line,
                key_display=self.shown,
                priority=self.priority,
                tooltip=self.sentence,
                id=f"{self.id}.{key}",
            )
            for key in self.keys
        ]

    def called(self, label: str, shown: str | None = None) -> "Action":
        """Return the action with other words in the line of keys."""
        return evolve(self, label=label, shown=self.shown if shown is None else shown)


DIGITS = tuple("1234567890")

_EXAM = ("exam",)
_EXAM_ACTIONS = (
    Action(
        "answer",
        DIGITS,
        "1-9 0",
        "answer",
        "Record the grade or option with this number for the side under the cursor, or tick it "
        "where several are possible; for a measurement, type the figure.",
        _EXAM,
        tells_key=True,
    ),
    Action(
        "type",
        ("full_stop", "comma", "minus", "backspace"),
        ". , − ⌫",
        "figure",
        "Type a decimal point or comma or a minus sign into a measurement, or take back the "
        "last figure.",
        _EXAM,
        tells_key=True,
        on_line=False,
    ),
    Action(
        "accept",
        ("enter",),
        "Enter",
        "accept",
        "Record the number typed, the options ticked, or the grade at the pointer.",
        _EXAM,
    ),
    Action(
        "tick",
        ("space",),
        "Space",
        "tick",
        "Tick or untick the option at the pointer where several are possible.",
        _EXAM,
        on_line=False,
    ),
    Action("other-side", ("tab",), "Tab", "side", "Go to the other side.", _EXAM),
    Action(
        "side",
        ("left", "right"),
        "← →",
        "side",
        "Go to the left or to the right side.",
        _EXAM,
        tells_key=True,
        on_line=False,
    ),
    Action(
        "look",
        ("up", "down"),
        "↑ ↓",
        "looks",
        "Move the pointer through the grades to read what each looks like; nothing is recorded.",
        _EXAM,
        tells_key=True,
    ),
    Action("not-done", ("x",), "x", "not done", "Say that this test is not done, and why.", _EXAM),
    Action("note", ("n",), "n", "note", "Write a note on this test and side.", _EXAM),
    Action(
        "clear",
        ("delete",),
        "Del",
        "clear",
        "Take this answer away, as if the test had not been reached.",
        _EXAM,
        on_line=False,
    ),
    Action(
        "undo",
        ("u",),
        "u",
        "undo",
        "Take back the last change, as often as you like.",
        ("exam", "review", "summary"),
    ),
    Action("back", ("b", "pageup"), "b", "back", "Go to the previous test.", _EXAM),
    Action("forward", ("f", "pagedown"), "f", "next", "Go to the next test.", _EXAM),
    Action(
        "jump",
        ("slash",),
        "/",
        "go to",
        "Go to any test by typing part of its name.",
        _EXAM,
    ),
    Action(
        "look-again",
        ("w",),
        "w",
        "look again",
        "Go to the first test that the topmost cross-check asks to look at again; press it "
        "again for the next one.",
        _EXAM,
    ),
    Action(
        "leave-field",
        ("escape",),
        "Esc",
        "leave the field",
        "While a text is being written: let the other keys work again.",
        _EXAM,
        on_line=False,
    ),
    Action("fold", ("t",), "t", "fold", "Fold the teaching text away, or back.", _EXAM),
    Action(
        "teaching",
        ("T",),
        "T",
        "teach",
        "Read everything about this test: how, mistakes, grades, reliability and sources.",
        _EXAM,
    ),
)

_FROM_VISIT = (
    Action("review", ("r",), "r", "review", "Go to the review.", ("exam", "summary")),
    Action("summary", ("s",), "s", "summary", "Go to the summary.", ("exam", "review")),
    Action(
        "leave",
        ("q",),
        "q",
        "leave",
        "Leave the visit, which is saved, and go back to the start.",
        ("exam", "review", "summary"),
    ),
)

# --- The screens start, visit, review, summary and decision add their rows here. ---
_START_ACTIONS: tuple[Action, ...] = (
    Action(
        "open",
        ("enter",),
        "Enter",
        "open",
        "Open the visit at the pointer.",
        ("start",),
        priority=True,
    ),
    Action(
        "resume",
        ("r",),
        "r",
        "go on",
        "Go on with the open visit that was changed last.",
        ("start",),
    ),
    Action("new", ("n",), "n", "new visit", "Begin a new visit.", ("start",)),
    Action(
        "row",
        ("up", "down", "pageup", "pagedown", "home", "end"),
        "↑ ↓",
        "choose",
        "Move the pointer through the visits, ten at once with Page up and Page down.",
        ("start",),
        tells_key=True,
    ),
    Action(
        "find",
        ("slash",),
        "/",
        "find",
        "Narrow the list by typing part of a code, a date or a protocol.",
        ("start",),
    ),
    Action(
        "all",
        ("escape",),
        "Esc",
        "list all",
        "List all visits again.",
        ("start",),
        on_line=False,
        priority=True,
    ),
    Action("quit", ("q",), "q", "quit", "Quit examwalk.", ("start",)),
)
_VISIT_ACTIONS: tuple[Action, ...] = (
    Action(
        "next",
        ("enter",),
        "Enter",
        "next",
        "Take this field and go to the next; after the protocol the exam begins.",
        ("visit",),
        priority=True,
    ),
    Action(
        "field",
        ("tab", "shift+tab"),
        "Tab",
        "other field",
        "Go to the next field, or back with Shift+Tab.",
        ("visit",),
        tells_key=True,
        priority=True,
    ),
    Action(
        "protocol",
        ("up", "down"),
        "↑ ↓",
        "protocol",
        "Move the pointer through the protocols.",
        ("visit",),
        tells_key=True,
        priority=True,
    ),
    Action(
        "back",
        ("escape",),
        "Esc",
        "back",
        "Go back to the start; nothing is begun.",
        ("visit",),
        priority=True,
    ),
)
_REVIEW_ACTIONS: tuple[Action, ...] = (
    Action(
        "go-there",
        ("enter", *DIGITS[:9]),
        "Enter",
        "go there",
        "Go to the test that the row at the pointer is about; a digit goes to the test with this "
        "number under “Look again at”.",
        ("review",),
        tells_key=True,
    ),
    Action(
        "reply",
        ("n",),
        "n",
        "reply",
        "Write why findings that do not fit together both stand.",
        ("review",),
    ),
)
_SUMMARY_ACTIONS: tuple[Action, ...] = (
    Action(
        "decide",
        ("enter",),
        "Enter",
        "order",
        "Order the recommended value of the feature at the pointer, or another one with a reason. "
        "From a caution or a missing answer go to its test.",
        ("summary",),
    ),
    Action(
        "accept-all",
        ("a",),
        "a",
        "accept all",
        "Order what is recommended wherever nothing is ordered yet and no rules collide.",
        ("summary",),
    ),
    Action(
        "withdraw",
        ("delete",),
        "Del",
        "take back",
        "Take back what is ordered for the feature at the pointer.",
        ("summary",),
    ),
    Action(
        "side",
        ("left", "right"),
        "← →",
        "side",
        "Go to the left or to the right foot.",
        ("summary",),
        tells_key=True,
        on_line=False,
    ),
)
_OUTCOME_ACTIONS: tuple[Action, ...] = (
    Action(
        "row",
        ("up", "down", "pageup", "pagedown", "home", "end"),
        "↑ ↓",
        "row",
        "Move the pointer through the rows, ten at once with Page up and Page down.",
        ("review", "summary"),
        tells_key=True,
    ),
    Action(
        "read-on",
        ("space",),
        "Space",
        "read on",
        "Scroll the reasons of the row at the pointer.",
        ("review", "summary"),
        on_line=False,
    ),
    Action(
        "reading",
        ("t",),
        "t",
        "large reasons",
        "Give the reasons the whole window, or their place again.",
        ("review", "summary"),
    ),
    Action(
        "exam",
        ("e", "escape"),
        "e",
        "exam",
        "Go back to the exam.",
        ("review", "summary"),
    ),
    Action(
        "finish",
        ("f",),
        "f",
        "finish",
        "Finish the visit, or reopen a finished one.",
        ("review", "summary"),
    ),
)
_DECISION_ACTIONS: tuple[Action, ...] = (
    Action(
        "choose",
        DIGITS,
        "1-9 0",
        "order",
        "Order the option with this number.",
        ("decision",),
        tells_key=True,
    ),
    Action(
        "option",
        ("up", "down"),
        "↑ ↓",
        "choose",
        "Move the pointer through the options.",
        ("decision",),
        tells_key=True,
    ),
    Action(
        "order",
        ("enter",),
        "Enter",
        "order",
        "Order the value that is typed or at the pointer; then keep the reason.",
        ("decision",),
        priority=True,
    ),
)

_SHEET_ACTIONS = (
    Action(
        "reason",
        (*DIGITS,),
        "1-9 0",
        "reason",
        "Choose this reason.",
        ("not-done",),
        tells_key=True,
    ),
    Action(
        "own-words",
        ("o",),
        "o",
        "own words",
        "Give another reason in your own words.",
        ("not-done",),
    ),
    Action(
        "both-sides",
        ("tab",),
        "Tab",
        "this side or both",
        "Change between this side alone and both sides.",
        ("not-done",),
    ),
    Action("keep", ("enter",), "Enter", "keep", "Keep what is written.", ("note",), priority=True),
    Action(
        "go",
        ("enter",),
        "Enter",
        "go there",
        "Go to the test at the pointer.",
        ("jump",),
        priority=True,
    ),
    Action(
        "move",
        ("up", "down"),
        "↑ ↓",
        "choose",
        "Move the pointer through the list.",
        ("jump",),
        tells_key=True,
        priority=True,
    ),
    Action("yes", ("y",), "y", "yes", "Yes.", ("confirm",)),
    Action("no", ("n", "escape"), "n", "no", "No.", ("confirm",)),
    Action("read", ("enter", "escape", "space"), "Enter", "go on", "Go on.", ("tell",)),
    Action(
        "scroll",
        ("up", "down", "pageup", "pagedown", "home", "end"),
        "↑ ↓",
        "scroll",
        "Scroll the text.",
        ("reading",),
        tells_key=True,
    ),
    Action(
        "close",
        ("escape",),
        "Esc",
        "close",
        "Close this without changing anything.",
        ("note", "not-done", "jump", "reading", "decision"),
        priority=True,
    ),
)

_COMMON = (
    Action(
        "help",
        ("question_mark",),
        "?",
        "help",
        "Show the keys of this screen.",
        ("start", "exam", "review", "summary"),
    ),
    Action(
        "save",
        ("ctrl+s",),
        "Ctrl+S",
        "save again",
        "Try to save again after saving failed; otherwise every answer is saved at once.",
        (EVERYWHERE,),
        on_line=False,
        priority=True,
    ),
    Action(
        "light",
        ("ctrl+l",),
        "Ctrl+L",
        "light or dark",
        "Change between the light and the dark theme.",
        (EVERYWHERE,),
        on_line=False,
        priority=True,
    ),
    Action(
        "leave-app",
        ("ctrl+q",),
        "Ctrl+Q",
        "quit",
        "Quit examwalk.",
        (EVERYWHERE,),
        on_line=False,
        priority=True,
    ),
)

ACTIONS: tuple[Action, ...] = (
    *_START_ACTIONS,
    *_VISIT_ACTIONS,
    *_EXAM_ACTIONS,
    *_REVIEW_ACTIONS,
    *_SUMMARY_ACTIONS,
    *_OUTCOME_ACTIONS,
    *_DECISION_ACTIONS,
    *_SHEET_ACTIONS,
    *_FROM_VISIT,
    *_COMMON,
)


def actions_of(screen: str) -> tuple[Action, ...]:
    """Return the actions of one screen in the order of the table."""
    return tuple(action for action in ACTIONS if screen in action.screens)


def bindings_of(screen: str) -> list[BindingType]:
    """Return the bindings of one screen."""
    return [binding for action in actions_of(screen) for binding in action.bindings()]


def action_called(screen: str, action_id: str) -> Action:
    """Return one action of a screen by its id."""
    return next(action for action in actions_of(screen) if action.id == action_id)
