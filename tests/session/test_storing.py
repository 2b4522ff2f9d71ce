"""The session file: what is saved comes back, and what is wrong is named."""

import hashlib
import subprocess
import sys
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st
from sample_visit import (
    BARE,
    GOOD,
    NOW,
    PATH,
    RESISTANCE_LEFT,
    RESISTANCE_RIGHT,
    VISIT,
    the_problem_in,
)

from examwalk.files import SaveFailedError, previous_version
from examwalk.session.model import (
    Decision,
    Finding,
    Place,
    ProtocolUsed,
    Reply,
    Session,
    Side,
    State,
)
from examwalk.session.storing import from_toml, read_session, to_toml, write_session
from examwalk.session.tables import TEXT_LIMIT


class TestForm:
    def test_a_file_is_read_as_the_visit_it_tells(self):
        assert from_toml(GOOD, PATH) == VISIT

    def test_a_visit_is_written_in_the_form_that_is_promised(self):
        assert to_toml(VISIT) == with_checksum(GOOD)

    def test_a_bare_visit_has_no_blank_keys(self):
        assert to_toml(BARE) == with_checksum(
            "format = 1\n"
            "\n"
            "[session]\n"
            'id = "a"\n'
            "started = 2026-11-25T09:12:04+00:00\n"
            'examiner = ""\n'
            'state = "open"\n'
            "\n"
            "[patient]\n"
            'code = "P-1"\n'
            "\n"
            "[protocol]\n"
            'id = "short"\n'
            'version = "1"\n'
        )

    def test_a_finding_that_says_nothing_is_not_written(self):
        assert to_toml(BARE.with_finding(Finding(RESISTANCE_LEFT, NOW))) == to_toml(BARE)

    def test_a_file_saved_on_windows_with_a_byte_order_mark_is_read(self, tmp_path: Path):
        path = tmp_path / "visit.toml"
        path.write_bytes(b"\xef\xbb\xbf" + GOOD.replace("\n", "\r\n").encode())
        assert read_session(path) == VISIT


def with_checksum(text: str) -> str:
    """Add the line with the SHA-256 of all that follows it."""
    first, rest = text.split("\n", 1)
    return f'{first}\nchecksum = "{hashlib.sha256(rest.encode()).hexdigest()}"\n{rest}'


class TestChecksum:
    def test_a_visit_with_its_checksum_is_read(self):
        assert from_toml(with_checksum(GOOD), PATH) == VISIT

    def test_line_ends_of_windows_do_not_matter(self):
        assert from_toml(with_checksum(GOOD).replace("\n", "\r\n"), PATH) == VISIT

    def test_an_answer_that_was_changed_is_told_and_how_to_keep_the_change(self):
        changed = with_checksum(GOOD).replace("answer = 9.5", "answer = 8.5")
        place, says = the_problem_in(changed).split(": ", 1)
        assert place == "checksum"
        assert "changed by hand" in says
        assert "Take this line away" in says
        by_hand = changed.split("\n", 2)
        assert from_toml("\n".join((by_hand[0], by_hand[2])), PATH) != VISIT

    @pytest.mark.parametrize("told", ['"abc"', "3", '"' + "A" * 64 + '"', "true"])
    def test_what_is_no_checksum_is_told(self, told: str):
        text = GOOD.replace("format = 1\n", f"format = 1\nchecksum = {told}\n")
        assert the_problem_in(text).startswith("checksum: This should be 64 of the digits")

    def test_a_checksum_inside_a_note_is_only_a_note(self):
        noted = VISIT.with_finding(
            Finding(RESISTANCE_LEFT, NOW, note='checksum = "' + "0" * 64 + '"\n')
        )
        assert from_toml(to_toml(noted), PATH).findings[-1].note.startswith("checksum")


def clean_texts(max_size: int = 40) -> st.SearchStrategy[str]:
    return st.text(
        st.characters(exclude_categories=["C"], include_characters="\n\t"), max_size=max_size
    )


def lines() -> st.SearchStrategy[str]:
    return clean_texts().map(lambda text: " ".join(text.split()))


def ids() -> st.SearchStrategy[str]:
    letters = st.characters(exclude_categories=["C", "Z"])
    return st.text(letters, min_size=1, max_size=20)


def spoken() -> st.SearchStrategy[str]:
    return clean_texts().filter(lambda text: bool(text.strip()))


def times() -> st.SearchStrategy[datetime]:
    offsets = st.integers(-23 * 60 - 59, 23 * 60 + 59).map(
        lambda minutes: timezone(timedelta(minutes=minutes))
    )
    drawn = st.datetimes(datetime(1900, 1, 1), datetime(2200, 1, 1), timezones=offsets)
    return drawn.map(lambda time: time.replace(fold=0))


def numbers() -> st.SearchStrategy[int | float]:
    return st.integers(-(2**63) + 1, 2**63 - 1) | st.floats(allow_nan=False, allow_infinity=False)


