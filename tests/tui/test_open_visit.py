"""A visit is on disk after every change, and no failure of the disk loses an answer."""

import errno
import os
import random
import shutil

import pytest
from screen_text import BEGUN, ticking_clock
from small_protocol import SMALL, small_protocol

from examwalk.catalogues import choose_language
from examwalk.problems import UnusableFileError
from examwalk.protocol.reading import read_protocol
from examwalk.session import protocol_used
from examwalk.session.model import Place, Side, State
from examwalk.session.storing import read_session
from examwalk.tui import open_visit, visit_on_disk
from examwalk.tui.open_visit import OpenVisit

HARD = Place("resistance", Side.LEFT)
OTHER = Place("resistance", Side.RIGHT)


@pytest.fixture
def visit(tmp_path):
    loaded = small_protocol(tmp_path)
    return OpenVisit.start(
        tmp_path / "sessions", loaded, "P-0042", "AB", ticking_clock(), random.Random(1)
    )


def on_disk(visit):
    return read_session(visit.path)


@pytest.fixture
def full_disk(monkeypatch):
    def refuse(*_):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", refuse)
    return monkeypatch


def test_a_new_visit_is_on_disk_at_once_with_its_protocol_beside_it(visit):
    stored = on_disk(visit)
    assert stored == visit.session
    assert (stored.patient, stored.examiner, stored.started) == ("P-0042", "AB", BEGUN)
    kept = visit.path.parent / "protocols-used" / f"{visit.loaded.fingerprint}.toml"
    assert kept.is_file()


@pytest.mark.parametrize(
    "change",
    [
        lambda v: v.answer(HARD, "hard"),
        lambda v: v.not_done(HARD, "pain"),
        lambda v: v.note(HARD, "guarded"),
        lambda v: v.go(OTHER),
        lambda v: v.decide("lift", Side.LEFT, 3, "enough"),
        lambda v: v.reply("hard-but-easy", Side.LEFT, "seen twice"),
        lambda v: v.finish(),
    ],
)
def test_every_change_is_on_disk_when_it_returns(visit, change):
    before = visit.session
    change(visit)
    assert visit.session != before
    assert on_disk(visit) == visit.session


def test_a_decision_keeps_what_was_recommended_at_that_moment(visit):
    for place in (HARD, OTHER):
        visit.answer(place, "hard")
    visit.decide("lift", Side.LEFT, 2, "shoe too low")
    (decision,) = visit.session.decisions
    assert (decision.value, decision.because) == (2, "shoe too low")
    assert decision.recommended == visit.summary.feature("lift", Side.LEFT).value


def test_a_decision_can_be_withdrawn(visit):
    assert not visit.withdraw("lift", Side.LEFT)
    visit.decide("lift", Side.LEFT, 2, "x")
    assert visit.withdraw("lift", Side.LEFT)
    assert visit.session.decisions == ()


def test_a_reply_replaces_the_earlier_one_and_an_empty_one_takes_it_away(visit):
    visit.reply("hard-but-easy", Side.LEFT, "first")
    visit.reply("hard-but-easy", Side.LEFT, "second")
    assert [reply.says for reply in visit.session.replies] == ["second"]
    visit.reply("hard-but-easy", Side.LEFT, "")
    assert visit.session.replies == ()


def test_undo_takes_back_every_kind_of_change_and_says_what_it_was(visit):
    visit.answer(HARD, "hard")
    visit.not_done(OTHER, "pain")
    visit.note(HARD, "guarded")
    visit.decide("lift", Side.LEFT, 3, "x")
    visit.withdraw("lift", Side.LEFT)
    visit.reply("hard-but-easy", Side.LEFT, "so")
    visit.clear(HARD)
    said = [visit.undo() for _ in range(8)]
    assert said == [
        "Taken back: the clearing of Supination resistance, left.",
        "Taken back: the reply to a cross-check.",
        "Taken back: the withdrawal of the decision on Heel lift, left.",
        "Taken back: the decision on Heel lift, left.",
        "Taken back: the note on Supination resistance, left.",
        "Taken back: Supination resistance, right: not done: Too painful.",
        "Taken back: Supination resistance, left: hard.",
        None,
    ]
    assert visit.session.findings == ()
    assert on_disk(visit) == visit.session


def test_finishing_freezes_the_visit_and_reopening_frees_it(visit):
    visit.answer(HARD, "hard")
    assert visit.finish()
    assert visit.session.state is State.FINISHED
    assert not visit.answer(HARD, "easy")
    assert not visit.decide("lift", Side.LEFT, 3)
    assert not visit.finish()
    assert visit.session.answers == {HARD: "hard"}
    assert visit.reopen()
    assert visit.session.finished is None
    assert visit.answer(HARD, "easy")


