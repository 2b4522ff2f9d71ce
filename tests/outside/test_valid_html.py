"""The checker of the HTML standard's own authors finds nothing wrong with any page."""

import json
import subprocess
from pathlib import Path

import pytest
from example_pages import example_pages
from outside_tools import JAVA, VALIDATOR, needs_validator

pytestmark = needs_validator


def errors_in(pages: dict[str, str], folder: Path) -> list[str]:
    """Return what the checker calls an error, or says of a document that it could not read."""
    files = []
    for name, html in pages.items():
        files.append(folder / f"{name}.html")
        files[-1].write_text(html, encoding="utf-8")
    done = subprocess.run(
        [str(JAVA), "-jar", str(VALIDATOR), "--format", "json", *map(str, files)],
        capture_output=True,
        check=False,
        timeout=300,
    )
    told = json.loads(done.stderr)["messages"]
    return [f"{Path(one['url']).stem}: {one['message']}" for one in told if one["type"] != "info"]


def test_no_page_has_an_error(tmp_path):
    assert errors_in(example_pages(), tmp_path) == []


@pytest.mark.parametrize(
    ("was", "spoiled"),
    [
        ("<main>", "<main><main></main>"),
        ("<caption>", "<div></div><caption>"),
        ('scope="col"', 'scope="nowhere"'),
        ("</header>", ""),
    ],
)
def test_an_error_that_is_put_in_is_found(was, spoiled, tmp_path):
    good = example_pages()["heel-pain-right-record"]
    assert was in good
    assert errors_in({"spoiled": good.replace(was, spoiled, 1)}, tmp_path)