SIDES = st.sampled_from(Side)
PLACES = st.builds(Place, ids(), SIDES)


@st.composite
def findings(draw: st.DrawFn) -> Finding:
    said = draw(
        st.fixed_dictionaries({"answer": numbers() | spoken()})
        | st.lists(ids(), min_size=1, max_size=4, unique=True).map(lambda o: {"answer": tuple(o)})
        | st.fixed_dictionaries({"not_done": spoken()})
        | st.just({})
    )
    note = draw(clean_texts() if said else spoken())
    return Finding(draw(PLACES), draw(times()), note=note, **said)


@st.composite
def visits(draw: st.DrawFn) -> Session:
    state = draw(st.sampled_from(State))
    return Session(
        id=draw(st.from_regex(r"[a-z0-9]x[a-z0-9-]{0,20}", fullmatch=True)),
        started=draw(times()),
        examiner=draw(lines()),
        patient=draw(ids()),
        protocol=draw(st.builds(ProtocolUsed, ids(), ids(), st.just("") | ids())),
        state=state,
        finished=draw(times()) if state is State.FINISHED else None,
        invented=draw(st.booleans()),
        about=draw(clean_texts()),
        findings=tuple(draw(st.lists(findings(), max_size=6, unique_by=lambda f: f.place))),
        decisions=tuple(
            draw(
                st.lists(
                    st.builds(
                        Decision,
                        ids(),
                        SIDES,
                        numbers() | ids(),
                        st.none() | numbers() | ids(),
                        times(),
                        clean_texts(),
                    ),
                    max_size=3,
                    unique_by=lambda d: (d.feature, d.side),
                )
            )
        ),
        replies=tuple(
            draw(
                st.lists(
                    st.builds(Reply, ids(), SIDES, times(), spoken()),
                    max_size=3,
                    unique_by=lambda r: (r.crosscheck, r.side),
                )
            )
        ),
        here=draw(st.none() | PLACES),
    )


class TestThereAndBack:
    @given(visits())
    def test_every_visit_comes_back_to_the_last_sign_and_saving_it_again_changes_no_byte(
        self, visit: Session
    ):
        text = to_toml(visit)
        back = from_toml(text, PATH)
        assert back == visit
        # Equality alone would let 1 pass for 1.0 and one offset from UTC for another.
        assert repr(back) == repr(visit)
        assert to_toml(back) == text

    @given(st.text(), st.text())
    def test_any_text_whatever_can_be_saved_and_comes_back_harmless(self, note: str, says: str):
        visit = evolve(BARE, examiner=note, about=note).with_finding(
            Finding(RESISTANCE_LEFT, NOW, answer=1, note=note)
        )
        back = from_toml(to_toml(visit), PATH)
        assert back.examiner.isprintable() or not back.examiner.isascii()
        assert not any(ord(sign) < 32 and sign not in "\n\t" for sign in back.findings[0].note)
        assert "\u202e" not in back.about

    def test_a_time_whose_offset_has_seconds_keeps_its_instant(self):
        odd = datetime(1890, 1, 1, 12, tzinfo=timezone(timedelta(minutes=19, seconds=32)))
        assert from_toml(to_toml(evolve(BARE, started=odd)), PATH).started == odd


class TestHostileText:
    HOSTILE = "a\x1b]2;x\x07b\x9b\u202ec\ud800"

    def test_notes_are_cleaned_when_read(self):
        text = GOOD.replace("two\\nlines", "\\u001b[31m two\\r\\nlines \\u202e[/b]")
        assert from_toml(text, PATH).findings[1].note == "�[31m two\nlines �[/b]"

    def test_texts_are_cleaned_when_written(self):
        visit = evolve(BARE, examiner=self.HOSTILE, about=self.HOSTILE)
        answered = Finding(RESISTANCE_LEFT, NOW, answer=self.HOSTILE, note=self.HOSTILE)
        refused = Finding(RESISTANCE_RIGHT, NOW, not_done=self.HOSTILE)
        visit = visit.with_finding(answered).with_finding(refused)
        visit = visit.with_decision(Decision("lift", Side.LEFT, 1, None, NOW, self.HOSTILE))
        visit = visit.with_reply(Reply("rises", Side.LEFT, NOW, self.HOSTILE))
        written = to_toml(visit)
        assert not {"\ud800", "\u202e", "\x9b"} & set(written)
        assert "001b" not in written.casefold()
        back = from_toml(written, PATH)
        expected = "a�]2;x�b��c�"
        assert (back.examiner, back.about) == (expected, expected)
        assert (back.findings[0].answer, back.findings[0].note) == (expected, expected)
        assert back.findings[1].not_done == expected
        assert back.decisions[0].because == expected
        assert back.replies[0].says == expected

    @pytest.mark.parametrize(
        ("old", "place"),
        [
            ('"complaint"', "finding 1 "),
            ('"P-0042"', "patient, code"),
            ('"adult"', "protocol, id"),
            ('"1.0.0"', "protocol, version"),
            ('"9f86d081"', "protocol, fingerprint"),
            ('"shell"', "decision 2 "),
            ('"firm"', "decision 2 (shell), value"),
            ('"arch-rises"', "reply 1 "),
            ('"boots"', "finding 5 (shoes), answer"),
            ('{ test = "supination-resistance"', "session, here, test"),
        ],
    )
    @pytest.mark.parametrize(
        ("escape", "named"),
        [("\\u001b", "U+001B"), ("\\u202e", "U+202E"), ("\\n", "U+000A"), ("\\u2028", "U+2028")],
    )
    def test_an_id_with_a_control_character_is_refused(
        self, old: str, place: str, escape: str, named: str
    ):
        problem = the_problem_in(GOOD.replace(old, old[:-2] + escape + old[-2:], 1))
        assert problem.startswith(place)
        assert f"may not hold {named}" in problem
        assert problem.isprintable()