def test_finishing_can_be_undone(visit):
    visit.finish()
    assert visit.undo() == "Taken back: the finishing of the visit."
    assert not visit.is_finished


def test_taking_the_only_note_away_leaves_nothing_behind(visit):
    visit.note(HARD, "guarded")
    visit.note(HARD, "")
    assert visit.session.findings == ()


def test_a_note_on_an_answer_does_not_change_when_it_was_given(visit):
    visit.answer(HARD, "hard")
    given = visit.session.finding(HARD).at
    visit.note(HARD, "guarded")
    assert visit.session.finding(HARD).at == given


def test_the_reasoning_follows_every_answer(visit):
    visit.answer(Place("hot-foot", Side.LEFT), "yes")
    assert [caution.id for caution in visit.case.cautions] == ["hot"]
    visit.undo()
    assert visit.case.cautions == ()


def test_the_summary_is_worked_out_once_for_each_state(visit, monkeypatch):
    calls = []
    real = open_visit.summarise
    monkeypatch.setattr(open_visit, "summarise", lambda *given: calls.append(1) or real(*given))
    first = visit.summary
    assert visit.summary is first
    visit.answer(HARD, "hard")
    assert visit.summary is not first
    assert len(calls) == 2


def test_a_full_disk_keeps_the_answer_and_says_so_and_the_next_change_tries_again(visit, full_disk):
    assert visit.answer(HARD, "hard")
    assert visit.session.answers == {HARD: "hard"}
    assert "full" in visit.unsaved
    assert on_disk(visit).findings == ()
    full_disk.undo()
    visit.answer(OTHER, "easy")
    assert visit.unsaved is None
    assert on_disk(visit) == visit.session


def test_after_a_failure_saving_can_be_tried_again_by_hand(visit, full_disk):
    visit.answer(HARD, "hard")
    assert not visit.save()
    full_disk.undo()
    assert visit.save()
    assert on_disk(visit).answers == {HARD: "hard"}


def test_a_visit_that_cannot_be_saved_at_all_can_still_be_examined(tmp_path, full_disk):
    loaded = small_protocol(tmp_path)
    visit = OpenVisit.start(
        tmp_path / "sessions", loaded, "P-1", "AB", ticking_clock(), random.Random(1)
    )
    assert visit.unsaved
    visit.answer(HARD, "hard")
    assert visit.would_be_lost() == visit.unsaved


def test_several_changes_can_be_saved_as_one(visit, monkeypatch):
    writes = []
    real = visit_on_disk.write_session
    monkeypatch.setattr(
        visit_on_disk, "write_session", lambda *given: writes.append(1) or real(*given)
    )
    with visit.one_save():
        visit.answer(HARD, "hard")
        visit.go(OTHER)
    assert writes == [1]
    assert on_disk(visit) == visit.session


def test_what_another_window_wrote_is_never_overwritten(visit):
    other = OpenVisit.open(visit.path, ticking_clock())
    other.answer(HARD, "easy")
    visit.answer(OTHER, "hard")
    assert visit.is_changed_elsewhere
    assert "Another window" in visit.unsaved
    assert on_disk(visit).answers == {HARD: "easy"}
    assert visit.session.answers == {OTHER: "hard"}


def test_a_file_that_was_only_copied_over_itself_is_no_clash(visit):
    copied = visit.path.read_bytes()
    visit.path.unlink()
    visit.path.write_bytes(copied)
    os.utime(visit.path, (1, 1))
    assert visit.answer(OTHER, "hard")
    assert visit.unsaved is None
    assert on_disk(visit).answers == {OTHER: "hard"}


def test_a_file_changed_without_growing_is_a_clash(visit):
    visit.answer(HARD, "hard")
    changed = visit.path.read_bytes().replace(b'"hard"', b'"easy"')
    visit.path.write_bytes(changed)
    visit.answer(OTHER, "hard")
    assert visit.is_changed_elsewhere
    assert visit.path.read_bytes() == changed


def test_after_a_clash_of_two_windows_both_visits_can_be_kept(visit):
    other = OpenVisit.open(visit.path, ticking_clock())
    other.answer(HARD, "easy")
    visit.answer(OTHER, "hard")
    assert visit.save_apart(random.Random(2))
    assert visit.path != other.path
    assert read_session(visit.path).answers == {OTHER: "hard"}
    assert read_session(other.path).answers == {HARD: "easy"}
    assert visit.unsaved is None


def test_a_file_that_was_taken_away_is_written_again(visit):
    visit.path.unlink()
    visit.answer(HARD, "hard")
    assert on_disk(visit).answers == {HARD: "hard"}


def test_nothing_is_lost_by_closing_a_saved_visit(visit):
    visit.answer(HARD, "hard")
    assert visit.would_be_lost() == ""


