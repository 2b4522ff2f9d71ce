"""The command line as a user meets it: a program, its two outputs and its exit status."""

import json
import os
import random
import re
import shutil
import subprocess
import sys
from contextlib import chdir, redirect_stderr, redirect_stdout
from io import BytesIO, TextIOWrapper
from pathlib import Path

import pytest

from examwalk import __version__
from examwalk.cli import main
from examwalk.exit_codes import COMMAND_AT_FAULT
from made_protocols import SMALL_FILE

ROOT = Path(__file__).parents[1]
EXAMPLE = ROOT / "sessions" / "heel-pain-right.toml"
USUAL = {
    name: value
    for name, value in os.environ.items()
    if not name.startswith(("PYTHON", "LC_", "LANG", "EXAMWALK"))
} | {"PYTHONPATH": str(ROOT / "src")}


def run(*arguments: object, cwd: Path = ROOT) -> subprocess.CompletedProcess:
    """Give a command in this process, which is quicker than a process of its own."""
    out, err = (TextIOWrapper(BytesIO(), encoding="utf-8") for _ in range(2))
    with chdir(cwd), redirect_stdout(out), redirect_stderr(err):
        try:
            status = main([*map(str, arguments)])
        except SystemExit as ended:  # so argparse ends it
            status = ended.code
    for stream in (out, err):
        stream.flush()
    return subprocess.CompletedProcess(
        arguments, status, out.buffer.getvalue(), err.buffer.getvalue()
    )


def run_alone(
    *arguments: object, cwd: Path = ROOT, **environment: str
) -> subprocess.CompletedProcess:
    """Run the program as its own process."""
    return subprocess.run(
        [sys.executable, "-m", "examwalk", *map(str, arguments)],
        capture_output=True,
        stdin=subprocess.DEVNULL,
        env=USUAL | environment,
        cwd=cwd,
        timeout=60,
        check=False,
    )


def texts(outcome: subprocess.CompletedProcess) -> tuple[int, str, str]:
    return outcome.returncode, outcome.stdout.decode(), outcome.stderr.decode()


def the_sentence(outcome: subprocess.CompletedProcess) -> str:
    """Check that a command was refused in words on stderr alone, and return them."""
    status, out, err = texts(outcome)
    assert "Traceback" not in err
    assert (status, out) == (1, "")
    assert err.startswith("examwalk: ")
    assert err.rstrip().endswith((".", "?"))
    return err


class TestHelpAndUsage:
    @pytest.mark.parametrize(
        ("command", "names"),
        [
            ((), ("new", "open", "summary", "sessions", "protocol", "--version")),
            (("new",), ("--protocol", "--patient", "--examiner", "--sessions")),
            (("open",), ("FILE",)),
            (("summary",), ("FILE", "--as", "json")),
            (("sessions",), ("--sessions",)),
            (("protocol",), ("list", "check", "show")),
            (("protocol", "list"), ("usage",)),
            (("protocol", "check"), ("NAME|PATH",)),
            (("protocol", "show"), ("NAME|PATH",)),
        ],
    )
    def test_every_command_explains_itself(self, command, names):
        status, out, err = texts(run(*command, "--help"))
        assert (status, err) == (0, "")
        for name in names:
            assert name in out

    def test_the_version_is_that_of_the_package(self):
        assert texts(run_alone("--version")) == (0, f"examwalk {__version__}\n", "")

    @pytest.mark.parametrize(
        "arguments",
        [
            ("nonsense",),
            ("protocol",),
            ("protocol", "check"),
            ("summary",),
            ("summary", "a.toml", "--as", "html"),
            ("summary", "a.toml", "--loudly"),
        ],
        ids=" ".join,
    )
    def test_a_wrong_command_line_is_status_2_with_its_usage_on_stderr(self, arguments):
        status, out, err = texts(run(*arguments))
        assert (status, out) == (2, "")
        assert "usage: examwalk" in err


class TestSummary:
    def test_the_text_goes_to_stdout_and_nothing_to_stderr(self):
        status, out, err = texts(run_alone("summary", EXAMPLE))
        assert (status, err) == (0, "")
        assert out.startswith("Visit heel-pain-right\n")

    def test_as_json_it_prints_one_object(self):
        status, out, err = texts(run("summary", EXAMPLE, "--as", "json"))
        assert (status, err) == (0, "")
        assert json.loads(out)["session"]["id"] == "heel-pain-right"

    def test_a_visit_may_lie_in_a_folder_that_is_read_only(self, tmp_path):
        folder = tmp_path / "read-only"
        folder.mkdir()
        shutil.copy(EXAMPLE, folder)
        folder.chmod(0o500)
        try:
            status, out, err = texts(run_alone("summary", folder / EXAMPLE.name))
        finally:
            folder.chmod(0o700)
        assert (status, err) == (0, "")
        assert out.startswith("Visit heel-pain-right\n")
        assert [path.name for path in folder.iterdir()] == [EXAMPLE.name]


