"""A terminal for each test. Without tmux these tests are skipped, but never where CI runs them."""

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from examination import Examination
from terminal import Terminals, terminals_in

NO_TMUX = "tmux is not installed; it is the real terminal of the end-to-end tests."


@pytest.fixture
def terminals(tmp_path: Path) -> Iterator[Terminals]:
    """Terminals on an empty folder of visits."""
    if shutil.which("tmux") is None:
        if os.environ.get("CI") == "true":
            pytest.fail(NO_TMUX)
        pytest.skip(NO_TMUX)
    with terminals_in(tmp_path) as opened:
        yield opened


@pytest.fixture
def examination(terminals: Terminals) -> Examination:
    """An adult's visit that has just begun, with its first test on the screen."""
    begun = Examination(terminals)
    begun.begin()
    return begun
