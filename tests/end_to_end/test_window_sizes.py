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


def test_a_wide_and_a_small_window_show_the_same_test_and_the_first_size_the_same_screen(
    examination: Examination,
):
    examination.answer_up_to("age")
    place = examination.here
    terminal = examination.terminal
    before = terminal.wait_for(*examination.signs_of(place))
    terminal.resize(140, 45)
    wait_until(
        lambda: max(map(len, terminal.screen().splitlines())) > 100,
        lambda: f"the width is not used:\n{terminal.screen()}",
    )
    terminal.wait_for(*examination.signs_of(place))
    terminal.resize(60, 18)
    wait_until(
        lambda: max(map(len, terminal.screen().splitlines())) <= 60,
        lambda: f"wider than the window:\n{terminal.screen()}",
    )
    terminal.wait_for(*examination.signs_of(place), "? help")
    terminal.resize(80, 24)
    wait_until(
        lambda: below_the_clock(terminal.screen()) == below_the_clock(before),
        lambda: f"not as before:\n{terminal.screen()}",
    )


def below_the_clock(screen: str) -> list[str]:
    """Return all lines but the first, in which the minutes go on."""
    return screen.splitlines()[1:]


def test_a_key_pressed_while_nothing_can_be_seen_records_nothing(examination: Examination):
    place = examination.here
    terminal = examination.terminal
    terminal.resize(20, 5)
    terminal.wait_for(*TOO_SMALL)
    terminal.press("1")
    terminal.resize(80, 24)
    terminal.wait_for("q leave")
    assert examination.here == place
    assert not examination.stored.answers
