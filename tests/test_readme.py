"""The README and the guide for developers say what is so."""

import re
from pathlib import Path

import pytest

from examwalk.cli import main
from examwalk.protocol.library import find_protocol
from examwalk.protocol.reading import read_protocol
from examwalk.protocol.shipped import read_shipped
from examwalk.reasoning.case import Case
from examwalk.reasoning.summary import summarise_case
from examwalk.session.model import Place, Side
from examwalk.session.storing import read_session
from examwalk.tui.keys import keys_table

TOP = Path(__file__).parents[1]
README = (TOP / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (TOP / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_the_readme_shows_the_keys_that_are_bound() -> None:
    shown = README.split("<!-- keys -->\n")[1].split("<!-- end of keys -->")[0]
    assert shown == keys_table()


@pytest.mark.parametrize("name", re.findall(r"\]\(([^)#:]+)\)", README + DEVELOPERS))
def test_every_picture_and_file_that_is_linked_exists(name: str) -> None:
    assert (TOP / name).exists()


@pytest.mark.parametrize("name", sorted(set(re.findall(r"\bsessions/\S+\.toml", README))))
def test_every_example_that_the_readme_names_exists(name: str) -> None:
    assert (TOP / name).exists()


MAP = DEVELOPERS.split("```")[1]
MODULES = {path.name for top in ("src", "tests") for path in (TOP / top).rglob("*.py")}


@pytest.mark.parametrize("name", sorted(set(re.findall(r"[a-z_]+\.py", DEVELOPERS))))
def test_every_module_that_the_guide_names_exists(name: str) -> None:
    assert name in MODULES


@pytest.mark.parametrize("package", ["protocol", "session", "reasoning", "report", "tui"])
def test_every_package_is_on_the_map(package: str) -> None:
    assert f"  {package}/" in MAP


COMMANDS = re.findall(r"^examwalk ((?!new|open|serve)[a-z]+(?: [a-z]+)?)", README, re.MULTILINE)


@pytest.mark.parametrize("command", sorted(set(COMMANDS)))
def test_every_command_that_the_readme_names_has_a_help_page(
    command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as ended:
        main([*command.split(), "--help"])
    assert ended.value.code == 0
    assert "usage: examwalk" in capsys.readouterr().out


def test_the_protocol_that_the_readme_shows_passes_the_check(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (shown,) = re.findall(r"```toml\n(\[protocol\].*?)```", README, re.DOTALL)
    path = tmp_path / "my-clinic.toml"
    path.write_text(shown, encoding="utf-8")
    assert main(["protocol", "check", str(path)]) == 0
    assert capsys.readouterr().out == ""


def test_the_protocol_that_the_readme_shows_does_what_the_readme_says(tmp_path: Path) -> None:
    (shown,) = re.findall(r"```toml\n(\[protocol\].*?)```", README, re.DOTALL)
    path = tmp_path / "my-clinic.toml"
    path.write_text(shown, encoding="utf-8")
    protocol = read_protocol(path).protocol
    base = read_shipped(find_protocol("adult")).protocol
    assert len(set(base.tests_by_id) - set(protocol.tests_by_id)) == 3
    assert len(protocol.tests_by_id["lunge-distance"].bands) == 3
    visit = read_session(TOP / "sessions" / "heel-pain-right.toml")
    mark, arch = (Place(test, Side.RIGHT) for test in ("navicular-mark", "arch-height-loaded"))
    before = Case(protocol, {**visit.answers, arch: "high"})
    assert mark in before.places
    assert "mark-and-arch-disagree" not in {one.id for one in before.live_crosschecks}
    after = Case(protocol, {**visit.answers, arch: "high", mark: "flat"})
    assert "mark-and-arch-disagree" in {one.id for one in after.live_crosschecks}
    cup = summarise_case(after, {}).feature("heel-cup", Side.RIGHT)
    assert "navicular-mark-on-the-ground" in {step.rule for step in cup.trace}


JSON_TABLE = README.split("prints one object:")[1].split("\n\n`standing`")[0]


def test_the_json_keys_that_the_readme_names_are_printed(
    capsys: pytest.CaptureFixture[str],
) -> None:
    named = re.findall(r"^\| `([a-z]+)` \|", JSON_TABLE, re.MULTILINE)
    assert named
    main(["summary", str(TOP / "sessions" / "heel-pain-right.toml"), "--as", "json"])
    printed = capsys.readouterr().out
    assert [key for key in named if f'\n  "{key}":' not in printed] == []
