"""The page for the patient: what it says first, in which words, and what it never says."""

import re
import shutil
import subprocess
from collections.abc import Iterator, Mapping
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from attrs import evolve

from adult_cases import ADULT, Findings, normal_but, visit_with
from examwalk import language
from examwalk.catalogues import choose_language, read_catalogue
from examwalk.cli import main
from examwalk.protocol.library import find_protocol, shipped_protocols
from examwalk.protocol.model import Protocol
from examwalk.protocol.patient_model import WearingIn
from examwalk.protocol.shipped import read_shipped
from examwalk.protocol.word_places import words_in
from examwalk.report.document import Grid, Listing, Page, Words
from examwalk.report.pages import told_about, written
from examwalk.report.patient_page import patient_page
from examwalk.session.model import (
    Decision,
    Session,
    Side,
    State,
)
from examwalk.session.signing import sign
from examwalk.session.storing import read_session
from german import OnlyKnown, english_on
from readability import MISSING, grade, pronunciations, sentences, syllables

ROOT = Path(__file__).parents[2]
EXAMPLES = {path.stem: read_session(path) for path in sorted((ROOT / "sessions").glob("*.toml"))}
HEEL, COLLAPSING, INSENSATE = (
    EXAMPLES[name] for name in ("heel-pain-right", "collapsing-foot-left", "insensate-feet")
)
NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
FIRST_DAY = date(2026, 12, 29)
HARDEST_GRADE = 7
LONGEST_SENTENCE = 20
EVERY_DAY, READ_FIRST = "Look at it every day", "Please read this first"


def page_of(session: Session, protocol: Protocol = ADULT, **more) -> Page:
    return patient_page(told_about(protocol, session, **more))


def visit(findings: Findings) -> Session:
    return visit_with(findings, NOW, state=State.FINISHED)


def prose(page: Page) -> Iterator[str]:
    """Yield all that is to be read on a page but its tables and headings."""
    for section in page.sections:
        for block in section.blocks:
            if isinstance(block, Words):
                yield block.text
            elif isinstance(block, Listing):
                yield from block.items
    yield page.closing


def section(page: Page, title: str) -> str:
    """Return what stands under one heading; nothing where the heading is not there."""
    found = [one for one in page.sections if one.title == title]
    return "\n".join(prose(evolve(page, sections=tuple(found), closing="")))


def plan_of(page: Page) -> Grid | None:
    blocks = (block for one in page.sections for block in one.blocks)
    return next((one for one in blocks if isinstance(one, Grid)), None)


def for_patient(path: Path) -> dict[str, str]:
    """Return each text for the patient of a protocol and where it stands."""
    found = words_in(read_shipped(path).document.data)
    return {one.text: str(one.at) for one in found if one.path[-1] in ("for_patient", "tick")}


class TestReading:
    def test_the_grade_is_that_of_the_formula(self):
        # By hand: 6 words, 6 syllables, 1 sentence; then 7 words, 16 syllables, 2 sentences.
        assert grade("The cat sat on the mat.") == pytest.approx(0.39 * 6 + 11.8 - 15.59)
        two = "Sensation is reduced. Inspect your feet daily."
        assert [syllables(word) for one in sentences(two) for word in one] == [3, 1, 2, 2, 1, 1, 2]
        assert grade(two) == pytest.approx(0.39 * 7 / 2 + 11.8 * 12 / 7 - 15.59)

    def test_words_for_the_clinician_are_found_too_hard(self):
        hard = [one.says for one in ADULT.cautions if grade(one.says) > HARDEST_GRADE]
        assert len(hard) > len(ADULT.cautions) / 2

    @pytest.mark.parametrize("path", shipped_protocols(), ids=lambda path: path.stem)
    def test_every_text_for_the_patient_is_easy(self, path):
        texts = for_patient(path)
        assert len(texts) > 30
        too_hard = {text: grade(text) for text in texts if grade(text) > HARDEST_GRADE}
        assert too_hard == {}
        too_long = [t for t in texts if max(map(len, sentences(t))) > LONGEST_SENTENCE]
        assert too_long == []

    @pytest.mark.parametrize("starts", [None, FIRST_DAY], ids=["no day", "a day"])
    @pytest.mark.parametrize("name", EXAMPLES)
    def test_the_whole_page_is_easy(self, name, starts):
        text = "\n".join(prose(page_of(EXAMPLES[name], starts=starts)))
        assert grade(text) <= HARDEST_GRADE
        assert max(map(len, sentences(text))) <= LONGEST_SENTENCE

    def test_the_words_of_the_program_itself_are_easy(self):
        bare = evolve(visit({}), findings=())
        for session in (bare, sign(HEEL, "QX", NOW), visit(normal_but({}))):
            for text in prose(page_of(session)):
                assert max(map(len, sentences(text))) <= LONGEST_SENTENCE

    def test_a_word_on_the_list_of_missing_ones_is_missing(self):
        assert [word for word in MISSING if word in pronunciations()] == []


