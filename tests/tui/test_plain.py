"""The exam as a conversation: everything in words, and each answer saved before the next line."""

import random
from collections.abc import Iterable
from pathlib import Path

import pytest
from screen_text import ticking_clock
from small_protocol import small_protocol

from examwalk.protocol.library import find_protocol
from examwalk.protocol.reading import LoadedProtocol
from examwalk.protocol.shipped import read_shipped
from examwalk.session.model import Place, Session, Side, State
from examwalk.session.storing import read_session
from examwalk.tui.open_visit import OpenVisit
from examwalk.tui.plain import COMMANDS, Conversation

TO_AGE = ["1", "1", "1", "1"]
"""No hot foot and intact skin, on both sides."""
TO_STORY = [*TO_AGE, "45"]
TO_RESISTANCE = [*TO_STORY, "sore since spring"]


class Talk:
    """One conversation from its first line to its last."""

    def __init__(self, folder: Path, lines: Iterable[str], loaded: LoadedProtocol | None = None):
        folder.mkdir(exist_ok=True)
        self.visit = OpenVisit.start(
            folder / "sessions",
            loaded or small_protocol(folder),
            "P-0042",
            "AB",
            ticking_clock(),
            random.Random(1),
        )
        self.told: list[str] = []
        self.saved: list[Session] = []
        """What was on disk each time that a line was asked for."""
        self._lines = iter(lines)
        Conversation(self.visit, self._read, self.told.append).lead()

    def _read(self, _prompt: str) -> str:
        self.saved.append(read_session(self.visit.path))
        try:
            return next(self._lines)
        except StopIteration:
            raise EOFError from None

    @property
    def text(self) -> str:
        return "\n".join(self.told)

    @property
    def answers(self) -> dict[str, object]:
        stored = read_session(self.visit.path)
        return {str(place): answer for place, answer in stored.answers.items()}


def test_each_answer_is_on_disk_before_the_next_line_is_asked_for(tmp_path):
    talk = Talk(tmp_path, TO_AGE)
    assert [len(session.answers) for session in talk.saved] == [0, 1, 2, 3, 4]
    assert talk.answers == {
        "hot-foot (left)": "no",
        "hot-foot (right)": "no",
        "skin (left)": ("intact",),
        "skin (right)": ("intact",),
    }


def test_a_test_is_told_with_its_side_its_steps_and_the_key_of_each_answer(tmp_path):
    talk = Talk(tmp_path, TO_RESISTANCE)
    start = talk.told.index("Standing. The patient stands at ease.")
    assert talk.told[start + 1].startswith("Supination resistance, left.")
    assert talk.told[start + 2 : start + 7] == [
        "Careful: Stop if it hurts.",
        "1. Stand behind the patient.",
        "2. Lift under the navicular with two fingertips.",
        "Mistake: The patient helps.",
        "1 easy, 2 middling, 3 hard.",
    ]


def test_on_the_other_side_only_the_side_is_told_anew(tmp_path):
    talk = Talk(tmp_path, [*TO_RESISTANCE, "3"])
    assert talk.told.count("1. Stand behind the patient.") == 1
    steps = talk.told.index("1. Stand behind the patient.")
    assert "Right." in talk.told[steps:]


def test_several_options_are_written_with_spaces_or_commas(tmp_path):
    talk = Talk(tmp_path, ["1", "1", "2 3", "3,2"])
    assert talk.answers["skin (left)"] == talk.answers["skin (right)"] == ("callus", "crack")


@pytest.mark.parametrize("line", ["2 9", "7"])
def test_a_key_that_is_no_answer_is_refused_and_nothing_is_recorded(tmp_path, line):
    talk = Talk(tmp_path, ["1", "1", line])
    assert "There is no answer" in talk.told[-3]
    assert "skin (left)" not in talk.answers


def test_an_unlikely_number_is_asked_about_and_kept_when_it_is_written_again(tmp_path):
    talk = Talk(tmp_path, [*TO_AGE, "5", "5"])
    assert sum("Surely 5 years?" in line for line in talk.told) == 1
    assert talk.answers["age"] == 5


