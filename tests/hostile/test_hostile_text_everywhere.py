"""Hostile words in every free field of a visit and a protocol, through every command that tells."""

import csv
import io
import json
import re
import sys
import unicodedata
from pathlib import Path

import pypdf
import pytest

from examwalk.cli import main
from examwalk.report.printing import CannotPrintError, browser
from examwalk.session.storing import read_session

ROOT = Path(__file__).parents[2]
EXAMPLE = ROOT / "sessions" / "heel-pain-right.toml"
GOOD = ROOT / "tests" / "protocol" / "good"
CONTROLS = "\x1b[2J\x1b]0;owned\x07\x9b31m\u202eevil\u2066\x00\x08"
PLAIN = (
    "=HYPERLINK(1)</p><script>alert(1)</script><img src=x onerror=alert(1)>"
    " [/] [@click=app.quit]x[/] שלום مرحبا 🙂👩‍⚕️ ${HOME} %s {0} \" ' ` ``` | # * _ \\ "
).replace("\u200d", "") + "long" * 1250
COMMANDS = [
    "summary {visit}",
    "summary {visit} --as json",
    "report {visit} --kind record --as html",
    "report {visit} --kind record --as markdown",
    "report {visit} --kind record --as text",
    "report {visit} --kind order --as html --force",
    "report {visit} --kind order --as text --force",
    "report {visit} --kind patient --as html",
    "report {visit} --kind patient --as text",
    "report {visit} --kind patient --as markdown",
    "report {visit} --kind record --as html --language de",
    "report {visit} --kind patient --as text --language de",
    "summary {visit} --language de",
    "plain {visit}",
    "why {visit} heel-lift",
    "shell {visit}",
    "reproduce {visit} --repeats 2",
    "compare {visit} {second}",
    "compare {visit} {second} --as json",
    "agree {visit} {second}",
    "export {visit} --as fhir",
    "export {visit} --as csv",
    "export {visit} --as wide-csv",
    "sessions --sessions {folder}",
    "sessions --check --sessions {folder}",
]


def as_toml(words: str) -> str:
    """Quote words for TOML, every control character written as its number."""
    quoted = json.dumps(words, ensure_ascii=False)
    controls = {c for c in quoted if unicodedata.category(c).startswith("C")}
    for control in controls:
        quoted = quoted.replace(control, f"\\u{ord(control):04x}")
    return quoted


def visit_with(words: str, path: Path, began: str) -> Path:
    """The example with these words in every field that is written freely."""
    quoted = as_toml(words)
    short = as_toml(words[-len(PLAIN) :][:60])  # a control character in a code is refused
    text = re.sub(r"(?m)^checksum = .*\n", "", EXAMPLE.read_text("utf-8"))
    for pattern, new in (
        (r'(?m)^about = ".*"$', f"about = {quoted}"),
        (r'(?m)^examiner = ".*"$', f"examiner = {short}"),
        (r'(?m)^code = ".*"$', f"code = {short}"),
        (r'(?m)^id = "heel-pain-right"$', f'id = "{path.stem}"'),
        (r"(?m)^started = .*$", f"started = {began}"),
        (r'(?m)^answer = "given"$', f'answer = "given"\nnote = {quoted}'),
        (
            r'(?m)^test = "double-heel-raise"\nside = "left"\nanswer = .*$',
            f'test = "double-heel-raise"\nside = "left"\nnot_done = {quoted}',
        ),
    ):
        text, count = re.subn(pattern, lambda _, new=new: new, text, count=1)
        assert count == 1, pattern
    text += (
        f'\n[[decision]]\nfeature = "heel-lift"\nside = "left"\nvalue = 2\nbecause = {quoted}\n'
        f'at = {began}\n\n[[reply]]\ncrosscheck = "lunge-sides-differ"\nsays = {quoted}\n'
        f"at = {began}\n"
    )
    path.write_text(text, "utf-8")
    return path


def is_harmless(words: str) -> bool:
    """Nothing that drives a terminal or reorders a line."""
    return not any(c not in "\n\t" and unicodedata.category(c).startswith("C") for c in words)


def can_print() -> bool:
    try:
        browser()
    except CannotPrintError:
        return False
    return True


@pytest.fixture
def places(tmp_path: Path) -> dict[str, Path]:
    folder = tmp_path / "visits"
    folder.mkdir()
    words = CONTROLS + PLAIN
    return {
        "folder": folder,
        "visit": visit_with(words, folder / "first.toml", "2026-09-14T09:05:00+00:00"),
        "second": visit_with(words, folder / "second.toml", "2026-09-15T09:05:00+00:00"),
    }


