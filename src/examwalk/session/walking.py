"""Where the exam stands and where it goes next.

All functions look at the places to examine in their order, left before right within a test.
Which places these are depends on the answers and is worked out elsewhere.
"""

from collections.abc import Collection, Sequence

from attrs import frozen

from examwalk.session.model import Place, Session, Side


@frozen
class Progress:
    """How many tests are done, of how many."""

    done: int
    total: int


def is_settled(session: Session, place: Place) -> bool:
    """Say whether a place is answered, or not done for a reason."""
    finding = session.finding(place)
    return finding is not None and finding.is_settled


def left_over(places: Sequence[Place], session: Session) -> tuple[Place, ...]:
    """Return the places that are not settled yet, in their order."""
    return tuple(place for place in places if not is_settled(session, place))


def first_unsettled(places: Sequence[Place], session: Session) -> Place | None:
    """Return the first place that is not settled yet, or none."""
    return next((place for place in places if not is_settled(session, place)), None)


def next_unsettled(places: Sequence[Place], session: Session, after: Place | None) -> Place | None:
    """Return the first unsettled place that comes after another one.

    None is returned when nothing is left after it, even if something was left before it. With
    no ``after``, or one that is no longer among the places, the search begins at the first.
    """
    start = places.index(after) + 1 if after in places else 0
    return first_unsettled(places[start:], session)


def next_after_answer(
    places: Sequence[Place], session: Session, here: Place, *, corrected: bool = False
) -> Place | None:
    """Return where to go once ``here`` is answered.

    That is the other side of the same test while it is open, else the next unsettled place
    after the test; none after the last. After the left side was corrected the right one follows
    even if it is settled: whoever types both sides in one go must not answer another test.
    """
    other = other_side(places, here)
    follows = corrected and here.side is Side.LEFT
    if other != here and (follows or not is_settled(session, other)):
        return other
    return next_unsettled(places, session, here)


def other_side(places: Sequence[Place], here: Place) -> Place:
    """Return the same test on the other side, or the same place where it is asked once."""
    other = Place(here.test, here.side.other)
    return other if other in places else here


def neighbour(places: Sequence[Place], here: Place, step: int) -> Place:
    """Return the place some tests onwards, or backwards with a negative step.

    The side is kept where that test has it, else its first side is taken. Beyond either end the
    test at that end is returned; from a place that is no longer asked, the first test is.
    """
    tests = list(dict.fromkeys(place.test for place in places))
    if not tests:
        return here
    at = tests.index(here.test) + step if here.test in tests else 0
    test = tests[min(max(at, 0), len(tests) - 1)]
    same_side = Place(test, here.side)
    if same_side in places:
        return same_side
    return next(place for place in places if place.test == test)


def resume_at(places: Sequence[Place], session: Session) -> Place | None:
    """Return where to take the exam up again.

    That is where it was left, if that is still asked; else the first unsettled place; else the
    last place. None only where there are no places at all.
    """
    if session.here in places:
        return session.here
    return first_unsettled(places, session) or (places[-1] if places else None)


def progress(places: Sequence[Place], session: Session, tests: Collection[str]) -> Progress:
    """Count the tests among these that are done, for example those of one position.

    Only tests that are to be examined count; a test is done when all its places are settled.
    """
    asked = {place.test for place in places if place.test in tests}
    still_open = {place.test for place in left_over(places, session)}
    return Progress(done=len(asked - still_open), total=len(asked))