class TestWording:
    @pytest.mark.parametrize("path", shipped_protocols(), ids=lambda path: path.stem)
    def test_a_shipped_protocol_leaves_nothing_to_chance(self, path):
        protocol = read_shipped(path).protocol
        assert [one.id for one in protocol.cautions if not one.for_patient] == []
        assert [one.id for one in protocol.advice if one.for_patient is None] == []
        unsaid = [
            (feature.id, name)
            for feature in protocol.features
            if feature.for_patient is None and feature.id != "review-weeks"
            for name, option in (feature.options or {"": None}).items()
            if option is None or option.for_patient is None
        ]
        assert unsaid == []

    def test_what_has_no_words_for_the_patient_goes_by_its_plain_name(self):
        plain = evolve(
            ADULT,
            cautions=tuple(evolve(one, for_patient="") for one in ADULT.cautions),
            advice=tuple(evolve(one, for_patient=None) for one in ADULT.advice),
            features=tuple(
                evolve(
                    one,
                    for_patient=None,
                    options={k: evolve(o, for_patient=None) for k, o in one.options.items()},
                )
                for one in ADULT.features
            ),
        )
        page = page_of(COLLAPSING, plain)
        assert "On the left: Collapsing foot on one side" in section(page, READ_FIRST)
        assert "Kind of device: custom, functional" in section(page, "Your insoles")
        assert "Heel cup depth: 20 mm" in section(page, "Your insoles")
        assert "Ask your clinician about: " in section(page, "More advice")
        ids = {one.id for one in (*ADULT.cautions, *ADULT.features, *ADULT.advice) if "-" in one.id}
        assert [one for one in ids if one in "\n".join(prose(page))] == []

    def test_an_empty_text_keeps_a_thing_off_the_page(self):
        text = written(told_about(ADULT, HEEL), "patient", "text")
        assert "Shell" not in text
        assert "FHSQ" not in text

    def test_what_holds_on_both_sides_is_said_once(self):
        found = section(page_of(HEEL), "What we found")
        assert found.count("The foot rolls in more than most.") == 1
        left, right = found.index("On both sides"), found.index("On the right")
        assert left < found.index("The foot rolls in") < right < found.index("under the heel")

    def test_what_was_ordered_stands_in_place_of_what_was_recommended(self):
        decided = Decision("device", Side.WHOLE, "none", "custom-functional", NOW, "her wish")
        page = page_of(HEEL.with_decision(decided))
        assert "You do not need insoles now." in section(page, "Your insoles")
        assert "made for your feet" not in section(page, "Your insoles")
        assert plan_of(page) is None


