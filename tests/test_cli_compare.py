"""Visits compared on the command line."""

import json
import re
from contextlib import redirect_stdout
from io import StringIO
from pathlib import Path

import html5lib
import pytest

from examwalk.cli import main

SESSIONS = Path(__file__).parents[1] / "sessions"
FIRST = SESSIONS / "heel-pain-right.toml"


def later_visit(folder: Path, number: int, **changes: object) -> Path:
    """Write the example again as a visit some months later, with other answers.

    ``lunge_distance_right=9.5`` answers the lunge distance, right; ``examiner="CD"`` and the like
    change the visit itself.
    """
    text = FIRST.read_text(encoding="utf-8")
    text = text.replace('id = "heel-pain-right"', f'id = "later-{number}"', 1)
    text = text.replace("2026-09-", f"2026-{9 + number:02}-")
    for name, value in changes.items():
        text = _changed(text, name, value)
    path = folder / f"later-{number}.toml"
    path.write_text(text, encoding="utf-8")
    return path


def _changed(text: str, name: str, value: object) -> str:
    written = json.dumps(value)
    test, _, side = name.replace("_", "-").rpartition("-")
    if side in ("left", "right"):
        pattern = rf'(test = "{test}"\nside = "{side}"\nanswer = ).*'
    elif name in ("examiner", "code", "state"):
        pattern = rf"(?m)^({name} = ).*"
    else:
        pattern = rf'(test = "{name.replace("_", "-")}"\nanswer = ).*'
    text, count = re.subn(pattern, rf"\g<1>{written}", text, count=1)
    assert count == 1, f"{name} is not in the example"
    return text


def compare_in_words(capsys, *arguments: object) -> str:
    assert main(["compare", *map(str, arguments)]) == 0
    return " ".join(capsys.readouterr().out.split())


@pytest.fixture(scope="module")
def said(tmp_path_factory):
    folder = tmp_path_factory.mktemp("visits")
    later = later_visit(folder, 1, hot_swollen_foot_left="yes", pain_worst=3)
    out = StringIO()
    with redirect_stdout(out):
        assert main(["compare", str(FIRST), str(later)]) == 0
    return " ".join(out.getvalue().split())


class TestAVisitThreeMonthsLater:
    """The left foot is hot and swollen now; pain has fallen from 6 to 3 of 10."""

    def test_new_cautions_come_first_and_the_last_line_defers_to_the_clinician(self, said):
        assert said.index("! New: Hot, swollen foot") < said.index("Real change")
        assert "Refer to: general practitioner" in said
        assert said.endswith("what it means, the clinician decides.")
        assert "(invented patient, for teaching and tests)" in said

    def test_pain_is_set_against_what_matters_to_patients(self, said):
        # Above the detectable 1.77, and the 2 points that matter (Salaffi 2004).
        assert "Worst pain: 6 of 10 → 3 of 10 (−3)" in said
        assert "At least the detectable change of 1.77 (the patient's own answer)" in said
        assert "Better by a change that matters to patients, 2: Salaffi" in said

    def test_what_is_recommended_differently_is_told_and_what_lapsed_is_only_named(self, said):
        assert "→ none for now: refer first" in said
        assert "No longer applicable: " in said
        assert "Shell material, left: " not in said

    def test_two_visits_show_no_course(self, said):
        assert "Course over the visits" not in said


def test_the_examiner_decides_which_error_of_the_lunge_counts(tmp_path, capsys):
    # Powden 2015: 1.9 cm within, 1.6 cm between examiners. From 7.0 to 8.7 is 1.7.
    same = later_visit(tmp_path, 1, lunge_distance_right=8.7)
    other = later_visit(tmp_path, 2, lunge_distance_right=8.7, examiner="ZZ")
    said = compare_in_words(capsys, FIRST, same)
    assert "Less than the detectable change of 1.9 (within one examiner): Powden" in said
    said = compare_in_words(capsys, FIRST, other)
    assert "At least the detectable change of 1.6 (between examiners): Powden" in said


