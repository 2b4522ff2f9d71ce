"""What the program says, in every language: nothing forgotten, nothing left over, nothing guessed.

The texts are read from the code itself, so that a new one without its translation fails here.
"""

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from string import Formatter

import pytest

from examwalk import catalogues, language
from examwalk.catalogues import choose_language, known_languages, read_catalogue
from examwalk.cli import main
from examwalk.language import ENGLISH, chosen_language, later, say, say_count
from examwalk.problems import UnusableFileError
from source_trees import tree_of

PACKAGE = Path(language.__file__).parent
OTHERS = tuple(code for code in known_languages() if code != ENGLISH)
TEXTS_AT = {"say": (0,), "say_count": (1, 2), "later": (0,)}
"""Which arguments of these functions are texts."""


SPEAKING = (
    *("report", "reasoning", "session", "tui", "files.py", "problems.py", "toml_causes.py"),
    *("catalogues.py", "cli.py", *(path.name for path in PACKAGE.glob("cli_*.py"))),
)
"""Whatever a user reads of these is said."""
FOR_AUTHORS = {
    f"reasoning/{name}.py" for name in ("auditing", "rule_auditing", "loose_ends", "remarks")
}
"""What tells the author of a protocol about its file is in English alone."""
BEFORE_ALL_LANGUAGES = {"cli_parser.py"}
"""What reads the command line speaks before it knows which language was asked for."""
MARKUP = {
    "report/document_html.py",
    "report/page_style.py",
    "report/drawn.py",
    "report/order_marks.py",
    "report/trend_drawing.py",
    "tui/served_page.py",
}
"""Tags and styles; the words between them come from elsewhere."""
USAGE = {
    *("add_argument", "add_parser", "add_subparsers", "CommandLine"),
    "ArgumentTypeError",
}
"""The calls that describe the command line, in English alone."""
PROSE = re.compile(r"(?<![$.\w])[A-Za-z]{2,}[,:;]? +[A-Za-z]{2,}")
NOT_FOR_USERS = {
    # Names of programs.
    "Google Chrome",
    "Microsoft Edge",
    "not applicable",  # in JSON; in words it is said
    " is not a SHA-256 in hex",  # no user can bring this about
    "| Screen | Key | What it does |",  # of the README
    "only one answer is ever found",  # the caller says it
    "nothing was repeated yet",
    "tuple[Protocol, Session] | None",
    "$block-cursor-foreground on $block-cursor-background",
    # For the author of a protocol.
    "changed from the base: ",
    "nothing reads this translation; the name that is looked for is ",
    # What Python's own reader of TOML says.
    "unexpected end of data",
    "Duplicate inline table key",
    "Unclosed array",
    "Invalid value",
    "Illegal character",
    "Unclosed inline table",
    "Invalid initial character for a key",
    "Expected newline",
    r"\(at line (\d+), column \d+\)",
}


def passes_on(call: ast.Call) -> bool:
    """Say whether a call gives on what its own caller gave it to say, as ``say_count`` does."""
    return isinstance(call.args[0], ast.IfExp)


@cache
def calls() -> tuple[tuple[str, ast.Call], ...]:
    """Return every call that says something, with where it is."""
    return tuple(calls_in_the_package())


def calls_in_the_package() -> Iterator[tuple[str, ast.Call]]:
    for path in sorted(PACKAGE.rglob("*.py")):
        for node in ast.walk(tree_of(path)):
            if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Name)):
                continue
            if node.func.id in TEXTS_AT and not passes_on(node):
                yield f"{path.relative_to(PACKAGE)}:{node.lineno}", node


def texts_given() -> Iterator[tuple[str, str, ast.expr]]:
    """Yield where, to which function and as what expression a text is given."""
    for where, call in calls():
        name = call.func.id
        for at in TEXTS_AT[name]:
            yield where, name, call.args[at]


def prose_in(tree: ast.Module) -> Iterator[ast.Constant]:
    """Yield the texts of several words that are neither said nor documentation."""
    quiet: set[int] = set()
    for node in ast.walk(tree):
        called = node.func if isinstance(node, ast.Call) else None
        name = getattr(called, "id", getattr(called, "attr", ""))
        is_style = isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "DEFAULT_CSS"
        is_documentation = isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
        is_fault_of_ours = isinstance(node, ast.Assert)
        if name in {*TEXTS_AT, *USAGE} or is_style or is_documentation or is_fault_of_ours:
            quiet |= {id(inside) for inside in ast.walk(node)}
    for node in ast.walk(tree):
        if not isinstance(node, ast.Constant) or id(node) in quiet:
            continue
        if isinstance(node.value, str) and PROSE.search(node.value):
            yield node


