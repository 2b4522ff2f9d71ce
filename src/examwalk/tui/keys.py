"""The one table of keys.

Bindings, the line of keys at the bottom, the help screen and the table in the README all come
from here. A screen writes ``BINDINGS = bindings_of("exam")`` and has one method ``action_…`` for
every action listed under its name.
"""

from textual.binding import BindingType

from examwalk.language import later
from examwalk.tui.action import DIGITS, Action
from examwalk.tui.keys_of_exam import EXAM_ACTIONS, SHEET_ACTIONS
from examwalk.tui.keys_of_outcome import (
    COMPARE_ACTIONS,
    DECISION_ACTIONS,
    OUTCOME_ACTIONS,
    PAGES_ACTIONS,
    REVIEW_ACTIONS,
    SUMMARY_ACTIONS,
    WHY_ACTIONS,
)
from examwalk.tui.keys_of_start import START_ACTIONS, VISIT_ACTIONS

__all__ = [
    "ACTIONS",
    "DIGITS",
    "EVERYWHERE",
    "SCREEN_TITLES",
    "Action",
    "action_called",
    "actions_of",
    "bindings_of",
    "keys_table",
]

EVERYWHERE = "everywhere"
"""The name under which the app itself binds its keys."""

SCREEN_TITLES = {
    "start": later("Start"),
    "visit": later("New visit"),
    "exam": later("Exam"),
    "review": later("Review"),
    "summary": later("Summary"),
    "decision": later("Decision"),
    "pages": later("Write a page"),
    "note": later("Note"),
    "not-done": later("Not done"),
    "jump": later("Go to a test"),
    "reading": later("Full text"),
    "repeats": later("Repeat examinations"),
    "charts": later("Profile and charts"),
    "compare": later("Comparison"),
    "why": later("Why"),
    "confirm": later("Question"),
    "tell": later("Message"),
    EVERYWHERE: later("Everywhere"),
}

_FROM_VISIT = (
    Action("review", ("r",), "r", later("review"), later("Go to the review."), ("exam", "summary")),
    Action(
        "summary", ("s",), "s", later("summary"), later("Go to the summary."), ("exam", "review")
    ),
    Action(
        "leave",
        ("q",),
        "q",
        later("leave"),
        later("Leave the visit, which is saved, and go back to the start."),
        ("exam", "review", "summary"),
    ),
)

_COMMON = (
    Action(
        "help",
        ("question_mark",),
        "?",
        later("help"),
        later("Show the keys of this screen."),
        ("start", "exam", "review", "summary", "compare"),
    ),
    Action(
        "save",
        ("ctrl+s",),
        "Ctrl+S",
        later("save again"),
        later("Try to save again after saving failed; otherwise every answer is saved at once."),
        (EVERYWHERE,),
        on_line=False,
        priority=True,
    ),
    Action(
        "take-over",
        ("ctrl+t",),
        "Ctrl+T",
        later("take over"),
        later("Take over a visit that another window holds; a question comes first."),
        (EVERYWHERE,),
        on_line=False,
        priority=True,
    ),
    Action(
        "light",
        ("ctrl+l",),
        "Ctrl+L",
        later("light or dark"),
        later("Change between the light and the dark theme."),
        (EVERYWHERE,),
        on_line=False,
        priority=True,
    ),
    Action(
        "leave-app",
        ("ctrl+q",),
        "Ctrl+Q",
        later("quit"),
        later("Quit examwalk."),
        (EVERYWHERE,),
        on_line=False,
        priority=True,
    ),
)

ACTIONS: tuple[Action, ...] = (
    *START_ACTIONS,
    *VISIT_ACTIONS,
    *EXAM_ACTIONS,
    *REVIEW_ACTIONS,
    *SUMMARY_ACTIONS,
    *OUTCOME_ACTIONS,
    *COMPARE_ACTIONS,
    *DECISION_ACTIONS,
    *PAGES_ACTIONS,
    *WHY_ACTIONS,
    *SHEET_ACTIONS,
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


MAIN_SCREENS = ("start", "exam", "review", "summary", "compare", EVERYWHERE)


def keys_table(screens: tuple[str, ...] = MAIN_SCREENS) -> str:
    """Write the keys of these screens as a table in Markdown, for the README."""
    rows = ["| Screen | Key | What it does |", "| --- | --- | --- |"]
    for screen in screens:
        rows += [
            f"| {SCREEN_TITLES[screen]} | `{action.shown}` | {action.sentence} |"
            for action in actions_of(screen)
        ]
    return "\n".join(rows) + "\n"
