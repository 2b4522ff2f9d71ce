"""With NO_COLOR everything is told by words, signs and weight."""

import re

from examination import Examination
from terminal import Terminals

CODES = re.compile(r"\x1b\[([0-9;]*)m")
GREYS_OF_256 = {0, 7, 8, 15, 16, 59, 102, 145, 188, 231, *range(232, 256)}


def colours(screen: str) -> set[str]:
    """Return the codes of all colours on a screen that are neither black, grey nor white."""
    found = set()
    for codes in CODES.findall(screen):
        numbers = [int(number or 0) for number in codes.split(";")]
        while numbers:
            number = numbers.pop(0)
            if number in (38, 48) and numbers[:1] == [5]:
                if numbers[1] not in GREYS_OF_256:
                    found.add(f"{number};5;{numbers[1]}")
                del numbers[:2]
            elif number in (38, 48) and numbers[:1] == [2]:
                if len(set(numbers[1:4])) > 1:
                    found.add(f"{number};2;{numbers[1:4]}")
                del numbers[:4]
            elif number % 10 in range(1, 7) and number // 10 in (3, 4, 9, 10):
                found.add(str(number))
    return found


def an_answered_test(terminals: Terminals, **environment: str) -> Examination:
    """Return an exam whose first two-sided test is answered on the left."""
    examination = Examination(terminals)
    examination.begin(**environment)
    examination.answer(2)
    examination.terminal.wait_for(*examination.signs_of(examination.here), "recorded")
    return examination


def test_without_colour_the_exam_works_and_shows_none(terminals: Terminals):
    examination = an_answered_test(terminals, NO_COLOR="1", TERM="xterm-256color")
    assert colours(examination.terminal.coloured_screen()) == set()
    screen = examination.terminal.screen()
    assert "● 1  No  recorded" in screen
    examination.answer(4)
    assert dict(examination.stored.answers) == examination.typed
    assert examination.leave() == 0


def test_with_colour_there_is_some_so_that_its_absence_means_something(terminals: Terminals):
    examination = an_answered_test(terminals, TERM="xterm-256color")
    assert colours(examination.terminal.coloured_screen())