def unsaid() -> Iterator[str]:
    for part in SPEAKING:
        inside = PACKAGE / part
        for path in sorted(inside.rglob("*.py")) if inside.is_dir() else [inside]:
            name = path.relative_to(PACKAGE).as_posix()
            if name in FOR_AUTHORS | BEFORE_ALL_LANGUAGES | MARKUP:
                continue
            for text in prose_in(tree_of(path)):
                if text.value not in NOT_FOR_USERS:
                    yield f"{name}:{text.lineno}: {text.value}"


def said_texts() -> frozenset[str]:
    return frozenset(
        text.value
        for _, _, text in texts_given()
        if isinstance(text, ast.Constant) and isinstance(text.value, str)
    )


def names_in(pattern: str) -> list[str]:
    return sorted(name for _, name, _, _ in Formatter().parse(pattern) if name is not None)


def test_the_scan_finds_what_is_said():
    assert len(said_texts()) > 200
    assert "Not done" in said_texts()


def test_no_text_that_a_user_reads_is_written_without_being_said():
    assert list(unsaid()) == []


def test_a_text_that_is_not_said_would_be_found():
    written = (
        'def f(n):\n    """Two words."""\n    say("two words")\n    return f"{n} more words"\n'
    )
    assert [text.value for text in prose_in(ast.parse(written))] == [" more words"]


def test_a_text_is_given_whole_and_never_put_together():
    """A text put together at run time could not be found in a catalogue."""
    whole = (ast.Constant, ast.Name, ast.Attribute, ast.Subscript)
    wrong = [
        where
        for where, name, text in texts_given()
        if not isinstance(text, whole if name == "say" else ast.Constant)
    ]
    assert wrong == []


def test_every_value_a_text_names_is_given():
    wrong = []
    for where, call in calls():
        given = {keyword.arg for keyword in call.keywords} | {"count"}
        for at in TEXTS_AT[call.func.id]:
            text = call.args[at]
            if isinstance(text, ast.Constant) and call.keywords:
                wrong += [where for name in names_in(text.value) if name not in given]
    assert wrong == []


@pytest.mark.parametrize("code", OTHERS)
def test_every_text_that_is_said_is_in_the_catalogue(code):
    assert sorted(said_texts() - set(read_catalogue(code))) == []


@pytest.mark.parametrize("code", OTHERS)
def test_the_catalogue_holds_nothing_that_is_no_longer_said(code):
    assert sorted(set(read_catalogue(code)) - said_texts()) == []


@pytest.mark.parametrize("code", OTHERS)
def test_a_translation_names_the_same_values_as_the_english(code):
    wrong = [
        english
        for english, translated in read_catalogue(code).items()
        if names_in(english) != names_in(translated)
    ]
    assert wrong == []


@pytest.mark.parametrize("code", OTHERS)
def test_no_translation_is_empty(code):
    assert [english for english, said in read_catalogue(code).items() if not said.strip()] == []


@pytest.mark.parametrize("code", OTHERS)
def test_the_catalogue_is_in_the_order_of_its_english_texts(code):
    words = list(read_catalogue(code))
    assert words == sorted(words)