def test_nothing_of_an_open_visit_is_told_before_it_is_answered(tmp_path, capsys):
    later = later_visit(tmp_path, 1, state="open")
    text = later.read_text(encoding="utf-8")
    text = re.sub(r'\[\[finding\]\]\ntest = "lunge-distance"\n(?:.+\n)+', "", text)
    later.write_text(text.replace("finished = 2026-10", "# finished = 2026-10"), encoding="utf-8")
    said = compare_in_words(capsys, FIRST, later)
    assert "The last visit is still open: " in said
    assert "Lunge distance" not in said


class TestCourses:
    def three(self, folder):
        return [FIRST, later_visit(folder, 1, pain_worst=3), later_visit(folder, 2, pain_worst=5)]

    def test_three_visits_show_the_course_of_a_number(self, tmp_path, capsys, monkeypatch):
        monkeypatch.setenv("TERM", "xterm")
        assert main(["compare", *map(str, self.three(tmp_path))]) == 0
        out = capsys.readouterr().out
        course = out[out.index("Course over the visits") :].splitlines()
        assert course[2].strip() == "Worst pain"
        assert course[3].strip().startswith("6 of 10")
        assert any(0x2800 < ord(sign) <= 0x28FF for sign in course[3])
        assert course[6].strip().startswith("3 of 10")
        assert course[7].split() == ["14", "Sep", "2026", "14", "Nov", "2026"]

    def test_a_terminal_without_braille_gets_plain_characters(self, tmp_path, capsys, monkeypatch):
        monkeypatch.setenv("TERM", "dumb")
        assert main(["compare", *map(str, self.three(tmp_path))]) == 0
        out = capsys.readouterr().out
        assert not any(0x2800 <= ord(sign) <= 0x28FF for sign in out)
        course = out[out.index("Course over the visits") :].splitlines()
        assert sum(line.split("of 10")[-1].count("o") for line in course[3:7]) == 3

    def test_the_page_draws_each_course_with_its_numbers_in_the_title_and_in_a_table(
        self, tmp_path, capsysbinary
    ):
        assert main(["compare", *map(str, self.three(tmp_path)), "--as", "html"]) == 0
        html = capsysbinary.readouterr().out.decode()
        root = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(html)
        section = next(
            one
            for one in root.iter("section")
            if one.find("h2").text == "Course over the visits: Worst pain"
        )
        drawing = next(one for one in section.iter() if str(one.tag).endswith("svg"))
        assert drawing.get("role") == "img"
        title = next(one for one in drawing.iter() if str(one.tag).endswith("title")).text
        assert title == "Worst pain over the visits: 6 of 10, 3 of 10, 5 of 10."
        dots = [one for one in drawing.iter() if str(one.tag).endswith("circle")]
        places = [(float(one.get("cx")), float(one.get("cy"))) for one in dots]
        # Later stands further right; 6 is the highest, 3 the lowest, and 5 two thirds up.
        assert [x for x, _ in places] == sorted(x for x, _ in places)
        (_, six), (_, three), (_, five) = places
        assert six < five < three
        assert (three - five) / (three - six) == pytest.approx(2 / 3, abs=0.02)
        cells = [["".join(cell.itertext()) for cell in row] for row in section.iter("tr")]
        assert [row[1] for row in cells[1:]] == ["6 of 10", "3 of 10", "5 of 10"]
        ids = re.findall(r' id="([^"]+)"', html)
        assert len(ids) == len(set(ids))
        assert "http:" not in html


def test_the_page_leaves_nothing_out_that_the_text_tells(tmp_path, capsysbinary):
    later = later_visit(tmp_path, 1, hot_swollen_foot_left="yes", pain_worst=3)
    text = later.read_text(encoding="utf-8")
    start = text.index('[[finding]]\ntest = "first-mtp-pain"')
    later.write_text(text[:start] + text[text.index("[[finding]]", start + 5) :], "utf-8")
    assert main(["compare", str(FIRST), str(later)]) == 0
    told = capsysbinary.readouterr().out.decode()
    assert main(["compare", str(FIRST), str(later), "--as", "html"]) == 0
    html = capsysbinary.readouterr().out.decode()
    headings = re.findall(r"\n\n(.+)\n-{4,}\n", told)
    assert len(headings) >= 4
    for heading in headings:
        assert f"<h2>{heading}</h2>" in html
    assert "Answered at the first visit only" in html


