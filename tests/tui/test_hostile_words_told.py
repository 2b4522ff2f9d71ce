"""A visit under a hostile protocol, told by the commands and in lines of text."""

import csv
import io
import json
import sys
import unicodedata
from html.parser import HTMLParser

import hostile_visits
import pytest
from hostile_visits import CONTROLS, hostile, put_hostile_visit, without_cleaning

from examwalk.cli import main
from examwalk.session.model import State

PAGES = [
    "report {visit} --kind record --as html",
    "report {visit} --kind order --as html --force",
    "report {visit} --kind patient --as html --language de",
    "compare {visit} {later} --as html",
]
TOLD = [
    "summary {visit}",
    "summary {visit} --as json",
    "report {visit} --kind record --as markdown",
    "report {visit} --kind order --as text --force",
    "why {visit} lift --side left",
    "reproduce {visit} --repeats 2",
    "compare {visit} {later}",
    "agree {visit} {later}",
    "export {visit} --as fhir",
    "export {visit} --as csv",
    "export {visit} --as wide-csv",
    "protocol show {protocol}",
]


def harmful_in(words):
    return {c for c in words if c not in "\r\n\t" and unicodedata.category(c).startswith("C")}


class Page(HTMLParser):
    """What of a page acts, and its text."""

    def __init__(self, html):
        super().__init__()
        self.acting, self.text = [], ""
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        if tag in ("script", "img", "iframe", "object", "link", "a", "form", "base"):
            self.acting.append(tag)
        self.acting += [name for name, _ in attrs if name.startswith("on") or name == "href"]

    def handle_data(self, data):
        self.text += data


@pytest.fixture
def places(tmp_path, monkeypatch):
    """Visits under a protocol with markup in every word; control characters would be refused."""
    monkeypatch.setattr(hostile_visits, "CONTROLS", "")
    folder = tmp_path / "visits"
    return {
        "visit": put_hostile_visit(folder, state=State.FINISHED),
        "later": put_hostile_visit(folder, 4, state=State.FINISHED),
        "protocol": tmp_path / "small.toml",
    }


def told(command, places, capfd):
    status = main(command.format(**places).split())
    out, err = capfd.readouterr()
    assert status == 0, err
    assert harmful_in(out.removeprefix("\ufeff")) == harmful_in(err) == set()
    return out


@pytest.mark.parametrize("command", PAGES)
def test_no_word_of_a_protocol_acts_in_a_page(command, places, capfd):
    page = Page(told(command, places, capfd))
    assert page.acting == []
    assert "<script>alert(1)</script> [/] [@click=app.quit]" in page.text


@pytest.mark.parametrize("command", TOLD)
def test_no_word_of_a_protocol_acts_where_it_is_told(command, places, capfd):
    out = told(command, places, capfd)
    assert "alert(1)" in out
    if "csv" in command:
        rows = csv.reader(io.StringIO(out.removeprefix("\ufeff")))
        assert not [cell for row in rows for cell in row if cell.startswith(("=", "@", "+"))]
    if "json" in command or "fhir" in command:
        assert json.loads(out)


def test_in_lines_of_text_hostile_words_are_told_and_do_nothing(tmp_path, monkeypatch, capfd):
    without_cleaning(monkeypatch)
    path = put_hostile_visit(tmp_path / "visits")
    typed = hostile("typed")
    lines = ["h", "l", "o", "w", "v", f"n {typed}", f"x {typed}", typed, f". {typed}", "?", "q"]
    monkeypatch.setattr(sys, "stdin", io.StringIO("\n".join(lines) + "\n"))
    assert main(["plain", str(path)]) == 0
    out, err = capfd.readouterr()
    assert CONTROLS in path.read_text("utf-8") or "\\u001b]2;owned" in path.read_text("utf-8")
    assert harmful_in(out + err) == set()
    for word in ("[red]title-", "[red]code[/]", "[red]label-"):
        assert word in out
