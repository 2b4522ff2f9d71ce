"""The app is killed in the middle of an exam: what was typed is there, and nothing else is."""

import signal

from examination import Examination

from examwalk.session.model import Place
from examwalk.session.walking import left_over

HALF_WAY = "first-ray-position"
ONE_KEY_EACH = "pulse-dorsalis-pedis"
"""From here on a row of tests takes one key on each side."""
A_FIGURE = "monofilament"
BURST = 10


def kill(examination: Examination) -> None:
    examination.terminal.signal(signal.SIGKILL)
    assert examination.terminal.exit_status() == 128 + signal.SIGKILL
    names = {path.name for path in examination.terminals.sessions.iterdir()}
    assert examination.path is not None
    stands = examination.path.name
    # What a save leaves in the middle is hidden and is never taken for a visit.
    assert names <= {
        stands,
        f"{stands}.previous",
        f"{stands}.opened",
        f".{stands}.writing",
        f".{stands}.keeping",
        f".{stands}.lock",
        "protocols-used",
    }


def goes_on_at(examination: Examination, place: Place) -> str:
    """Open the app again and return its screen once it shows this place."""
    assert examination.here == place
    examination.open_again()
    return examination.terminal.wait_for(*examination.signs_of(place))


def columns(screen: str) -> list[str]:
    """Return the lines of the answers on both sides."""
    lines = screen.splitlines()
    start = next(number for number, line in enumerate(lines) if "━━ " in line)
    return [line for line in lines[start : start + 4] if line.strip()]


def test_after_a_kill_at_rest_all_that_was_answered_is_there_and_the_same_place_is_shown(
    examination: Examination,
):
    examination.answer_up_to(HALF_WAY)
    examination.answer_next()
    place = examination.here
    assert place.test == HALF_WAY
    before = examination.terminal.wait_for(*examination.signs_of(place), "Recorded: ")
    kill(examination)
    assert dict(examination.stored.answers) == examination.typed

    after = goes_on_at(examination, place)
    assert columns(after) == columns(before)
    assert "recorded" in "".join(columns(after))
    examination.answer(2)
    assert dict(examination.stored.answers) == examination.typed


def test_after_a_kill_right_behind_a_key_that_answer_is_there_as_typed_or_not_at_all(
    examination: Examination,
):
    examination.answer_up_to("complaint-side")
    for _ in range(3):
        place = examination.here
        reply = examination.reply_at(place)
        acknowledged = dict(examination.typed)
        examination.terminal.wait_for(*examination.signs_of(place))
        examination.terminal.press(*reply.keys[:1])
        kill(examination)

        stored = dict(examination.stored.answers)
        assert stored in (acknowledged, acknowledged | {place: reply.answer})
        examination.typed = stored
        goes_on_at(examination, examination.here)
        assert examination.here == place or place in stored
        examination.answer_next()


def test_after_a_kill_in_a_burst_of_grades_the_first_ones_are_there_and_none_is_astray(
    examination: Examination,
):
    examination.answer_up_to(ONE_KEY_EACH)
    places = left_over_places(examination)[:BURST]
    replies = [examination.reply_at(place) for place in places]
    assert {len(reply.keys) for reply in replies} == {1}
    examination.terminal.press(*(key for reply in replies for key in reply.keys))
    examination.wait_for_answer_at(places[1])
    kill(examination)

    stored = dict(examination.stored.answers)
    count = len(stored) - len(examination.typed)
    assert 2 <= count <= BURST
    expected = {
        place: reply.answer for place, reply in zip(places[:count], replies[:count], strict=True)
    }
    assert stored == examination.typed | expected
    examination.typed = stored
    goes_on_at(examination, left_over_places(examination)[0])


def test_after_a_kill_in_the_middle_of_a_figure_the_half_figure_is_no_finding(
    examination: Examination,
):
    examination.answer_up_to(A_FIGURE)
    place = examination.here
    examination.terminal.wait_for(*examination.signs_of(place))
    examination.terminal.press("1")
    examination.terminal.wait_for("1▁ of 10")
    kill(examination)
    assert dict(examination.stored.answers) == examination.typed

    screen = goes_on_at(examination, place)
    assert "1▁" not in screen
    examination.answer(2)
    assert dict(examination.stored.answers) == examination.typed


def left_over_places(examination: Examination) -> list[Place]:
    """Return the places that are still to be answered."""
    return list(left_over(examination.case.places, examination.stored))