def test_an_anonymous_page_tells_neither_code_nor_examiner_nor_day(tmp_path, capsysbinary):
    later = [later_visit(tmp_path, number, pain_worst=number) for number in (1, 2)]
    asked = ["compare", str(FIRST), *map(str, later), "--as", "html"]
    assert main(asked) == 0
    plain = capsysbinary.readouterr().out.decode()
    assert main([*asked, "--anonymous"]) == 0
    hidden = capsysbinary.readouterr().out.decode()
    for told in ("P-1041", "MK", "14 Sep", "14 Nov"):
        assert told in plain
        assert told not in hidden
    assert "day 1" in hidden


def test_visits_in_another_order_are_put_right_and_that_is_said(tmp_path, capsys):
    later = later_visit(tmp_path, 1, pain_worst=3)
    assert main(["compare", str(later), str(FIRST)]) == 0
    told = capsys.readouterr()
    assert "in the order in which they began" in told.err
    assert "6 of 10 → 3 of 10" in told.out


def test_json_holds_each_verdict_with_its_figure(tmp_path, capsys):
    later = later_visit(tmp_path, 1, lunge_distance_right=9.0)
    assert main(["compare", str(FIRST), str(later), "--as", "json"]) == 0
    data = json.loads(capsys.readouterr().out)
    (lunge,) = [
        one
        for one in data["changes"]
        if (one.get("test"), one["side"]) == ("lunge-distance", "right")
    ]
    assert (lunge["values"], lunge["difference"]) == ([7.0, 9.0], 2.0)
    assert (lunge["verdict"], lunge["detectable_change"]) == ("real", 1.9)
    assert (lunge["error"], lunge["source"]) == ("within-examiner", "powden-2015")
    assert [visit["id"] for visit in data["visits"]] == ["heel-pain-right", "later-1"]


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"code": "P-9"}, "different patients (P-1041, P-9)"),
        ({"pain_worst": 70}, "nothing is advised from findings that cannot be."),
    ],
)
def test_what_cannot_be_compared_is_refused_in_a_sentence(tmp_path, capsys, changes, says):
    assert main(["compare", str(FIRST), str(later_visit(tmp_path, 1, **changes))]) == 1
    told = capsys.readouterr()
    assert told.out == ""
    assert says in told.err


def test_the_same_visit_twice_is_refused(capsys):
    assert main(["compare", str(FIRST), str(FIRST)]) == 1
    assert "The visit heel-pain-right is named twice." in capsys.readouterr().err


def test_one_visit_alone_is_a_mistake_of_the_command_line(capsys):
    with pytest.raises(SystemExit) as stopped:
        main(["compare", str(FIRST)])
    assert stopped.value.code == 2
    assert "LATER" in capsys.readouterr().err


def test_the_comparison_speaks_german(tmp_path, capsys):
    later = later_visit(tmp_path, 1, pain_worst=3)
    assert main(["compare", str(FIRST), str(later), "--language", "de"]) == 0
    out = capsys.readouterr().out
    assert "Echte Änderung" in out
    assert "nachweisbare Änderung von 1,77" in " ".join(out.split())


@pytest.mark.parametrize("form", ["html", "text", "json"])
def test_a_comparison_goes_whole_into_a_file_that_is_not_replaced_unasked(tmp_path, capsys, form):
    pair = [str(FIRST), str(later_visit(tmp_path, 1, pain_worst=3))]
    target = tmp_path / "changes"
    command = ["compare", *pair, "--as", form, "--out", str(target)]
    assert main(command) == 0
    out, err = capsys.readouterr()
    assert out == ""
    assert f"written: {target}" in err
    written = target.read_text(encoding="utf-8")
    assert main(["compare", *pair, "--as", form]) == 0
    assert capsys.readouterr().out == written
    target.write_text("mine", encoding="utf-8")
    assert main(command) == 1
    assert target.read_text(encoding="utf-8") == "mine"
    assert main([*command, "--force"]) == 0
    assert target.read_text(encoding="utf-8") == written
