"""A grade is entered by keyboard in a real browser, and nothing is asked of anywhere else."""

import json
import os
import shutil
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

pytest.importorskip("textual_serve", reason="the extra “serve” is not installed")
webdriver = pytest.importorskip("selenium.webdriver", reason="selenium is not installed")
DRIVER, BROWSER = shutil.which("chromedriver"), shutil.which("chromium")
if DRIVER is None or BROWSER is None:
    pytest.skip("no chromium with its driver", allow_module_level=True)

from outside_tools import AXE, needs_axe  # noqa: E402
from served import serving, until  # noqa: E402

from examwalk.session.folder import list_sessions  # noqa: E402
from examwalk.session.model import Session  # noqa: E402

ENTER = "\ue007"

FITS = """
const seen = document.querySelector('.xterm-screen').getBoundingClientRect();
return innerWidth - 20 < seen.right && seen.right <= innerWidth
  && innerHeight - 40 < seen.bottom && seen.bottom <= innerHeight;
"""


@pytest.fixture
def browser(tmp_path: Path) -> Iterator["webdriver.Chrome"]:
    options = webdriver.ChromeOptions()
    options.binary_location = BROWSER
    for argument in ("--headless=new", "--window-size=1200,800", f"--user-data-dir={tmp_path}/b"):
        options.add_argument(argument)
    if os.geteuid() == 0:
        options.add_argument("--no-sandbox")
    options.set_capability("goog:loggingPrefs", {"performance": "ALL", "browser": "ALL"})
    service = webdriver.ChromeService(executable_path=DRIVER)
    driver = webdriver.Chrome(options=options, service=service)
    yield driver
    driver.quit()


def asked_for(browser: "webdriver.Chrome") -> set[str]:
    """Return every address that the page has asked for, by the browser's own log."""
    told = [json.loads(entry["message"])["message"] for entry in browser.get_log("performance")]
    requests = [one["params"] for one in told if one["method"] == "Network.requestWillBeSent"]
    sockets = [one["params"] for one in told if one["method"] == "Network.webSocketCreated"]
    return {one["request"]["url"] for one in requests} | {one["url"] for one in sockets}


def sessions(folder: Path) -> list[Session]:
    return (
        [entry.session for entry in list_sessions(folder) if entry.session]
        if folder.exists()
        else []
    )


def until_drawn(browser: "webdriver.Chrome") -> None:
    """Wait until the app has drawn itself and may be typed to, without a click."""
    until(lambda: browser.find_elements("css selector", "body.-first-byte .xterm-screen"))
    until(lambda: browser.switch_to.active_element.tag_name == "textarea")


def barriers_in(browser: "webdriver.Chrome") -> dict[str, list[str]]:
    """Return what axe-core finds in the page as it stands, and how many checks were good."""
    browser.execute_script(AXE.read_text(encoding="utf-8"))
    return browser.execute_async_script(
        "const done = arguments[0]; axe.run().then(found => done({"
        " passed: found.passes.map(one => one.id),"
        " failed: found.violations.concat(found.incomplete).map(one => one.id) }));"
    )


@needs_axe
def test_the_page_holds_no_barrier_while_the_app_runs_and_once_it_has_ended(browser, tmp_path):
    with serving(tmp_path / "visits") as served:
        browser.get(served.address)
        until_drawn(browser)
        running = barriers_in(browser)
    until(lambda: browser.find_elements("css selector", "body.-closed"))
    ended = barriers_in(browser)
    assert running["failed"] == ended["failed"] == []
    for found in (running, ended):
        assert {"color-contrast", "label", "region", "html-has-lang"} <= set(found["passed"])
    # The end is where the focus is, so that it is read out.
    assert "has ended" in browser.switch_to.active_element.text
    browser.execute_script("document.documentElement.lang = ''")
    assert "html-has-lang" in barriers_in(browser)["failed"]


def test_a_grade_typed_in_a_browser_is_saved_and_nothing_outside_is_asked(browser, tmp_path):
    folder = tmp_path / "visits"
    with serving(folder) as served:
        asked_for(browser)  # what the browser's own first page asked for
        browser.get(served.address)
        until_drawn(browser)

        def type_keys(*keys: str) -> None:
            for key in keys:
                browser.switch_to.active_element.send_keys(key)
                time.sleep(0.05)

        # A new visit: its code, the examiner, the protocol at the pointer; then the first answer.
        type_keys("n", "P-7", ENTER, "AB", ENTER, ENTER)
        until(lambda: sessions(folder))
        (session,) = sessions(folder)
        assert session.patient == "P-7"
        assert session.findings == ()
        type_keys("1")
        until(lambda: sessions(folder)[0].findings)
        (finding,) = sessions(folder)[0].findings
        assert finding.answer is not None

        until(lambda: browser.execute_script(FITS))
        browser.set_window_size(800, 600)
        until(lambda: browser.execute_script(FITS))
        addresses = asked_for(browser)
        token = served.start
        assert {f"{served.address}", f"{served.address}static/js/textual.js"} <= addresses
        assert any(one.startswith(f"ws://127.0.0.1:{served.port}{token}ws") for one in addresses)
        own = (served.address, f"ws://127.0.0.1:{served.port}{token}", "data:")
        assert [one for one in addresses if not one.startswith(own)] == []
        console = browser.get_log("browser")
        assert not [one["message"] for one in console if one["level"] == "SEVERE"]


def test_a_page_that_asks_elsewhere_would_be_seen(browser, tmp_path):
    page = tmp_path / "asks.html"
    page.write_text("<img src='http://127.0.0.1:9/x.png'>", encoding="utf-8")
    browser.get(page.as_uri())
    assert "http://127.0.0.1:9/x.png" in asked_for(browser)
