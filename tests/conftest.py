"""Shared ground for all tests: coroutine tests, and an environment that is the same everywhere."""

import asyncio
import gc
import inspect
import os
from collections.abc import Iterator
from itertools import count
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from examwalk.catalogues import choose_language
from examwalk.language import ENGLISH

# A busy machine must not fail a test: time is looked at in the benchmarks alone. In CI the same
# examples are tried in every run, so that a change is judged by what it changed.
settings.register_profile(
    "examwalk",
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
    derandomize="CI" in os.environ,
)
settings.load_profile("examwalk")


# The programs that tests start compile examwalk once between them, not each anew.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

# Looking for garbage among all that collecting the tests has made took a quarter of their time.
gc.disable()


def pytest_collection_finish() -> None:
    """Look for garbage from here on, among what tests make and not too often."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000, 20, 20)
    gc.enable()


@pytest.hookimpl(tryfirst=True)
def pytest_pyfunc_call(pyfuncitem: pytest.Function) -> bool | None:
    """Run a coroutine test to its end in an event loop of its own."""
    if not inspect.iscoroutinefunction(pyfuncitem.obj):
        return None
    wanted = inspect.signature(pyfuncitem.obj).parameters
    asyncio.run(pyfuncitem.obj(**{name: pyfuncitem.funcargs[name] for name in wanted}))
    return True


@pytest.fixture(scope="session")
def _folders_of_visits(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Return new empty folders. The factory's own would look at all that it made before."""
    base = tmp_path_factory.mktemp("sessions")

    def folders() -> Iterator[Path]:
        for number in count():
            folder = base / str(number)
            folder.mkdir()
            yield folder

    return folders()


@pytest.fixture(autouse=True)
def _same_environment_everywhere(
    monkeypatch: pytest.MonkeyPatch, _folders_of_visits: Iterator[Path]
) -> None:
    for name in ("NO_COLOR", "TEXTUAL_THEME", "COLUMNS", "LINES", "EXAMWALK_LANGUAGE"):
        monkeypatch.delenv(name, raising=False)
    folder = next(_folders_of_visits)
    monkeypatch.setenv("EXAMWALK_SESSIONS", str(folder))
    # Whoever runs the tests may have chosen something, and have protocols of their own.
    monkeypatch.setenv("EXAMWALK_SETTINGS", str(folder / "none" / "settings.toml"))
    monkeypatch.setenv("EXAMWALK_PROTOCOLS", str(folder / "none"))


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return an empty folder of a clinic's own protocols, which the test begins with."""
    folder = tmp_path / "own"
    folder.mkdir()
    monkeypatch.setenv("EXAMWALK_PROTOCOLS", str(folder))
    return folder


@pytest.fixture(autouse=True)
def _english_again() -> Iterator[None]:
    """Give every test the language that examwalk has by itself, whatever the last one chose."""
    choose_language(ENGLISH)
    yield
    choose_language(ENGLISH)
