"""The list of visits as rows."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from attrs import evolve
from ordering_protocol import CALM, LEFT, RIGHT, a_session
from small_protocol import small_protocol

from examwalk.session.folder import Entry
from examwalk.session.model import State
from examwalk.tui.screens.start_text import (
    column_titles,
    how_far,
    latest_open,
    matches,
    visit_lines,
    visit_rows,
)
from examwalk.tui.widgets.lines import Pointer, flow, row_lines

NOW = datetime(2026, 11, 27, 12, 0, tzinfo=UTC)
CHANGED = f"27 Nov 2026, {NOW.astimezone():%H:%M}"


@pytest.fixture
def protocol(tmp_path):
    return small_protocol(tmp_path).protocol


def an_entry(session, name="a.toml", problem=None):
    return Entry(Path(name), NOW, session, problem)


def finished(session):
    return evolve(session, state=State.FINISHED, finished=session.started + timedelta(hours=1))


def test_an_open_visit_says_how_many_tests_are_done(protocol):
    whole = {("skin", LEFT): ("intact",), ("skin", RIGHT): ("intact",), ("jack", LEFT): "easy"}
    session = a_session(protocol, {**CALM, **whole})
    # The depth of cracks is not asked of intact skin, and one side alone is not a test done.
    asked = len([test for test in protocol.tests if test.ask_when is None])
    assert how_far(session, lambda _: protocol) == f"open, 2 of {asked} tests"


def test_a_finished_visit_says_so(protocol):
    assert how_far(finished(a_session(protocol, CALM)), lambda _: protocol) == "finished"


def test_a_visit_whose_protocol_is_gone_still_says_what_it_holds(protocol):
    assert how_far(a_session(protocol, CALM), lambda _: None) == "open, 2 findings"


@pytest.mark.parametrize("width", [80, 120])
def test_a_row_tells_under_a_title_when_it_was_changed_last_by_which_the_rows_stand(
    protocol, width
):
    entry = an_entry(a_session(protocol, CALM))
    (line,) = row_lines(visit_rows([entry], ["open, 1 of 10 tests"], width)[0], width, Pointer())
    columns = {"last changed": CHANGED, "patient": "P-0042", "how far": "open, 1 of 10 tests"}
    if width == 120:
        columns["begun"] = "25 Nov 2026, 09:12"
    titles = column_titles(width).plain
    for title, value in columns.items():
        assert titles.index(title) == line.plain.index(value)
    assert ("09:12" in line.plain) is (width == 120)


def test_where_the_row_has_no_room_for_it_what_is_told_of_a_visit_says_when_it_began(protocol):
    told = flow(visit_lines(an_entry(a_session(protocol, CALM))), 200)
    assert "begun 25 Nov 2026, 09:12" in told[0].plain


def test_a_damaged_file_is_listed_with_what_is_wrong(protocol):
    entry = an_entry(None, "bad.toml", "Line 3: this is not TOML.")
    (line,) = row_lines(visit_rows([entry], [""], 80)[0], 76, Pointer())
    assert "bad.toml" in line.plain
    assert "cannot be opened" in line.plain
    about = "\n".join(part.plain for part in flow(visit_lines(entry), 76))
    assert "Line 3: this is not TOML." in about


def test_an_invented_visit_says_that_it_is_invented(protocol):
    session = evolve(a_session(protocol, CALM), invented=True)
    (line,) = row_lines(visit_rows([an_entry(session)], ["open"], 80)[0], 76, Pointer())
    assert "invented" in line.plain
    assert "invented patient" in "".join(p.plain for p in flow(visit_lines(an_entry(session)), 90))


@pytest.mark.parametrize("typed", ["p-00", "0042 open", "25 nov", "2026-11-25", "small", "AB", ""])
def test_typing_finds_a_visit_by_code_date_protocol_state_and_examiner(protocol, typed):
    assert matches(an_entry(a_session(protocol, CALM)), "open, 1 of 10 tests", typed)


def test_every_word_typed_must_be_there(protocol):
    assert not matches(an_entry(a_session(protocol, CALM)), "open", "p-0042 finished")


def test_the_visit_to_go_on_with_is_the_open_one_changed_last(protocol):
    session = a_session(protocol, CALM)
    invented = an_entry(evolve(session, invented=True), "invented.toml")
    done = an_entry(finished(session), "done.toml")
    first, second = an_entry(session, "first.toml"), an_entry(session, "second.toml")
    damaged = an_entry(None, "bad.toml", "no")
    assert latest_open([damaged, invented, done, first, second]) == first
    assert latest_open([damaged, invented, done]) == invented
    assert latest_open([damaged, done]) is None


def test_a_hostile_code_cannot_drive_the_terminal(protocol):
    session = evolve(a_session(protocol, CALM), patient="[/]\x1b]2;x\x07\u202e", about="\x9b[/]")
    entry = an_entry(session)
    lines = [*row_lines(visit_rows([entry], ["open"], 80)[0], 76, Pointer())]
    text = "".join(line.plain for line in (*lines, *flow(visit_lines(entry), 76)))
    assert "[/]" in text
    assert not {"\x1b", "\x07", "\x9b", "\u202e"} & set(text)
