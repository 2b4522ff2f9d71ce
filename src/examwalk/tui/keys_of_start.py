"""The keys of the start, and of the form for a new visit."""

from examwalk.language import later
from examwalk.tui.action import Action

START_ACTIONS: tuple[Action, ...] = (
    Action(
        "open",
        ("enter",),
        "Enter",
        later("open"),
        later("Open the visit at the pointer."),
        ("start",),
    ),
    Action(
        "resume",
        ("r",),
        "r",
        later("go on"),
        later("Go on with the open visit that was changed last."),
        ("start",),
    ),
    Action(
        "compare",
        ("c",),
        "c",
        later("compare"),
        later("Compare the visit at the pointer with the same patient's earlier ones."),
        ("start",),
    ),
    Action("new", ("n",), "n", later("new visit"), later("Begin a new visit."), ("start",)),
    Action(
        "row",
        ("up", "down", "pageup", "pagedown", "home", "end"),
        "↑ ↓",
        later("choose"),
        later("Move the pointer through the visits, ten at once with Page up and Page down."),
        ("start",),
        tells_key=True,
    ),
    Action(
        "find",
        ("slash",),
        "/",
        later("find"),
        later("Narrow the list by typing part of a code, a date or a protocol."),
        ("start",),
    ),
    Action(
        "all",
        ("escape",),
        "Esc",
        later("list all"),
        later("List all visits again."),
        ("start",),
        on_line=False,
    ),
    Action("quit", ("q",), "q", later("quit"), later("Quit examwalk."), ("start",)),
)
VISIT_ACTIONS: tuple[Action, ...] = (
    Action(
        "next",
        ("enter",),
        "Enter",
        later("next"),
        later("Take this field and go to the next; after the protocol the exam begins."),
        ("visit",),
    ),
    Action(
        "field",
        ("tab", "shift+tab"),
        "Tab",
        later("other field"),
        later("Go to the next field, or back with Shift+Tab."),
        ("visit",),
        tells_key=True,
    ),
    Action(
        "protocol",
        ("up", "down"),
        "↑ ↓",
        later("protocol"),
        later("Move the pointer through the protocols."),
        ("visit",),
        tells_key=True,
    ),
    Action(
        "back",
        ("escape",),
        "Esc",
        later("back"),
        later("Go back to the start; nothing is begun."),
        ("visit",),
    ),
)