class TestSafety:
    @pytest.mark.parametrize("name", ["collapsing-foot-left", "insensate-feet"])
    def test_what_must_not_wait_stands_first_in_a_frame(self, name):
        page = page_of(EXAMPLES[name])
        assert [one.title for one in page.sections[:2]] == [READ_FIRST, "When to call us at once"]
        assert all(one.warns for one in page.sections[:2])
        assert not any(one.warns for one in page.sections[2:])

    def test_a_referral_is_said_as_one_with_its_urgency(self):
        said = section(page_of(COLLAPSING), READ_FIRST)
        assert "A foot doctor must look at it." in said
        assert f"How soon: {ADULT.urgencies['urgent']}" in said

    def test_no_caution_that_stops_a_device_reassures(self):
        stopping = [one for one in ADULT.cautions if one.device.value == "stop"]
        soothing = re.compile(r"\b(harmless|do not worry|all is well|nothing serious|fine)\b", re.I)
        assert [one.id for one in stopping if soothing.search(one.for_patient)] == []

    def test_an_emergency_says_that_it_is_for_now(self):
        urgent = [one for one in ADULT.cautions if one.urgency == "emergency"]
        assert len(urgent) > 8
        assert [one.id for one in urgent if not re.search("now|today", one.for_patient)] == []

    def test_what_is_urgent_says_whom_to_call_and_an_emergency_never_waits_for_us(self):
        call = "If you have no date for it yet, call us."
        for session in (COLLAPSING, INSENSATE):
            said = section(page_of(session), READ_FIRST).splitlines()
            assert [line for line in said if call in line] == [
                line for line in said if line.startswith("How soon: ")
            ]
        emergency = visit(normal_but({"alarm-signs": ("cold-pale-foot",)}))
        assert call not in section(page_of(emergency), READ_FIRST)
        assert "How soon: Emergency" in section(page_of(emergency), READ_FIRST)

    def test_an_emergency_leaves_no_device_to_wear(self):
        page = page_of(visit(normal_but({"alarm-signs": ("cold-pale-foot",)})))
        assert "Go to a hospital now." in section(page, READ_FIRST)
        assert "You get no insoles for now." in section(page, "Your insoles")
        assert section(page, "How to wear them in") == ""
        assert plan_of(page) is None

    def test_a_foot_that_does_not_feel_is_looked_at_and_never_left_to_pain(self):
        page = page_of(INSENSATE)
        text = "\n".join(prose(page))
        assert EVERY_DAY in section(page, READ_FIRST)
        assert "No pain does not mean that all is well." in section(page, READ_FIRST)
        assert "hand mirror" in section(page, "Look after your feet")
        assert "Do not wait for pain" in section(page, "If it hurts")
        assert "ache a little" not in text
        assert "felt fine" not in text
        assert "ache a little" in section(page_of(HEEL), "If it hurts")

    @pytest.mark.parametrize("missing", ["monofilament", "alarm-signs"])
    def test_a_safety_check_that_is_open_is_said_before_all_else(self, missing):
        kept = {key: one for key, one in normal_but({}).items() if key != missing}
        page = page_of(visit(kept))
        assert "Some safety checks are not done yet." in section(page, READ_FIRST)
        assert "Not all is settled yet" in section(page, "Your insoles")

    def test_without_a_caution_nothing_alarms(self):
        assert page_of(visit(normal_but({}))).sections[0].title == "When to call us at once"

    def test_the_page_is_a_draft_in_words_until_it_is_signed(self):
        still_open = evolve(HEEL, state=State.OPEN, finished=None)
        assert page_of(still_open).standing == "Draft: the examination is not finished"
        assert page_of(HEEL).standing == "Draft: not signed yet"
        assert page_of(sign(HEEL, "QX", NOW)).standing == "Signed by QX on 25 November 2026"

    def test_without_a_device_it_says_so_and_what_helps_instead(self):
        hurts = {"complaint-side": "right", "complaint-region right": ("plantar-heel",)}
        session = visit(normal_but({**hurts, "complaint-weeks": 8, "pain-worst": 3}))
        decided = Decision("device", Side.WHOLE, "none", "ready-made", NOW, "not wanted")
        page = page_of(session.with_decision(decided))
        assert "You do not need insoles now." in section(page, "Your insoles")
        assert "Stretch your calf" in section(page, "Exercise")
        for title in ("How to wear them in", "Look after your insoles"):
            assert section(page, title) == ""

    def test_the_clinic_can_be_called(self):
        for session in (*EXAMPLES.values(), visit(normal_but({}))):
            text = written(told_about(ADULT, session), "patient", "text")
            assert "Telephone of the clinic: ____" in text


