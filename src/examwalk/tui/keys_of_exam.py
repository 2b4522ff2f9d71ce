"""The keys of the exam and of the sheets and pages that open over it."""

from examwalk.language import later
from examwalk.tui.action import DIGITS, Action, Needs

_EXAM = ("exam",)
EXAM_ACTIONS = (
    Action(
        "answer",
        DIGITS,
        "1-9 0",
        later("answer"),
        later(
            "Record the grade or option with this number for the side under the cursor, or tick it "
            "where several are possible; for a measurement, type the figure."
        ),
        _EXAM,
        tells_key=True,
        needs=Needs.OPEN,
    ),
    Action(
        "type",
        ("full_stop", "comma", "minus", "backspace"),
        ". , − ⌫",
        later("figure"),
        later(
            "Type a decimal point or comma or a minus sign into a measurement, or take back the "
            "last figure."
        ),
        _EXAM,
        tells_key=True,
        on_line=False,
        needs=Needs.OPEN,
    ),
    Action(
        "accept",
        ("enter",),
        "Enter",
        later("accept"),
        later(
            "Record the number or the words typed, the options ticked, or the grade at the pointer."
        ),
        _EXAM,
        needs=Needs.OPEN,
    ),
    Action(
        "tick",
        ("space",),
        "Space",
        later("tick"),
        later("Tick or untick the option at the pointer where several are possible."),
        _EXAM,
        on_line=False,
        needs=Needs.OPEN,
    ),
    Action("other-side", ("tab",), "Tab", later("side"), later("Go to the other side."), _EXAM),
    Action(
        "side",
        ("left", "right"),
        "← →",
        later("side"),
        later("Go to the left or to the right side."),
        _EXAM,
        tells_key=True,
        on_line=False,
    ),
    Action(
        "look",
        ("up", "down"),
        "↑ ↓",
        later("looks"),
        later(
            "Move the pointer through the grades to read what each looks like; nothing is recorded."
        ),
        _EXAM,
        tells_key=True,
    ),
    Action(
        "not-done",
        ("x",),
        "x",
        later("not done"),
        later("Say that this test is not done, and why."),
        _EXAM,
        needs=Needs.OPEN,
    ),
    Action(
        "note",
        ("n",),
        "n",
        later("note"),
        later("Write a note on this test and side."),
        _EXAM,
        needs=Needs.OPEN,
    ),
    Action(
        "correct",
        ("c",),
        "c",
        later("correct"),
        later("Correct this answer of a signed visit; what stood there before stays readable."),
        _EXAM,
        needs=Needs.SIGNED,
    ),
    Action(
        "clear",
        ("delete",),
        "Del",
        later("clear"),
        later("Take this answer away, as if the test had not been reached."),
        _EXAM,
        on_line=False,
        needs=Needs.OPEN,
    ),
    Action(
        "undo",
        ("u",),
        "u",
        later("undo"),
        later("Take back the last change, as often as you like."),
        ("exam", "review", "summary"),
        needs=Needs.UNSIGNED,
    ),
    Action("back", ("b", "pageup"), "b", later("back"), later("Go to the previous test."), _EXAM),
    Action("forward", ("f", "pagedown"), "f", later("next"), later("Go to the next test."), _EXAM),
    Action(
        "jump",
        ("slash",),
        "/",
        later("go to"),
        later("Go to any test by typing part of its name."),
        _EXAM,
    ),
    Action(
        "look-again",
        ("w",),
        "w",
        later("look again"),
        later(
            "Go to the first test that the topmost cross-check asks to look at again; press it "
            "again for the next one."
        ),
        _EXAM,
    ),
    Action(
        "leave-field",
        ("escape",),
        "Esc",
        later("leave the field"),
        later("While a text is being written: let the other keys work again."),
        _EXAM,
        on_line=False,
    ),
    Action(
        "fold", ("t",), "t", later("fold"), later("Fold the teaching text away, or back."), _EXAM
    ),
    Action(
        "teaching",
        ("T",),
        "T",
        later("teach"),
        later("Read everything about this test: how, mistakes, grades, reliability and sources."),
        _EXAM,
    ),
)


SHEET_ACTIONS = (
    Action(
        "reason",
        (*DIGITS,),
        "1-9 0",
        later("reason"),
        later("Choose this reason."),
        ("not-done",),
        tells_key=True,
    ),
    Action(
        "own-words",
        ("o",),
        "o",
        later("own words"),
        later("Give another reason in your own words."),
        ("not-done",),
    ),
    Action(
        "both-sides",
        ("tab",),
        "Tab",
        later("this side or both"),
        later("Change between this side alone and both sides."),
        ("not-done",),
    ),
    Action("keep", ("enter",), "Enter", later("keep"), later("Keep what is written."), ("note",)),
    Action(
        "go",
        ("enter",),
        "Enter",
        later("go there"),
        later("Go to the test at the pointer."),
        ("jump",),
    ),
    Action(
        "move",
        ("up", "down"),
        "↑ ↓",
        later("choose"),
        later("Move the pointer through the list."),
        ("jump",),
        tells_key=True,
    ),
    Action("yes", ("y", "j"), "y", later("yes"), later("Yes."), ("confirm",)),
    Action("no", ("n", "escape"), "n", later("no"), later("No."), ("confirm",)),
    Action(
        "read", ("enter", "escape", "space"), "Enter", later("go on"), later("Go on."), ("tell",)
    ),
    Action(
        "scroll",
        ("up", "down", "pageup", "pagedown", "home", "end"),
        "↑ ↓",
        later("scroll"),
        later("Scroll the text."),
        ("reading", "repeats", "charts", "why"),
        tells_key=True,
    ),
    Action(
        "scroll-across",
        ("left", "right"),
        "← →",
        later("scroll across"),
        later("Scroll what is wider than the window."),
        ("charts",),
        tells_key=True,
    ),
    Action(
        "close",
        ("escape",),
        "Esc",
        later("close"),
        later("Close this without changing anything."),
        ("note", "not-done", "jump", "reading", "repeats", "charts", "why", "decision", "pages"),
    ),
)