class TestSaying:
    @pytest.fixture(autouse=True)
    def _a_small_catalogue(self, monkeypatch, tmp_path):
        (tmp_path / "xx.toml").write_text(
            '[words]\n"{count} foot" = "{count} Fuss"\n"{count} feet" = "{count} Fuesse"\n'
            '"{b} before {a}" = "{a} nach {b}"\n"Plain" = "Schlicht"\n',
            encoding="utf-8",
        )
        monkeypatch.setattr(catalogues, "_folder", lambda: tmp_path)

    def test_english_is_said_until_another_language_is_chosen(self):
        assert chosen_language() == ENGLISH
        assert say("Plain") == "Plain"

    def test_a_text_is_said_in_the_chosen_language(self):
        choose_language("xx")
        assert chosen_language() == "xx"
        assert say("Plain") == "Schlicht"

    def test_a_text_that_the_catalogue_lacks_is_said_in_english(self):
        choose_language("xx")
        assert say("{name} is new", name="It") == "It is new"

    def test_english_can_be_chosen_again(self):
        choose_language("xx")
        choose_language(ENGLISH)
        assert say("Plain") == "Plain"

    def test_values_stand_where_the_translation_wants_them(self):
        choose_language("xx")
        assert say("{b} before {a}", a="A", b="B") == "A nach B"

    @pytest.mark.parametrize("value", ["{a}", "{", "}}", "{b.__class__}", "{0}", "%s"])
    @pytest.mark.parametrize("code", [ENGLISH, "xx"])
    def test_a_value_is_never_read_as_a_pattern(self, code, value):
        choose_language(code)
        assert value in say("{b} before {a}", a="A", b=value)

    def test_a_text_without_values_keeps_its_braces(self):
        assert say("{b} before {a}") == "{b} before {a}"

    @pytest.mark.parametrize(("count", "said"), [(0, "0 Fuesse"), (1, "1 Fuss"), (2, "2 Fuesse")])
    def test_one_thing_is_said_otherwise_than_several(self, count, said):
        choose_language("xx")
        assert say_count(count, "{count} foot", "{count} feet") == said

    def test_a_text_marked_for_later_stays_english_until_it_is_said(self):
        choose_language("xx")
        assert later("Plain") == "Plain"
        assert say(later("Plain")) == "Schlicht"


class TestChoosing:
    def test_an_unknown_language_is_refused_in_the_language_in_use_which_stays(self):
        choose_language(OTHERS[0])
        with pytest.raises(UnusableFileError) as caught:
            choose_language("dee")
        says = str(caught.value)
        assert "„dee“" in says
        assert all(code in says for code in known_languages())
        assert "„de“" in says
        assert chosen_language() == OTHERS[0]

    @pytest.mark.parametrize("code", ["", "../de", "de.toml", "/etc/passwd"])
    def test_what_is_no_code_is_refused(self, code):
        with pytest.raises(UnusableFileError):
            choose_language(code)

    @pytest.mark.parametrize(
        "text", ["[other]\n", "words = 3", "[words]\na = 3\n", '[words]\na = { b = "c" }\n']
    )
    def test_a_catalogue_of_another_shape_is_refused(self, monkeypatch, tmp_path, text):
        (tmp_path / "xx.toml").write_text(text, encoding="utf-8")
        monkeypatch.setattr(catalogues, "_folder", lambda: tmp_path)
        with pytest.raises(UnusableFileError, match="words"):
            choose_language("xx")


class TestOnTheCommandLine:
    @pytest.fixture(autouse=True)
    def _no_visits(self, monkeypatch, tmp_path):
        monkeypatch.setenv("EXAMWALK_SESSIONS", str(tmp_path))

    def test_english_is_chosen_where_nothing_is_said(self, monkeypatch):
        monkeypatch.setenv("LANG", "de_DE.UTF-8")
        monkeypatch.setenv("LC_ALL", "de_DE.UTF-8")
        assert main(["sessions"]) == 0
        assert chosen_language() == ENGLISH

    @pytest.mark.parametrize(
        "arguments", [["--language", "de", "sessions"], ["sessions", "--language", "de"]]
    )
    def test_a_language_is_chosen_before_the_command_or_after_it(self, arguments):
        assert main(arguments) == 0
        assert chosen_language() == "de"

    def test_the_environment_chooses_a_language(self, monkeypatch):
        monkeypatch.setenv("EXAMWALK_LANGUAGE", "de")
        assert main(["sessions"]) == 0
        assert chosen_language() == "de"

    def test_the_command_line_outweighs_the_environment(self, monkeypatch):
        monkeypatch.setenv("EXAMWALK_LANGUAGE", "de")
        assert main(["sessions", "--language", ENGLISH]) == 0
        assert chosen_language() == ENGLISH

    @pytest.mark.parametrize("by_environment", [True, False])
    def test_an_unknown_language_is_a_fault_of_the_command_line(
        self, monkeypatch, capsys, by_environment
    ):
        if by_environment:
            monkeypatch.setenv("EXAMWALK_LANGUAGE", "fr")
        with pytest.raises(SystemExit) as ended:
            main(["sessions"] if by_environment else ["sessions", "--language", "fr"])
        assert ended.value.code == 2
        printed = capsys.readouterr()
        assert "no language “fr”" in printed.err
        assert printed.out == ""
