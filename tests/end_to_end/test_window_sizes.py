"""The window is made smaller and larger in the middle of an exam."""

from examination import Examination
from terminal import wait_until

TOO_SMALL = ("make the", "60 columns")


def test_a_window_that_is_too_small_asks_for_room_and_the_exam_goes_on_where_it_was(
    examination: Examination,
):
    examination.answer_up_to("age")
    place = examination.here
    terminal = examination.terminal
    terminal.wait_for(*examination.signs_of(place))
    terminal.press("4")
    terminal.wait_for("4▁ years")
    pid = terminal.pid

    for columns, rows in ((50, 12), (20, 5)):
        terminal.resize(columns, rows)
        screen = terminal.wait_for(*TOO_SMALL)
        lines = screen.splitlines()
        assert len(lines) <= rows
        assert max(map(len, lines)) <= columns
        assert examination.title(place) not in screen

    terminal.resize(80, 24)
    terminal.wait_for(*examination.signs_of(place), "4▁ years")
    assert terminal.pid == pid
    assert examination.here == place
    assert dict(examination.stored.answers) == examination.typed

    terminal.press("5")
    terminal.wait_for("45▁ years")
    terminal.press("Enter")
    examination.wait_for_answer_at(place)
    assert examination.stored.answers[place] == 45


def test_a_wide_window_shows_more_and_a_narrow_one_the_same_test(examination: Examination):
    examination.answer_up_to("age")
    place = examination.here
    terminal = examination.terminal
    narrow = terminal.wait_for(*examination.signs_of(place))
    terminal.resize(140, 45)
    wait_until(
        lambda: len(terminal.screen().splitlines()) > 24,
        lambda: f"the window is not in use:\n{terminal.screen()}",
    )
    wide = terminal.wait_for(*examination.signs_of(place))
    assert max(map(len, wide.splitlines())) > 80
    terminal.resize(60, 18)
    small = terminal.wait_for(*examination.signs_of(place))
    assert max(map(len, small.splitlines())) <= 60
    terminal.resize(80, 24)
    wait_until(
        lambda: terminal.screen() == narrow, lambda: f"not as before:\n{terminal.screen()}"
    )


def test_a_key_pressed_while_nothing_can_be_seen_records_nothing(examination: Examination):
    place = examination.here
    terminal = examination.terminal
    terminal.resize(20, 5)
    terminal.wait_for(*TOO_SMALL)
    terminal.press("1")
    terminal.resize(80, 24)
    terminal.wait_for(*examination.signs_of(examination.here))
    assert examination.here == place
    assert not examination.stored.answers