def edited(folder: Path, old: str, new: str) -> Path:
    """Copy the example with one change."""
    text = EXAMPLE.read_text(encoding="utf-8")
    assert old in text
    path = folder / "visit.toml"
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    return path


class TestSummaryOfWhatCannotBeUsed:
    @pytest.mark.parametrize(
        ("content", "says"),
        [
            (b"", "The file is empty."),
            (b"this is = not = toml\n", "not valid TOML"),
            (b"format = 1\n", "key is missing"),
            (EXAMPLE.read_bytes()[:3000], "visit.toml"),
            (random.Random(7).randbytes(2000), "visit.toml"),
            (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "holds zero bytes"),
            (EXAMPLE.read_text(encoding="utf-8").encode("utf-16"), "UTF-16"),
            ("about = 'café'".encode("latin-1"), "Latin-1"),
            (b"# " + b"x" * 6_000_000, "at most 5,000,000 bytes are read"),
        ],
        ids=["empty", "not-toml", "bare", "cut", "random", "picture", "utf-16", "latin-1", "huge"],
    )
    def test_a_broken_file_is_named_with_its_fault(self, tmp_path, content, says):
        path = tmp_path / "visit.toml"
        path.write_bytes(content)
        sentence = the_sentence(run("summary", path))
        assert says in sentence
        assert str(path) in sentence

    def test_a_file_that_is_not_there(self, tmp_path):
        sentence = the_sentence(run_alone("summary", tmp_path / "nowhere.toml"))
        assert "There is no such file." in sentence

    def test_a_folder_in_place_of_a_file(self, tmp_path):
        assert "This is a folder" in the_sentence(run("summary", tmp_path))

    def test_an_impossible_answer_is_named_and_nothing_is_advised(self, tmp_path):
        path = edited(tmp_path, 'answer = "marked-ridge"', 'answer = "marked-rigde"')
        sentence = the_sentence(run("summary", path))
        assert "fascia-prominence (right)" in sentence
        assert "Did you mean “marked-ridge”?" in sentence
        assert "nothing is advised" in sentence

    def test_options_that_exclude_each_other_are_an_impossible_answer(self, tmp_path):
        path = edited(tmp_path, '"plantar-heel",', '"plantar-heel",\n    "none",')
        assert "“none” excludes all others." in the_sentence(run("summary", path))

    def test_a_number_beyond_its_limits_is_an_impossible_answer(self, tmp_path):
        path = edited(tmp_path, "answer = 46", "answer = 460")
        assert "460 lies outside 0 to 115 years." in the_sentence(run("summary", path))

    def test_an_unknown_protocol_is_named(self, tmp_path):
        path = edited(tmp_path, 'id = "adult"', 'id = "adlut"')
        sentence = the_sentence(run("summary", path))
        assert "“adlut”" in sentence
        assert "Did you mean “adult”?" in sentence

    def test_a_test_that_the_protocol_does_not_have_is_said_and_left_out(self, tmp_path):
        path = edited(tmp_path, 'test = "hamstring-length"', 'test = "hamstring-lenght"')
        status, out, err = texts(run("summary", path))
        assert status == 0
        assert "Did you mean “hamstring-length”?" in err
        assert "Hamstring" in out.partition("Not answered")[2]

    def test_another_version_of_the_protocol_is_said(self, tmp_path):
        path = edited(tmp_path, 'version = "1.0.0"', 'version = "0.9"')
        status, out, err = texts(run("summary", path))
        assert status == 0
        assert "examined under version 0.9" in err
        assert out.startswith("Visit")

    def test_an_order_for_an_unknown_option_is_shown_as_it_stands(self, tmp_path):
        order = '[[decision]]\nfeature = "shell-material"\nside = "left"\nvalue = "bamboo"\n'
        path = tmp_path / "visit.toml"
        text = EXAMPLE.read_text(encoding="utf-8")
        path.write_text(f"{text}\n{order}at = 2026-09-14T09:50:00+00:00\n", encoding="utf-8")
        status, out, err = texts(run("summary", path))
        assert (status, err) == (0, "")
        assert "Ordered: bamboo." in out


