"""The graded findings of both feet side by side, as a drawing and in lines of characters."""

from collections.abc import Iterator
from math import ceil

from examwalk.language import say, say_count
from examwalk.protocol.exam_model import Kind
from examwalk.protocol.key_types import Sides
from examwalk.protocol.model import Protocol
from examwalk.report.document import Picture
from examwalk.report.profile_drawing import Graded, profile_drawing, profile_lines
from examwalk.session.model import BOTH_FEET, Place, Session

_MOST_ROWS = 18
"""Of one picture."""


def profile_of(protocol: Protocol, session: Session) -> tuple[Picture, ...]:
    """Return the profile in pictures that each fit what a sheet has left; none if none graded."""
    rows = graded_rows(protocol, session)
    count = ceil(len(rows) / _MOST_ROWS)
    longest = ceil(len(rows) / count) if count else 0
    return tuple(
        _picture(rows[longest * number : longest * (number + 1)], number) for number in range(count)
    )


def _picture(rows: tuple[Graded, ...], number: int) -> Picture:
    words = _finding(rows)
    return Picture(
        profile_drawing(f"profile-{number + 1}", rows, words),
        words,
        plot=profile_lines(rows),
    )


def graded_rows(protocol: Protocol, session: Session) -> tuple[Graded, ...]:
    """Return every test that was graded on a foot, in the order of the exam."""
    return tuple(_graded(protocol, session))


def _finding(rows: tuple[Graded, ...]) -> str:
    """Say what the picture shows: on which tests the feet differ."""
    differing = [row.test.name for row in rows if row.differs]
    graded = say_count(len(rows), "{count} test was graded.", "{count} tests were graded.")
    if not differing:
        return f"{graded} {say('Left and right have the same grade on every one.')}"
    return f"{graded} {say('Left and right differ on: {tests}.', tests=', '.join(differing))}"


def _graded(protocol: Protocol, session: Session) -> Iterator[Graded]:
    for test in protocol.tests_in_order:
        if test.kind is not Kind.GRADE or test.sides is not Sides.EACH:
            continue
        grades = protocol.scale_of(test).grades
        answers = [session.answers.get(Place(test.id, side)) for side in BOTH_FEET]
        left, right = (grades.index(one) if one in grades else None for one in answers)
        if left is not None or right is not None:
            yield Graded(test, grades, (left, right))
