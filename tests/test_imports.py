"""The shape of the code: what imports what, what stays unloaded, and how long things are."""

import ast
import json
import os
import subprocess
import sys
import tokenize
from pathlib import Path

from made_protocols import SMALL_FILE
from source_trees import tree_of

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "src" / "examwalk"
MODULES = sorted(path for path in PACKAGE.rglob("*.py"))

# Imports go one way: a layer may use itself, those listed, and the modules at the top.
CORE = {"drawing", "protocol", "session", "reasoning", "report"}
COMMANDS = {
    *(
        "cli_config",
        "cli_export",
        "cli_input",
        "cli_output",
        "cli_parser",
        "cli_streams",
        "cli_tables",
    ),
    "cli_folder",
    "cli_records",
    "cli_signing",
    *("cli_report", "cli_serve"),
    *("cli_plain", "cli_protocol", "cli_reasoning", "cli_reproduce"),
    *("cli_shell", "cli_summary", "cli_visits"),
}
MAY_USE = {
    "drawing": set(),
    "protocol": {"drawing"},
    "session": {"protocol"},
    "reasoning": {"protocol", "session"},
    "report": CORE,
    "tui": CORE,
    "cli": CORE | COMMANDS | {"tui", "exit_codes"},
    "cli_config": {"cli_output", "exit_codes", "protocol", "session"},
    "cli_export": CORE | {"cli_input", "cli_output", "cli_tables", "exit_codes"},
    "cli_folder": {"session"},
    "cli_input": CORE,
    "cli_output": set(),
    "cli_parser": set(),
    "cli_streams": set(),
    "cli_plain": CORE | {"cli_folder", "tui", "exit_codes", "cli_parser"},
    "cli_protocol": CORE | {"cli_output", "tui", "exit_codes", "cli_parser"},
    "cli_reasoning": CORE | {"cli_input", "exit_codes", "cli_parser"},
    "cli_records": CORE | {"cli_folder", "cli_output", "exit_codes"},
    "cli_signing": CORE | {"cli_input", "exit_codes", "cli_parser"},
    "cli_report": CORE | {"cli_input", "cli_output", "exit_codes", "cli_parser"},
    "cli_reproduce": CORE | {"cli_input", "cli_output", "exit_codes", "cli_parser"},
    "cli_serve": {"cli_folder", "tui", "exit_codes"},
    "cli_shell": CORE | {"cli_input", "cli_output", "exit_codes", "cli_parser"},
    "cli_summary": CORE | {"cli_input", "cli_output", "exit_codes", "cli_parser"},
    "cli_tables": CORE,
    "cli_visits": CORE | {"cli_input", "cli_output", "exit_codes", "cli_parser"},
    "exit_codes": set(),
    "__main__": {"cli"},
}
AT_THE_TOP = {
    *(
        "text",
        "problems",
        "files",
        "reading_files",
        "toml_causes",
        "language",
        "catalogues",
        "dates",
    ),
    "settings",
}
HEADLESS = CORE | AT_THE_TOP | COMMANDS | {"cli", "exit_codes", "__init__"}
MOST_LINES_OF_CODE = 400
MOST_LINES_OF_A_FUNCTION = 60