class TestOutput:
    def test_a_reader_that_stops_early_is_no_fault(self, tmp_path):
        command = [sys.executable, "-m", "examwalk", "summary", str(EXAMPLE)]
        errors = tmp_path / "errors"
        with errors.open("wb") as stderr:
            program = subprocess.Popen(
                command, env=USUAL, cwd=ROOT, stdout=subprocess.PIPE, stderr=stderr
            )
            head = subprocess.run(
                ["head", "-1"], stdin=program.stdout, capture_output=True, check=True
            )
            assert program.stdout is not None
            program.stdout.close()
            status = program.wait(timeout=60)
        assert head.stdout.decode() == "Visit heel-pain-right\n"
        assert (status, errors.read_bytes()) == (0, b"")

    @pytest.mark.skipif(not Path("/dev/full").exists(), reason="there is no device that is full")
    def test_an_output_that_is_full_is_said(self):
        with Path("/dev/full").open("wb") as full:
            outcome = subprocess.run(
                [sys.executable, "-m", "examwalk", "summary", str(EXAMPLE)],
                env=USUAL,
                cwd=ROOT,
                stdout=full,
                stderr=subprocess.PIPE,
                timeout=60,
                check=False,
            )
        assert outcome.returncode == 1
        assert b"No space left" in outcome.stderr
        assert b"Traceback" not in outcome.stderr

    def test_a_locale_without_utf_8_does_not_stop_it(self):
        status, out, err = texts(run_alone("summary", EXAMPLE, LC_ALL="C"))
        assert (status, err) == (0, "")
        assert "4° varus" in out

    def test_signs_that_the_output_cannot_hold_are_written_in_plain_ones(self):
        insensate = ROOT / "sessions" / "insensate-feet.toml"
        outcome = run_alone("summary", insensate, PYTHONIOENCODING="ascii")
        assert (outcome.returncode, outcome.stderr) == (0, b"")
        text = outcome.stdout.decode("ascii")
        assert "left -1, supinated" in text
        assert "0 deg, vertical" in text

    def test_json_stays_exact_where_the_output_is_not_in_utf_8(self):
        outcome = run_alone("summary", EXAMPLE, "--as", "json", PYTHONIOENCODING="latin-1")
        words = [one["words"] for one in json.loads(outcome.stdout.decode("ascii"))["features"]]
        assert "4° varus (medial)" in words


class TestSessions:
    def test_an_empty_folder_and_one_that_is_not_there_are_no_fault_and_told_apart(self, tmp_path):
        missing = tmp_path / "not-there"
        for folder, says in (
            (tmp_path, f"there are no visits in {tmp_path} yet"),
            (missing, f"there is no folder {missing} yet"),
        ):
            status, out, err = texts(run("sessions", "--sessions", folder))
            assert (status, out) == (0, "")
            assert says in err

    def test_it_lists_each_visit_on_a_line(self):
        status, out, err = texts(run("sessions", "--sessions", "sessions"))
        assert (status, err) == (0, "")
        assert len(out.splitlines()) == 3
        assert re.search(r"2026-09-14 09:05  P-1041 +finished +adult .*heel-pain-right", out)

    @pytest.mark.parametrize("given", ["before", "after", "environment"])
    def test_the_folder_may_be_said_in_three_ways(self, tmp_path, given):
        shutil.copy(EXAMPLE, tmp_path)
        outcome = {
            "before": lambda: run("--sessions", tmp_path, "sessions"),
            "after": lambda: run("sessions", "--sessions", tmp_path),
            "environment": lambda: run_alone("sessions", EXAMWALK_SESSIONS=str(tmp_path)),
        }[given]()
        assert len(texts(outcome)[1].splitlines()) == 1

    def test_a_damaged_visit_is_told_on_stderr_and_the_others_are_listed(self, tmp_path):
        shutil.copy(EXAMPLE, tmp_path)
        damaged = tmp_path / "damaged.toml"
        damaged.write_bytes(EXAMPLE.read_bytes()[:500])
        status, out, err = texts(run("sessions", "--sessions", tmp_path))
        assert status == 1
        assert len(out.splitlines()) == 1
        assert err.startswith(f"examwalk: {damaged}: ")

    def test_a_file_in_place_of_the_folder_is_said(self):
        assert str(EXAMPLE) in the_sentence(run("sessions", "--sessions", EXAMPLE))