def test_what_is_typed_and_not_accepted_would_be_lost_and_is_named(visit):
    visit.drafts.type(Place("lunge", Side.LEFT), "12")
    assert visit.would_be_lost() == "Typed or ticked and not accepted yet: Lunge distance, left."


class TestWhichProtocolAVisitIsReadWith:
    @pytest.fixture
    def current(self, tmp_path, monkeypatch):
        """The file that the protocol's id leads to."""
        path = tmp_path / "small.toml"
        monkeypatch.setattr(protocol_used, "named_protocols", lambda: {"small": path})
        return path

    def changed(self, path):
        text = SMALL.replace('version = "1.0.0"', 'version = "2.0.0"')
        path.write_text(text, encoding="utf-8")

    def test_the_current_one_while_it_is_the_same(self, visit, current):
        opened = OpenVisit.open(visit.path, ticking_clock())
        assert opened.loaded.path == current
        assert opened.protocol_note is None

    def test_the_kept_copy_once_the_current_one_has_changed(self, visit, current):
        self.changed(current)
        opened = OpenVisit.open(visit.path, ticking_clock())
        assert opened.protocol.identity.version == "1.0.0"
        assert opened.loaded.path.stem == visit.loaded.fingerprint
        assert opened.protocol_note is None

    def test_the_current_one_with_a_word_about_it_where_no_copy_was_kept(self, visit, current):
        self.changed(current)
        shutil.rmtree(visit.path.parent / "protocols-used")
        opened = OpenVisit.open(visit.path, ticking_clock())
        assert opened.protocol.identity.version == "2.0.0"
        assert "1.0.0" in opened.protocol_note
        assert "2.0.0" in opened.protocol_note

    def test_the_kept_copy_where_the_protocol_is_gone(self, visit):
        opened = OpenVisit.open(visit.path, ticking_clock())
        assert opened.protocol.identity.id == "small"

    def test_without_any_the_visit_cannot_be_opened_and_the_reason_is_told(self, visit):
        shutil.rmtree(visit.path.parent / "protocols-used")
        with pytest.raises(UnusableFileError, match="small"):
            OpenVisit.open(visit.path, ticking_clock())


def test_answers_that_the_protocol_cannot_read_are_kept_told_and_not_reasoned_from(visit):
    visit.answer(HARD, "hard")
    visit.answer(Place("jack", Side.LEFT), "easy")
    text = visit.path.read_text(encoding="utf-8").replace('answer = "hard"', 'answer = "harsh"')
    first, _checksum, rest = text.split("\n", 2)
    visit.path.write_text(f"{first}\n{rest}", encoding="utf-8")
    opened = OpenVisit.open(visit.path, ticking_clock())
    assert [misfit.place for misfit in opened.misfits] == [HARD]
    assert opened.case.live_crosschecks == ()
    opened.answer(OTHER, "easy")
    assert on_disk(visit).answers[HARD] == "harsh"
    opened.answer(HARD, "hard")
    assert [check.id for check in opened.case.live_crosschecks] == ["hard-but-easy"]


def visit_in(language, folder):
    """Begin a visit under the small protocol in a language, answer and order something in it."""
    choose_language(language)
    small_protocol(folder)
    (folder / "translations").mkdir(exist_ok=True)
    german = """
    [not_done_reasons]
    pain = "Zu schmerzhaft"
    [scales.effort.labels]
    hard = "schwer"
    [[test]]
    id = "resistance"
    title = "Widerstand"
    [[feature]]
    id = "lift"
    title = "Fersenkeil"
    """
    (folder / "translations" / "small.de.toml").write_text(german, encoding="utf-8")
    loaded = read_protocol(folder / "small.toml", language)
    visit = OpenVisit.start(
        folder / language, loaded, "P-1", "AB", ticking_clock(), random.Random(1)
    )
    visit.answer(HARD, "hard")
    visit.not_done(OTHER, "pain")
    visit.decide("lift", Side.LEFT, 3, "enough")
    return visit


def test_the_file_of_a_visit_is_the_same_in_every_language(tmp_path):
    english, german = visit_in("en", tmp_path), visit_in("de", tmp_path)
    assert german.protocol.tests_by_id["resistance"].title == "Widerstand"
    assert german.path.read_bytes() == english.path.read_bytes()


def test_a_visit_begun_in_german_is_opened_in_german_when_its_protocol_has_gone(tmp_path):
    begun = visit_in("de", tmp_path)
    (tmp_path / "small.toml").unlink()
    opened = OpenVisit.open(begun.path, ticking_clock())
    assert opened.protocol == begun.protocol
    assert opened.protocol.scales["effort"].label("hard") == "schwer"
    choose_language("en")
    assert (
        OpenVisit.open(begun.path, ticking_clock()).protocol.scales["effort"].label("hard")
        == "hard"
    )
