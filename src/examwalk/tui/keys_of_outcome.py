"""The keys of what follows the exam: the review, the summary, and what opens above them."""

from examwalk.language import later
from examwalk.tui.action import DIGITS, Action, Needs

REVIEW_ACTIONS: tuple[Action, ...] = (
    Action(
        "go-there",
        ("enter", *DIGITS[:9]),
        "Enter",
        later("go there"),
        later(
            "Go to the test that the row at the pointer is about; a digit goes to the test with "
            "this number under “Look again at”."
        ),
        ("review",),
        tells_key=True,
    ),
    Action(
        "reply",
        ("n",),
        "n",
        later("reply"),
        later("Write why findings that do not fit together both stand."),
        ("review",),
        needs=Needs.OPEN,
    ),
)
SUMMARY_ACTIONS: tuple[Action, ...] = (
    Action(
        "decide",
        ("enter",),
        "Enter",
        later("order"),
        later(
            "Order the recommended value of the feature at the pointer, or another one with a "
            "reason; in a signed visit correct the order. From a caution or a missing answer go "
            "to its test."
        ),
        ("summary",),
    ),
    Action(
        "accept-all",
        ("a",),
        "a",
        later("accept all"),
        later("Order what is recommended wherever nothing is ordered yet and no rules collide."),
        ("summary",),
        needs=Needs.OPEN,
    ),
    Action(
        "compare",
        ("c",),
        "c",
        later("compare"),
        later("Compare this visit with the same patient's earlier ones."),
        ("summary",),
    ),
    Action(
        "repeats",
        ("p",),
        "p",
        later("repeats"),
        later(
            "Simulate repeat examinations: in what share of them each recommendation and caution "
            "would come out the same."
        ),
        ("summary",),
    ),
    Action(
        "charts",
        ("g",),
        "g",
        later("charts"),
        later("Show the grades of both feet as a profile, and numbers in charts."),
        ("summary",),
    ),
    Action(
        "stop",
        ("x",),
        "x",
        later("stop"),
        later("Stop, and show what has come out so far."),
        ("repeats",),
    ),
    Action(
        "withdraw",
        ("delete",),
        "Del",
        later("take back"),
        later("Take back what is ordered for the feature at the pointer."),
        ("summary",),
        needs=Needs.OPEN,
    ),
    Action(
        "side",
        ("left", "right"),
        "← →",
        later("side"),
        later("Go to the left or to the right foot."),
        ("summary",),
        tells_key=True,
        on_line=False,
    ),
)
COMPARE_ACTIONS: tuple[Action, ...] = (
    Action(
        "fold",
        ("enter",),
        "Enter",
        later("unfold"),
        later("Show the rows under the heading with + at the pointer, or put them away."),
        ("compare",),
    ),
    Action(
        "back",
        ("escape", "c", "q"),
        "Esc",
        later("back"),
        later("Go back to where the comparison was asked for."),
        ("compare",),
    ),
)
OUTCOME_ACTIONS: tuple[Action, ...] = (
    Action(
        "row",
        ("up", "down", "pageup", "pagedown", "home", "end"),
        "↑ ↓",
        later("row"),
        later("Move the pointer through the rows, ten at once with Page up and Page down."),
        ("review", "summary", "compare"),
        tells_key=True,
    ),
    Action(
        "read-on",
        ("space",),
        "Space",
        later("read on"),
        later("Scroll the reasons of the row at the pointer."),
        ("review", "summary", "compare"),
        on_line=False,
    ),
    Action(
        "reading",
        ("t",),
        "t",
        later("large reasons"),
        later("Give the reasons the whole window, or their place again."),
        ("review", "summary", "compare"),
    ),
    Action(
        "pages",
        ("e",),
        "e",
        later("write page"),
        later(
            "Write a page of this visit into a file: for the record, the workshop or the patient, "
            "as HTML, PDF or text."
        ),
        ("review", "summary"),
    ),
    Action(
        "exam",
        ("escape",),
        "Esc",
        later("exam"),
        later("Go back to the exam."),
        ("review", "summary"),
    ),
    Action(
        "finish",
        ("f",),
        "f",
        later("finish"),
        later("Finish the visit, or reopen a finished one."),
        ("review", "summary"),
        needs=Needs.UNSIGNED,
    ),
    Action(
        "sign",
        ("S",),
        "S",
        later("sign"),
        later("Sign a finished visit: from then on it changes by corrections alone."),
        ("review", "summary"),
        needs=Needs.FINISHED,
    ),
)
DECISION_ACTIONS: tuple[Action, ...] = (
    Action(
        "choose",
        DIGITS,
        "1-9 0",
        later("order"),
        later("Order the option with this number."),
        ("decision",),
        tells_key=True,
    ),
    Action(
        "option",
        ("up", "down"),
        "↑ ↓",
        later("choose"),
        later("Move the pointer through the options."),
        ("decision",),
        tells_key=True,
    ),
    Action(
        "order",
        ("enter",),
        "Enter",
        later("order"),
        later("Order the value that is typed or at the pointer; then keep the reason."),
        ("decision",),
    ),
)
PAGES_ACTIONS: tuple[Action, ...] = (
    Action(
        "write",
        ("enter",),
        "Enter",
        later("write"),
        later("Write the page into this file; a question comes first where one stands there."),
        ("pages",),
    ),
    Action(
        "field",
        ("up", "down", "tab", "shift+tab"),
        "↑ ↓",
        later("line"),
        later("Go to the next line or the one before, also with Tab and Shift+Tab."),
        ("pages",),
        tells_key=True,
    ),
    Action(
        "choose",
        ("left", "right"),
        "← →",
        later("choose"),
        later("Choose another page, form or paper, or leave out who it is."),
        ("pages",),
        tells_key=True,
    ),
)
WHY_ACTIONS: tuple[Action, ...] = (
    Action(
        "why",
        ("w",),
        "w",
        later("why"),
        later(
            "Tell the whole chain from the findings to the value of the feature at the pointer; "
            "there another value can be asked about."
        ),
        ("summary",),
    ),
    Action(
        "why",
        ("f2",),
        "F2",
        later("why"),
        later("Tell the whole chain from the findings to what is recommended."),
        ("decision",),
    ),
    Action(
        "ask",
        ("n",),
        "n",
        later("why not …"),
        later("Ask what stands between this value and another one."),
        ("why",),
    ),
    Action(
        "answer-why",
        ("enter",),
        "Enter",
        later("ask"),
        later("Ask about the value that is typed or at the pointer."),
        ("why",),
    ),
    Action(
        "choose",
        DIGITS,
        "1-9 0",
        later("ask"),
        later("Ask about the option with this number."),
        ("why",),
        tells_key=True,
    ),
)
