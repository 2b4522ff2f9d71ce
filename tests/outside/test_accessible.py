"""An established engine finds no barrier in any page, and finds those that are put in."""

import json
import re
import subprocess
from html import unescape
from pathlib import Path

import pytest
from example_pages import example_pages
from outside_tools import AXE, CHROMIUM, needs_axe

pytestmark = needs_axe
PAGES = example_pages()
RUN = """
axe.run().then(found => {
  const told = document.createElement("pre");
  told.id = "told";
  told.textContent = JSON.stringify({
    passed: found.passes.length,
    failed: found.violations.map(one => [one.id, one.nodes.map(node => node.html)]),
  });
  document.body.append(told);
});
"""


def checked(html: str, folder: Path) -> dict:
    """Return what axe-core finds in a page, whose policy would not let it run."""
    html = re.sub(r'<meta http-equiv="Content-Security-Policy"[^>]*>', "", html)
    scripts = f"<script>{AXE.read_text(encoding='utf-8')}</script><script>{RUN}</script>"
    page = folder / "page.html"
    page.write_text(html.replace("</body>", f"{scripts}</body>"), encoding="utf-8")
    done = subprocess.run(
        [
            *(str(CHROMIUM), "--headless", "--no-sandbox", "--disable-gpu", "--dump-dom"),
            *(f"--user-data-dir={folder / 'profile'}", "--virtual-time-budget=20000"),
            page.as_uri(),
        ],
        capture_output=True,
        check=True,
        timeout=120,
    )
    told = re.search('<pre id="told">(.*?)</pre>', done.stdout.decode(), re.DOTALL)
    assert told, "axe-core told nothing"
    return json.loads(unescape(told[1]))


@pytest.mark.parametrize("name", PAGES)
def test_no_page_holds_a_barrier(name, tmp_path):
    found = checked(PAGES[name], tmp_path)
    assert found["failed"] == []
    assert found["passed"] > 10


@pytest.mark.parametrize(
    ("was", "spoiled", "rule"),
    [
        (' lang="en"', "", "html-has-lang"),
        ("color: #000; background: #fff", "color: #bbb; background: #fff", "color-contrast"),
        ("<h2>", "<h2></h2><h4>", "empty-heading"),
        ('<th scope="col">', '<th scope="nowhere">', "scope-attr-valid"),
    ],
)
def test_a_barrier_that_is_put_in_is_found(was, spoiled, rule, tmp_path):
    good = PAGES["heel-pain-right-record"]
    assert was in good
    html = good.replace(was, spoiled)
    assert rule in [name for name, _ in checked(html, tmp_path)["failed"]]