class TestSaving:
    @pytest.mark.parametrize("first", [1, 1.0])
    def test_a_number_is_written_as_it_was_given_though_an_equal_one_was_written_before(
        self, first: float
    ):
        for answer in (first, 1, 1.0):
            visit = BARE.with_finding(Finding(RESISTANCE_LEFT, NOW, answer=answer))
            assert f"answer = {answer}\n" in to_toml(visit)

    def test_a_time_keeps_its_offset_though_the_same_moment_was_written_in_another_zone(self):
        for hours in (0, 2):
            at = NOW.astimezone(timezone(timedelta(hours=hours)))
            visit = BARE.with_finding(Finding(RESISTANCE_RIGHT, at, answer=1))
            assert f"+0{hours}:00" in to_toml(visit).rpartition("at = ")[2]

    def test_a_saved_visit_is_read_back(self, tmp_path: Path):
        path = tmp_path / "sessions" / "visit.toml"
        write_session(path, VISIT)
        assert read_session(path) == VISIT
        assert path.read_text("utf-8") == with_checksum(GOOD)

    def test_the_save_before_is_kept(self, tmp_path: Path):
        path = tmp_path / "visit.toml"
        write_session(path, BARE)
        write_session(path, VISIT)
        assert read_session(previous_version(path)) == BARE

    @pytest.mark.parametrize(
        ("visit", "words"),
        [
            (evolve(BARE, started=datetime(2026, 1, 1)), "session, started: .*offset from UTC"),
            (evolve(BARE, patient=""), "patient, code: This is blank"),
            (evolve(BARE, about="a" * (TEXT_LIMIT + 1)), "session, about: .*20,001 characters"),
            (evolve(BARE, state=State.FINISHED), "session, finished: This key is missing"),
            (
                BARE.with_finding(Finding(RESISTANCE_LEFT, NOW, answer=float("nan"))),
                r"finding 1 \(supination-resistance, left\), answer",
            ),
            (
                evolve(BARE, findings=(Finding(RESISTANCE_LEFT, NOW, answer=1),) * 2),
                "finding for this place before",
            ),
            (
                evolve(BARE, decisions=(Decision("lift", Side.LEFT, 1, None, NOW),) * 2),
                "decision on this feature before",
            ),
            (
                evolve(BARE, replies=(Reply("rises", Side.LEFT, NOW, "yes"),) * 2),
                "reply to this cross-check before",
            ),
            (
                evolve(
                    BARE,
                    findings=tuple(
                        Finding(Place(f"t{number}", Side.WHOLE), NOW, answer=1)
                        for number in range(20_001)
                    ),
                ),
                "20,001 of these; at most 20,000",
            ),
        ],
    )
    def test_what_could_not_be_read_back_is_never_written(
        self, tmp_path: Path, visit: Session, words: str
    ):
        path = tmp_path / "visit.toml"
        write_session(path, BARE)
        with pytest.raises(SaveFailedError, match=words):
            write_session(path, visit)
        assert read_session(path) == BARE
        assert [file.name for file in tmp_path.iterdir()] == ["visit.toml"]

    def test_a_visit_that_has_grown_beyond_the_limit_is_not_written(self, tmp_path: Path):
        findings = tuple(
            Finding(Place(f"t{number}", Side.WHOLE), NOW, answer=1, note="x" * TEXT_LIMIT)
            for number in range(250)
        )
        with pytest.raises(SaveFailedError, match="at most 5,000,000 can be read back"):
            write_session(tmp_path / "visit.toml", evolve(BARE, findings=findings))
        assert [file.name for file in tmp_path.iterdir()] == []


def test_the_session_package_needs_no_screen_and_no_reasoning():
    program = (
        "import sys, examwalk.session.folder, examwalk.session.walking\n"
        "print([name for name in sys.modules if name.startswith("
        "('textual', 'rich', 'examwalk.tui', 'examwalk.reasoning'))])"
    )
    run = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    assert run.stdout == "[]\n"
