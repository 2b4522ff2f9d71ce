"""A stranger's visit, opened in a real terminal, changes neither its title nor its clipboard."""

import re
import shlex
import sys
from pathlib import Path

from terminal import PROMPT, Terminal, Terminals, wait_until

EXAMPLE = Path(__file__).parents[2] / "sessions" / "heel-pain-right.toml"
TAKES_OVER = "\x1b]2;owned\x07\x1b]52;c;b3duZWQ=\x07\x1b[2J\x9b2J\x1b[?1049l"
"""Sets the title and the clipboard, clears the screen, and leaves the app's own."""


def put_hostile_visit(folder: Path) -> None:
    """Write the example with such words in it, and a damaged file with such a name."""
    folder.mkdir()
    words = "".join(f"\\u{ord(one):04x}" if not one.isprintable() else one for one in TAKES_OVER)
    text = re.sub(r"(?m)^checksum = .*\n", "", EXAMPLE.read_text("utf-8"))
    for key in ("about", "examiner"):
        hostile = f'{key} = "[red]{key}[/]{words}"'
        text, count = re.subn(rf'(?m)^{key} = ".*"$', lambda _, to=hostile: to, text)
        assert count == 1
    before, last, after = text.rpartition('answer = "tired"')  # where the exam goes on
    text = f'{before}{last}\nnote = "[red]note[/]{words}"{after}'
    (folder / "visit.toml").write_text(text, "utf-8")
    (folder / f"evil{TAKES_OVER}.toml").write_text("x", "utf-8")


def is_as_before(terminal: Terminal, title: str) -> None:
    assert terminal.mode("pane_title") == title
    assert terminal.clipboard() == ""


def test_neither_the_app_nor_a_command_lets_a_visit_drive_the_terminal(terminals: Terminals):
    put_hostile_visit(terminals.sessions)
    terminal = terminals.open()
    terminal.wait_for("P-1041", "cannot be opened", "evil")
    title = terminal.mode("pane_title")
    assert title != "owned"
    assert terminal.mode("alternate_on") == "1"
    terminal.press("Home", "Down")
    terminal.wait_for("[red]examiner[/]")
    terminal.press("Enter")
    terminal.wait_for("[red]note[/]")
    terminal.press("r")
    terminal.wait_for("Review")
    terminal.press("s")
    terminal.wait_for("Summary")
    is_as_before(terminal, title)
    assert terminal.mode("alternate_on") == "1"
    terminal.press("C-q")
    assert terminal.exit_status() == 0
    terminal.wait_for(PROMPT.strip())
    listing = [sys.executable, "-m", "examwalk", "sessions", "--sessions", str(terminals.sessions)]
    terminal.type(f"{shlex.join(listing)}; echo listed")
    terminal.press("Enter")
    terminal.wait_for("\nlisted", "evil", "139 answers")
    is_as_before(terminal, title)


def test_the_same_words_unguarded_would_change_title_and_clipboard(terminals: Terminals):
    terminal = terminals.open("--version")
    terminal.wait_for(PROMPT.strip())
    terminal.type("printf '\\033]2;owned\\007\\033]52;c;b3duZWQ=\\007'")
    terminal.press("Enter")
    wait_until(lambda: terminal.mode("pane_title") == "owned", terminal.screen)
    wait_until(lambda: "owned" in terminal.clipboard(), terminal.screen)