class TestWearing:
    def test_each_day_has_its_date_and_its_hours(self):
        # An hour more each day to eight hours; the year ends after the third day.
        rows = plan_of(page_of(HEEL, starts=FIRST_DAY)).rows
        assert len(rows) == 8
        assert rows[0] == ("1", "29 December 2026", "1 hour")
        assert rows[3] == ("4", "1 January 2027", "4 hours")
        assert rows[7] == ("8", "5 January 2027", "8 hours")

    def test_a_cautious_plan_grows_by_half_an_hour_to_the_sixteenth_day(self):
        rows = plan_of(page_of(COLLAPSING, starts=FIRST_DAY)).rows
        assert [row[2] for row in rows[:3]] == ["30 minutes", "1 hour", "1½ hours"]
        assert rows[15] == ("16", "13 January 2027", "8 hours")
        assert len(rows) == 16

    def test_a_foot_that_does_not_feel_is_ticked_off_on_each_day(self):
        plan = plan_of(page_of(INSENSATE, starts=FIRST_DAY))
        assert plan.columns[-1] == "No mark"
        assert {row[-1] for row in plan.rows} == {"☐"}

    def test_without_a_first_day_the_dates_are_left_to_be_written_in(self):
        page = page_of(HEEL)
        assert {row[1] for row in plan_of(page).rows} == {"________"}
        assert "You start on:" in section(page, "How to wear them in")
        assert "2026" not in section(page, "Your next visit")
        assert "Come back 4 weeks after you start" in section(page, "Your next visit")

    def test_the_next_visit_counts_from_the_first_day_of_wear(self):
        # Four weeks after 29 December 2026.
        said = section(page_of(HEEL, starts=FIRST_DAY), "Your next visit")
        assert "Come back on about 26 January 2027." in said

    def test_without_a_device_the_next_visit_counts_from_this_one(self):
        page = page_of(visit(normal_but({"alarm-signs": ("cold-pale-foot",)})))
        assert re.search(r"Come back on about \d+ December 2026", section(page, "Your next visit"))

    @pytest.mark.parametrize(
        ("plan", "minutes"),
        [
            (WearingIn(60, 60, 180), (60, 120, 180)),
            (WearingIn(20, 50, 100), (20, 70, 100)),
            (WearingIn(90, 10, 90), (90,)),
        ],
    )
    def test_a_plan_never_goes_past_its_full_time(self, plan, minutes):
        assert plan.minutes_by_day == minutes


class TestCommand:
    FILE = str(ROOT / "sessions" / "heel-pain-right.toml")

    def report(self, *more: str) -> int:
        return main(["report", self.FILE, *more, "--as", "text"])

    def test_the_first_day_is_given_by_the_command(self, capsys):
        assert self.report("--kind", "patient", "--from", "2026-12-29") == 0
        assert "29 December 2026" in capsys.readouterr().out

    @pytest.mark.parametrize("day", ["2026-09-13", "2036-09-14"])
    def test_a_first_day_that_cannot_be_is_refused(self, day, capsys):
        assert self.report("--kind", "patient", "--from", day) == 1
        out, err = capsys.readouterr()
        assert out == ""
        assert f"{day} cannot be the first day of wear" in err

    @pytest.mark.parametrize("day", ["29.12.2026", "2026-02-30", "soon"])
    def test_what_is_no_day_is_told_with_how_to_write_one(self, day, capsys):
        with pytest.raises(SystemExit):
            self.report("--kind", "patient", "--from", day)
        assert "write it as 2027-01-31" in capsys.readouterr().err

    @pytest.mark.parametrize(
        "more", [("--kind", "order"), ("--kind", "record"), ("--kind", "patient", "--anonymous")]
    )
    def test_a_first_day_goes_with_the_page_for_the_patient_alone(self, more, capsys):
        assert self.report(*more, "--from", "2026-12-29") == 2
        assert "--from is for --kind patient alone" in capsys.readouterr().err


