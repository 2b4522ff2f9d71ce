"""The written pages: what stands on them, that they ask nothing of the outside, and print well."""

import base64
import hashlib
import re
import shutil
import subprocess
from datetime import UTC, datetime
from functools import cache
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path

import html5lib
import pypdf
import pytest
from attrs import evolve

from adult_cases import ADULT, NORMAL, visit_with
from examwalk.cli import main
from examwalk.protocol.exam_model import Kind
from examwalk.report.pages import order_blanks, told_about, written
from examwalk.session.model import (
    Decision,
    Finding,
    Place,
    Reply,
    Session,
    Side,
    State,
)
from examwalk.session.signing import Grounds, amend, sign
from examwalk.session.storing import read_session, write_session

SESSIONS = Path(__file__).parents[2] / "sessions"
EXAMPLES = {path.stem: read_session(path) for path in sorted(SESSIONS.glob("*.toml"))}
KINDS = ("record", "order", "patient")
NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
HEEL = EXAMPLES["heel-pain-right"]
HOSTILE = "</style><script>alert(1)</script><img src=x onerror=alert(2)>\" onload='x' &amp; \\3c"


def page(session: Session, kind: str, form: str = "html", **more) -> str:
    return written(told_about(ADULT, session, **more), kind, form)


PAGES = {(name, kind): page(EXAMPLES[name], kind) for name in EXAMPLES for kind in KINDS}
each_page = pytest.mark.parametrize("which", PAGES, ids="-".join)


@cache
def tree(html: str):
    return html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(html)


def cells_of(html: str, feature: str) -> list[str]:
    """Return what stands beside a row heading, of the first table that has it."""
    for row in tree(html).iter("tr"):
        words = ["".join(cell.itertext()) for cell in row]
        # On an order the letter of the drawing and the place follow the name.
        if words and words[0].split(" – ")[0] == feature:
            return words[1:]
    raise AssertionError(f"no row {feature}")


def section_of(root, title: str) -> str:
    """Return what stands under a heading."""
    found = next(one for one in root.iter("section") if one.find("h2").text == title)
    return "".join("".join(block.itertext()) for block in found if block.tag != "h2")


@each_page
def test_a_page_is_valid_html_with_one_first_heading_and_no_skipped_level(which):
    root = tree(PAGES[which])
    levels = [int(one.tag[1]) for one in root.iter() if re.fullmatch("h[1-6]", str(one.tag))]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))
    assert root.get("lang") == "en"
    assert len(list(root.iter("main"))) == 1


@each_page
def test_ids_are_unique_and_what_points_at_them_finds_them(which):
    root = tree(PAGES[which])
    ids = [one.get("id") for one in root.iter() if one.get("id")]
    assert len(ids) == len(set(ids))
    assert {one.get("aria-labelledby") for one in root.iter() if one.get("aria-labelledby")} <= set(
        ids
    )


@each_page
def test_every_table_has_a_caption_and_heads_that_say_what_they_head(which):
    tables = list(tree(PAGES[which]).iter("table"))
    assert tables
    for table in tables:
        assert "".join(table.find("caption").itertext()).strip()
        assert all(one.get("scope") in ("col", "row") for one in table.iter("th"))
        widths = {len(row) for row in table.iter("tr")}
        assert len(widths) == 1


@each_page
def test_a_page_asks_nothing_of_the_outside_and_runs_nothing(which):
    # The digest of the style is no address, whatever its letters are.
    html = re.sub("'sha256-[^']*'", "", PAGES[which].lower())
    for forbidden in ("http:", "https:", "//", "url(", "@import", "<script", "<link", " style="):
        assert forbidden not in html
    assert all(one.startswith("data:") for one in re.findall(r'src="([^"]*)"', html))


@each_page
def test_the_policy_allows_this_style_alone(which):
    html = PAGES[which]
    style = re.search("<style>(.*?)</style>", html, re.DOTALL)[1]
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    policy = re.search('http-equiv="Content-Security-Policy" content="([^"]*)"', html)[1]
    assert policy == (
        f"default-src 'none'; style-src 'sha256-{digest}'; img-src data:;"
        " base-uri 'none'; form-action 'none'"
    )
    assert html.index("Content-Security-Policy") < html.index("<title>")


