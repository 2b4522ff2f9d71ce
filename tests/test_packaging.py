"""What is installed: one wheel with the protocols in it, which works from any folder."""

import os
import subprocess
import sys
import sysconfig
import tomllib
import zipfile
from pathlib import Path

import pytest

import examwalk

ROOT = Path(__file__).parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
# What pip says when its builder cannot be fetched.
NO_BUILDER = ("No matching distribution found for hatchling", "Could not find a version")


def call(*command: object, cwd: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*map(str, command)],
        capture_output=True,
        text=True,
        encoding="utf-8",
        cwd=cwd,
        env={name: os.environ[name] for name in os.environ if name != "PYTHONPATH"} | environment,
        timeout=300,
        check=False,
    )


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel of this checkout."""
    folder = tmp_path_factory.mktemp("wheel")
    pip = [sys.executable, "-m", "pip", "--disable-pip-version-check"]
    built = call(*pip, "wheel", ROOT, "--no-deps", "--wheel-dir", folder, cwd=folder)
    if built.returncode != 0:
        out = built.stdout + built.stderr
        if not os.environ.get("CI") and any(words in out for words in NO_BUILDER):
            pytest.skip("hatchling, which builds the wheel, cannot be had here")
        pytest.fail(out)
    (path,) = folder.glob("*.whl")
    return path


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The program in a virtual environment of its own, without its dependencies."""
    folder = tmp_path_factory.mktemp("venv")
    made = call(sys.executable, "-m", "venv", "--without-pip", folder, cwd=folder)
    assert made.returncode == 0, made.stderr
    programs = folder / ("Scripts" if os.name == "nt" else "bin")
    pip = [sys.executable, "-m", "pip", "--disable-pip-version-check", "--python"]
    done = call(*pip, programs / "python", "install", "--no-deps", "--no-index", wheel, cwd=folder)
    assert done.returncode == 0, done.stdout + done.stderr
    return programs


def run(installed: Path, *arguments: object, cwd: Path) -> subprocess.CompletedProcess[str]:
    """Run the installed program; its dependencies are those that run this test."""
    dependencies = sysconfig.get_path("purelib")
    return call(installed / "examwalk", *arguments, cwd=cwd, PYTHONPATH=dependencies)


def test_the_version_is_the_same_in_the_project_and_in_the_package():
    assert PROJECT["version"] == examwalk.__version__


def test_the_wheel_holds_the_program_and_the_protocols_inside_it(wheel):
    names = set(zipfile.ZipFile(wheel).namelist())
    wanted = {
        str(path.relative_to(ROOT / "protocols").as_posix())
        for path in (ROOT / "protocols" / "adult").rglob("*")
        if path.is_file()
    }
    assert {f"examwalk/protocols/{name}" for name in wanted} <= names
    assert "examwalk/protocols/adult/protocol.toml" in names
    assert "examwalk/protocols/protocol.schema.json" in names
    assert "examwalk/protocols/starters/whole.toml.txt" in names
    assert {"examwalk/cli.py", "examwalk/py.typed"} <= names
    assert [name for name in names if name.endswith(".tcss")]


def test_the_wheel_holds_nothing_else(wheel):
    names = zipfile.ZipFile(wheel).namelist()
    tops = {name.split("/")[0] for name in names}
    assert tops == {"examwalk", f"examwalk-{PROJECT['version']}.dist-info"}
    assert not [name for name in names if "test" in name or name.endswith((".pyc", ".previous"))]


def test_installed_it_finds_its_protocols_from_another_folder(installed, tmp_path):
    listed = run(installed, "protocol", "list", cwd=tmp_path)
    assert listed.returncode == 0
    assert listed.stdout.startswith("adult ")
    [told] = listed.stderr.splitlines()
    assert "your own protocols are looked for" in told
    shown = run(installed, "protocol", "show", "adult", cwd=tmp_path)
    assert (shown.returncode, shown.stderr) == (0, "")
    assert "Supination resistance (supination-resistance; each side)" in shown.stdout


def test_installed_it_runs_from_where_it_was_installed(installed, tmp_path):
    dependencies = sysconfig.get_path("purelib")
    code = "import examwalk; print(examwalk.__file__)"
    where = call(installed / "python", "-c", code, cwd=tmp_path, PYTHONPATH=dependencies)
    assert Path(where.stdout.strip()).is_relative_to(installed.parent)


def test_installed_it_summarises_a_visit(installed, tmp_path):
    visit = ROOT / "sessions" / "heel-pain-right.toml"
    outcome = run(installed, "summary", visit, cwd=tmp_path)
    assert (outcome.returncode, outcome.stderr) == (0, "")
    assert "Medial heel skive: 2 mm" in outcome.stdout