class TestGerman:
    @pytest.fixture(autouse=True)
    def _in_german(self):
        choose_language("de")

    @pytest.mark.parametrize("name", EXAMPLES)
    def test_no_english_word_of_its_own_is_left(self, name, monkeypatch):
        words: Mapping[str, str] = read_catalogue("de")
        known = OnlyKnown(words)
        monkeypatch.setattr(language._Chosen, "words", known)
        of_the_protocol = " ".join(for_patient(find_protocol("adult")))
        for starts in (None, FIRST_DAY):
            told = told_about(ADULT, EXAMPLES[name], starts=starts)
            assert english_on(written(told, "patient", "text"), words, of_the_protocol) == []
        assert known.asked - set(known) == set()

    def test_the_short_examination_tells_a_patient_in_german(self):
        short = read_shipped(find_protocol("short"), "de").protocol
        asked = {place for one in short.tests for place in (one.id,)}
        kept = tuple(one for one in INSENSATE.findings if one.place.test in asked)
        text = written(told_about(short, evolve(INSENSATE, findings=kept)), "patient", "text")
        assert "Bitte zuerst lesen" in text
        assert "Kein Schmerz heißt nicht, dass alles gut ist." in " ".join(text.split())
        english = for_patient(find_protocol("short"))
        assert [one for one in english if len(one) > 12 and one in " ".join(text.split())] == []


CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
SMALLEST_PX = 14 * 96 / 72
SIZES = """<script>addEventListener("load", () => {
  const found = new Set();
  const texts = document.createTreeWalker(document.querySelector("main"), NodeFilter.SHOW_TEXT);
  while (texts.nextNode()) if (texts.currentNode.data.trim())
    found.add(parseFloat(getComputedStyle(texts.currentNode.parentElement).fontSize));
  document.title = "sizes " + Math.min(...found) + " " + document.documentElement.scrollWidth
    + " " + innerWidth;
});</script>"""


@pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed")
def test_every_letter_is_large_and_nothing_sticks_out_of_a_narrow_window(tmp_path):
    html = written(told_about(ADULT, INSENSATE, starts=FIRST_DAY), "patient", "html")
    html = re.sub(r'<meta http-equiv="Content-Security-Policy"[^>]*>', "", html)
    page = tmp_path / "page.html"
    page.write_text(html.replace("</head>", f"{SIZES}</head>"), encoding="utf-8")
    frame = tmp_path / "frame.html"
    frame.write_text(
        f'<iframe src="{page.name}" width=360 height=640></iframe><script>'
        'setTimeout(() => document.body.append("GOT " + frames[0].document.title), 1500)</script>'
    )
    done = subprocess.run(
        [
            *(CHROMIUM, "--headless", "--no-sandbox", "--allow-file-access-from-files"),
            *(f"--user-data-dir={tmp_path / 'browser'}", "--virtual-time-budget=5000"),
            *("--dump-dom", frame.as_uri()),
        ],
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    found = re.search(r"GOT sizes (\S+) (\S+) (\d+)", done.stdout)
    smallest, wide, window = map(float, found.groups())
    assert smallest >= SMALLEST_PX - 0.01
    assert wide <= window <= 360


def test_a_visit_without_findings_has_a_page_that_says_what_is_open():
    page = page_of(evolve(visit({}), findings=(), state=State.OPEN, finished=None))
    assert "Your clinician will tell you what was found." in section(page, "What we found")
    assert "Some safety checks are not done yet." in section(page, READ_FIRST)
    assert "Not all is settled yet" in section(page, "Your insoles")