class _Tags(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.seen: list[tuple[str, tuple[str, ...]]] = []

    def handle_starttag(self, tag, attrs):
        self.seen.append((tag, tuple(name for name, _ in attrs)))


def tags(html: str) -> list[tuple[str, tuple[str, ...]]]:
    parser = _Tags()
    parser.feed(html)
    return parser.seen


@pytest.mark.parametrize("kind", KINDS)
def test_hostile_words_add_no_element_and_no_attribute(kind):
    place = HEEL.findings[0].place

    def with_words(words: str) -> Session:
        noted = evolve(HEEL.findings[0], note=words)
        decision = Decision("heel-lift", Side.LEFT, 2.0, 4.0, NOW, words)
        session = evolve(HEEL, patient=words, examiner=words, id=words, about=words)
        return session.with_finding(noted).with_decision(decision)

    assert with_words("x").finding(place)
    hostile, tame = (page(with_words(words), kind) for words in (HOSTILE, "x"))
    assert tags(hostile) == tags(tame)
    tree(hostile)


def test_a_hostile_code_does_not_leave_the_style_that_prints_it():
    html = page(evolve(HEEL, patient='"; } body { display: none } /*</style>'), "order")
    style = re.search("<style>(.*?)</style>", html, re.DOTALL)[1]
    assert "display: none" not in style
    assert style.count("{") == style.count("}")


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_record_has_every_test_of_the_protocol(name):
    root = tree(PAGES[name, "record"])
    heads = ["".join(one.itertext()) for table in root.iter("tbody") for one in table.iter("th")]
    not_asked = section_of(root, "Not asked, since it does not apply").removesuffix(".").split("; ")
    titles = [test.title for test in ADULT.tests]
    assert set(titles) <= {*heads, *not_asked}
    # Each stands once, whether it stands out, is one of the others, or was not asked.
    told_twice = {one for one in titles if [*heads, *not_asked].count(one) > 1}
    assert told_twice <= {test.name for test in ADULT.tests if test.norms}


def test_left_stands_left_of_right_and_each_answer_under_its_side():
    html = PAGES["heel-pain-right", "record"]
    # 9 cm left and 7 cm right are what the visit's file says.
    assert cells_of(html, ADULT.tests_by_id["lunge-distance"].title) == ["9.0 cm", "7.0 cm"]
    for table in tree(html).iter("thead"):
        words = ["".join(one.itertext()) for one in table.iter("th")]
        assert words[1:] in (
            *(["Left", "Right"], ["Both feet"], ["Finding"], ["Result"], ["In short"]),
        )


def test_what_was_not_done_is_said_with_its_reason_and_what_was_not_reached_as_not_answered():
    lunge, rise = Place("lunge-distance", Side.LEFT), Place("single-heel-raise", Side.RIGHT)
    reason, words = next(iter(ADULT.not_done_reasons.items()))
    session = HEEL.with_finding(Finding(lunge, NOW, not_done=reason, note="a cast"))
    session = session.without_finding(rise)
    html = page(session, "record")
    left, _ = cells_of(html, ADULT.tests_by_id["lunge-distance"].title)
    assert left == f"not done ({words})Note: a cast"
    assert cells_of(html, ADULT.tests_by_id["single-heel-raise"].title)[1] == "not answered"


def test_cautions_come_before_everything_that_is_found_or_ordered():
    for kind, heading in (("record", "Recommendations"), ("order", "What to make")):
        html = PAGES["collapsing-foot-left", kind]
        assert html.index("Collapsing foot on one side") < html.index(heading)


def test_a_decision_that_differs_stands_with_its_reason_beside_the_recommendation():
    decision = Decision("heel-lift", Side.RIGHT, 6.0, 4.0, NOW, "the shoe has room")
    html = page(HEEL.with_decision(decision), "record")
    left, right = cells_of(html, "Heel lift in the shoe")
    assert left == "4 mm\u00a0*"
    assert right == "Ordered: 6 mmRecommended: 4 mmBecause: the shoe has room"
    order = page(HEEL.with_decision(decision), "order")
    assert cells_of(order, "Heel lift in the shoe") == ["4 mm\u00a0*", "6 mm"]
    assert "the shoe has room" in order


def test_the_quantity_is_a_pair_unless_nothing_is_asked_for_on_either_foot():
    assert "one pair, left and right" in PAGES["heel-pain-right", "order"]
    session = HEEL.with_decision(
        Decision("device", Side.WHOLE, "none", "custom-functional", NOW, "shoes first")
    )
    assert "one pair, left and right" in page(session, "order")  # the heel lifts stay
    for side in (Side.LEFT, Side.RIGHT):
        session = session.with_decision(Decision("heel-lift", side, 0.0, 4.0, NOW, "none now"))
    order = page(session, "order")
    assert "nothing to make" in order
    assert "one pair" not in order


def test_a_reply_to_a_crosscheck_stands_in_the_record():
    check = told_about(ADULT, HEEL).summary.crosschecks[0]
    session = HEEL.with_reply(Reply(check.id, check.side, NOW, "Measured twice, it stands."))
    assert "Replied: Measured twice, it stands." in page(session, "record")
    assert "Not replied to." in page(HEEL, "record")


def test_a_reply_that_a_finding_was_changed_after_is_told_as_one_given_before():
    check = told_about(ADULT, HEEL).summary.crosschecks[0]
    session = HEEL.with_reply(Reply(check.id, check.side, HEEL.started, "It stands."))
    record = page(session, "record")
    assert "Replied before a finding changed: It stands." in record
    assert "Replied before a finding changed." in record.partition("It stands.")[0]


def test_pages_are_proposals_until_the_visit_is_signed():
    assert "Proposal, not signed" in page(HEEL, "order")
    still_open = evolve(HEEL, state=State.OPEN, finished=None)
    assert "the visit is still open" in page(still_open, "order")
    signed = page(sign(HEEL, "QX", NOW), "order")
    assert "Proposal" not in signed
    assert "Signed by QX" in signed


def test_an_amendment_stands_with_the_old_value_the_new_one_and_the_reason():
    lunge = Place("lunge-distance", Side.LEFT)
    grounds = Grounds("QX", NOW, "read off the wrong line")
    text = page(amend(sign(HEEL, "QX", NOW), lunge, 9.5, grounds), "record", "text")
    amended = " ".join(text[text.index("Amendments after signing") :].split())
    assert "9.0 cm → 9.5 cm. read off the wrong line" in amended


def test_a_record_that_was_changed_behind_the_signature_says_so():
    signed = sign(HEEL, "QX", NOW)
    changed = signed.with_finding(evolve(signed.findings[0], note="put in later"))
    assert "This record is not as it was signed" in page(changed, "record")
    assert "This record is not as it was signed" not in page(signed, "record")


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("form", ["html", "text", "markdown"])
def test_an_anonymous_page_holds_nothing_that_tells_who_it_is_about(kind, form):
    canaries = ["CANARYCODE", "CANARYWHO", "CANARYID", "CANARYABOUT", "CANARYNOTE", "CANARYWHY"]
    code, who, visit, about, note, why = canaries
    session = evolve(HEEL, patient=code, examiner=who, id=visit, about=about)
    session = session.with_finding(evolve(HEEL.findings[0], note=note))
    session = session.with_decision(Decision("heel-lift", Side.LEFT, 2.0, 4.0, NOW, why))
    session = sign(session, who, NOW)
    lunge = Place("lunge-distance", Side.LEFT)
    session = amend(session, lunge, 9.5, Grounds(who, NOW, why))
    plain, hidden = (page(session, kind, form, anonymous=anonymous) for anonymous in (False, True))
    assert code in plain
    assert not [one for one in [*canaries, "14 Sep", "2026-09", "25 Nov"] if one in hidden]


def incomplete() -> Session:
    session = visit_with(NORMAL, NOW)
    return session.without_finding(Place("age", Side.WHOLE))


def test_an_order_with_blanks_is_refused_by_name_and_written_only_by_force(tmp_path, capsys):
    visit = tmp_path / "visit.toml"
    write_session(visit, incomplete())
    asked = ["report", str(visit), "--kind", "order", "--as", "text"]
    assert main(asked) == 1
    out, err = capsys.readouterr()
    assert out == ""
    assert "Kind of device" in err
    assert main([*asked, "--force"]) == 0
    out, _ = capsys.readouterr()
    assert "This order has blanks: Kind of device" in " ".join(out.split())
    assert "BLANK" in out
    assert order_blanks(told_about(ADULT, HEEL)) == ()


def test_a_page_replaces_no_file_unless_it_is_forced_and_never_the_visit(tmp_path, capsys):
    visit, target = tmp_path / "visit.toml", tmp_path / "page.html"
    write_session(visit, HEEL)
    before = visit.read_bytes()
    target.write_text("mine")
    asked = ["report", str(visit), "--kind", "record", "--out"]
    assert main([*asked, str(target)]) == 1
    assert target.read_text() == "mine"
    assert main([*asked, str(target), "--force"]) == 0
    assert target.read_text().startswith("<!DOCTYPE html>")
    assert main([*asked, str(visit), "--force"]) == 1
    assert main([*asked, str(tmp_path)]) == 1
    assert visit.read_bytes() == before
    said = capsys.readouterr().err
    assert "exists already" in said
    assert "the visit itself" in said


def test_markdown_takes_no_stored_character_for_a_mark():
    text = page(evolve(HEEL, about="*a* | [b](c) <i> `d`"), "record", "markdown")
    assert r"\*a\* \| \[b\](c) \<i\> \`d\`" in text
    rows = [line for line in text.splitlines() if line.startswith("| ")]
    assert rows


def test_the_profile_draws_each_grade_that_was_found_on_its_side():
    root = tree(PAGES["heel-pain-right", "record"])
    drawings = [one for one in root.iter() if one.get("aria-labelledby", "").startswith("profile-")]
    (middle,) = {float(one.get("viewbox", one.get("viewBox")).split()[2]) / 2 for one in drawings}
    graded = {
        side: {
            finding.place.test
            for finding in HEEL.findings
            if finding.place.side is side
            and ADULT.tests_by_id[finding.place.test].kind is Kind.GRADE
        }
        for side in (Side.LEFT, Side.RIGHT)
    }
    assert len(graded[Side.LEFT]) > 10
    drawn = [one for drawing in drawings for one in drawing.iter()]
    discs = [one for one in drawn if one.get("r") == "5"]
    squares = [one for one in drawn if one.get("width") == "9"]
    assert (len(discs), len(squares)) == tuple(len(tests) for tests in graded.values())
    assert {float(one.get("cx")) < middle for one in discs} == {True}
    assert {float(one.get("x")) > middle for one in squares} == {True}
    assert {one.get("role") for one in drawings} == {"img"}
    told = [int("".join(one.itertext()).split(" tests were graded")[0]) for one in drawings]
    assert sum(told) == len(graded[Side.LEFT] | graded[Side.RIGHT])


@pytest.mark.parametrize("name", EXAMPLES)
def test_what_is_said_names_its_sources_by_number_and_each_number_stands_at_the_end(name):
    root = tree(PAGES[name, "record"])
    words = {one.find("h2").text: "".join(one.itertext()) for one in root.iter("section")}
    listed = [int(number) for number in re.findall(r"\[(\d+)\] ", words.pop("Sources"))]
    assert listed == list(range(1, len(listed) + 1))
    cited = {
        title: {
            int(one) for group in re.findall(r"\[([\d, ]+)\]", told) for one in group.split(",")
        }
        for title, told in words.items()
    }
    for title in ("Reasons", "Advice and review", "Against reference values"):
        assert cited[title], title
    assert set().union(*cited.values()) == set(listed)


def luminance(colour: str) -> float:
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return sum(part * c for part, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


@each_page
def test_every_colour_of_a_page_stands_out_from_white(which):
    colours = set(re.findall(r"#[0-9a-f]{3}(?:[0-9a-f]{3})?\b", PAGES[which])) - {"#fff"}
    assert colours
    for colour in colours:
        full = colour if len(colour) == 7 else "#" + "".join(2 * c for c in colour[1:])
        assert 1.05 / (luminance(full) + 0.05) >= 4.5


CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")


@pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed")
@pytest.mark.parametrize(
    ("name", "kind", "paper", "size"),
    [
        ("heel-pain-right", "record", "A4", (595, 842)),
        ("collapsing-foot-left", "order", "A4", (595, 842)),
        ("insensate-feet", "order", "letter", (612, 792)),
        ("insensate-feet", "patient", "A4", (595, 842)),
        ("insensate-feet", "patient", "letter", (612, 792)),
    ],
)
def test_a_printed_page_has_the_code_and_its_number_on_every_sheet(
    name, kind, paper, size, tmp_path
):
    source, target = tmp_path / "page.html", tmp_path / "page.pdf"
    session = EXAMPLES[name]
    source.write_text(written(told_about(ADULT, session), kind, "html", paper), encoding="utf-8")
    done = subprocess.run(
        [
            *(CHROMIUM, "--headless", "--no-sandbox", "--no-pdf-header-footer"),
            *(f"--user-data-dir={tmp_path / 'browser'}", "--enable-logging=stderr"),
            *(f"--print-to-pdf={target}", source.as_uri()),
        ],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert "Content Security Policy" not in done.stderr
    sheets = pypdf.PdfReader(target).pages
    texts = [" ".join(sheet.extract_text().split()) for sheet in sheets]
    assert {tuple(round(float(n)) for n in sheet.mediabox[2:]) for sheet in sheets} == {size}
    for number, text in enumerate(texts, 1):
        assert f"Patient {session.patient}" in text
        assert f"Page {number} of {len(texts)}" in text
    assert "Left Right" in " ".join(texts) or kind == "patient"
    assert len(texts) == 1 or kind != "order"