def layer_of(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def name_of(path: Path) -> str:
    parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
    return ".".join(part for part in parts if part != "__init__")


def imported_by(path: Path) -> set[str]:
    """Return every module that a file imports, also inside functions and for typing only."""
    names = set()
    for node in ast.walk(tree_of(path)):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: say the whole name of what is imported"
            names |= {f"{node.module}.{alias.name}" for alias in node.names}
    return names


def test_imports_go_one_way():
    wrong = {}
    for path in MODULES:
        layer = layer_of(path)
        used = {name.split(".")[1] for name in imported_by(path) if name.startswith("examwalk.")}
        allowed = MAY_USE.get(layer, set()) | AT_THE_TOP | {layer, "__version__"}
        if used - allowed:
            wrong[name_of(path)] = used - allowed
    assert wrong == {}


def test_only_the_screens_name_textual_or_rich():
    naming = [
        name_of(path)
        for path in MODULES
        if layer_of(path) != "tui"
        and {name.split(".")[0] for name in imported_by(path)} & {"textual", "rich"}
    ]
    assert naming == []


def fresh_python(code: str, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Run code in a Python that has imported nothing yet."""
    environment = os.environ | {"PYTHONPATH": str(PACKAGE.parent)}
    return subprocess.run(
        [sys.executable, "-c", code, *arguments],
        capture_output=True,
        text=True,
        encoding="utf-8",
        env=environment,
        cwd=ROOT,
        timeout=60,
        check=False,
    )


LOADED = """
loaded = sorted({name.split(".")[0] for name in sys.modules} & {"textual", "rich"})
assert not loaded, loaded
"""


def test_every_module_without_a_screen_loads_without_textual():
    assert {layer_of(path) for path in MODULES} == HEADLESS | {"tui", "__main__"}
    names = [name_of(path) for path in MODULES if layer_of(path) in HEADLESS]
    code = "import importlib, sys\nfor name in sys.argv[1:]: importlib.import_module(name)\n"
    outcome = fresh_python(code + LOADED, *names)
    assert outcome.returncode == 0, outcome.stderr


def test_the_list_of_visits_needs_neither_protocols_nor_what_follows_from_them():
    seen = "print(*(name for name in sys.modules if name.startswith('examwalk.')))"
    outcome = fresh_python(f"import sys, examwalk.cli, examwalk.tui.app; {seen}")
    assert outcome.returncode == 0, outcome.stderr
    loaded = outcome.stdout.split()
    assert "examwalk.tui.screens.start" in loaded
    late = ("examwalk.reasoning", "examwalk.drawing.composing")
    assert not [name for name in loaded if name.startswith(late)]
    tables = {"model", *(path.stem for path in (PACKAGE / "protocol").glob("*_model.py"))}
    assert not tables & {name.removeprefix("examwalk.protocol.") for name in loaded}


def test_the_app_does_load_textual_so_that_it_would_be_noticed():
    outcome = fresh_python("import sys, examwalk.tui.app\n" + LOADED)
    assert "AssertionError: ['rich', 'textual']" in outcome.stderr


WITHOUT_A_SCREEN = (
    ("summary", "sessions/heel-pain-right.toml"),
    ("summary", "sessions/insensate-feet.toml", "--as", "json"),
    ("why", "sessions/heel-pain-right.toml", "heel-lift", "--not", "2"),
    ("protocol", "check", "SMALL"),
    ("protocol", "show", "adult"),
    ("sessions", "--sessions", "sessions"),
    ("export", "sessions", "--as", "csv"),
    ("export", "sessions/heel-pain-right.toml", "--as", "fhir"),
    ("compare", "sessions/heel-pain-right.toml", "LATER"),
    ("shell", "sessions/heel-pain-right.toml", "--absolute"),
    ("reproduce", "sessions/heel-pain-right.toml", "--repeats", "2"),
)
ONE_AFTER_THE_OTHER = """
import json, sys
from examwalk.cli import main
for arguments in json.loads(sys.argv[1]):
    status = main(arguments)
    loaded = sorted({name.split(".")[0] for name in sys.modules} & {"textual", "rich"})
    assert (status, loaded) == (0, []), f"{' '.join(arguments)}: {status}, {loaded}"
"""


def test_commands_without_a_screen_run_without_textual(tmp_path):
    small = tmp_path / "small.toml"
    small.write_text(SMALL_FILE, encoding="utf-8")
    later = tmp_path / "later.toml"
    example = (ROOT / "sessions" / "heel-pain-right.toml").read_text(encoding="utf-8")
    later.write_text(example.replace("heel-pain-right", "later"), encoding="utf-8")
    written = {"SMALL": str(small), "LATER": str(later)}
    commands = [[written.get(one, one) for one in command] for command in WITHOUT_A_SCREEN]
    outcome = fresh_python(ONE_AFTER_THE_OTHER, json.dumps(commands))
    assert outcome.returncode == 0, outcome.stderr


def lines_of_code(path: Path) -> int:
    """Count the lines that hold code: no blank lines, comments or docstrings."""
    documented = (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)
    docstrings: set[int] = set()
    for node in ast.walk(tree_of(path)):
        for child in node.body if isinstance(node, documented) else ():
            if isinstance(child, ast.Expr) and isinstance(child.value, ast.Constant):
                docstrings |= set(range(child.lineno, (child.end_lineno or child.lineno) + 1))
    lines: set[int] = set()
    idle = (tokenize.COMMENT, tokenize.NL, tokenize.NEWLINE, tokenize.INDENT, tokenize.DEDENT)
    with tokenize.open(path) as stream:
        for token in tokenize.generate_tokens(stream.readline):
            if token.type not in idle and token.string:
                lines |= set(range(token.start[0], token.end[0] + 1))
    return len(lines - docstrings)


def test_code_is_counted_without_blank_lines_comments_and_docstrings(tmp_path):
    path = tmp_path / "module.py"
    path.write_text(
        '"""Says what it is.\n\nIn three lines."""\n\nx = 1  # one\n# none\n\n'
        'def f():\n    """Does."""\n    return """two\nlines"""\n',
        encoding="utf-8",
    )
    assert lines_of_code(path) == 4


def test_a_module_is_short_enough_to_be_read_at_once():
    lengths = {name_of(path): lines_of_code(path) for path in MODULES}
    long = {name: length for name, length in lengths.items() if length > MOST_LINES_OF_CODE}
    assert long == {}


def test_a_function_is_short_enough_to_be_seen_at_once():
    long = {}
    for path in MODULES:
        for node in ast.walk(tree_of(path)):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                length = (node.end_lineno or node.lineno) - node.lineno + 1
                if length > MOST_LINES_OF_A_FUNCTION:
                    long[f"{name_of(path)}.{node.name}"] = length
    assert long == {}
