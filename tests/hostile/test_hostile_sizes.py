"""Numbers, depths, lengths and names beyond all use: protocols, translations, locks, arguments."""

import io
import re
import shutil
import sys
import unicodedata
from datetime import UTC, datetime
from pathlib import Path

import pytest

from examwalk.cli import main
from examwalk.session.holding import Hold, lock_beside

ROOT = Path(__file__).parents[2]
EXAMPLE = ROOT / "sessions" / "heel-pain-right.toml"
GOOD = ROOT / "tests" / "protocol" / "good"
MANY_LINES = "#\n" * 10_000_000
DEEP = "deep = " + "[" * 5000 + "]" * 5000 + "\n"
DEEP_TABLES = "deep = " + "{a = " * 2000 + "1" + "}" * 2000 + "\n"
DEEP_KEY = ".".join("a" * 5000) + " = 1\n"
NUMBERS = ["9" * 400, "1e400", "-1e400", "nan", "inf", "9" * 5000, "0x" + "f" * 5000]
LONG_NAME = "a" * 5000
ELSEWHERE = ["../../etc/passwd", "/etc/passwd"]
NAMES = [*ELSEWHERE, "CON", "con", "nul.txt", "a\\\\b", ".hidden", LONG_NAME]


def said(capsys: pytest.CaptureFixture[str], status: int) -> str:
    """Return what was said of a refusal, which is neither long nor harmful nor a traceback."""
    out, err = capsys.readouterr()
    told = out + err
    assert status in (1, 2)
    assert told
    assert len(told) < 20_000
    assert "Traceback" not in told
    assert not [c for c in told if c not in "\r\n" and unicodedata.category(c).startswith("C")]
    return told


@pytest.fixture
def protocol(tmp_path: Path) -> Path:
    """A good protocol in one file."""
    path = tmp_path / "small.toml"
    path.write_text(
        "\n".join(one.read_text("utf-8") for one in sorted(GOOD.glob("*.toml"))), "utf-8"
    )
    return path


def changed(path: Path, old: str, new: str) -> Path:
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), "utf-8")
    return path


def test_the_protocol_itself_is_good(protocol):
    assert main(["protocol", "check", str(protocol)]) == 0


@pytest.mark.parametrize("number", NUMBERS, ids=lambda number: number[:6])
@pytest.mark.parametrize(
    "old", ["minutes = 5", "hard = [0, 25]", "step = 0.5", "below = 9", "start = 10"]
)
def test_a_number_beyond_all_measure_in_a_protocol_is_refused(protocol, old, number, capsys):
    new = re.sub(r"[0-9.]+(?=\]?$)", number, old)
    status = main(["protocol", "check", str(changed(protocol, old, new))])
    assert "small.toml" in said(capsys, status)


@pytest.mark.parametrize("name", NAMES, ids=lambda name: name[:12])
@pytest.mark.parametrize(
    "old", ['id = "small"', 'id = "lunge"', 'id = "device"', 'id = "hot"', "[scales.effort]\n"]
)
def test_a_name_in_a_protocol_that_leads_elsewhere_is_refused(protocol, old, name, capsys):
    new = f'[scales."{name}"]\n' if old.startswith("[") else f'id = "{name}"'
    status = main(["protocol", "check", str(changed(protocol, old, new))])
    assert "small.toml" in said(capsys, status)


@pytest.mark.parametrize("name", NAMES, ids=lambda name: name[:12])
def test_a_protocol_extends_nothing_that_lies_elsewhere(tmp_path, name, capsys):
    path = tmp_path / "clinic.toml"
    path.write_text(f'extends = "{name}"\n[protocol]\nid = "clinic"\nversion = "1"\n', "utf-8")
    assert "clinic.toml" in said(capsys, main(["protocol", "check", str(path)]))


SHAPES = {"lists": DEEP, "tables": DEEP_TABLES, "key": DEEP_KEY, "lines": MANY_LINES}


@pytest.mark.parametrize("shape", SHAPES)
def test_a_protocol_beyond_all_use_is_refused(tmp_path, shape, capsys):
    path = tmp_path / "clinic.toml"
    path.write_text(SHAPES[shape], "utf-8")
    assert "clinic.toml" in said(capsys, main(["protocol", "check", str(path)]))
    assert "clinic.toml" in said(capsys, main(["protocol", "show", str(path)]))


@pytest.mark.parametrize("version", [" 1", "1\\n2", "1" * 300])
def test_a_version_that_no_visit_could_name_is_refused(protocol, version, capsys):
    changed(protocol, 'version = "1.0.0"', f'version = "{version}"')
    assert "version" in said(capsys, main(["protocol", "check", str(protocol)]))


@pytest.mark.parametrize("shape", SHAPES)
def test_a_translation_beyond_all_use_is_refused(protocol, shape, capsys):
    german = protocol.parent / "translations" / "small.de.toml"
    german.parent.mkdir()
    german.write_text(SHAPES[shape], "utf-8")
    for command in (["protocol", "check"], ["--language", "de", "protocol", "show"]):
        assert "small.de.toml" in said(capsys, main([*command, str(protocol)]))


@pytest.mark.parametrize("code", [*ELSEWHERE, "CON", "..", "de/../de", LONG_NAME])
def test_a_language_that_leads_elsewhere_is_refused(code, capsys):
    with pytest.raises(SystemExit) as ended:
        main(["--language", code, "sessions"])
    assert "de" in said(capsys, ended.value.code)


@pytest.mark.parametrize("shape", [*SHAPES, "number"])
def test_a_lock_beyond_all_use_is_no_hindrance(tmp_path, shape):
    visit = tmp_path / "visit.toml"
    shutil.copy(EXAMPLE, visit)
    lock_beside(visit).write_text(SHAPES.get(shape, 'host = "x"\npid = ' + "9" * 3000), "utf-8")
    hold = Hold.take(visit, datetime(2026, 11, 25, tzinfo=UTC))
    assert hold.rival is None
    hold.release()


PLACES = [LONG_NAME, "file/inside", "circle/inside", "/dev/full"]
COMMANDS = [
    ["report", "{visit}", "--kind", "record", "--as", "html", "--out", "{place}"],
    ["export", "{visit}", "--as", "csv", "--out", "{place}"],
    ["export", "{visit}", "--as", "fhir", "--out", "{place}"],
    ["protocol", "figures", "{protocol}", "--out", "{place}"],
    ["sessions", "--sessions", "{place}"],
]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs the device that is always full")
@pytest.mark.parametrize("place", PLACES, ids=lambda place: place[:12])
@pytest.mark.parametrize("command", COMMANDS, ids=lambda command: " ".join(command[::2])[:24])
def test_a_place_that_takes_no_file_is_told(command, place, tmp_path, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("file").write_text("x", "utf-8")
    Path("circle").symlink_to("circle")
    drawn = ROOT / "tests" / "torture" / "corpus" / "protocol" / "figures.toml"
    status = main([one.format(visit=EXAMPLE, place=place, protocol=drawn) for one in command])
    assert place[:40] in said(capsys, status)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["circle", "file"]


def test_an_exam_in_lines_of_text_tells_that_there_is_no_folder_for_it(
    protocol, tmp_path, capsys, monkeypatch
):
    monkeypatch.setattr(sys, "stdin", io.StringIO("q\n"))
    exam = ["plain", "--protocol", str(protocol), "--patient", "P-1", "--examiner", "AB"]
    assert "This is a file" in said(capsys, main([*exam, "--sessions", str(protocol)]))
    main([*exam, "--sessions", str(protocol / "inside")])
    assert "Could not save" in capsys.readouterr().out