@pytest.mark.parametrize("command", COMMANDS)
def test_hostile_words_in_a_visit_do_nothing_wherever_it_is_told(
    command, places, capfd, monkeypatch
):
    monkeypatch.setattr(sys, "stdin", io.StringIO(f"b\nb\nn {CONTROLS[3:9]}noted\nv\nq\n"))
    status = main(command.format(**places).split())
    out, err = capfd.readouterr()
    assert status == 0, err[:2000]
    assert out
    assert is_harmless(out.replace("\r\n", "\n").removeprefix("\ufeff"))
    assert is_harmless(err)
    if "--as html" in command:
        assert "<script" not in out
        assert "<img" not in out
    if "csv" in command:
        rows = list(csv.reader(io.StringIO(out.removeprefix("\ufeff"))))
        assert not [cell for row in rows for cell in row if cell.startswith(("=", "@", "+", "\t"))]
    if "--as json" in command:
        assert is_harmless(json.dumps(json.loads(out), ensure_ascii=False))


def test_the_words_are_really_in_the_visit_and_reach_the_page(places, capfd):
    assert "[@click=app.quit]" in read_session(places["visit"]).about
    assert main(["report", str(places["visit"]), "--kind", "record", "--as", "text"]) == 0
    assert "[@click=app.quit]" in capfd.readouterr().out


def test_a_printed_page_shows_the_words_and_runs_none(places, tmp_path, capfd):
    if not can_print():
        pytest.skip("no Chromium, Chrome or Edge here")
    out = tmp_path / "page.pdf"
    command = ["report", str(places["visit"]), "--kind", "record", "--as", "pdf"]
    assert main([*command, "--out", str(out)]) == 0, capfd.readouterr().err
    data = out.read_bytes()
    assert not [name for name in (b"/JavaScript", b"/Launch", b"/OpenAction") if name in data]
    pages = pypdf.PdfReader(out).pages
    assert not [page for page in pages if "/Annots" in page]  # no link leads anywhere
    text = "".join(page.extract_text() for page in pages)
    assert "[@click=app.quit]" in "".join(text.split())


def test_signing_and_correcting_with_hostile_words_does_nothing(places, capfd):
    visit = str(places["visit"])
    words = CONTROLS + PLAIN[:120]
    amend = ["amend", visit, "supination-resistance", "--side", "left", "--to", "low"]
    assert main(["sign", visit, "--by", f"AB{words[:40]}"]) == 0
    assert main([*amend, "--because", f"slip {words}", "--by", f"CD{words[:30]}"]) == 0
    assert main([*amend[:-1], words, "--because", "x", "--by", "CD"]) in (1, 2)
    assert main(["seal", visit]) == 0
    assert main(["report", visit, "--kind", "record", "--as", "text"]) == 0
    out, err = capfd.readouterr()
    assert is_harmless(out)
    assert is_harmless(err)
    assert "slip" in out
    assert "[@click=app.quit]" in out
    signed = read_session(places["visit"])
    assert is_harmless(signed.signature.by + signed.amendments[0].by + signed.amendments[0].because)


def protocol_with(words: str, folder: Path) -> Path:
    """A good protocol with these words wherever it says something in words."""
    quoted = as_toml(words)
    text = "\n".join(path.read_text("utf-8") for path in sorted(GOOD.glob("*.toml")))
    keys = "title|about|disclaimer|says|why|because|instruction|reading|refer_to|looks|label|note"
    text, count = re.subn(
        rf'(?m)\b({keys}) = "[^"]*"', lambda found: f"{found[1]} = {quoted}", text
    )
    assert count > 50
    path = folder / "protocol.toml"
    path.write_text(text, "utf-8")
    return path


@pytest.mark.parametrize("words", [PLAIN[:200], CONTROLS], ids=["odd", "controls"])
@pytest.mark.parametrize(
    "command", ["show {0}", "check {0}", "check {0} --as json", "figures {0} --out {1}"]
)
def test_hostile_words_in_a_protocol_do_nothing_wherever_it_is_told(
    command, words, tmp_path, capfd
):
    path = protocol_with(words, tmp_path)
    status = main(["protocol", *command.format(path, tmp_path / "figures").split()])
    out, err = capfd.readouterr()
    assert status in (0, 1)
    assert status == 1 or words != CONTROLS
    assert out or err
    assert "Traceback" not in err
    assert is_harmless(out)
    assert is_harmless(err)


@pytest.mark.parametrize("name", ["con", "CON", "lpt1", "../../leg", "leg.", "a/b", "nul.txt"])
def test_a_figure_whose_name_leads_elsewhere_or_to_a_device_is_never_written(name, tmp_path, capfd):
    drawn = ROOT / "tests" / "torture" / "corpus" / "protocol" / "figures.toml"
    path = tmp_path / "protocol.toml"
    text = drawn.read_text("utf-8").replace("figures.leg", f'figures."{name}"')
    path.write_text(text.replace('figure = "leg"', f'figure = "{name}"'), "utf-8")
    assert main(["protocol", "figures", str(path), "--out", str(tmp_path / "out")]) == 1
    assert "cannot be an id" in capfd.readouterr().err
    assert list(tmp_path.rglob("*")) == [path]