class TestProtocol:
    def test_list_names_the_shipped_protocols(self, tmp_path):
        status, out, err = texts(run("protocol", "list", cwd=tmp_path))
        assert status == 0
        assert "your own protocols are looked for in" in err
        assert re.match(r"adult +1\.0\.0 +\d+ min +\S", out)

    def test_check_says_good_on_stderr_with_what_there_is(self, tmp_path):
        path = tmp_path / "small.toml"
        path.write_text(SMALL_FILE, encoding="utf-8")
        status, out, err = texts(run("protocol", "check", path))
        assert (status, out) == (0, "")
        assert "1 test, 0 rules, 0 cross-checks; good." in err

    def test_check_lists_every_problem_on_stdout_and_counts_them_on_stderr(self, tmp_path):
        path = tmp_path / "small.toml"
        broken = SMALL_FILE.replace('position = "seated"', 'position = "saeted"')
        path.write_text(broken.replace('["common-practice"]', '["comon-practice"]'), "utf-8")
        good = tmp_path / "good.toml"
        good.write_text(SMALL_FILE, encoding="utf-8")
        status, out, err = texts(run_alone("protocol", "check", path, good))
        assert status == 1
        assert len(out.splitlines()) == 2
        assert "Did you mean “seated”?" in out
        assert re.search(r"small\.toml:\d+: ", out)
        assert f"{path}: 2 problems." in err
        assert f"{good}: " in err

    @pytest.mark.parametrize("action", ["check", "show"])
    def test_a_protocol_that_is_not_there(self, action):
        status, out, err = texts(run("protocol", action, "adlut"))
        assert status == 1
        assert "Did you mean “adult”?" in out + err
        assert "Traceback" not in err

    def test_show_prints_the_protocol_in_words(self):
        status, out, err = texts(run("protocol", "show", "adult"))
        assert (status, err) == (0, "")
        assert "Supination resistance (supination-resistance; each side)" in out


class TestBeforeTheScreenOpens:
    def test_a_new_visit_under_an_unknown_protocol_is_refused(self):
        assert "adlut" in the_sentence(run_alone("new", "--protocol", "adlut"))

    def test_a_visit_that_is_not_there_or_damaged_is_refused(self, tmp_path):
        assert "no such file" in the_sentence(run_alone("open", tmp_path / "none.toml"))
        damaged = tmp_path / "damaged.toml"
        damaged.write_text("format = 2\n", encoding="utf-8")
        assert "damaged.toml" in the_sentence(run_alone("open", damaged))


@pytest.mark.parametrize("command", [(), ("new",), ("open", "sessions/heel-pain-right.toml")])
def test_without_a_terminal_the_app_says_so_and_ends(command: tuple[str, ...]) -> None:
    assert "needs a terminal" in the_sentence(run_alone(*command))


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (["sumary", "x.toml"], "Did you mean “summary”?"),
        (["protocol", "lst"], "Did you mean “list”?"),
        (["--sesions", "x"], "there is no option “--sesions” here. Did you mean “--sessions”?"),
        (["report", "x.toml", "--knd", "record"], "Did you mean “--kind”?"),
        (["report", "x.toml", "--kind", "recrd"], "Did you mean “record”?"),
    ],
)
def test_what_is_mistyped_on_the_command_line_is_answered_with_what_is_nearest(typed, said, capsys):
    with pytest.raises(SystemExit) as refused:
        main(typed)
    assert refused.value.code == COMMAND_AT_FAULT
    assert said in capsys.readouterr().err


def test_options_may_be_shortened_and_a_value_may_begin_with_hyphens_after_an_equals_sign(capsys):
    assert main(["summary", "--anon", str(EXAMPLE)]) == 0
    assert "withheld" in capsys.readouterr().out
    assert main(["why", str(EXAMPLE), "heel-lift", "--not=--x"]) == COMMAND_AT_FAULT


def test_every_command_says_in_its_help_what_it_does_and_what_it_is_given(capsys):
    for command in ("summary", "report", "why", "compare", "sign", "shell"):
        with pytest.raises(SystemExit):
            main([command, "--help"])
        told = " ".join(capsys.readouterr().out.split())
        assert "a visit: a file that examwalk sessions lists" in told
        before = told.split("positional arguments:")[0]
        assert before.endswith(". "), before


def test_a_protocol_given_as_a_visit_and_a_visit_given_as_a_protocol_are_told_in_one_sentence(
    capsys,
):
    child = EXAMPLE.parents[1] / "protocols" / "child.toml"
    assert main(["summary", str(child)]) == 1
    told = capsys.readouterr().err.splitlines()
    assert told == [
        f"examwalk: {child}: This is a protocol, not a visit; examwalk sessions lists the visits."
    ]
    assert main(["protocol", "check", str(EXAMPLE)]) == 1
    out = capsys.readouterr().out.splitlines()
    assert len(out) == 1
    assert "this is a visit, not a protocol" in out[0]