@pytest.mark.parametrize("again", ["6", "q", "no"])
def test_an_unlikely_number_that_is_not_confirmed_is_not_recorded(tmp_path, again):
    talk = Talk(tmp_path, [*TO_AGE, "5", again])
    assert "Not recorded." in talk.told
    assert "age" not in talk.answers


@pytest.mark.parametrize("line", ["4 5", "four", "400"])
def test_what_is_no_possible_number_is_refused_once_in_a_sentence(tmp_path, line):
    talk = Talk(tmp_path, [*TO_AGE, line])
    told = [text for text in talk.told if "is not a number" in text or "cannot be" in text]
    assert len(told) == 1
    assert "age" not in talk.answers


def test_where_words_are_the_answer_a_letter_is_one_unless_a_dot_stands_before_it(tmp_path):
    assert Talk(tmp_path / "a", [*TO_STORY, "v"]).answers["story"] == "v"
    talk = Talk(tmp_path / "b", [*TO_STORY, ".b", "40", "40"])
    assert talk.answers["age"] == 40


def test_not_done_takes_a_reason_of_the_protocol_by_its_words_or_any_other(tmp_path):
    talk = Talk(tmp_path, ["x Too painful", "x in plaster", "x"])
    stored = read_session(talk.visit.path)
    assert stored.finding(Place("hot-foot", Side.LEFT)).not_done == "pain"
    assert stored.finding(Place("hot-foot", Side.RIGHT)).not_done == "in plaster"
    assert "Too painful; Declined by the patient" in talk.text


def test_a_caution_is_told_before_the_next_test_and_only_once(tmp_path):
    adult = read_shipped(find_protocol("adult"))
    talk = Talk(tmp_path, ["1", "2", "1", "1"], adult)
    raised = [number for number, line in enumerate(talk.told) if line.startswith("▲")]
    assert len(raised) >= 1
    assert raised[0] < talk.told.index("Right.")
    assert len({talk.told[number] for number in raised}) == len(raised)


def test_a_cross_check_is_told_when_its_last_finding_is_in_and_w_goes_there(tmp_path):
    talk = Talk(tmp_path, [*TO_RESISTANCE, "3", "3", "1", "w"])
    assert "These findings disagree: " in talk.text
    assert talk.visit.session.here.test in {"resistance", "jack"}


def test_every_figure_of_a_test_and_of_its_answers_is_told_in_words(tmp_path):
    adult = read_shipped(find_protocol("adult"))
    talk = Talk(tmp_path, ["1", "l"], adult)
    pictures = [line for line in talk.told if line.startswith("Picture: ")]
    assert len(pictures) == 3  # how to feel for heat, an ordinary foot, a swollen one
    assert all("left" in line for line in pictures)
    assert not any("{" in line for line in pictures)


def test_a_change_is_taken_back_and_the_place_is_told_again(tmp_path):
    talk = Talk(tmp_path, ["2", "u"])
    assert "Taken back: Hot, swollen foot, left: Yes." in talk.told
    assert talk.answers == {}


def test_what_follows_ends_with_whose_decision_it_is(tmp_path):
    talk = Talk(tmp_path, [*TO_RESISTANCE, "v"])
    assert "The clinician decides." in talk.text


def test_what_is_open_is_counted_and_named(tmp_path):
    talk = Talk(tmp_path, [*TO_RESISTANCE, "o"])
    assert "Supination resistance, right" in talk.told
    assert "Age" not in talk.told


def test_a_finished_visit_takes_no_more_answers(tmp_path):
    talk = Talk(tmp_path, ["1", "f", "2"])
    assert read_session(talk.visit.path).state is State.FINISHED
    assert len(talk.answers) == 1
    assert any("finished, so nothing was changed" in line for line in talk.told)


def test_leaving_says_where_everything_is(tmp_path):
    talk = Talk(tmp_path, ["q", "1"])
    assert talk.told[-1] == f"Everything is saved in {talk.visit.path}."
    assert talk.answers == {}


def test_the_letters_are_told_and_none_is_told_twice(tmp_path):
    talk = Talk(tmp_path, ["?"])
    for command in COMMANDS:
        assert sum(line.startswith(f"{command.letter} — ") for line in talk.told) == 1
